package planner_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/rs274"
)

// refusedBy says with which codes the proof refuses the program of one job
// for another.
func refusedBy(t *testing.T, p *planner.Program, j job.Job, l []*drawing.Loops) []string {
	t.Helper()
	r, faults := planner.Prove(context.Background(), j, l, p.Text, false)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	var codes []string
	for _, f := range r.Findings {
		if f.Severity == fault.Error {
			codes = append(codes, f.Code)
		}
	}
	return codes
}

// only expects one code and no other.
func only(t *testing.T, what string, codes []string, want string) {
	t.Helper()
	if len(codes) == 0 || slices.ContainsFunc(codes, func(c string) bool { return c != want }) {
		t.Errorf("%s: %v, want %s alone", what, codes, want)
	}
}

func TestTabsKeepAPartIn(t *testing.T) {
	l := loops(rect(0, 0, 60, 30), geom.Circle(geom.Pt(30, 15), 7))
	j := gateJob()
	j.Rules.TabUnder, j.Rules.TabCount = 40, 3
	p := mustPlan(t, j, l)
	tabWidth, kerf := 3.0, 1.6 // half of 6 mm
	sum, cuts := 0.0, 0
	for _, c := range p.Cuts {
		if p.Tree.Features[c.Feature].Kind != feature.Outline {
			continue
		}
		cuts++
		for i := c.LeadIn; i < c.Path.NumSegs(); i++ {
			sum += c.Path.Seg(i).Length()
		}
		if loose := len(c.Frees.V) > 0; loose != (cuts == 3) {
			t.Errorf("stretch %d: loose %v", cuts, loose)
		}
	}
	// A rectangle grown by half a kerf: its perimeter and a circle of the kerf.
	want := 2*(60+30) + math.Pi*kerf - 3*(tabWidth+kerf)
	if cuts != 3 || math.Abs(sum-want) > 1e-6 {
		t.Errorf("%d stretches, %.4f mm, want 3 of %.4f mm", cuts, sum, want)
	}
	with := j
	with.Rules.TabWidth = 0.6
	only(t, "tabs narrower than wanted", refusedBy(t, p, with, l), "tab")
	with.Rules.TabUnder = 0
	only(t, "tabs where none are wanted", refusedBy(t, p, with, l), "uncut")
	only(t, "no tabs where some are wanted", refusedBy(t, mustPlan(t, with, l), j, l), "tab")
}

func TestOperatorMayAskForTabsOrTakeThemBack(t *testing.T) {
	j := gateJob()
	j.Rules.TabUnder = 40
	j.Overrides = []job.Override{{Feature: "p1.outline", Tabs: job.Of(0)}}
	l := loops(rect(0, 0, 60, 30))
	if p := mustPlan(t, j, l); len(p.Cuts) != 1 {
		t.Errorf("%d cuts", len(p.Cuts))
	}
	j.Rules.TabUnder, j.Overrides[0].Tabs = 0, job.Of(4)
	if p := mustPlan(t, j, l); len(p.Cuts) != 4 {
		t.Errorf("%d cuts", len(p.Cuts))
	}
}

func TestSharpCornersAreLoopedAtFullFeed(t *testing.T) {
	l := loops(geom.Polygon(geom.Pt(0, 0), geom.Pt(120, 0), geom.Pt(60, 90)))
	j := gateJob()
	j.Process.Feed, j.Rules.CornerLoop, j.Layout.Margin = 2000, 3, 20
	p := mustPlan(t, j, l)
	c := p.Cuts[0]
	turned := 0.0
	for i := c.LeadIn; i < c.Path.NumSegs(); i++ {
		sg := c.Path.Seg(i)
		if sg.IsArc() && math.Abs(sg.Radius()-3) < 1e-6 {
			turned += math.Abs(sg.Sweep())
		}
	}
	// Two of the three corners (the cut starts at the third): a loop turns by
	// 360 degrees less the corner's own turn. Corners turn 360 degrees in all.
	a := math.Atan2(90, 60) // inner angle at the base
	turns := []float64{math.Pi - a, math.Pi - a, 2 * a}
	best := math.Inf(1)
	for k := range turns {
		want := 0.0
		for i, turn := range turns {
			if i != k {
				want += 2*math.Pi - turn
			}
		}
		best = min(best, math.Abs(turned-want))
	}
	if best > 1e-6 {
		t.Errorf("loops turn %.4f rad", turned)
	}
	without := j
	without.Rules.CornerLoop = 0
	if codes := refusedBy(t, p, without, l); !slices.Contains(codes, "off-edge") {
		t.Errorf("loops where none are wanted: %v", codes)
	}
}

func TestEntryCreeps(t *testing.T) {
	l := leaf()
	j := gateJob()
	j.Rules.EntryFeed = 0.5
	p := mustPlan(t, j, l)
	text := string(p.Text)
	if !strings.Contains(text, "F575") || strings.Count(text, "F575") != 5 { // 4 inside at full feed, 1 outline
		t.Errorf("half of 1150 stands %d times", strings.Count(text, "F575"))
	}
	without := j
	without.Rules.EntryFeed = 0
	only(t, "creep where none is wanted", refusedBy(t, p, without, l), "feed")
}

