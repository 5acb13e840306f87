package planner_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/motion"
	"example.org/kerfwright/planner/rs274"
)

// fullPlate is four hinge leaves on one plate.
func fullPlate() job.Job {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 420, 260
	j.Drawings[0].Quantity = 4
	return j
}

// simulated reads a written program and times its moves with the torch off by
// the closed form of uniform acceleration, from rest to rest, and says where it
// touches the plate. Nothing of the plan goes in.
func simulated(t *testing.T, j job.Job, text []byte) (rapid, raise, probe float64) {
	t.Helper()
	m := j.Machine
	var chain geom.Path
	flush := func() {
		if len(chain.V) > 1 {
			rapid += motion.Plan(chain, m.RapidXY, motion.Limits{Accel: m.AccelXY, Deviation: m.CornerDeviation}).Time
		}
		chain = geom.Path{}
	}
	first := true
	faults := rs274.Run(text, rs274.Options{Probe: func(mv *rs274.Move) (float64, bool) {
		// The plate's top is at Z0 once it is set; the first touch-off meets it
		// the raised torch's reach below.
		depth := mv.From.Z + m.SensorOffset.Value
		return depth / (mv.From.Z - mv.To.Z), true
	}}, func(mv *rs274.Move) {
		switch mv.Kind {
		case rs274.Rapid:
			from, to := mv.From.Add(mv.Off), mv.To.Add(mv.Off)
			a, b := geom.Pt(from.X, from.Y), geom.Pt(to.X, to.Y)
			if a != b {
				if first {
					first = false
					return
				}
				if len(chain.V) == 0 {
					chain.V = append(chain.V, geom.Vertex{P: a})
				}
				chain.V = append(chain.V, geom.Vertex{P: b})
				return
			}
			flush()
			if !mv.Machine && !first {
				raise += motion.RestToRest(math.Abs(to.Z-from.Z), m.RapidZ, m.AccelZ)
			}
		case rs274.Probe:
			flush()
			probe += motion.RestToRest(mv.From.Z-mv.To.Z, m.ProbeFeed, m.AccelZ)
		}
	})
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	flush()
	return
}

func TestTimesAgreeWithTheWrittenProgram(t *testing.T) {
	j := fullPlate()
	j.Machine.TopZ = job.Opt{} // ends at safe height, which the sums count
	j.Rules.ProbeReuse = 70
	p := mustPlan(t, j, leaf())
	rapid, raise, probe := simulated(t, j, p.Text)
	all := p.Times()
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"rapid", all.Rapid, rapid}, {"raise", all.Raise, raise}, {"probe", all.Probe, probe}} {
		if math.Abs(c.got-c.want) > 0.01*c.want {
			t.Errorf("%s: planned %.3f s, the program takes %.3f s", c.name, c.got, c.want)
		}
	}
	sum := 0.0
	for _, c := range p.Plan.Cuts {
		sum += c.Time
	}
	if math.Abs(sum+p.Rest.Sum()-p.Plan.Time) > 1e-6 || math.Abs(all.Sum()-p.Plan.Time) > 1e-6 {
		t.Errorf("cuts %g s, all %g s", sum, p.Plan.Time)
	}
}

