package job_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/job"
)

// Straight lines between the rows, worked by hand.
func TestTaperTableIsReadAlongStraightLines(t *testing.T) {
	p := job.Process{Taper: []job.TaperPoint{{Ratio: 1, Add: 0.4}, {Ratio: 2, Add: 0.2}, {Ratio: 4, Add: -0.2}}}
	for _, c := range []struct{ ratio, want float64 }{{0.5, 0.4}, {1, 0.4}, {1.5, 0.3}, {2, 0.2}, {3, 0}, {4, -0.2}, {9, -0.2}} {
		if got := p.TaperAdd(c.ratio); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("ratio %g: %g, want %g", c.ratio, got, c.want)
		}
	}
	if (job.Process{}).TaperAdd(2) != 0 {
		t.Error("no table changes a hole")
	}
}

func TestEqualProcessesHaveEqualTables(t *testing.T) {
	a := job.Process{Amps: 45, Taper: []job.TaperPoint{{Ratio: 1, Add: 0.4}}}
	b := a
	b.Taper = []job.TaperPoint{{Ratio: 1, Add: 0.4}}
	if !a.Equal(b) {
		t.Error("equal tables differ")
	}
	b.Taper[0].Add = 0.3
	if a.Equal(b) {
		t.Error("another table is equal")
	}
}
