package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// One brace of 80 x 60 on a plate of 300 x 220, which is trimmed at X 160 from
// below to above, from closed forms.
const trimAt = 160.0

func trimming() cutting {
	return cutting{"trim.line", geom.Pt(trimAt-6, 7), []step{{to: geom.Pt(trimAt, 0)}, {to: geom.Pt(trimAt, 220)}, {to: geom.Pt(trimAt, 220+kerf)}}, full, false}
}

func trimInput(cuts ...cutting) proof.Input {
	in := input(program(cuts...))
	f := feature("trim.line", "trim", "trim", rounded(geom.Pt(-20, -20), geom.Pt(trimAt, 240), 0))
	f.Web = 6
	in.Parts = []proof.Part{
		{Label: "a", Features: []proof.Feature{feature("a.outline", "outline", "outline", rounded(left1, left2, 0))}},
		{Label: "trim", Features: []proof.Feature{f}},
	}
	return in
}

func trimCuts() []cutting { return []cutting{frame("a.outline", left1, left2, 0), trimming()} }

func TestTrimIsProved(t *testing.T) {
	r := wantGood(t, trimInput(trimCuts()...))
	if len(r.Cuts) != 2 || r.Cuts[1].Feature != "trim.line" || r.Cuts[1].Rule != "trim" {
		t.Error(show(r))
	}
}

func TestEveryMutantOfATrimIsCaught(t *testing.T) {
	for _, m := range []struct {
		name  string
		spoil func(cuts *[]cutting, in *proof.Input)
		code  string
	}{
		{"not cut at all", func(c *[]cutting, _ *proof.Input) { *c = (*c)[:1] }, "not-cut"},
		{"half of it", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].way = []step{(*c)[1].way[0], {to: geom.Pt(trimAt, 110)}}
		}, "uncut"},
		{"short of the plate's far edge", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].way = []step{(*c)[1].way[0], {to: geom.Pt(trimAt, 215)}}
		}, "uncut"},
		{"begun inside the plate's near edge", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[0].to.Y = 5 }, "uncut"},
		{"beside its line", func(c *[]cutting, _ *proof.Input) {
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X -= 0.1
			}
		}, "off-edge"},
		{"into what is kept", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[1].to.X += 0.1; (*c)[1].way[2].to.X += 0.1 }, "trim-beyond"},
		{"pierced in what is kept", func(c *[]cutting, _ *proof.Input) { (*c)[1].pierce.X = trimAt + 6 }, "trim-beyond"},
		{"before the part", func(c *[]cutting, _ *proof.Input) { slices.Reverse(*c) }, "order"},
		{"the part's lead reaches beyond it", func(c *[]cutting, _ *proof.Input) { (*c)[0].pierce = geom.Pt(170, 30) }, "trim-beyond"},
		{"too near to the part's kerf", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(127, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 127
			}
			(*c)[1].pierce.X = 121
		}, "trim-web"},
		{"through the part", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(100, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 100
			}
			(*c)[1].pierce.X = 94
		}, "gouge"},
		{"the part lies beyond it", func(c *[]cutting, in *proof.Input) {
			in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(20, 240), 0)
			for i := range (*c)[1].way {
				(*c)[1].way[i].to.X = 20
			}
			(*c)[1].pierce.X = 14
		}, "trim-parts"},
		{"far off the plate at its end", func(c *[]cutting, _ *proof.Input) { (*c)[1].way[2].to.Y += 10 }, "off-plate"},
		{"over a clamp", func(_ *[]cutting, in *proof.Input) {
			in.Stock.Voids = []proof.Void{{Path: rounded(geom.Pt(150, 150), geom.Pt(170, 170), 0), Clamp: true, Name: "clamp"}}
		}, "in-void"},
		{"begun on the edge, not by wish", func(c *[]cutting, _ *proof.Input) {
			(*c)[1].pierce = geom.Pt(trimAt, 0)
			(*c)[1].way = (*c)[1].way[1:]
		}, "off-plate"},
		{"begun and touched off on the edge", func(c *[]cutting, in *proof.Input) {
			(*c)[1].pierce = geom.Pt(trimAt, 0)
			(*c)[1].way = (*c)[1].way[1:]
			in.Parts[1].Features[0].OnEdge = true
		}, "touch-off-void"},
		{"another cut along it", func(c *[]cutting, _ *proof.Input) { *c = append(*c, trimming()) }, "cut-twice"},
	} {
		t.Run(m.name, func(t *testing.T) {
			cuts := trimCuts()
			in := trimInput()
			m.spoil(&cuts, &in)
			in.Text = program(cuts...)
			r := proof.Prove(in)
			if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
				return f.Severity == fault.Error && f.Code == m.code && f.Text != "" && f.Do != ""
			}) || r.OK {
				t.Errorf("wanted [%s]\n%s", m.code, show(r))
			}
		})
	}
}

// Under a clamp, or over a bad spot, the plate hangs together: a trim that is
// left out there parts nothing.
func TestTrimThatLeavesOutAPlaceThatCarriesNoPartIsCaught(t *testing.T) {
	for _, half := range []float64{1, 8, 20} {
		const y = 142.5
		in := trimInput(frame("a.outline", left1, left2, 0),
			cutting{"trim.line", geom.Pt(trimAt-6, 7), []step{{to: geom.Pt(trimAt, 0)}, {to: geom.Pt(trimAt, y-half-kerf)}}, full, false},
			cutting{"trim.line", geom.Pt(trimAt-6, y+half+kerf+9), []step{{to: geom.Pt(trimAt, y+half+kerf)}, {to: geom.Pt(trimAt, 220+kerf)}}, full, false})
		in.Stock.Voids = []proof.Void{{Path: rounded(geom.Pt(trimAt-10, y-half), geom.Pt(trimAt+10, y+half), 0), Clamp: true, Name: "clamp"}}
		wantCodes(t, proof.Prove(in), "uncut")
	}
}

// trimAlong is the input for a trim at x, of a plate that its part is cut from.
func trimAlong(x float64) proof.Input {
	c := trimming()
	c.pierce.X += x - trimAt
	c.way = slices.Clone(c.way)
	for i := range c.way {
		c.way[i].to.X = x
	}
	in := trimInput(frame("a.outline", left1, left2, 0), c)
	in.Parts[1].Features[0].Loop = rounded(geom.Pt(-20, -20), geom.Pt(x, 240), 0)
	return in
}

// The part's kerf ends a kerf right of its edge, half of that before the line
// the trim's begins.
func TestWebBesideATrimMayBeJustWhatIsWanted(t *testing.T) {
	at := left2.X + 1.5*kerf + 6
	wantGood(t, trimAlong(at-geom.Proof/2))
	r := proof.Prove(trimAlong(at - 2*geom.Proof))
	wantCodes(t, r, "trim-web")
	for _, f := range r.Findings {
		if f.Code == "trim-web" && !strings.Contains(f.Text, "lies 5.96 mm from that of a.outline") {
			t.Error(f.Text)
		}
	}
}

func TestTrimMayRunTwoKerfsOffThePlateAndNoFurther(t *testing.T) {
	for _, off := range []float64{geom.Proof / 2, 2 * geom.Proof} {
		cuts := trimCuts()
		cuts[1].way[2].to.Y = 220 + 2*kerf + off
		if r := proof.Prove(trimInput(cuts...)); r.OK != (off < geom.Proof) || !r.OK && !slices.Contains(codes(r), "off-plate") {
			t.Errorf("%g: %s", off, show(r))
		}
	}
}

// aloneInput is a job that only trims a plate.
func aloneInput(text []byte) proof.Input {
	in := trimInput()
	in.Parts = in.Parts[1:]
	in.Text = text
	return in
}