func TestFeedIsLowBesideSharpCornersOnly(t *testing.T) {
	l := loops(rect(0, 0, 120, 80))
	j := gateJob()
	j.Rules.CornerFeed, j.Rules.CornerReach = 0.4, 6
	p := mustPlan(t, j, l)
	c := p.Cuts[0]
	slow := 0.0
	for i := range c.Path.NumSegs() {
		if c.Feeds[i] < c.Feed {
			slow += c.Path.Seg(i).Length()
		}
	}
	// Three corners on the way and the end of the last: 6 mm before and behind
	// each, and the joins, a quarter of a circle of half a kerf each; the cut
	// starts in the fourth corner.
	want := 7*6 + 4*math.Pi/2*0.8
	if math.Abs(slow-want) > 1e-6 {
		t.Errorf("%.4f mm slow, want %.4f mm", slow, want)
	}
	without := j
	without.Rules.CornerFeed = 0
	only(t, "slow where it is not wanted", refusedBy(t, p, without, l), "feed")
}

func TestWideSlugIsCutAcross(t *testing.T) {
	l := loops(rect(0, 0, 160, 120), rect(20, 20, 80, 60), geom.Circle(geom.Pt(130, 60), 20))
	j := gateJob()
	j.Rules.SplitSlugs = 45
	p := mustPlan(t, j, l)
	if len(p.Cuts) != 4 {
		t.Fatalf("%d cuts, want one more for the window", len(p.Cuts))
	}
	for i, c := range p.Cuts {
		if strings.HasSuffix(c.Label, ".c1") {
			next := p.Cuts[i+1]
			if next.Label != c.Label || len(c.Frees.V) > 0 || len(next.Frees.V) == 0 {
				t.Errorf("%s is followed by %s", c.Label, next.Label)
			}
			break
		}
	}
	without := j
	without.Rules.SplitSlugs = 0
	only(t, "a slug cut across where it is not wanted", refusedBy(t, p, without, l), "stray-cut")
}

func TestSmallHoleIsPoppedForTheDrill(t *testing.T) {
	j := gateJob()
	j.Rules.Drill, j.Rules.PopPulse = job.DrillPop, 0.15
	p := mustPlan(t, j, leaf())
	pops := 0
	for _, c := range p.Cuts {
		if !c.Pop {
			continue
		}
		pops++
		f := p.Tree.Features[c.Feature]
		want := p.Placed[c.Placed].Move.Apply(f.Center)
		lines := strings.Split(string(p.Text), "\n")[c.First-1 : c.Last]
		text := strings.Join(lines, "\n")
		if c.Pierce.Dist(want) > 1e-9 || !strings.Contains(text, "G4 P0.15\nM5") || strings.Contains(text, "G1") {
			t.Errorf("%v, want %v:\n%s", c.Pierce, want, text)
		}
	}
	if pops != 1 {
		t.Errorf("%d pops", pops)
	}
	without := j
	without.Rules.Drill = job.DrillLeave
	if codes := refusedBy(t, p, without, leaf()); !slices.Contains(codes, "stray-cut") {
		t.Errorf("a pop where none is wanted: %v", codes)
	}
	only(t, "no pop where one is wanted", refusedBy(t, mustPlan(t, without, leaf()), j, leaf()), "not-cut")
}

// A table of taper that makes holes of twice the thickness 0.3 mm wider: the
// torch runs at (D + 0.3 - kerf)/2.
func TestTaperTableMovesThePath(t *testing.T) {
	j := gateJob()
	j.Process.Taper = []job.TaperPoint{{Ratio: 1.5, Add: 0.4}, {Ratio: 2.5, Add: 0.2}, {Ratio: 5, Add: 0}}
	l := loops(rect(0, 0, 80, 60), geom.Circle(geom.Pt(40, 30), 6)) // 12 mm in 6 mm
	p := mustPlan(t, j, l)
	found := false
	for _, m := range moves(t, p.Text) {
		if m.Kind == rs274.Arc {
			r := geom.Pt(m.To.X, m.To.Y).Dist(geom.Pt(m.Center.X, m.Center.Y))
			found = found || math.Abs(r-(12+0.3-1.6)/2) < 2e-4
		}
	}
	if !found {
		t.Error("no arc at 5.35 mm")
	}
	without := j
	without.Process.Taper = nil
	if codes := refusedBy(t, p, without, l); !slices.Contains(codes, "gouge") {
		t.Errorf("without the table: %v", codes)
	}
}

func TestStartKeepsOffACriticalFace(t *testing.T) {
	edge := rect(0, 0, 200, 40)
	for name, q := range map[string]geom.Point{"bottom": geom.Pt(90, 0), "top": geom.Pt(110, 40)} {
		j := gateJob()
		j.Overrides = []job.Override{{Feature: "p1.outline", Critical: []geom.Point{q}}}
		p := mustPlan(t, j, loops(edge))
		c := p.Cuts[0]
		at := c.Path.Seg(c.LeadIn).A.Sub(p.Placed[0].Move.Shift)
		if math.Abs(at.Y-q.Y) < 1 {
			t.Errorf("%s: starts at %v", name, at)
		}
	}
}

