package tui

import (
	"math"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// onPlate is a wizard with a plan by the real planner, the plate filling the
// screen.
func onPlate(t *testing.T, w, h int) *driver {
	t.Helper()
	d, _ := shopFloor(t, w, h, "hinge-leaf.dxf")
	setUpLeafStock(d)
	if d.m.res.prog == nil {
		t.Fatal(d.m.res.told.Err())
	}
	d.keys("v")
	d.frame()
	return d
}

// TestDistanceIsMeasuredBetweenTwoPoints: cell by cell, told with its parts.
func TestDistanceIsMeasuredBetweenTwoPoints(t *testing.T) {
	d := onPlate(t, 80, 24)
	d.keys("m")
	d.shows("lay the cross")
	d.keys("up m right right right up up")
	d.frame()
	r := d.m.plate.base
	want := geom.Pt(3*2/r.k, 2*4/r.k) // a cell is two dots wide and four high
	got := d.m.plate.cross.Sub(*d.m.plate.from)
	if got.Dist(want) > geom.Same {
		t.Errorf("%v, three cells and two are %v", got, want)
	}
	u := d.m.d.Job.Units
	d.shows(u.Length(math.Hypot(want.X, want.Y)) + " from there: " + u.Length(want.X) + " along X")
	d.keys("m")
	d.lacks("from there")
}

// TestCutsArePickedByKeysAndOpened.
func TestCutsArePickedByKeysAndOpened(t *testing.T) {
	d := onPlate(t, 80, 24)
	d.keys("tab tab tab")
	c := d.m.res.prog.Cuts[2]
	d.shows("cut 3: " + c.Label)
	d.keys("shift+tab")
	d.shows("cut 2: ")
	d.keys("+ + + +")
	if at := *d.m.plate.center; at.Dist(d.m.res.prog.Cuts[1].Pierce) > geom.Same {
		t.Errorf("the picture is about %v", at)
	}
	d.keys("enter")
	if d.m.whole || d.m.d.Stage != int(featureStage) || d.m.spot().id != "f:"+d.m.res.tree.Features[d.m.res.prog.Cuts[1].Feature].ID {
		t.Errorf("on stage %d at %s", d.m.d.Stage, d.m.spot().id)
	}
}

// TestPictureIsMovedAndFollowsTheCross.
func TestPictureIsMovedAndFollowsTheCross(t *testing.T) {
	d := onPlate(t, 80, 24)
	if d.m.pan(1, 0) {
		t.Error("all of it is seen: there is nothing to move to")
	}
	d.keys("+ + +")
	d.frame()
	was := d.m.plate.key.center
	d.send(tea.KeyMsg{Type: tea.KeyShiftRight})
	d.frame()
	if d.m.plate.key.center.X <= was.X {
		t.Error("the picture does not move")
	}
	d.keys("up")
	for range 200 {
		d.keys("right")
		d.frame()
		if !d.m.plate.base.view().Grow(4 / d.m.plate.base.k).Contains(*d.m.plate.cross) {
			t.Fatal("the cross is out of sight")
		}
	}
	if box, _ := d.m.plateBox(); !box.Grow(4 / d.m.plate.base.k).Contains(*d.m.plate.cross) {
		t.Error("the cross left the plate")
	}
}

// TestLayersAreShownAndHidden: each changes the picture, and the line says so.
func TestLayersAreShownAndHidden(t *testing.T) {
	d := onPlate(t, 120, 40)
	d.keys("tab + +")
	for k := range layers {
		before, was := strings.Join(d.m.plateLines(120, 31), "\n"), d.m.plate.layers.shown(k)
		d.keys(string(rune('1' + k)))
		d.frame()
		if k == layShared { // share_test.go has a job with shared edges
			d.shows("there is nothing on the layer shared")
			continue
		}
		if after := strings.Join(d.m.plateLines(120, 31), "\n"); after == before {
			t.Errorf("%s: the picture stays the same", layerNames[k])
		}
		if d.m.plate.layers.shown(k) == was {
			t.Errorf("%s is not switched", layerNames[k])
		}
		if k == layHeat {
			d.shows("s on a cm2")
		}
		d.keys(string(rune('1' + k)))
	}
	if d.m.plate.layers != 0 {
		t.Errorf("%b", d.m.plate.layers)
	}
}

// TestRunKeepsTrueTime: what is seen after ten seconds of the clock at 10x is
// what the plan has at 100 s or its end; stepping goes by cuts.
func TestRunKeepsTrueTime(t *testing.T) {
	d := onPlate(t, 80, 24)
	now := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	d.m.now = func() time.Time { return now }
	d.quiet = true
	d.keys("space")
	s := d.m.plate.sim
	if s == nil || !s.play {
		t.Fatal("it does not run")
	}
	if math.Abs(s.line.Total-d.m.res.prog.Plan.Time) > 1e-6 {
		t.Errorf("%g s, the plan says %g s", s.line.Total, d.m.res.prog.Plan.Time)
	}
	now = now.Add(1500 * time.Millisecond)
	d.send(simDue{s.n})
	if want := 1.5 * speeds[s.speed]; math.Abs(s.at-want) > 1e-9 {
		t.Errorf("at %g s, want %g s", s.at, want)
	}
	d.shows("0:15.0 of " + clockOf(s.line.Total))
	d.keys("space")
	was := s.at
	now = now.Add(time.Second)
	d.send(simDue{s.n})
	if s.at != was || s.play {
		t.Error("it runs on while it waits")
	}
	d.keys("home right right")
	if m := s.line.At(s.at); m.Cut != 2 || s.at != s.line.Begin(2) {
		t.Errorf("after two steps in cut %d", m.Cut)
	}
	d.keys("left")
	if m := s.line.At(s.at); m.Cut != 1 {
		t.Errorf("one back: in cut %d", m.Cut)
	}
	speed := s.speed
	d.keys("up pgdown")
	if s.speed != speed+1 || math.Abs(s.at-s.line.Begin(1)-5) > 1e-9 {
		t.Errorf("speed %d, at %g", s.speed, s.at)
	}
	d.keys("end")
	d.shows(", 0:00.0 left")
	d.shows(string(planner.DoingNothing))
	d.keys("esc")
	d.send(escDue{d.m.in.n})
	if d.m.plate.sim != nil || !d.m.whole {
		t.Error("esc does not end the run alone")
	}
}

// TestRunShowsWhatIsCut: the picture of a moment is the same whichever way it
// was come to, and each cut adds to it.
func TestRunShowsWhatIsCut(t *testing.T) {
	d := onPlate(t, 80, 24)
	d.keys("space")
	s := d.m.plate.sim
	s.play = false
	at := func(x float64) string {
		d.m.simTo(x)
		return d.frame()
	}
	n := len(s.prog.Cuts)
	var frames []string
	for k := range n {
		frames = append(frames, at(s.line.Begin(k)))
	}
	for k := n - 1; k >= 0; k-- {
		if got := at(s.line.Begin(k)); got != frames[k] {
			t.Fatalf("cut %d looks otherwise on the way back:\n%s\n%s", k, got, frames[k])
		}
	}
	for k := range n - 1 {
		if frames[k] == frames[k+1] {
			t.Errorf("cut %d changes nothing", k)
		}
	}
}

// TestRunLineFits80Columns: whatever the machine does, its line is told to the
// end at 80 columns; with room it also has the time left and the cut's name.
func TestRunLineFits80Columns(t *testing.T) {
	d := onPlate(t, 80, 24)
	d.keys("space space w")
	s := d.m.plate.sim
	s.speed = len(speeds) - 1
	cutting := 0
	for at := 0.0; at <= s.line.Total; at += s.line.Total / 200 {
		d.m.simTo(at)
		d.m.w = 80
		l := lineText(d.m.simLine())
		if n := cells(l); n > 80 {
			t.Fatalf("%d columns: %q", n, l)
		}
		if s.line.At(at).Doing == planner.DoingCut {
			cutting++
			if !strings.HasSuffix(l, " mm") || !strings.Contains(l, "cutting ") {
				t.Errorf("the length cut is not told: %q", l)
			}
			d.m.w = 200
			if l := lineText(d.m.simLine()); !strings.Contains(l, " left, ") || !strings.Contains(l, s.prog.Cuts[s.line.At(at).Cut].Label) {
				t.Errorf("at 200 columns: %q", l)
			}
		}
	}
	if cutting == 0 {
		t.Fatal("no moment with the arc on was looked at")
	}
}

// TestPlateToLiftWeighsWhatTheHandbookSays: 7.85 kg/m2 for each mm of steel
// (stock tables of plate; 7850 kg/m3, EN 1991-1-1 table A.4).
func TestPlateToLiftWeighsWhatTheHandbookSays(t *testing.T) {
	d := onPlate(t, 80, 24)
	for _, c := range []struct {
		w, h, mm float64
		want     string
	}{{1000, 1000, 1, "plate 7.9 kg"}, {1000, 1000, 10, "plate 78.5 kg"}, {1250, 2500, 6, "plate 147.2 kg"}} {
		j := d.m.d.Job
		j.Stock.Material, j.Stock.Width, j.Stock.Height, j.Stock.Thickness = job.MildSteel, c.w, c.h, c.mm
		it, ok := lifting(j, d.m.res.prog)
		if figure, _, _ := strings.Cut(it.Figure, ","); !ok || figure != c.want {
			t.Errorf("%g x %g x %g mm: %q, want %q", c.w, c.h, c.mm, it.Figure, c.want)
		}
	}
}

// TestGoOnWhereTheCrossLies: a point picked on the plate.
func TestGoOnWhereTheCrossLies(t *testing.T) {
	d := onPlate(t, 80, 24)
	c := d.m.res.prog.Cuts[1]
	d.keys("g")
	d.shows("lay the cross where the kerf ends")
	d.keys("tab")
	at := c.Path.Seg(c.LeadIn).At(0.7)
	d.m.plate.cross, d.m.plate.picked = &at, -1
	d.keys("g")
	if d.m.top().id() != "resume" || d.m.taken.prog == nil {
		t.Fatalf("on %s: %v", d.m.top().id(), d.m.taken.faults.Err())
	}
	if d.m.taken.prog.Cuts[0].N != c.N || *d.m.taken.from.At != at {
		t.Errorf("goes on in cut %d at %v", d.m.taken.prog.Cuts[0].N, d.m.taken.from.At)
	}
}

// TestPictureInBlocksAndSigns: three ways to draw the same dots.
func TestPictureInBlocksAndSigns(t *testing.T) {
	for _, c := range []struct {
		dots          uint8
		block, letter rune
	}{{0xff, '█', '-'}, {0x01, '▘', '-'}, {0x80, '▗', '-'}, {0x01 | 0x80, '▚', '-'}, {0, ' ', ' '}} {
		cell := rasterCell{dots: c.dots, dirs: dirFlat, mark: markPart}
		if got := cell.sign(pictureBlocks); got != c.block {
			t.Errorf("%08b: %c, want %c", c.dots, got, c.block)
		}
		if got := cell.sign(pictureASCII); got != c.letter {
			t.Errorf("%08b: %c, want %c", c.dots, got, c.letter)
		}
	}
	d := onPlate(t, 80, 24)
	seen := map[string]bool{}
	for range pictures {
		f := d.frame()
		fits(t, f, 80, 24)
		seen[f] = true
		d.keys("c")
	}
	if len(seen) != int(pictures) {
		t.Errorf("%d pictures are alike", int(pictures)-len(seen))
	}
}