func TestRapidsGoRoundOrOverWhatIsLoose(t *testing.T) {
	seen := map[planner.Rapid]int{}
	j := fullPlate()
	j.Rules.Grouping = job.GroupPart
	for _, speed := range []float64{1000, 3000, 30000} { // of Z: the slower, the rather round
		j.Machine.RapidZ = speed
		if speed == 30000 { // a light head: up and down is quicker than any way round
			j.Machine.AccelZ = 5000
		}
		p := mustPlan(t, j, leaf())
		extra := 0.0
		for i, c := range p.Cuts {
			seen[c.Rapid]++
			extra += c.Extra
			switch c.Rapid {
			case planner.RapidRound:
				if p.Cuts[i-1].Lift != j.Machine.TravelZ || len(p.Rapids[i-1].V) < 3 || c.Extra <= 0 {
					t.Errorf("round: lift %g, %d points, %g s", p.Cuts[i-1].Lift, len(p.Rapids[i-1].V), c.Extra)
				}
			case planner.RapidRaised:
				if p.Cuts[i-1].Lift != j.Machine.SafeZ || c.Extra <= 0 {
					t.Errorf("raised: lift %g, %g s", p.Cuts[i-1].Lift, c.Extra)
				}
			case planner.RapidStraight:
				if p.Cuts[i-1].Lift != j.Machine.TravelZ || len(p.Rapids[i-1].V) != 2 || c.Extra != 0 {
					t.Errorf("straight: lift %g, %d points, %g s", p.Cuts[i-1].Lift, len(p.Rapids[i-1].V), c.Extra)
				}
			}
		}
		if math.Abs(extra-p.ExtraTime) > 1e-9 || p.Raised+p.Round == 0 {
			t.Errorf("%g s extra, %g said", extra, p.ExtraTime)
		}
	}
	if seen[planner.RapidRound] == 0 || seen[planner.RapidRaised] == 0 || seen[planner.RapidStraight] == 0 {
		t.Errorf("%v", seen)
	}
}

func TestTouchOffIsSpentOnceWithinReachAndTheSavingShown(t *testing.T) {
	j := fullPlate()
	none := mustPlan(t, j, leaf())
	if none.TouchOffsSaved != 0 || none.TouchOffTimeSaved != 0 {
		t.Errorf("%d saved without leave", none.TouchOffsSaved)
	}
	j.Rules.ProbeReuse = 70
	p := mustPlan(t, j, leaf())
	touched := 0
	var at geom.Point
	for i, c := range p.Cuts {
		if c.TouchOff {
			touched, at = touched+1, c.Pierce
		} else if d := c.Pierce.Dist(at); d > 70 {
			t.Errorf("cut %d is %g mm from its touch-off", i+1, d)
		}
	}
	if touched+p.TouchOffsSaved != len(p.Cuts) || p.TouchOffsSaved == 0 || p.TouchOffTimeSaved <= 0 {
		t.Errorf("%d touch-offs, %d saved, %g s", touched, p.TouchOffsSaved, p.TouchOffTimeSaved)
	}
	// The order is the same, so the saving is the difference of the two plans.
	if d := none.Plan.Time - p.Plan.Time; math.Abs(d-p.TouchOffTimeSaved) > 0.02*d {
		t.Errorf("said %g s, is %g s", p.TouchOffTimeSaved, d)
	}
	// Long ways: many cuts within reach, the trust ends all the same.
	j.Rules.ProbeReuse = 15
	for _, c := range mustPlan(t, j, leaf()).Cuts {
		if !c.TouchOff && c.Path.Length() > 15*20 {
			t.Error("trusted after a long way")
		}
	}
}

func TestOtherBlankIsTouchedAgain(t *testing.T) {
	j := gateJob()
	j.Stock.Hold = job.Blank
	j.Stock.Width, j.Stock.Height = 0, 0
	j.Stock.Fixture = job.Fixture{Pockets: []geom.Point{{X: 10, Y: 10}}, Count: 2, Allowance: job.Of(0.5)}
	j.Rules.ProbeReuse = 1000
	for i, c := range mustPlan(t, j, leaf()).Cuts {
		if c.Pause && !c.TouchOff || i > 0 && c.Pause != (c.Rapid == planner.RapidSwap) {
			t.Errorf("cut %d: pause %v, touch-off %v, %s", i+1, c.Pause, c.TouchOff, c.Rapid)
		}
	}
}

// Blanks of earlier runs are left out, and the pieces go on counting.
func TestPiecesGoOnWhereTheLastRunEnded(t *testing.T) {
	j := gateJob()
	j.Stock.Hold = job.Blank
	j.Stock.Width, j.Stock.Height = 0, 0
	j.Stock.Fixture = job.Fixture{Pockets: []geom.Point{{X: 10, Y: 10}, {X: 10, Y: 120}}, Count: 20, Done: 7, Allowance: job.Of(0.5)}
	p := mustPlan(t, j, leaf())
	text := string(p.Text)
	for _, want := range []string{"piece 8 of 20 in pocket 1 lies in the fixture", "put in piece 9 of 20 in pocket 2", "put in piece 20 of 20 in pocket 1", "p1#8.h"} {
		if !strings.Contains(text, want) {
			t.Errorf("the program does not say %q", want)
		}
	}
	if r := p.Plan.Pieces; strings.Count(text, "\nM0") != 12 || strings.Contains(text, "p1#7.") || r == nil || r.Done != 7 || r.Of != 20 || r.Run != 13 {
		t.Errorf("%d pauses, %+v", strings.Count(text, "\nM0"), p.Plan.Pieces)
	}
	j.Stock.Fixture.Done = 20
	if _, faults := planner.Plan(context.Background(), j, leaf()); !faults.Bad() || !strings.Contains(faults.Err().Error(), "20 of 20 pieces are cut already") {
		t.Error(faults.Err())
	}
}

// rapidTime adds up the straight rapids of a program, from a corner and back to
// it, each from rest to rest.
func rapidTime(j job.Job, p *planner.Program, corner geom.Point) (s float64) {
	at := corner
	over := func(to geom.Point) {
		s += motion.RestToRest(at.Dist(to), j.Machine.RapidXY, j.Machine.AccelXY)
	}
	for _, c := range p.Cuts {
		over(c.Path.Start())
		at = c.Path.End()
	}
	over(corner)
	return s
}