// The kerf that a warning names is the widest that serves: with one a little
// narrower it is gone, with one a little wider it stays.
func TestCureNamesTheWidestKerfThatServes(t *testing.T) {
	for name, edge := range map[string]geom.Path{
		"hole": geom.Circle(geom.Pt(40, 30), 3.6), "slot": slot(25, 26, 30, 7.4), "window": rect(30, 26.2, 30, 7.4),
	} {
		j := gateJob()
		l := loops(rect(0, 0, 80, 60), edge)
		cure := func(kerf float64) (float64, bool) {
			j.Process.Kerf = kerf
			_, faults := planner.Plan(context.Background(), j, l)
			for _, f := range faults {
				if f.Code != "pierce-clearance" && f.Code != "no-lead" || f.Do == "" {
					continue
				}
				if _, after, ok := strings.Cut(f.Do, "kerf up to "); ok {
					var k float64
					if _, err := fmt.Sscanf(after, "%f mm", &k); err == nil {
						return k, true
					}
				}
			}
			return 0, false
		}
		k, ok := cure(1.9)
		if !ok {
			t.Errorf("%s: no cure named", name)
			continue
		}
		if _, ok := cure(k - 0.03); ok {
			t.Errorf("%s: a kerf of %.2f mm is named, and under it there is still a warning", name, k)
		}
		if _, ok := cure(k + 0.05); !ok {
			t.Errorf("%s: a kerf of %.2f mm is named, and a wider one serves too", name, k)
		}
	}
}

func TestToleranceThatPlasmaCannotHoldIsWarnedOf(t *testing.T) {
	j := gateJob()
	l := loops(rect(0, 0, 80, 60), geom.Circle(geom.Pt(40, 30), 10))
	warned := func(tol float64) bool {
		j.Overrides = []job.Override{{Feature: "p1.h1", Tolerance: tol}}
		p, faults := planner.Plan(context.Background(), j, l)
		checks := planner.Checks(j, p, faults)
		fails := slices.ContainsFunc(checks, func(k planner.Check) bool { return k.ID == "tolerance" && k.Verdict == planner.Warn })
		found := slices.ContainsFunc(faults, func(f fault.Fault) bool {
			return f.Code == "tolerance" && f.Feature == "p1.h1" && strings.Contains(f.Do, "ream it to 20 mm")
		})
		if fails != found {
			t.Errorf("%g: check %v, fault %v", tol, fails, found)
		}
		return found
	}
	// ISO 9013: 20 mm in 6 mm plate, class 2: 0.9; range 4: u = 0.8 + 0.02 x 6 = 0.92.
	if !warned(0.27) || !warned(0.91) || warned(0.93) {
		t.Error("the limit is not at 0.92 mm")
	}
}

func TestSquareSideIsThePartsUnlessAHoleRunsAgainst(t *testing.T) {
	j := gateJob()
	l := leaf()
	j.Rules.Holes = []job.HoleRule{{UpTo: 3, Under: 15, Against: true}}
	p := mustPlan(t, j, l)
	for _, c := range planner.Forecasts(j, p.Tree) {
		f := p.Tree.Features[p.Tree.Find(c.Feature)]
		want := "part"
		if f.Kind != feature.Outline && f.Diameter > 0 && f.Diameter < 15 {
			want = "scrap"
		}
		if c.Square != want {
			t.Errorf("%s: square on the %s", c.Feature, c.Square)
		}
	}
	for _, c := range p.Cuts {
		f := p.Tree.Features[c.Feature]
		ccw := c.Frees.Area() > 0
		if want := (f.Kind != feature.Outline) != f.Against; ccw != want {
			t.Errorf("%s runs counter-clockwise: %v", c.Label, ccw)
		}
	}
	without := j
	without.Rules.Holes = nil
	if codes := refusedBy(t, p, without, l); !slices.Contains(codes, "direction") {
		t.Errorf("%v", codes)
	}
}

func TestHeldShareIsPartOfTheCut(t *testing.T) {
	p := mustPlan(t, gateJob(), leaf())
	if s := p.Plan.HoldShare; s <= 0 || s >= 1 {
		t.Errorf("share %g", s)
	}
	j := gateJob()
	j.Rules.Control = job.ControlOff
	if s := mustPlan(t, j, leaf()).Plan.HoldShare; math.Abs(s-1) > 1e-9 {
		t.Errorf("control off: share %g", s)
	}
}

func TestLoopThatHasNoRoomIsLeftOut(t *testing.T) {
	j := gateJob()
	j.Rules.CornerLoop, j.Layout.Margin = 6, 5
	p := mustPlan(t, j, loops(rect(0, 0, 120, 80)))
	b := geom.Box{Max: geom.Pt(400, 300)}
	for _, c := range p.Cuts {
		if !b.Encloses(c.Path.Box().Grow(c.Kerf / 2)) {
			t.Errorf("the kerf runs off the plate: %v", c.Path.Box())
		}
	}
}
