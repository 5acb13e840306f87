package planner_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/rs274"
	"example.org/kerfwright/planner/unit"
)

// moves reads a program as the standard has it and fails on any fault of its
// lines: lexis, order, modal groups, comments, arc radii (NISTIR 6556).
func moves(t testing.TB, text []byte) []rs274.Move {
	t.Helper()
	out, faults := rs274.Read(text, rs274.Options{})
	for _, f := range faults {
		t.Errorf("%v", f)
	}
	for i, l := range strings.Split(string(text), "\n") {
		if len(l) > rs274.MaxSureLine {
			t.Errorf("line %d has %d characters", i+1, len(l))
		}
	}
	return out
}

func TestEveryEmittedLineIsGoodRS274(t *testing.T) {
	for _, u := range []unit.System{unit.MM, unit.Inch} {
		for _, numbers := range []bool{false, true} {
			j := gateJob()
			j.Machine.Program.Units, j.Machine.Program.LineNumbers = u, numbers
			p := mustPlan(t, j, leaf())
			moves(t, p.Text)
			moves(t, p.Dry)
		}
	}
}

// Bolt circles worked by the handbook rule x = D/2 cos a, y = D/2 sin a:
// 6 holes on 100 mm from 0 degrees, 8 on 4 in from 0, 5 on 72 mm from 90.
func TestBoltCirclesAreCutWhereTheHandbookPutsThem(t *testing.T) {
	for name, want := range map[string][]geom.Point{
		"6 on 100": {{X: 50, Y: 0}, {X: 25, Y: 43.30127}, {X: -25, Y: 43.30127}, {X: -50, Y: 0}, {X: -25, Y: -43.30127}, {X: 25, Y: -43.30127}},
		"8 on 101.6": {{X: 50.8, Y: 0}, {X: 35.921024, Y: 35.921024}, {X: 0, Y: 50.8}, {X: -35.921024, Y: 35.921024}, {X: -50.8, Y: 0},
			{X: -35.921024, Y: -35.921024}, {X: 0, Y: -50.8}, {X: 35.921024, Y: -35.921024}},
		"5 on 72": {{X: 0, Y: 36}, {X: -34.238035, Y: 11.124612}, {X: -21.160269, Y: -29.124612}, {X: 21.160269, Y: -29.124612}, {X: 34.238035, Y: 11.124612}},
	} {
		paths := []geom.Path{geom.Circle(geom.Pt(0, 0), 75)}
		for _, c := range want {
			paths = append(paths, geom.Circle(c, 7))
		}
		p := mustPlan(t, gateJob(), loops(paths...))
		centre := p.Placed[0].Move.Shift
		found := map[int]bool{}
		for _, m := range moves(t, p.Text) {
			if m.Kind != rs274.Arc {
				continue
			}
			c := geom.Pt(m.Center.X, m.Center.Y).Sub(centre)
			r := geom.Pt(m.From.X, m.From.Y).Sub(centre).Dist(c)
			for i, w := range want {
				// A hole of 14 mm with a kerf of 1.6 is run at 6.2 mm from its centre.
				if c.Dist(w) < 1e-3 && math.Abs(r-6.2) < 1e-3 {
					found[i] = true
				}
			}
		}
		if len(found) != len(want) {
			t.Errorf("%s: %d of %d holes at the handbook's places", name, len(found), len(want))
		}
	}
}

func TestInchJobIsTheSameJob(t *testing.T) {
	a, j := mustPlan(t, gateJob(), leaf()), gateJob()
	j.Machine.Program.Units = unit.Inch
	b := mustPlan(t, j, leaf())
	ma, mb := moves(t, a.Text), moves(t, b.Text)
	if len(ma) != len(mb) {
		t.Fatalf("%d moves in mm, %d in inches", len(ma), len(mb))
	}
	for i := range ma {
		p, q := ma[i].To, mb[i].To
		if d := math.Hypot(p.X-q.X, p.Y-q.Y); d > 0.001 || math.Abs(p.Z-q.Z) > 0.001 {
			t.Errorf("line %d: %v in mm, %v in inches", ma[i].Line, p, q)
		}
	}
}

func TestInsideComesBeforeItsOutlineAndInnerPartBeforeItsCutOut(t *testing.T) {
	ring := loops(rect(0, 0, 200, 200), rect(40, 40, 120, 120), rect(70, 70, 60, 60), geom.Circle(geom.Pt(100, 100), 15))
	p := mustPlan(t, gateJob(), ring)
	at := map[string]int{}
	for i, c := range p.Cuts {
		at[c.Label] = i
	}
	if !(at["p2.h1"] < at["p2.outline"] && at["p2.outline"] < at["p1.c1"] && at["p1.c1"] < at["p1.outline"]) {
		t.Errorf("order %v", at)
	}
}

