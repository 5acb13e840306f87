package planner_test

import (
	"context"
	"math"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
)

// TestTimelineIsThePlansOwnTime: nothing is added and nothing is lost, each cut
// lies where the plan puts it, and the arc burns as long as the plan says.
func TestTimelineIsThePlansOwnTime(t *testing.T) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 600, 400
	p, faults := planner.Plan(context.Background(), j, manyPlates(2))
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	l := p.Timeline(j)
	if math.Abs(l.Total-p.Plan.Time) > 1e-6 {
		t.Errorf("takes %g s, the plan %g s", l.Total, p.Plan.Time)
	}
	at, lit := 0.0, 0.0
	for _, s := range l.Stays {
		if s.From != at || s.To <= s.From {
			t.Fatalf("a gap at %g s: %+v", at, s)
		}
		at = s.To
		if s.Doing == planner.DoingCut || s.Doing == planner.DoingPierce {
			lit += s.To - s.From
		}
	}
	if want := p.Times().Lit(); math.Abs(lit-want) > 1e-6 {
		t.Errorf("the arc burns %g s, the plan says %g s", lit, want)
	}
	for k := range p.Cuts {
		c := &p.Cuts[k]
		b := l.Begin(k)
		if m := l.At(b); m.Cut != k {
			t.Fatalf("cut %d begins in cut %d", k, m.Cut)
		}
		end := b
		for _, s := range l.Stays {
			if s.Cut == k && s.Doing == planner.DoingCut {
				end = s.To
				if m := l.At(s.From); m.At.Dist(c.Path.Start()) > geom.Join {
					t.Errorf("cut %d starts %g mm off", k, m.At.Dist(c.Path.Start()))
				}
				half := l.At((s.From + s.To) / 2)
				if half.Along <= 0 || half.Along >= c.Path.Length() || math.Abs(half.Done().Length()-half.Along) > geom.Join {
					t.Errorf("cut %d at half time: %g mm of %g", k, half.Along, c.Path.Length())
				}
			}
		}
		if m := l.At(end - 1e-9); m.At.Dist(c.Path.End()) > geom.Join {
			t.Errorf("cut %d ends %g mm off", k, m.At.Dist(c.Path.End()))
		}
		if got, mm := p.NearestCut(c.Pierce); mm > geom.Join || p.Cuts[got].Path.Start().Dist(c.Pierce) > geom.Join && got != k {
			t.Errorf("nearest to the pierce of cut %d is cut %d, %g mm off", k, got, mm)
		}
	}
	if m := l.At(l.Total + 1); m.Doing != planner.DoingNothing {
		t.Errorf("%+v", m)
	}
	// Heat: all that the arc brings in lies in a box round it all.
	box := geom.Box{Min: geom.Pt(-50, -50), Max: geom.Pt(1000, 1000)}
	sum := 0.0
	for _, s := range p.Heat(box, 40, 30) {
		sum += s
	}
	if math.Abs(sum-p.Times().Lit()) > 1e-6 {
		t.Errorf("heat %g s, arc on %g s", sum, p.Times().Lit())
	}
	if n := len(p.Trace()); n != 1+len(p.Cuts)+len(p.Rapids) {
		t.Errorf("%d ways in the dry run's trace", n)
	}
}