func TestTrimThatBeginsOnTheEdgeTouchesOffOnMetal(t *testing.T) {
	c := trimming()
	c.pierce, c.way = c.way[0].to, c.way[1:]
	edge := aloneInput(program(c))
	edge.Parts[0].Features[0].OnEdge = true
	wantCodes(t, proof.Prove(edge), "touch-off-void")

	// Beside it, where the plate is whole.
	x := &text{strings.Split(strings.TrimSpace(string(program(c))), "\n")}
	i := x.find(c.id, "G38.2", 0)
	x.insert(i+2, "G0 Z12", "G0 X160 Y0")
	x.insert(i, "G0 X160 Y9")
	edge.Text = []byte(strings.Join(x.lines, "\n") + "\n")
	wantGood(t, edge)

	x.drop(c.id, "G38.2", 0)
	x.drop(c.id, "G92", 0)
	edge.Text = []byte(strings.Join(x.lines, "\n") + "\n")
	wantCodes(t, proof.Prove(edge), "no-touch-off")
}

// A dry run cuts nothing: the plate's edge is as good as its middle.
func TestDryRunOfATrimMayTouchOffAnywhereOnThePlate(t *testing.T) {
	w := &writer{k: 1, dec: 4, dry: true}
	w.header()
	w.put("G0 X160 Y0.5")
	w.put("G38.2 Z-15 F500")
	w.put("G92 Z%g", -sensor)
	w.put("G0 Z%g", safe)
	w.cut(trimming())
	w.footer()
	in := aloneInput(w.text())
	in.Dry = true
	if r := proof.Prove(in); slices.Contains(codes(r), "touch-off-void") || len(r.Cuts) != 1 || r.Cuts[0].Rule != "trim" {
		t.Error(show(r))
	}
}

// Height is held where the metal ends beside the kerf: 1.52 mm and half a kerf
// from the plate's edge, 2.25 mm with what the proof allows.
func TestTrimIsHeldAtThePlatesEdges(t *testing.T) {
	c := trimming()
	w := c.ways()
	for _, m := range []struct {
		name      string
		in, out   float64 // mm beyond the need
		near      float64
		code, say string
	}{
		{"as needed", spare, spare, 1.52, "", ""},
		{"late by less than the slack, and ended early", -0.47, -0.47, 1.52, "", ""},
		{"not held where it leaves the plate", spare, -0.65, 1.52, "hold-missing", "at the plate's edge"},
		{"not held far enough from where it comes in", -0.65, spare, 1.52, "hold-missing", "at the plate's edge"},
		{"not asked for", -1.25, -3.0, 0, "", ""},
	} {
		h := held{c, []proof.Span{{0, w[0] + 2.25 + m.in}, {w[1] - 2.25 - m.out, w[2]}}}
		in := aloneInput(writeHeld(&writer{k: 1, dec: 4}, []held{h}).text())
		in.Machine.AccelXY, in.Machine.CornerDeviation = accel, rounding
		in.HoldBelow, in.HoldNear = share, m.near
		r := proof.Prove(in)
		if m.code == "" {
			wantCodes(t, r)
		} else if r.OK || !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool { return f.Code == m.code && strings.HasSuffix(f.Text, m.say) }) {
			t.Errorf("%s: %s", m.name, show(r))
		}
	}
}

// Where a shape of the stock is not there, nothing is known to lie off it.
func TestTrimOnStockWithoutAShapeIsAskedForWholly(t *testing.T) {
	c := trimming()
	w := c.ways()
	h := held{c, []proof.Span{{0, w[0] + 4}, {w[1] - 4, w[2]}}}
	in := aloneInput(writeHeld(&writer{k: 1, dec: 4}, []held{h}).text())
	in.Machine.AccelXY, in.Machine.CornerDeviation = accel, rounding
	in.HoldBelow, in.HoldNear = share, kerf
	wantGood(t, in)
	in.Stock.Shapes = append(in.Stock.Shapes, geom.Path{})
	wantCodes(t, proof.Prove(in), "uncut")
	in.Stock.Shapes = nil
	wantCodes(t, proof.Prove(in), "uncut")
}

// Only a trim comes to the plate's edge by wish: beside it other cuts are held
// for no reason but their own.
func TestOtherCutsNearThePlatesEdgeAskForNoHold(t *testing.T) {
	in := heldInput(writeHeld(&writer{k: 1, dec: 4}, asNeeded()).text())
	in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(262.5, 220), 0)
	wantGood(t, in)
}
