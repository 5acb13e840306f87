package presets

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// MaxDrawing is the largest drawing that is opened, in bytes.
const MaxDrawing = 512 << 20

// Drawings hands the planner the drawings of one job, by the paths that the
// job names, seen from a folder. It remembers the sum of each that it read.
// It is not for several goroutines at once.
type Drawings struct {
	dir  string
	sums map[string]string // by name
}

// DrawingsIn returns the drawings as seen from a folder.
func DrawingsIn(dir string) *Drawings { return &Drawings{dir, map[string]string{}} }

// Drawing reads a drawing.
func (d *Drawings) Drawing(name string) ([]byte, error) {
	path := filepath.FromSlash(name)
	if !filepath.IsAbs(path) {
		path = filepath.Join(d.dir, path)
	}
	data, err := ReadFile(path, MaxDrawing)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	d.sums[name] = hex.EncodeToString(sum[:])
	return data, nil
}

// Sum returns the SHA-256 of a drawing that was read, in hexadecimal digits;
// "" for one that was not.
func (d *Drawings) Sum(name string) string { return d.sums[name] }

// Changed warns of drawings that were read and are not as they were when the
// job was saved.
func (d *Drawings) Changed(j job.Job) fault.List {
	var faults fault.List
	for _, was := range j.Drawings {
		if sum := d.Sum(was.File); was.SHA256 != "" && sum != "" && sum != was.SHA256 {
			faults.Warnf(fault.Where{File: was.File}, "drawing-changed", "Look at every feature again before cutting.", "the drawing has changed since the job was saved")
		}
	}
	return faults
}

// ReadFile reads a regular file of at most the given bytes.
func ReadFile(path string, most int64) ([]byte, error) {
	// A pipe would be waited for: look before opening.
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file", path)
	case info.Size() > most:
		return nil, fmt.Errorf("%s holds %d bytes, at most %d are read", path, info.Size(), most)
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	// At once in its full size: growing by steps would leave as much again behind.
	text := bytes.NewBuffer(make([]byte, 0, info.Size()+bytes.MinRead))
	_, err = text.ReadFrom(io.LimitReader(file, most))
	return text.Bytes(), err
}
