package keep

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"

	"example.org/kerfwright/planner/job"
)

const (
	// MaxFile is the largest drawing that is kept, in bytes: a hundred times
	// what a part takes. A larger one is a plant's plan, and goes along.
	MaxFile = 32 << 20
	// MaxText is the most text that one job's copies may take, in bytes: the
	// job file stays something that can be mailed and looked into.
	MaxText = 4 << 20
)

// base is strict: one sequence of bytes has one text.
var base = base64.StdEncoding.Strict()

// Sum returns the SHA-256 of bytes in hexadecimal digits.
func Sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// Pack makes the copy of a drawing. It fails only for one that is too large.
func Pack(name string, data []byte) (job.Kept, error) {
	if len(data) > MaxFile {
		return job.Kept{}, fmt.Errorf("%s long, at most %s are kept", megabytes(len(data)), megabytes(MaxFile))
	}
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err == nil {
		if _, err = w.Write(data); err == nil {
			err = w.Close()
		}
	}
	if err != nil {
		panic("keep: internal: " + err.Error()) // a buffer takes all that is written
	}
	if n := base.EncodedLen(b.Len()); n > MaxText {
		return job.Kept{}, fmt.Errorf("%s of text when packed, a job keeps at most %s", megabytes(n), megabytes(MaxText))
	}
	return job.Kept{Name: name, SHA256: Sum(data), Text: base.EncodeToString(b.Bytes())}, nil
}

// Unpack returns the bytes of a copy. Text that is not one, unpacks to more
// than MaxFile, goes on behind its end or does not have its sum is an error.
func Unpack(k job.Kept) ([]byte, error) {
	if len(k.Text) > MaxText {
		return nil, fmt.Errorf("holds %s of text, at most %s are read", megabytes(len(k.Text)), megabytes(MaxText))
	}
	packed, err := base.DecodeString(k.Text)
	if err != nil {
		return nil, fmt.Errorf("is no base64 text: %w", err)
	}
	in := bytes.NewReader(packed) // an io.ByteReader: nothing is read past the end
	var out bytes.Buffer
	n, err := io.Copy(&out, io.LimitReader(flate.NewReader(in), MaxFile+1))
	switch {
	case n > MaxFile:
		return nil, fmt.Errorf("unpacks to more than %s", megabytes(MaxFile))
	case err != nil:
		return nil, fmt.Errorf("does not unpack: %w", err)
	case in.Len() > 0:
		return nil, fmt.Errorf("holds %d bytes behind its end", in.Len())
	}
	if got := Sum(out.Bytes()); got != k.SHA256 {
		return nil, fmt.Errorf("has the SHA-256 %.8s, not %.8s", got, k.SHA256)
	}
	return out.Bytes(), nil
}

func megabytes(n int) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }
