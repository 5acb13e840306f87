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
	"example.org/kerfwright/planner/rs274"
	"example.org/kerfwright/planner/unit"
)

// codes lists the codes of the findings, each once.
func codes(r proof.Result) []string {
	var out []string
	for _, f := range r.Findings {
		if !slices.Contains(out, f.Code) {
			out = append(out, f.Code)
		}
	}
	return out
}

func wantCodes(t *testing.T, r proof.Result, want ...string) {
	t.Helper()
	for _, c := range want {
		if !slices.Contains(codes(r), c) {
			t.Errorf("no [%s]: %s", c, show(r))
		}
	}
	if len(want) == 0 && (!r.OK || len(r.Findings) > 0) {
		t.Error(show(r))
	}
}

func wantGood(t *testing.T, in proof.Input) proof.Result {
	t.Helper()
	r := proof.Prove(in)
	wantCodes(t, r)
	return r
}

// program writes a program of the given cuts; also may put lines in between.
func program(cuts ...cutting) []byte {
	w := &writer{k: 1, dec: 4}
	w.header()
	for _, c := range cuts {
		w.cut(c)
	}
	w.footer()
	return w.text()
}

// single is the input for one part.
func single(text []byte, fs ...proof.Feature) proof.Input {
	in := input(text)
	in.Parts = []proof.Part{{Label: "p1", Features: fs}}
	return in
}

// A circle run d beside its place reaches d into the part on one side and
// leaves d on the other (concentric circles: R - (R - kerf/2 -+ d)).
func TestGougeAndUncutAreMeasured(t *testing.T) {
	for _, d := range []float64{0.002, 0.01, 0.0195, 0.0205, 0.1, 0.7} {
		in := single(program(moved(hole("p1.h1", h1, 20, full, false), geom.Pt(0.6*d, -0.8*d))), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
		r := proof.Prove(in)
		if math.Abs(r.WorstGouge-d) > 0.0002 || r.Uncut > d+0.0002 || r.Uncut < d-0.0012 {
			t.Errorf("moved by %g: gouge %g, uncut %g", d, r.WorstGouge, r.Uncut)
		}
		if r.OK != (d < geom.Proof) {
			t.Errorf("moved by %g: ok %v", d, r.OK)
		}
	}
	in := single(program(hole("p1.h1", h1, 20-kerf, full, false)), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	if r := proof.Prove(in); math.Abs(r.Uncut-kerf/2) > 0.0012 || r.WorstGouge != 0 {
		t.Errorf("kerf doubled: gouge %g, uncut %g", r.WorstGouge, r.Uncut)
	}
}

func TestToleranceIsTheCallersOwn(t *testing.T) {
	in := single(program(moved(hole("p1.h1", h1, 20, full, false), geom.Pt(0.05, 0))), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	in.Tolerance = 0.06
	wantGood(t, in)
	in.Tolerance = 0.04
	wantCodes(t, proof.Prove(in), "gouge", "uncut")
}

// The kerf cannot go into a notch of 1 mm: the torch goes round its mouth, by
// two arcs about its corners that meet sqrt(0.75^2 - 0.5^2) below it.
func TestNotchNarrowerThanTheKerfIsWarnedOf(t *testing.T) {
	a, b := geom.Pt(50, 50), geom.Pt(110, 90)
	x := 95.0
	loop := geom.Polygon(a, geom.Pt(x-0.5, a.Y), geom.Pt(x-0.5, a.Y+12), geom.Pt(x+0.5, a.Y+12), geom.Pt(x+0.5, a.Y), geom.Pt(b.X, a.Y), b, geom.Pt(a.X, b.Y))
	c := frame("p1.outline", a, b, 0)
	// The last step comes along the bottom from the right corner to the middle.
	last := len(c.way) - 1
	y := a.Y - kerf/2
	meet := geom.Pt(x, a.Y-math.Sqrt(kerf*kerf/4-0.25))
	c.way = append(c.way[:last], step{to: geom.Pt(x+0.5, y)}, step{meet, geom.Pt(x+0.5, a.Y), -1},
		step{geom.Pt(x-0.5, y), geom.Pt(x-0.5, a.Y), -1}, c.way[last])
	r := proof.Prove(single(program(c), feature("p1.outline", "outline", "outline", loop)))
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "too-tight" || r.Findings[0].Severity != fault.Warning {
		t.Fatal(show(r))
	}
	// Straight past the notch the mouth's corners are left 0.15 mm rounder: no gouge, but not the edge.
	if r := proof.Prove(single(program(frame("p1.outline", a, b, 0)), feature("p1.outline", "outline", "outline", loop))); r.WorstGouge > 0.001 {
		t.Error(show(r))
	}
}

func TestSharpInsideCornerIsNoUncutEdge(t *testing.T) {
	in := single(program(window("p1.c1", win1, win2)), feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0)))
	if r := wantGood(t, in); r.Uncut > 0.0015 {
		t.Error(show(r))
	}
}

func TestPierceTooNearIsAWarningOnly(t *testing.T) {
	c := window("p1.c1", win1, win2)
	c.pierce.Y = win1.Y + 2
	r := proof.Prove(single(program(c), feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0))))
	// max(1.5 x 1.5, 0.5 x 6 + 0.75) = 3.75 mm by the rule; 2 mm are there.
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "pierce-clearance" || !strings.Contains(r.Findings[0].Text, "2 mm") || !strings.Contains(r.Findings[0].Text, "3.75 mm") {
		t.Error(show(r))
	}
}

func TestFeatureLeftOutOrDrilledMayNotBeCut(t *testing.T) {
	for _, rule := range []string{"leave", "drill"} {
		f := feature("p1.h1", "hole", rule, geom.Circle(h1, 10))
		plate := feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))
		outline := cuttingOf("p1.outline")
		wantGood(t, single(program(outline), f, plate))
		wantCodes(t, proof.Prove(single(program(cuttingOf("p1.h1"), outline), f, plate)), "stray-cut", "gouge")
	}
}

// A mark is traced on the part; here it is open and bent.
func TestMarkIsTracedWhereItIs(t *testing.T) {
	pts := []geom.Point{{X: 70, Y: 70}, {X: 90, Y: 75}, {X: 90, Y: 95}}
	line := geom.Polygon(pts...)
	line.Closed = false
	f := feature("p1.m1", "mark", "mark", line)
	plate := feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))
	mark := cutting{"p1.m1", pts[0], []step{{to: pts[1]}, {to: pts[2]}}, full, false}
	wantGood(t, single(program(mark, cuttingOf("p1.outline")), f, plate))
	wantCodes(t, proof.Prove(single(program(moved(mark, geom.Pt(0, 0.05)), cuttingOf("p1.outline")), f, plate)), "uncut")
	half := mark
	half.way = half.way[:1]
	wantCodes(t, proof.Prove(single(program(half, cuttingOf("p1.outline")), f, plate)), "uncut")
	wantCodes(t, proof.Prove(single(program(cuttingOf("p1.outline")), f, plate)), "not-cut")
	wantCodes(t, proof.Prove(single(program(cuttingOf("p1.outline"), mark), f, plate)), "order")
	long := mark
	long.way = append(slices.Clone(long.way), step{to: geom.Pt(70, 70)})
	wantCodes(t, proof.Prove(single(program(long, cuttingOf("p1.outline")), f, plate)), "off-edge")
}

func TestCentrePopIsAPulseAtTheCentre(t *testing.T) {
	f := feature("p1.d1", "hole", "drill", geom.Circle(geom.Pt(220, 160), 2))
	f.Pop = true
	plate := feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))
	pop := cutting{id: "p1.d1", pierce: geom.Pt(220, 160), feed: full}
	text := strings.ReplaceAll(string(program(pop, cuttingOf("p1.outline"))), "G1 Z1.5000 F1000.0\nM5", "M5")
	r := wantGood(t, single([]byte(text), f, plate))
	if r.Cuts[0].Feature != "p1.d1" || r.Cuts[0].Length != 0 {
		t.Errorf("%+v", r.Cuts[0])
	}
	wantCodes(t, proof.Prove(single([]byte(strings.Replace(text, "P0.400", "P2", 1)), f, plate)), "pierce-delay")
	wantCodes(t, proof.Prove(single([]byte(strings.Replace(text, "X220", "X220.1", 1)), f, plate)), "stray-cut", "not-cut")
	wantCodes(t, proof.Prove(single(program(cuttingOf("p1.outline")), f, plate)), "not-cut")
	f.Kerf = 5 // wider than the hole
	wantCodes(t, proof.Prove(single([]byte(text), f, plate)), "gouge")
}

// Blanks sit in a fixture; their outlines locate them and are not cut.
func blanks(text []byte, loads ...int) proof.Input {
	in := input(text)
	in.Parts, in.Stock.Shapes, in.Stock.Blank = nil, nil, true
	for i, load := range loads {
		o := geom.Pt(30, 30)
		if load == 0 {
			o.X += float64(i) * 120
		}
		loop := rounded(o, o.Add(geom.Pt(100, 60)), 0)
		id := fmt.Sprintf("p1#%d", i+1)
		in.Stock.Shapes = append(in.Stock.Shapes, loop)
		in.Parts = append(in.Parts, proof.Part{Label: id, Blank: i, Load: load, Features: []proof.Feature{
			feature(id+".h1", "hole", "inside", geom.Circle(o.Add(geom.Pt(50, 30)), 10)), feature(id+".outline", "outline", "locate", loop)}})
	}
	return in
}

func TestProgramStopsBetweenBlanks(t *testing.T) {
	write := func(stop bool, at ...geom.Point) []byte {
		w := &writer{k: 1, dec: 4}
		w.header()
		for i, c := range at {
			if i > 0 && stop {
				w.put("M0")
			}
			w.cut(hole(fmt.Sprintf("p1#%d.h1", i+1), c, 20, full, false))
		}
		w.footer()
		return w.text()
	}
	a, b := geom.Pt(80, 60), geom.Pt(200, 60)
	wantGood(t, blanks(write(true, a, b), 0, 0))
	wantCodes(t, proof.Prove(blanks(write(false, a, b), 0, 0)), "no-pause")
	// One pocket, loaded twice: the same place is cut twice, in new metal.
	r := wantGood(t, blanks(write(true, a, a), 0, 1))
	if r.Cuts[0].Feature != "p1#1.h1" || r.Cuts[1].Feature != "p1#2.h1" {
		t.Errorf("%+v", r.Cuts)
	}
	wantCodes(t, proof.Prove(blanks(write(false, a, a), 0, 1)), "cut-twice", "not-cut")
	wantCodes(t, proof.Prove(blanks(write(true, a), 0, 1)), "not-cut")
	wantCodes(t, proof.Prove(blanks(write(true, a, geom.Pt(35, 60)), 0, 0)), "off-plate")
}

// A controller that lights the torch with an output and holds height with
// another, touches off by a word of its own, and takes absolute arc centres.
func TestProfileOfAnotherController(t *testing.T) {
	c := hole("p1.h1", h1, 20, full, true)
	x := &text{strings.Split(strings.TrimSpace(string(program(c))), "\n")}
	for i, l := range x.lines {
		switch {
		case l == "M3":
			x.lines[i] = "M64 P1"
		case l == "M5" && i > 5:
			x.lines[i] = "M65 P1"
		case l == "(height hold on)":
			x.lines[i] = "N20 m66 p3 (hold)"
		case l == "(height hold off)":
			x.lines[i] = "M66P4"
		case strings.HasPrefix(l, "G38.2"):
			x.lines[i] = "M101 P800"
		case strings.HasPrefix(l, "G92"):
			x.lines[i] = "(touched)"
		case strings.HasPrefix(l, "G21"):
			x.lines[i] += " G90.1"
		case strings.HasPrefix(l, "G3 "):
			x.lines[i] = l[:strings.Index(l, "I")] + fmt.Sprintf("I%.4f J%.4f", h1.X, h1.Y)
		}
	}
	use := func(x *text) proof.Input {
		f := feature("p1.h1", "hole", "inside", geom.Circle(h1, 10))
		f.Hold = true
		in := single([]byte(strings.Join(x.lines, "\n")+"\n"), f)
		in.Form.Lines = proof.Lines{Header: []string{"G90.1"}, TouchOff: []string{"M101 P{feed}"}, ArcOn: []string{"M64 P1", "G4 P{delay}"}, ArcOff: []string{"M65 P1"},
			HoldOn: []string{"M66 P3 (hold)"}, HoldOff: []string{"M66 P4"}}
		return in
	}
	wantGood(t, use(x))
	without := func(line string) *text {
		y := &text{slices.Clone(x.lines)}
		i := slices.Index(y.lines, line)
		y.lines = slices.Delete(y.lines, i, i+1)
		return y
	}
	wantCodes(t, proof.Prove(use(without("M65 P1"))), "lit-rapid")
	wantCodes(t, proof.Prove(use(without("M64 P1"))), "not-cut")
	wantCodes(t, proof.Prove(use(without("M101 P800"))), "no-touch-off")
	wantCodes(t, proof.Prove(use(without("N20 m66 p3 (hold)"))), "hold-missing")
	in := use(x)
	in.Form.Lines.Header = nil
	wantCodes(t, proof.Prove(in), "unknown-word")
	in.Form.Dialect = rs274.Dialect{ArcModes: true}
	wantGood(t, in)
	in.Form.Lines.Pause = []string{"M1 $"}
	wantCodes(t, proof.Prove(in), "template")
}

func TestTorchRaisedToItsTopIsOverEverything(t *testing.T) {
	x := &text{good().lines}
	for i, l := range x.lines {
		if strings.HasPrefix(l, "G0 Z25") {
			x.lines[i] = "G53 G0 Z0"
		}
	}
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Machine.HasTop = true
	wantGood(t, in)
	in.Machine.HasTop = false
	wantCodes(t, proof.Prove(in), "height-unknown")
	in.Machine.HasTop, in.Machine.TopZ = true, 5 // G53 Z0 is not the top then
	wantCodes(t, proof.Prove(in), "height-unknown")
}

func TestOneTouchOffServesWithinItsDistance(t *testing.T) {
	x := &text{good().lines}
	x.drop("p1.h2", "G38.2", 0)
	x.drop("p1.h2", "G92", 0)
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Machine.ProbeReuse = 160 // from h1 to h2
	wantGood(t, in)
	in.Machine.ProbeReuse = 159
	wantCodes(t, proof.Prove(in), "no-touch-off")
}

func TestHoldsGoByTheirStretches(t *testing.T) {
	c := window("p1.c1", win1, win2)
	x := &text{strings.Split(strings.TrimSpace(string(program(c))), "\n")}
	i := x.find("p1.c1", "G1 X", 2) // the right side, after the corner
	x.insert(i, "(height hold on)")
	x.insert(i+2, "(height hold off)")
	text := []byte(strings.Join(x.lines, "\n") + "\n")
	f := feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0))
	start := math.Hypot(5, 6) + 40 - kerf/2 // lead, half of the bottom
	side := win2.Y - win1.Y - kerf
	f.Holds = []proof.Span{{From: start, To: start + side}}
	wantGood(t, single(text, f))
	f.Holds = []proof.Span{}
	wantCodes(t, proof.Prove(single(text, f)), "hold-needless")
	f.Holds = []proof.Span{{From: start, To: start + side + 3}}
	wantCodes(t, proof.Prove(single(text, f)), "hold-missing")
	f.Holds = nil
	wantGood(t, single(text, f))
	all := single([]byte(strings.Replace(string(program(c)), "M5\n", "M5\n(height hold on)\n", 1)), f)
	all.Holds = proof.HoldsThroughout
	wantGood(t, all)
}

func TestOtherDirectionIsTheProfilesChoice(t *testing.T) {
	in := input(good().text())
	in.Turn = proof.OutlineCounterClockwise
	r := proof.Prove(in)
	wantCodes(t, r, "direction")
	for _, f := range r.Findings {
		if f.Code != "direction" {
			t.Error(show(r))
		}
	}
	if len(r.Findings) != 6 {
		t.Error(show(r))
	}
}

func TestLeadMayHaveItsOwnFeed(t *testing.T) {
	c := hole("p1.h1", h1, 20, full, false)
	lines := strings.Replace(string(program(c)), "Y60.0000 F2500.0\nG3 X50.7500 Y60.0000 I-9.2500 J0.0000", "Y60.0000 F1800.0\nG3 X50.7500 Y60.0000 I-9.2500 J0.0000 F2500.0", 1)
	f := feature("p1.h1", "hole", "inside", geom.Circle(h1, 10))
	wantCodes(t, proof.Prove(single([]byte(lines), f)), "feed")
	f.LeadFeed = 1800
	wantGood(t, single([]byte(lines), f))
	wantCodes(t, proof.Prove(single([]byte(strings.Replace(lines, " F2500.0", "", 1)), f)), "feed")
}

func TestWhatCannotBeComparedIsAFault(t *testing.T) {
	f := feature("p1.h1", "hole", "inside", geom.Path{})
	wantCodes(t, proof.Prove(single(program(), f)), "no-edge")
	f = feature("p1.h1", "hole", "inside", geom.Circle(h1, 10))
	f.Kerf = 0
	wantCodes(t, proof.Prove(single(program(), f)), "no-kerf")
	f = feature("p1.h1", "hole", "inside", geom.Circle(geom.Pt(math.NaN(), 0), 10))
	wantCodes(t, proof.Prove(single(program(), f)), "no-edge")
	if r := proof.Prove(proof.Input{}); r.OK {
		t.Error("nothing at all is proved")
	}
	wantCodes(t, proof.Prove(single([]byte("G21 G90 G17 G40 G94\nG0 Z25\nG0 X1e9\nM2\n"), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))), "letter")
	wantCodes(t, proof.Prove(single([]byte("G21 G90 G17 G40 G94\nG0 Z25\nG0 X99999999\nM2\n"), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))), "off-table")
}

// turnedJob is the whole job turned about a point, written with four decimals.
func turnedJob(angle float64, shift geom.Point, mirror bool) proof.Input {
	mv := geom.Move{Mirror: mirror, Angle: angle, Shift: shift}
	var cuts []cutting
	for _, c := range cuttings() {
		c.pierce = mv.Apply(c.pierce)
		c.way = slices.Clone(c.way)
		for i := range c.way {
			c.way[i].to, c.way[i].centre = mv.Apply(c.way[i].to), mv.Apply(c.way[i].centre)
			if mirror {
				c.way[i].turn = -c.way[i].turn
			}
		}
		cuts = append(cuts, c)
	}
	in := input(program(cuts...))
	for i := range in.Parts {
		for k := range in.Parts[i].Features {
			f := &in.Parts[i].Features[k]
			f.Loop = mv.Path(f.Loop)
		}
	}
	in.Stock.Shapes[0] = mv.Path(in.Stock.Shapes[0])
	if mirror {
		in.Turn = proof.OutlineCounterClockwise
	}
	return in
}

// Four decimals move ends and centres by up to 0.00007 mm each.
func TestJobIsProvedWhereverAndHoweverItLies(t *testing.T) {
	for i := range 24 {
		in := turnedJob(float64(i)*0.261+0.013, geom.Pt(600+float64(i), 500-2*float64(i)), i%3 == 1)
		if r := wantGood(t, in); r.WorstGouge > 0.0005 || r.Uncut > 0.0015 {
			t.Errorf("turn %d: %s", i, show(r))
		}
		in.Stock.Shapes[0] = geom.Move{Shift: geom.Pt(15, 0)}.Path(in.Stock.Shapes[0])
		for k := range in.Parts {
			for n := range in.Parts[k].Features {
				f := &in.Parts[k].Features[n]
				f.Loop = geom.Move{Shift: geom.Pt(0.03, 0.03)}.Path(f.Loop)
			}
		}
		if r := proof.Prove(in); r.OK || r.WorstGouge < 0.04 || r.WorstGouge > 0.044 || r.Uncut < 0.04 || r.Uncut > 0.044 {
			t.Errorf("turn %d, parts moved by 0.0424: %s", i, show(r))
		}
	}
}

// Heights in inches with three decimals are off by up to 0.0127 mm.
func TestHeightsMayBeRoundedAsTheProfileRounds(t *testing.T) {
	w := &writer{k: 1 / 25.4, dec: 5}
	w.header()
	w.cut(hole("p1.h1", h1, 20, full, false))
	w.footer()
	text := string(w.text())
	for _, l := range strings.Split(text, "\n") {
		if i := strings.Index(l, "Z"); i >= 0 {
			var z float64
			fmt.Sscan(strings.Fields(l[i+1:])[0], &z)
			text = strings.Replace(text, l, strings.Replace(l, fmt.Sprintf("Z%.5f", z), fmt.Sprintf("Z%.3f", z+0.0001), 1), 1)
		}
	}
	in := single([]byte(text), feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))
	in.Form.Units, in.Form.Decimals = unit.Inch, 3
	wantGood(t, in)
	in.Form.Decimals = 5
	if r := proof.Prove(in); r.OK { // safe height is 0.013 mm short of its 25 mm
		t.Error("the same rounding passes where five decimals are promised")
	}
}

func TestTorchLeftLowIsWarnedOf(t *testing.T) {
	text := strings.Replace(string(good().text()), "G0 Z25.0000\nG0 X0 Y0\nM30", "M30", 1)
	if r := proof.Prove(input([]byte(text))); !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "end-height" {
		t.Error(show(r))
	}
}

func TestSameInputSameResult(t *testing.T) {
	x := &text{good().lines}
	x.swapped("p1.h1", "p1.outline")
	text := []byte(strings.Join(x.lines, "\n") + "\n")
	a, b := proof.Prove(input(text)), proof.Prove(input(text))
	if show(a) != show(b) || fmt.Sprint(a.Cuts) != fmt.Sprint(b.Cuts) {
		t.Error("two proofs of one input differ")
	}
}

func FuzzProve(f *testing.F) {
	f.Add(good().text(), false)
	f.Add(goodDry().text(), true)
	f.Add(writeHeld(&writer{k: 1, dec: 4}, asNeeded()).text(), false)
	f.Add([]byte("%\nG21 G90 G17 G40 G94\nM3\nG0 X1\nG2 X1 Y0 I99999999999999\nG38.2 Z-5 F1\nM5\n%\n"), false)
	f.Fuzz(func(t *testing.T, text []byte, dry bool) {
		in := input(text)
		in.Dry = dry
		in.Machine.AccelXY, in.Machine.CornerDeviation = accel, rounding
		in.HoldBelow, in.HoldNear, in.Amps = share, kerf, 45
		in.Form.Lines.ArcOn = append(in.Form.Lines.ArcOn, "(arc of {amps} A)")
		r := proof.Prove(in)
		lines := strings.Count(string(text), "\n") + 1
		bad := false
		for _, f := range r.Findings {
			if f.Line < 0 || f.Line > lines || f.Text == "" || f.Code == "" {
				t.Fatalf("%+v", f)
			}
			bad = bad || f.Severity == fault.Error
		}
		if r.OK == bad || math.IsNaN(r.WorstGouge) || math.IsNaN(r.Uncut) || !(r.Time >= 0) {
			t.Fatal(show(r))
		}
	})
}
