package proof_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Holds are asked for only where the job, the profile and the machine say
// enough; each alone is reason to ask for none.
func TestHoldsAreAskedForOnlyWhereAllIsSaid(t *testing.T) {
	var bare []held
	for _, h := range asNeeded() {
		bare = append(bare, held{h.cutting, nil})
	}
	text := writeHeld(&writer{k: 1, dec: 4}, bare).text()
	asked := func(change func(in *proof.Input)) bool {
		in := heldInput(text)
		change(&in)
		return strings.Contains(show(proof.Prove(in)), "must be held there")
	}
	for _, c := range []struct {
		name   string
		change func(in *proof.Input)
		want   bool
	}{
		{"all is said", func(*proof.Input) {}, true},
		{"nothing is said of kerfs beside", func(in *proof.Input) { in.HoldNear = 0 }, true},
		{"no height control", func(in *proof.Input) { in.Holds = proof.HoldsUnchecked }, false},
		{"held throughout", func(in *proof.Input) { in.Holds = proof.HoldsThroughout }, false},
		{"no share of the feed", func(in *proof.Input) { in.HoldBelow = 0 }, false},
		{"no acceleration", func(in *proof.Input) { in.Machine.AccelXY = 0 }, false},
		{"no line to hold with", func(in *proof.Input) { in.Form.Lines.HoldOn = nil }, false},
		{"no line to let go with", func(in *proof.Input) { in.Form.Lines.HoldOff = nil }, false},
		{"features held whole", func(in *proof.Input) {
			for i := range in.Parts[0].Features {
				in.Parts[0].Features[i].Hold = true
			}
		}, false},
		{"marks", func(in *proof.Input) {
			for i := range in.Parts[0].Features {
				in.Parts[0].Features[i].Rule = "mark"
			}
		}, false},
	} {
		if got := asked(c.change); got != c.want {
			t.Errorf("%s: asked %v", c.name, got)
		}
	}
}

// The earlier program may be found on the plate further off than the job
// allows, and only by the first cut.
func TestFirstCutAfterAStopMayTouchOffBesideItsPierce(t *testing.T) {
	for _, c := range []struct {
		id    string
		touch float64
		off   float64
		ok    bool
	}{
		{"p1.h2", 20, 12, true}, {"p1.h2", 10, 12, false}, {"p1.h2", 0, 12, false}, {"p1.h3", 20, 12, false},
	} {
		x := &text{strings.Split(strings.TrimSpace(string(program(cuttings()[1:]...))), "\n")}
		at := map[string]geom.Point{"p1.h2": h2, "p1.h3": h3}[c.id]
		i := x.find(c.id, "G0 X", 0)
		x.lines[i] = "G0 " + (&writer{k: 1, dec: 4}).xy(at.Sub(geom.Pt(0, c.off)))
		x.insert(x.find(c.id, "G0 Z3.8", 0), "G0 Z25", "G0 "+(&writer{k: 1, dec: 4}).xy(at))
		in := goesOn(lineOf("p1.h2", "(p1.h2", 0), []byte(strings.Join(x.lines, "\n")+"\n"))
		in.Done.Touch = c.touch
		r := proof.Prove(in)
		if r.OK != c.ok || !c.ok && !slices.Contains(codes(r), "no-touch-off") {
			t.Errorf("%+v: %s", c, show(r))
		}
	}
}

// A pierce that came to nothing left a hole: the next cut may not begin in it,
// nor the plate be touched there.
func TestHoleOfALostPierceIsNoMetal(t *testing.T) {
	line := lineOf("p1.outline", "G1 X140", 0) // lit, and not moved
	in := goesOn(line, program(cuttingOf("p1.outline")))
	r := proof.Prove(in)
	if r.OK || !slices.Contains(codes(r), "touch-off-void") && !slices.Contains(codes(r), "pierce-void") {
		t.Error(show(r))
	}
	beside := cuttingOf("p1.outline")
	beside.pierce = beside.pierce.Add(geom.Pt(8, 0))
	in = goesOn(line, program(beside))
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// A blank without an edge of its own bounds nothing.
func TestBlankWithoutAnEdgeBoundsNothing(t *testing.T) {
	in := blanks(program(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false)), 0)
	wantGood(t, in)
	in.Stock.Shapes[0] = geom.Path{}
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
	in.Stock.Shapes[0] = rounded(geom.Pt(200, 30), geom.Pt(300, 90), 0)
	wantCodes(t, proof.Prove(in), "off-plate")
	in.Parts[0].Blank = 7 // there is no such blank: any shape will do
	in.Stock.Shapes[0] = rounded(geom.Pt(30, 30), geom.Pt(130, 90), 0)
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// A program that is lit in a part and never moves gouges it by the kerf that
// stands in it.
func TestPierceInAPartGougesIt(t *testing.T) {
	stab := cutting{"p1.h1", geom.Pt(200, 110), nil, full, false}
	x := &text{good().lines}
	w := &writer{k: 1, dec: 4}
	w.cut(stab)
	w.lines = slices.DeleteFunc(w.lines, func(l string) bool { return strings.HasPrefix(l, "G1 Z") })
	from, _ := x.section("p1.h2")
	x.insert(from, w.lines[1:]...)
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	// (200, 110) lies 20 mm from the window's edge: 20 and half a kerf.
	if !found(r, "gouge", "the kerf reaches 20.75 mm into a part") || r.WorstGouge < 20.74 || r.WorstGouge > 20.76 {
		t.Error(show(r))
	}
}

// A cut that was lost on an arc is finished from there: what was done of the
// arc is done, by its length.
func TestCutLostOnAnArcIsFinishedFromThere(t *testing.T) {
	c := frame("p1.outline", p1a, p1b, 10)
	R := 10 + kerf/2
	arc := c.way[8]
	half := step{arc.to, arc.centre, arc.turn}
	mid := geom.Polar(arc.centre, R, -math.Pi/4)
	rest := cutting{"p1.outline", geom.Polar(arc.centre, R+6, -math.Pi/4), []step{{to: mid}, half, c.way[9]}, full, false}
	line := lineOf("p1.outline", "G2", 3)
	done := R * math.Pi / 4 // of the quarter
	for _, v := range []struct {
		along float64
		ok    bool
	}{{done + 0.01, true}, {done + 4, true}, {done - 2.5, false}, {1, false}} {
		in := goesOn(line, program(rest))
		in.Done.Along = v.along
		r := proof.Prove(in)
		if r.OK != v.ok || !v.ok && !slices.Contains(codes(r), "uncut") {
			t.Errorf("%g mm of %g: %s", v.along, 2*done, show(r))
		}
	}
}

// A dry run shows a pop by going there.
func TestDryRunGoesToEveryPop(t *testing.T) {
	f := feature("p1.d1", "hole", "drill", geom.Circle(geom.Pt(220, 160), 2))
	f.Pop = true
	prove := func(at ...geom.Point) proof.Result {
		x := &text{goodDry().lines}
		i := x.find("", "G0 X0 Y0", 0)
		for _, q := range at {
			x.insert(i, "G0 "+(&writer{k: 1, dec: 4}).xy(q))
		}
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		in.Parts[0].Features[3] = f
		in.Dry = true
		return proof.Prove(in)
	}
	if r := prove(geom.Pt(220, 160)); !r.OK {
		t.Error(show(r))
	}
	if r := prove(geom.Pt(220.015, 160)); !r.OK {
		t.Error(show(r))
	}
	for _, at := range [][]geom.Point{{}, {geom.Pt(220.03, 160)}, {geom.Pt(60, 60)}} {
		if r := prove(at...); r.OK || !found(r, "not-cut", "") {
			t.Errorf("%v: %s", at, show(r))
		}
	}
}

// Once and nine tenths round an edge is overburn, more is a second lap: laps
// of the torch, which runs half a kerf inside a hole and outside an outline.
func TestSecondLapIsToldFromALongOverburn(t *testing.T) {
	for _, v := range []struct {
		laps  float64
		twice bool
	}{{1.85, false}, {1.88, false}, {1.92, true}, {1.97, true}} {
		c := hole("p1.h1", h1, 20, full, false)
		r := 10 - kerf/2
		turn := (v.laps - 1) * 2 * math.Pi
		c.way = append(c.way[:3:3], step{geom.Polar(h1, r, turn/2), h1, 1}, step{geom.Polar(h1, r, turn), h1, 1})
		x := &text{good().lines}
		x.replace("p1.h1", c)
		if res := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n"))); slices.Contains(codes(res), "cut-twice") != v.twice {
			t.Errorf("%g laps of a hole: %s", v.laps, show(res))
		}
		// The latch plate, 30 by 20 mm with round joins: 100 and 2 pi 0.75 mm.
		o := frame("p2.outline", p2a, p2b, 0)
		left := (v.laps-1)*(100+2*math.Pi*kerf/2) - 15 // along the lower side, from its middle
		way := append([]step{}, o.way...)
		for _, s := range o.way[2:] {
			l := stepLength(way[len(way)-1].to, s)
			if len(way) == len(o.way) {
				way = append(way, o.way[1])
				l = stepLength(way[len(way)-1].to, s)
			}
			if s.turn == 0 && left < l {
				from := way[len(way)-1].to
				way = append(way, step{to: from.Lerp(s.to, max(0, left)/l)})
				break
			}
			left -= l
			way = append(way, s)
		}
		o.way = way
		y := &text{good().lines}
		y.replace("p2.outline", o)
		if res := proof.Prove(input([]byte(strings.Join(y.lines, "\n") + "\n"))); slices.Contains(codes(res), "cut-twice") != v.twice {
			t.Errorf("%g laps of an outline: %s", v.laps, show(res))
		}
	}
}

// Blanks come load by load; a stop within a load, to clamp the next piece,
// does not end it.
func TestLoadsFollowEachOtherWhenTheyAreCut(t *testing.T) {
	write := func(at ...geom.Point) []byte {
		w := &writer{k: 1, dec: 4}
		w.header()
		for i, c := range at {
			if i > 0 {
				w.put("M0")
			}
			w.cut(hole(fmt.Sprintf("p1#%d.h1", i+1), c, 20, full, false))
		}
		w.footer()
		return w.text()
	}
	a, b := geom.Pt(80, 60), geom.Pt(200, 60)
	three := wantGood(t, blanks(write(a, a, a), 0, 1, 2))
	within := wantGood(t, blanks(write(a, b, a), 0, 0, 1))
	for i := range 3 {
		want := fmt.Sprintf("p1#%d.h1", i+1)
		if three.Cuts[i].Feature != want || within.Cuts[i].Feature != want {
			t.Errorf("cut %d: %s and %s", i+1, three.Cuts[i].Feature, within.Cuts[i].Feature)
		}
	}
	wantCodes(t, proof.Prove(blanks(write(a, a), 0, 1, 2)), "not-cut")
	wantCodes(t, proof.Prove(blanks(write(a, a, b), 0, 0, 1)), "not-cut")
}

// A plate of four sides that lie askew is no rectangle.
func TestKerfStaysOnAPlateThatIsAskew(t *testing.T) {
	for v, ok := range map[float64]bool{25: true, 0: true, -25: false, -40: false} { // where its upper right corner stands beside the part's right side
		in := input(good().text())
		in.Stock.Shapes[0] = geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(240+v, 220), geom.Pt(0, 220))
		if r := proof.Prove(in); r.OK != ok || !ok && !slices.Contains(codes(r), "off-plate") {
			t.Errorf("%g: %s", v, show(r))
		}
	}
}

// What is not asked of a job is not found: holds that nobody checks, a dry run
// of a table without a touch-off, leads of a dry run.
func TestWhatIsNotAskedIsNotFound(t *testing.T) {
	x := &text{good().lines}
	x.drop("p1.h3", "(height hold on)", 0)
	x.drop("p1.h3", "(height hold off)", 0)
	for name, change := range map[string]func(in *proof.Input){
		"nothing is said of height control": func(in *proof.Input) { in.Holds = proof.HoldsUnchecked },
		"the profile has no hold line":      func(in *proof.Input) { in.Form.Lines.HoldOn, in.Form.Lines.HoldOff = nil, nil },
	} {
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		if wantCodes(t, proof.Prove(in), "hold-missing"); true {
			change(&in)
			if r := proof.Prove(in); len(r.Findings) > 0 {
				t.Errorf("%s: %s", name, show(r))
			}
		}
	}
	d := &text{goodDry().lines}
	d.drop("", "G38.2", 0)
	d.drop("", "G92", 0)
	in := input([]byte(strings.Join(d.lines, "\n") + "\n"))
	in.Dry, in.Machine.Probes = true, false
	if r := proof.Prove(in); len(r.Findings) > 0 {
		t.Error(show(r))
	}
	d = &text{goodDry().lines}
	c := cuttingOf("p1.c1")
	c.pierce = geom.Pt(160, 104)
	from, to := d.section("p1.c1")
	w := &writer{k: 1, dec: 4, dry: true}
	w.cut(c)
	d.lines = slices.Replace(d.lines, from, to, w.lines...)
	in = input([]byte(strings.Join(d.lines, "\n") + "\n"))
	in.Dry = true
	if r := proof.Prove(in); slices.Contains(codes(r), "lead-over-kerf") {
		t.Error(show(r))
	}
	// A missing zero of a dry run is told once for each touch-off.
	d = &text{goodDry().lines}
	d.drop("", "G92", 0)
	i := d.find("p1.h2", "G0 X", 0)
	d.insert(i, "G0 X20 Y20", "G38.2 Z-15 F500", "G0 Z25")
	in = input([]byte(strings.Join(d.lines, "\n") + "\n"))
	in.Dry = true
	n := 0
	for _, f := range proof.Prove(in).Findings {
		if f.Code == "touch-off-zero" {
			n++
		}
	}
	if n != 2 {
		t.Errorf("told %d times", n)
	}
}

// A cut that goes on with a lost one is watched from its start: missing holds
// are a warning there, an error elsewhere.
func TestHoldsOfACutTakenUpAreAWarning(t *testing.T) {
	all := asNeeded()
	was := writeHeld(&writer{k: 1, dec: 4}, all).text()
	last := all[len(all)-1]
	last.spans = nil
	last.pierce = last.pierce.Add(geom.Pt(4, -2)) // beside the old pierce
	lines := strings.Split(string(was), "\n")
	section := slices.Index(lines, "("+last.id+")")
	line := section + 1 + slices.IndexFunc(lines[section:], func(l string) bool { return strings.HasPrefix(l, "G1 X") })
	in := heldInput(writeHeld(&writer{k: 1, dec: 4}, []held{last}).text())
	in.Done = &proof.Done{Text: was, Line: line, Along: 3}
	r := proof.Prove(in)
	held := false
	for _, f := range r.Findings {
		if f.Code == "hold-missing" {
			held = true
			if f.Severity != fault.Warning {
				t.Error(show(r))
			}
		}
	}
	if !held {
		t.Error(show(r))
	}
}

// A new load needs a stop before it, whatever stops there were; more cuts than
// loads are cuts too many; a program that goes on with the next load was
// started by somebody, which is a stop.
func TestEveryLoadNeedsItsStop(t *testing.T) {
	write := func(stops ...bool) []byte {
		w := &writer{k: 1, dec: 4}
		w.header()
		for i, stop := range stops {
			if stop {
				w.put("M0")
			}
			w.cut(hole(fmt.Sprintf("p1#%d.h1", i+1), geom.Pt(80, 60), 20, full, false))
		}
		w.footer()
		return w.text()
	}
	wantGood(t, blanks(write(false, true, true), 0, 1, 2))
	wantCodes(t, proof.Prove(blanks(write(false, true, false), 0, 1, 2)), "cut-twice", "not-cut")
	wantCodes(t, proof.Prove(blanks(write(false, true), 0)), "cut-twice")
	in := blanks(write(false), 0, 1)
	was := write(false, true)
	in.Done = &proof.Done{Text: was, Line: lineWith(was, "M0")}
	if r := proof.Prove(in); !r.OK || r.Cuts[0].Feature != "p1#2.h1" {
		t.Error(show(r))
	}
}

// A pierce 6.25 mm inside the lower edge is 7 mm of gouge with half its kerf.
func TestDepthOfAGougeIsMeasured(t *testing.T) {
	c := cuttingOf("p1.outline")
	c.pierce.Y += 12
	x := &text{good().lines}
	x.replace("p1.outline", c)
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	if math.Abs(r.WorstGouge-7) > 0.02 {
		t.Error(show(r))
	}
}

// Into a notch of an angle of a the kerf reaches but for k/2 (1/sin(a/2) - 1):
// over twice the kerf it is told.
func TestNarrowNotchIsToldByItsAngle(t *testing.T) {
	for half, told := range map[float64]bool{11.25: true, 11.8: false, 15: false} { // degrees; 11.54 is the limit
		deep := 10 / math.Tan(half*math.Pi/180)
		pts := []geom.Point{{X: 100, Y: 100}, {X: 150, Y: 100}, {X: 160, Y: 100 + deep}, {X: 170, Y: 100}, {X: 220, Y: 100}, {X: 220, Y: 180}, {X: 100, Y: 180}}
		in := single(program(polygonCut("p1.outline", pts...)), feature("p1.outline", "outline", "outline", geom.Polygon(pts...)))
		if r := proof.Prove(in); !r.OK || slices.Contains(codes(r), "too-tight") != told {
			t.Errorf("half of %g degrees: %s", half, show(r))
		}
	}
}