func TestWishesShapeTheOrder(t *testing.T) {
	parts := func(p *planner.Program) (runs int) {
		for i, c := range p.Cuts {
			if i == 0 || c.Placed != p.Cuts[i-1].Placed {
				runs++
			}
		}
		return
	}
	t.Run("finish a part", func(t *testing.T) {
		j := fullPlate()
		j.Rules.Grouping = job.GroupPart
		if p := mustPlan(t, j, leaf()); parts(p) != 4 {
			t.Errorf("%d runs for 4 parts", parts(p))
		}
	})
	t.Run("holes first", func(t *testing.T) {
		j := fullPlate()
		j.Rules.Grouping = job.GroupHoles
		p := mustPlan(t, j, leaf())
		first := slices.IndexFunc(p.Cuts, func(c planner.Cut) bool { return p.Tree.Features[c.Feature].Kind == feature.Outline })
		if first != len(p.Cuts)-4 {
			t.Errorf("first outline is cut %d of %d", first+1, len(p.Cuts))
		}
	})
	t.Run("holes first with a part in a cut-out", func(t *testing.T) {
		j := gateJob()
		j.Rules.Grouping = job.GroupHoles
		mustPlan(t, j, loops(rect(0, 0, 200, 150), rect(20, 20, 120, 100), rect(40, 40, 60, 40), geom.Circle(geom.Pt(70, 60), 10)))
	})
	t.Run("small first near the edge", func(t *testing.T) {
		j := gateJob()
		j.Rules.SmallFirst = 60
		l := loops(rect(0, 0, 120, 80), rect(140, 0, 50, 40), rect(210, 0, 30, 30), rect(260, 0, 90, 70))
		p := mustPlan(t, j, l)
		area := 0.0
		for _, c := range p.Cuts {
			a := p.Tree.Features[c.Feature].Area
			if a < area {
				t.Errorf("%s of %g mm2 after one of %g", c.Label, a, area)
			}
			area = a
		}
	})
	t.Run("corners", func(t *testing.T) {
		free := mustPlan(t, fullPlate(), leaf())
		for _, c := range job.Corners() {
			j := fullPlate()
			j.Rules.Begin, j.Rules.End = c, c
			p := mustPlan(t, j, leaf())
			want := map[job.Corner]geom.Point{job.LowerLeft: geom.Pt(0, 0), job.LowerRight: geom.Pt(420, 0), job.UpperLeft: geom.Pt(0, 260), job.UpperRight: geom.Pt(420, 260)}[c]
			if p.Park == nil || *p.Park != want || !strings.Contains(string(p.Text), fmt.Sprintf("\nG0 X%.1f Y%.1f\n", want.X, want.Y)) {
				t.Errorf("%s: parked at %v", c, p.Park)
			}
			// No slower than an order that did not know of the corner.
			if wise, blind := rapidTime(j, p, want), rapidTime(j, free, want); wise > 1.002*blind {
				t.Errorf("%s: %g s, %g without the wish", c, wise, blind)
			}
			if p.Plan.RapidGap == nil || *p.Plan.RapidGap < 0 {
				t.Errorf("gap %v", p.Plan.RapidGap)
			}
		}
	})
	t.Run("heat spread keeps the distance", func(t *testing.T) {
		// Two rows of holes 25 mm apart in a strip of thin plate, so long that
		// every hole may be cut 60 mm from the two before it.
		holes := []geom.Path{rect(0, 0, 1000, 60)}
		for i := range 36 {
			holes = append(holes, geom.Circle(geom.Pt(30+25*float64(i), 15), 6), geom.Circle(geom.Pt(42+25*float64(i), 42), 6))
		}
		j := gateJob()
		j.Stock.Width, j.Stock.Height, j.Stock.Thickness = 1100, 120, 2
		near := func(p *planner.Program, least float64) (pairs int) { // worked out from the cuts alone
			for i, c := range p.Cuts {
				for _, o := range p.Cuts[max(0, i-2):i] {
					if min(o.Pierce.Dist(c.Pierce), o.Path.End().Dist(c.Pierce)) < least {
						pairs++
					}
				}
			}
			return pairs
		}
		cold := mustPlan(t, j, loops(holes...))
		j.Rules.HeatCuts, j.Rules.HeatDistance = 2, 60
		p := mustPlan(t, j, loops(holes...))
		if cold.Plan.Hot != 0 || near(cold, 60) < 36 {
			t.Errorf("without the wish %d pairs are near, %d told", near(cold, 60), cold.Plan.Hot)
		}
		// The outline comes after the last holes, wherever it is pierced.
		if got := near(p, 60); got > 2 || got != p.Plan.Hot {
			t.Errorf("%d pairs are nearer than asked, %d told", got, p.Plan.Hot)
		}
		// What cannot be kept is told: nothing of this strip is 2 m away.
		j.Rules.HeatDistance = 2000
		p = mustPlan(t, j, loops(holes...))
		if got := near(p, 2000); got != p.Plan.Hot || got != 2*len(p.Cuts)-3 {
			t.Errorf("%d pairs are nearer than asked, %d told", got, p.Plan.Hot)
		}
		// The nearest are named.
		_, faults := planner.Plan(context.Background(), j, loops(holes...))
		least, named := math.Inf(1), ""
		for i, c := range p.Cuts {
			for _, o := range p.Cuts[max(0, i-2):i] {
				if d := min(o.Pierce.Dist(c.Pierce), o.Path.End().Dist(c.Pierce)); d < least {
					least, named = d, fmt.Sprintf("%s soon after %s", c.Label, o.Label)
				}
			}
		}
		told := slices.IndexFunc(faults, func(f fault.Fault) bool { return f.Code == "heat-near" })
		if told < 0 || faults[told].Severity != fault.Warning || !strings.Contains(faults[told].What, named) || !strings.Contains(faults[told].What, fmt.Sprintf("%d pairs of cuts", p.Plan.Hot)) {
			t.Errorf("%s is not named: %v", named, faults)
		}
	})
	t.Run("heat spread is counted", func(t *testing.T) {
		j := fullPlate()
		j.Rules.HeatCuts, j.Rules.HeatDistance = 3, 2000 // more than the plate has
		if p := mustPlan(t, j, leaf()); p.Plan.Hot == 0 {
			t.Error("no pair of cuts is near another on a small plate")
		}
	})
}
