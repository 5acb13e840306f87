package jobfile_test

import (
	"reflect"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"pgregory.net/rapid"
)

const commented = `# the gate of the north field
units = "mm"
name = "gate"

[stock] # measured on Tuesday
thickness = 6 # mm
material = "mild-steel"

[[drawings]]
file = "gate.dxf"

# ours
[process]
amps = 45
`

func TestRewriteKeepsWhatItIsNotAskedAbout(t *testing.T) {
	j, faults := jobfile.Decode("gate.toml", []byte(commented))
	if faults.Bad() {
		t.Fatal(faults)
	}
	j.Alignment = job.Alignment{By: job.AlignEdges, Points: []geom.Point{{X: 1, Y: 2}, {X: 300, Y: 4}}}
	text, faults := jobfile.Rewrite([]byte(commented), j, "alignment")
	if faults.Bad() {
		t.Fatal(faults)
	}
	s := string(text)
	for _, want := range []string{"# the gate of the north field", "# measured on Tuesday", "# ours", "[alignment]", "[300, 4]"} {
		if !strings.Contains(s, want) {
			t.Errorf("lost %q:\n%s", want, s)
		}
	}
	if strings.Index(s, "[alignment]") > strings.Index(s, "[process]") {
		t.Errorf("the table stands out of its order:\n%s", s)
	}
	// Changed again, and taken away again.
	j.Alignment.Points[1].Y = 9
	text, _ = jobfile.Rewrite(text, j, "alignment")
	if s := string(text); strings.Count(s, "[alignment]") != 1 || !strings.Contains(s, "[300, 9]") || !strings.Contains(s, "# ours") {
		t.Errorf("changed again:\n%s", s)
	}
	j.Alignment = job.Alignment{}
	text, _ = jobfile.Rewrite(text, j, "alignment")
	if s := string(text); s != commented {
		t.Errorf("taken away again:\n%s", s)
	}
}

// Whatever two jobs are, the text of the one with tables of the other reads as
// the job that was meant.
func TestRewrittenTextReadsAsTheJob(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was, other := draw{t}.job(), draw{t}.job()
		text := encode(t, was)
		want := was
		want.Units = was.Units
		want.Alignment = other.Alignment
		got, faults := jobfile.Rewrite(text, want, "alignment")
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		back, faults := jobfile.Decode("", got)
		if faults.Bad() || !reflect.DeepEqual(back, want) {
			t.Fatalf("%v\n%s", faults, got)
		}
	})
}
