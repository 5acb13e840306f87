package jobfile_test

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/unit"
)

// noise is a drawing that does not pack.
func noise(n int) []byte {
	r := rand.NewChaCha8([32]byte{1})
	b := make([]byte, n)
	r.Read(b)
	return b
}

func withCopy(t testing.TB, data []byte) job.Job {
	k, err := keep.Pack("leaf.dxf", data)
	if err != nil {
		t.Fatal(err)
	}
	return job.Job{Units: unit.MM, Drawings: []job.Drawing{{File: "leaf.dxf", SHA256: k.SHA256}}, Kept: []job.Kept{k}}
}

func TestCopyOfADrawingStandsInLinesAtTheEnd(t *testing.T) {
	j := withCopy(t, noise(1000))
	j.Files = []job.FileSum{{Name: "leaf.nc", SHA256: strings.Repeat("ab", 32)}}
	text := encode(t, j)
	head, tail, found := strings.Cut(string(text), "\n[[kept]]\n")
	if !found || !strings.Contains(head, "[[files]]") {
		t.Fatalf("the copy does not come last:\n%s", text)
	}
	for _, line := range strings.Split(tail, "\n") {
		if len(line) > 100 {
			t.Errorf("a line of %d characters", len(line))
		}
	}
	// A file that went through an editor on another system reads the same.
	crlf := bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))
	back, faults := jobfile.Decode("leaf.toml", crlf)
	if len(faults) > 0 || back.Kept[0] != j.Kept[0] {
		t.Errorf("%v", faults)
	}
}

func TestCopiesChangeNoJobSum(t *testing.T) {
	j := withCopy(t, noise(1000))
	with := jobfile.Sum(j)
	j.Kept = nil
	if without := jobfile.Sum(j); with != without || with == "" {
		t.Errorf("%q with a copy, %q without", with, without)
	}
}

func TestLargestCopyIsReadAndRewritten(t *testing.T) {
	j := withCopy(t, noise(keep.MaxText/4*3-2000))
	text := encode(t, j)
	if len(text) > jobfile.MaxJob || len(text) < keep.MaxText {
		t.Fatalf("%d bytes", len(text))
	}
	for _, text := range [][]byte{text, bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))} {
		back, faults := jobfile.Decode("leaf.toml", text)
		if len(faults) > 0 || back.Kept[0] != j.Kept[0] {
			t.Fatalf("%v", faults)
		}
	}
	own := append([]byte("# our own words\n"), text...)
	j.Files = []job.FileSum{{Name: "leaf.nc", SHA256: strings.Repeat("ab", 32)}}
	out, faults := jobfile.Rewrite(own, j, "files")
	if len(faults) > 0 || !bytes.HasPrefix(out, []byte("# our own words\n")) || !bytes.Contains(out, []byte("[[files]]")) {
		t.Errorf("%v", faults)
	}
}

// What is not a copy counts as ever, however it is dressed up.
func TestCopiesAreNoWayRoundTheSizeOfAJob(t *testing.T) {
	lines := strings.Repeat("QUJD\n", 1<<19) // 2.5 MiB
	for name, text := range map[string]string{
		"keys in a block":           "a = '''\ntext = '''\n" + strings.Repeat("a=1\n", 1<<20) + "'''\n",
		"block after another key":   "units = \"mm\"\nx = [ text = '''\n" + lines + "'''\n",
		"no end":                    "text = '''\n" + lines,
		"comments in it":            "text = '''\n" + strings.Repeat("#QUJ\n", 1<<19) + "'''\n",
		"a key on the line":         "text = '''\n" + lines + "=a'''\n",
		"equals signs in the midst": "text = '''\n" + strings.Repeat("QU==\n", 1<<19) + "'''\n",
	} {
		_, faults := jobfile.Decode("a.toml", []byte(text))
		if len(faults) != 1 || faults[0].Code != "job-size" {
			t.Errorf("%s: %v", name, faults)
		}
	}
	if _, faults := jobfile.Decode("a.toml", []byte(strings.Repeat("#", jobfile.MaxJob+1))); len(faults) != 1 || faults[0].Code != "job-size" {
		t.Errorf("%v", faults)
	}
}

func TestBadCopiesAreRefusedWithTheirPlace(t *testing.T) {
	good := string(encode(t, withCopy(t, []byte("a drawing"))))
	for name, change := range map[string][2]string{
		"not base64":   {"text = '''\n", "text = '''\n-"},
		"no text":      {"text = '''", "note = '''"},
		"short sum":    {"[[kept]]\nname = \"leaf.dxf\"\nsha256 = \"", "[[kept]]\nname = \"leaf.dxf\"\nsha256 = \"#"},
		"no name":      {"[[kept]]\nname = \"leaf.dxf\"", "[[kept]]"},
		"text a count": {"text = '''", "text = 4 # '''"},
	} {
		text := strings.Replace(good, change[0], change[1], 1)
		if text == good {
			t.Fatal(name)
		}
		if _, faults := jobfile.Decode("leaf.toml", []byte(text)); !faults.Bad() || faults[0].Line == 0 {
			t.Errorf("%s: %v", name, faults)
		}
	}
	j := withCopy(t, []byte("a drawing"))
	j.Kept[0].Text = strings.Repeat("A", keep.MaxText+4)
	if _, faults := jobfile.Encode(j); !faults.Bad() {
		t.Error("a copy over the limit is written")
	}
}

func BenchmarkDecodeLargestCopy(b *testing.B) {
	text := encode(b, withCopy(b, noise(keep.MaxText/4*3-2000)))
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, faults := jobfile.Decode("a.toml", text); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
