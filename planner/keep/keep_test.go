package keep_test

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"io/fs"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"pgregory.net/rapid"

	_ "example.org/kerfwright/planner/internal/seeded"
)

func TestPackedBytesComeBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		data := rapid.SliceOfN(rapid.Byte(), 0, 4000).Draw(rt, "data")
		k, err := keep.Pack("a.dxf", data)
		if err != nil {
			rt.Fatal(err)
		}
		again, _ := keep.Pack("a.dxf", data)
		if k != again {
			rt.Fatal("packed twice, two texts")
		}
		back, err := keep.Unpack(k)
		if err != nil || !bytes.Equal(back, data) {
			rt.Fatalf("%v: %x", err, back)
		}
	})
}

// By Python 3: base64.b64encode(zlib.compress(b"hello hello hello hello", 9)[2:-4]), which is
// RFC 1951 in RFC 4648 4, and hashlib.sha256.
func TestCopyMadeByAnotherProgramUnpacks(t *testing.T) {
	k := job.Kept{Text: "y0jNyclXyEAnAQ==", SHA256: strings.Repeat("0", 64)}
	back, err := keep.Unpack(k)
	if err == nil || !strings.Contains(err.Error(), "SHA-256") {
		t.Fatalf("%q, %v: the sum is not looked at", back, err)
	}
	k.SHA256 = "eac13dc78da3f79858440011e4db4107e9301314511e6d0073320b14c535b824"
	if back, err = keep.Unpack(k); err != nil || string(back) != "hello hello hello hello" {
		t.Errorf("%q, %v", back, err)
	}
	// FIPS 180-4, the example of one block: "abc".
	if got := keep.Sum([]byte("abc")); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Error(got)
	}
}