func TestCopiesAreCutWithoutTouching(t *testing.T) {
	j := gateJob()
	j.Drawings[0].Quantity = 4
	p := mustPlan(t, j, leaf())
	if len(p.Placed) != 4 || len(p.Cuts) != 24 {
		t.Fatalf("%d placed, %d cuts", len(p.Placed), len(p.Cuts))
	}
	j.Drawings[0].Quantity = 9
	if _, faults := planner.Plan(context.Background(), j, leaf()); !faults.Bad() || faults.At(2)[0].Code != "no-room" {
		t.Errorf("nine leaves on a plate for six: %v", faults)
	}
}

func TestTurnedAndMirroredPlacesAreProvedToo(t *testing.T) {
	j := gateJob()
	j.Layout.Places = []job.Place{{X: 100, Y: 20, Angle: math.Pi / 2}, {X: 320, Y: 30, Mirror: true}, {X: 225, Y: 165, Angle: 0.3}}
	j.Drawings[0].Quantity = 3
	p := mustPlan(t, j, leaf())
	if !p.Verdict.OK {
		t.Error(p.Verdict.Findings)
	}
}

func TestBlanksAreCutOneAfterTheOtherWithAPause(t *testing.T) {
	j := gateJob()
	j.Stock.Hold = job.Blank
	j.Stock.Width, j.Stock.Height = 160, 80
	j.Stock.Fixture = job.Fixture{Datum: job.LowerLeft, Pockets: []geom.Point{{X: 10, Y: 10}, {X: 10, Y: 110}}, Count: 3, Allowance: job.Of(0.5)}
	p := mustPlan(t, j, leaf())
	pauses := strings.Count(string(p.Text), "\nM0")
	if pauses != 2 || strings.Contains(string(p.Text), "outline outline") {
		t.Errorf("%d pauses for 3 blanks", pauses)
	}
}

func TestWhatCannotBeCutIsRefusedWithItsReason(t *testing.T) {
	plate := rect(0, 0, 100, 60)
	for name, c := range map[string]struct {
		l    []geom.Path
		t    float64
		code string
	}{
		"slot narrower than the kerf": {[]geom.Path{plate, slot(20, 20, 40, 1.4)}, 1, "swallowed"},
		"dumb-bell with a thin neck": {[]geom.Path{plate, geom.Polygon(geom.Pt(10, 10), geom.Pt(30, 10), geom.Pt(30, 19.5), geom.Pt(50, 19.5), geom.Pt(50, 10),
			geom.Pt(70, 10), geom.Pt(70, 30), geom.Pt(50, 30), geom.Pt(50, 20.5), geom.Pt(30, 20.5), geom.Pt(30, 30), geom.Pt(10, 30))}, 3, "narrow"},
		"two holes that overlap":     {[]geom.Path{plate, geom.Circle(geom.Pt(30, 30), 10), geom.Circle(geom.Pt(49, 30), 10)}, 3, "features-cross"},
		"part larger than the plate": {[]geom.Path{rect(0, 0, 500, 60)}, 6, "no-room"},
	} {
		j := gateJob()
		j.Stock.Thickness = c.t
		_, faults := planner.Plan(context.Background(), j, loops(c.l...))
		if bad := faults.At(2); len(bad) == 0 || bad[0].Code != c.code || bad[0].Do == "" {
			t.Errorf("%s: %v", name, faults)
		}
	}
	j := gateJob()
	j.Rules.Drill = job.DrillRefuse
	if _, faults := planner.Plan(context.Background(), j, leaf()); !faults.Bad() {
		t.Error("a hole of 5 mm in 6 mm plate is cut although the job refuses it")
	}
}

// A neck 1 mm wide between two cells 20 mm wide: its place and width are told.
func TestANeckIsToldByItsPlaceAndWidth(t *testing.T) {
	bell := geom.Polygon(geom.Pt(10, 10), geom.Pt(30, 10), geom.Pt(30, 19.5), geom.Pt(50, 19.5), geom.Pt(50, 10),
		geom.Pt(70, 10), geom.Pt(70, 30), geom.Pt(50, 30), geom.Pt(50, 20.5), geom.Pt(30, 20.5), geom.Pt(30, 30), geom.Pt(10, 30))
	j := gateJob()
	j.Stock.Thickness = 3
	_, faults := planner.Plan(context.Background(), j, loops(rect(0, 0, 100, 60), bell))
	f := faults.At(2)[0]
	if f.Code != "narrow" || !strings.Contains(f.What, " 1.00 mm wide,") || f.X < 29 || f.X > 51 || math.Abs(f.Y-20) > 0.01 {
		t.Errorf("%+v", f)
	}
}