func TestHostileCopiesAreRefused(t *testing.T) {
	deflated := func(data []byte) []byte {
		var b bytes.Buffer
		w, _ := flate.NewWriter(&b, 9)
		w.Write(data)
		w.Close()
		return b.Bytes()
	}
	text := base64.StdEncoding.EncodeToString
	bomb := deflated(make([]byte, keep.MaxFile+1))
	good := deflated([]byte("a drawing"))
	for name, c := range map[string]struct{ text, sum, want string }{
		"a bomb":             {text(bomb), keep.Sum(make([]byte, keep.MaxFile+1)), "more than"},
		"cut short":          {text(good[:len(good)-2]), keep.Sum([]byte("a drawing")), "unpack"},
		"another sum":        {text(good), keep.Sum([]byte("another")), "SHA-256"},
		"more behind it":     {text(append(bytes.Clone(good), "more"...)), keep.Sum([]byte("a drawing")), "behind its end"},
		"not base64":         {"a drawing!", "", "base64"},
		"loose end bits":     {"QUJ=", "", "base64"},
		"line ends within":   {"QUJD\nQ!JD", "", "base64"},
		"too long":           {strings.Repeat("A", keep.MaxText+1), "", "at most"},
		"nothing":            {"", keep.Sum(nil), "unpack"},
		"a code that is not": {text([]byte{0x07}), "", "unpack"},
	} {
		if _, err := keep.Unpack(job.Kept{Text: c.text, SHA256: c.sum}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

func TestWhatIsTooLargeIsNotKept(t *testing.T) {
	if _, err := keep.Pack("a.dxf", make([]byte, keep.MaxFile+1)); err == nil || !strings.Contains(err.Error(), "33.6 MB") {
		t.Errorf("%v", err)
	}
	if k, err := keep.Pack("a.dxf", make([]byte, keep.MaxFile)); err != nil || len(k.Text) > 100_000 {
		t.Errorf("%v, %d", err, len(k.Text))
	}
}

// files is a folder in memory.
type files map[string]string

func (f files) Drawing(name string) ([]byte, error) {
	if s, ok := f[name]; ok {
		return []byte(s), nil
	}
	return nil, fs.ErrNotExist
}

func saved(t *testing.T, name, data string) job.Job {
	j := job.Job{Drawings: []job.Drawing{{File: name}}}
	s := keep.In(j, files{name: data})
	if _, err := s.Drawing(name); err != nil {
		t.Fatal(err)
	}
	j, faults := s.Stamp(j)
	if len(faults) > 0 || len(j.Kept) != 1 || j.Drawings[0].SHA256 != keep.Sum([]byte(data)) {
		t.Fatalf("%v %+v", faults, j)
	}
	return j
}

func TestTheDrawingThatTheJobWasMadeWithIsCut(t *testing.T) {
	const made, other = "as it was", "as it is now"
	for name, c := range map[string]struct {
		folder files
		change func(*job.Job)
		anew   bool
		want   string // "" is an error
		from   keep.From
		code   string
		worst  fault.Severity
	}{
		"the file":                   {folder: files{"a.dxf": made}, want: made, from: keep.File},
		"moved alone":                {folder: files{}, want: made, from: keep.Missing, code: "drawing-kept", worst: fault.Note},
		"changed since":              {folder: files{"a.dxf": other}, want: made, from: keep.Changed, code: "drawing-changed", worst: fault.Warning},
		"changed, taken as it is":    {folder: files{"a.dxf": other}, anew: true, want: other, from: keep.File},
		"missing, taken as it is":    {folder: files{}, anew: true, want: made, from: keep.Missing, code: "drawing-kept"},
		"changed, never kept":        {folder: files{"a.dxf": other}, change: func(j *job.Job) { j.Kept = nil }, want: other, from: keep.Other, code: "drawing-changed", worst: fault.Warning},
		"missing, never kept":        {folder: files{}, change: func(j *job.Job) { j.Kept = nil }},
		"missing, copy of another":   {folder: files{}, change: func(j *job.Job) { j.Kept[0].SHA256 = strings.Repeat("0", 64) }},
		"missing, damaged copy":      {folder: files{}, change: func(j *job.Job) { j.Kept[0].Text = "AAAA" }, code: "kept-damaged", worst: fault.Warning},
		"the file, damaged copy":     {folder: files{"a.dxf": made}, change: func(j *job.Job) { j.Kept[0].Text = "AAAA" }, want: made},
		"the job knows no sum of it": {folder: files{"a.dxf": other}, change: func(j *job.Job) { j.Drawings[0].SHA256 = "" }, want: other},
		"no sum and no file":         {folder: files{}, change: func(j *job.Job) { j.Drawings[0].SHA256 = "" }},
		"file moved, said elsewhere": {folder: files{"a.dxf": made}, change: func(j *job.Job) { j.Drawings[0].File = "there/a.dxf" }, want: made, from: keep.Missing, code: "drawing-kept"},
	} {
		j := saved(t, "a.dxf", made)
		if c.change != nil {
			c.change(&j)
		}
		s := keep.In(j, c.folder)
		s.Anew = c.anew
		got, err := s.Drawing(j.Drawings[0].File)
		if string(got) != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%s: %q, %v", name, got, err)
		}
		if r, ok := s.Read(j.Drawings[0].File); ok != (c.want != "") || ok && (r.From != c.from || r.Sum != keep.Sum([]byte(c.want))) {
			t.Errorf("%s: %+v", name, r)
		}
		told := s.Told()
		if c.code == "" && len(told) > 0 || c.code != "" && (len(told) != 1 || told[0].Code != c.code || told[0].Severity != c.worst) {
			t.Errorf("%s: %v", name, told)
		}
	}
}

func TestStampKeepsEachDrawingOnceAndItsTextAsItWas(t *testing.T) {
	j := saved(t, "a.dxf", "one")
	j.Drawings = append(j.Drawings, job.Drawing{File: "b.dxf"}, job.Drawing{File: "c.dxf"}, job.Drawing{Shape: &job.Shape{}}, job.Drawing{File: "gone.dxf", SHA256: strings.Repeat("1", 64)})
	j.Kept = append(j.Kept, job.Kept{Name: "gone.dxf", SHA256: strings.Repeat("1", 64), Text: "as it is"}, job.Kept{SHA256: strings.Repeat("2", 64), Text: "of nothing"})
	text := "y0jNyclXyEAnAQ==" // not what Pack makes of it
	j.Drawings[1].SHA256 = keep.Sum([]byte("hello hello hello hello"))
	j.Kept = append(j.Kept, job.Kept{SHA256: j.Drawings[1].SHA256, Text: text})
	s := keep.In(j, files{"a.dxf": "one", "b.dxf": "hello hello hello hello", "c.dxf": "one"})
	for _, name := range []string{"a.dxf", "b.dxf", "c.dxf"} {
		if _, err := s.Drawing(name); err != nil {
			t.Fatal(err)
		}
	}
	got, faults := s.Stamp(j)
	if len(faults) > 0 || len(got.Kept) != 3 {
		t.Fatalf("%v %+v", faults, got.Kept)
	}
	if got.Kept[1].Text != text || got.Kept[2].Text != "as it is" || got.Drawings[2].SHA256 != got.Drawings[0].SHA256 {
		t.Errorf("%+v", got)
	}
	again, _ := s.Stamp(got)
	for i, k := range again.Kept {
		if k != got.Kept[i] {
			t.Errorf("copy %d changed", i)
		}
	}
}

func TestDrawingsThatDoNotFitAreTold(t *testing.T) {
	j := job.Job{Drawings: []job.Drawing{{File: "plant.dxf"}, {File: "a.dxf"}}}
	s := keep.In(j, files{"plant.dxf": strings.Repeat("0123456789", keep.MaxFile/10+1), "a.dxf": "one"})
	for _, d := range j.Drawings {
		if _, err := s.Drawing(d.File); err != nil {
			t.Fatal(err)
		}
	}
	got, faults := s.Stamp(j)
	if len(faults) != 1 || faults[0].Code != "drawing-not-kept" || faults[0].File != "plant.dxf" || len(got.Kept) != 1 || got.Drawings[0].SHA256 == "" {
		t.Errorf("%v %d", faults, len(got.Kept))
	}
}

func FuzzUnpack(f *testing.F) {
	k, _ := keep.Pack("a.dxf", []byte("0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"))
	f.Add(k.Text, k.SHA256)
	f.Add("y0jNyclXyEAnAQ==", "")
	f.Fuzz(func(t *testing.T, text, sum string) {
		data, err := keep.Unpack(job.Kept{Text: text, SHA256: sum})
		if err != nil {
			return
		}
		if len(data) > keep.MaxFile || keep.Sum(data) != sum {
			t.Errorf("%d bytes with the sum %s, said %s", len(data), keep.Sum(data), sum)
		}
	})
}

func BenchmarkPack(b *testing.B) {
	data := []byte(strings.Repeat("0\nLINE\n8\nCUT\n10\n12.345\n20\n67.89\n11\n98.765\n21\n43.21\n", 20000))
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := keep.Pack("a.dxf", data); err != nil {
			b.Fatal(err)
		}
	}
}
