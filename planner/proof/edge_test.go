package proof_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// told returns the only finding of a code.
func told(t *testing.T, r proof.Result, code string) proof.Finding {
	t.Helper()
	var all []proof.Finding
	for _, f := range r.Findings {
		if f.Code == code {
			all = append(all, f)
		}
	}
	if len(all) != 1 {
		t.Fatalf("%d of [%s]: %s", len(all), code, show(r))
	}
	return all[0]
}

// millimetres reads the figure before " mm" after a word of a text.
func millimetres(t *testing.T, text, word string) float64 {
	t.Helper()
	m := regexp.MustCompile(word + ` ([0-9.]+) mm`).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("no length after %q: %s", word, text)
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// lineAt is the line, from 1, of a program's first line that begins so, n on.
func lineAt(t *testing.T, text []byte, prefix string, n int) int {
	t.Helper()
	for i, l := range strings.Split(string(text), "\n") {
		if strings.HasPrefix(l, prefix) {
			return i + 1 + n
		}
	}
	t.Fatalf("no line %q", prefix)
	return 0
}

// All of a hole cut the wrong way: told with its length, from the line on which
// it begins, the circle without its lead (2 pi r and the overburn of 4 mm).
func TestCutTheWrongWayIsToldWithItsLength(t *testing.T) {
	const r = 10 - kerf/2
	c := hole("p1.h1", h1, 20, full, false)
	for i := range c.way {
		c.way[i].turn *= -1
	}
	c.way[3].to = geom.Polar(h1, r, -4/r)
	text := program(c)
	f := told(t, proof.Prove(single(text, feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))), "direction")
	if want := lineAt(t, text, "G2 X", 0); f.Line != want {
		t.Errorf("line %d, want %d", f.Line, want)
	}
	if mm, want := millimetres(t, f.Text, "clockwise for"), 2*math.Pi*r+4; math.Abs(mm-want) > 0.002 {
		t.Errorf("%g mm, want %g: %s", mm, want, f.Text)
	}
	if !strings.Contains(f.Text, "runs clockwise for") || !strings.Contains(f.Text, "must run counter-clockwise") {
		t.Error(f.Text)
	}
	text = program(reversed(frame("p1.outline", p1a, p1b, 10)))
	f = told(t, proof.Prove(single(text, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)))), "direction")
	if !strings.Contains(f.Text, "runs counter-clockwise for") || !strings.Contains(f.Text, "must run clockwise") {
		t.Error(f.Text)
	}
}

// A lead that runs along the edge against the cut, from 8 mm before a sharp
// corner or on to 8 mm behind one: it cuts the edge the wrong way for half the
// side, to within the quarter of a kerf in which it is looked at.
func TestLeadAlongTheEdgeTheWrongWayIsMeasured(t *testing.T) {
	bottom := p1a.Y - kerf/2
	in, out := frame("p1.outline", p1a, p1b, 0), frame("p1.outline", p1a, p1b, 0)
	in.pierce = geom.Pt(p1a.X-8, bottom-9)
	in.way = append([]step{{to: geom.Pt(p1a.X-8, bottom)}}, in.way...)
	out.way = append(out.way, step{to: geom.Pt(p1b.X+8, bottom)})
	for _, c := range []struct {
		cut  cutting
		line string // or so many behind it
		on   int
	}{{in, "G1 X32.0000 Y39.2500", 1}, {out, "G1 X248.0000 Y39.2500", 0}} {
		text := program(c.cut)
		f := told(t, proof.Prove(single(text, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 0)))), "direction")
		if want := lineAt(t, text, c.line, c.on); f.Line != want {
			t.Errorf("line %d, want %d: %s", f.Line, want, f.Text)
		}
		if mm, want := millimetres(t, f.Text, "counter-clockwise for"), (p1b.X-p1a.X)/2; math.Abs(mm-want) > kerf/2 {
			t.Errorf("%g mm, want %g", mm, want)
		}
	}
}

func TestCutOnTheWrongSideSaysBoth(t *testing.T) {
	text := program(hole("p1.h1", h1, 20+2*kerf, full, false)) // its kerf lies outside
	f := told(t, proof.Prove(single(text, feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)))), "kerf-side")
	if !strings.Contains(f.Text, "cut on the outside of its edge, the kerf belongs inside") {
		t.Error(f.Text)
	}
	c := frame("p1.outline", p1a.Add(geom.Pt(kerf, kerf)), p1b.Sub(geom.Pt(kerf, kerf)), 0)
	f = told(t, proof.Prove(single(program(c), feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 0)))), "kerf-side")
	if !strings.Contains(f.Text, "cut on the inside of its edge, the kerf belongs outside") {
		t.Error(f.Text)
	}
}

// A cut that nobody wants is told where it is pierced.
func TestStrayCutIsToldWhereItIsPierced(t *testing.T) {
	in := input(program(append(cuttings(), hole("stray", geom.Pt(270, 200), 10, full, false))...))
	f := told(t, proof.Prove(in), "stray-cut")
	if f.At == nil || *f.At != geom.Pt(270, 200) {
		t.Errorf("%+v", f)
	}
}

// A feature that is left in is no feature that may be cut.
func TestCutAlongWhatIsLeftIsStray(t *testing.T) {
	f := feature("p1.h1", "hole", "leave", geom.Circle(h1, 10))
	in := single(program(hole("p1.h1", h1, 20, full, false), frame("p1.outline", p1a, p1b, 10)), f, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)))
	wantCodes(t, proof.Prove(in), "stray-cut")
}

// A small square with a loop round each corner runs 1.7 times its lap and is no
// second lap; a small hole may be gone round nearly twice; two laps of a larger
// one are told as two.
func TestSecondLapIsToldByItsPart(t *testing.T) {
	const r, h = 5.0, kerf / 2
	a, b := geom.Pt(60, 60), geom.Pt(75, 75)
	lo, hi := a.Sub(geom.Pt(h, h)), b.Add(geom.Pt(h, h))
	m := (lo.X + hi.X) / 2
	c := cutting{"p1.outline", geom.Pt(m+3, lo.Y-5), []step{{to: geom.Pt(m, lo.Y)}}, full, false}
	for i, q := range []geom.Point{lo, {X: lo.X, Y: hi.Y}, hi, {X: hi.X, Y: lo.Y}} {
		comes, goes := []geom.Point{{X: -1}, {Y: 1}, {X: 1}, {Y: -1}}[i], []geom.Point{{Y: 1}, {X: 1}, {Y: -1}, {X: -1}}[i]
		// Straight on past the corner, three quarters round, and back to it.
		out, back := q.Add(comes.Mul(r)), q.Sub(goes.Mul(r))
		centre := out.Sub(goes.Mul(r))
		half := centre.Add(centre.Sub(q).Unit().Mul(r))
		c.way = append(c.way, step{to: q.Sub(comes.Mul(h))}, step{to: out}, step{half, centre, 1}, step{back, centre, 1}, step{to: q.Add(goes.Mul(h))})
	}
	c.way = append(c.way, step{to: geom.Pt(m, lo.Y)})
	f := feature("p1.outline", "outline", "outline", rounded(a, b, 0))
	f.Corner = proof.Corner{Turn: math.Pi / 3, Loop: r}
	if r := proof.Prove(single(program(c), f)); !r.OK {
		t.Error(show(r))
	}
	twice := func(d float64) proof.Result {
		c := hole("p1.h1", h1, d, full, false)
		c.way = append(c.way[:3:3], c.way[1:]...)
		return proof.Prove(single(program(c), feature("p1.h1", "hole", "inside", geom.Circle(h1, d/2))))
	}
	if r := twice(14); !r.OK {
		t.Error(show(r))
	}
	if f := told(t, twice(40), "cut-twice"); !strings.Contains(f.Text, "goes round its edge 2 times") {
		t.Error(f.Text)
	}
}

// Two runs along one edge, each along its own half and 3 mm into the other's
// kerf at the end, are no second cut; the same half again is one, named with
// the lines of the first.
func TestSecondRunAlongAnEdgeIsASecondCutOnlyOverTheFirst(t *testing.T) {
	const r = 20 - kerf/2
	half := func(from, over float64) cutting {
		return cutting{"p1.h1", geom.Polar(h1, r-7, from+0.35), []step{{to: geom.Polar(h1, r, from)}, {geom.Polar(h1, r, from+math.Pi), h1, 1}, {geom.Polar(h1, r, from+math.Pi+over/r), h1, 1}}, full, false}
	}
	f := feature("p1.h1", "hole", "inside", geom.Circle(h1, 20))
	for _, x := range proof.Prove(single(program(half(0, 0.01), half(math.Pi, 3)), f)).Findings {
		if x.Severity == fault.Error {
			t.Errorf("[%s] %s", x.Code, x.Text)
		}
	}
	text := program(half(0, 0.01), half(math.Pi, 3), half(0.2, 0.01))
	x := told(t, proof.Prove(single(text, f)), "cut-twice")
	if !strings.Contains(x.Text, "is cut again from line") || x.Line < len(strings.Split(string(text), "\n"))-14 {
		t.Errorf("line %d: %s", x.Line, x.Text)
	}
}

// A mark has no lead, before it or behind: either is told where it lies.
func TestLeadOfAMarkIsToldOnItsLine(t *testing.T) {
	mark := feature("p1.m1", "mark", "mark", geom.Path{V: []geom.Vertex{{P: geom.Pt(60, 150)}, {P: geom.Pt(100, 150)}}})
	on := []step{{to: geom.Pt(100, 150)}}
	for name, c := range map[string]struct {
		pierce geom.Point
		way    []step
		line   string
	}{
		"none":   {geom.Pt(60, 150), on, ""},
		"before": {geom.Pt(60, 155), append([]step{{to: geom.Pt(60, 150)}}, on...), "G1 X60.0000 Y150.0000"},
		"behind": {geom.Pt(60, 150), append(on[:1:1], step{to: geom.Pt(100, 160)}), "G1 X100.0000 Y160.0000"},
	} {
		text := program(cutting{"p1.m1", c.pierce, c.way, full, true})
		r := proof.Prove(single(text, mark))
		if c.line == "" {
			if strings.Contains(show(r), "off-edge") {
				t.Errorf("%s: %s", name, show(r))
			}
			continue
		}
		if f := told(t, r, "off-edge"); f.Line != lineAt(t, text, c.line, 0) || !strings.Contains(f.Text, "lit beside the mark") {
			t.Errorf("%s: line %d, %s", name, f.Line, f.Text)
		}
	}
}

// Wherever a loop begins: its shared side may be its first.
func TestSharedEdgeMayBeTheFirstOfItsLoop(t *testing.T) {
	for turn := range 4 {
		in := sharedInput(pair()...)
		for p := range in.Parts {
			v := in.Parts[p].Features[0].Loop.V
			in.Parts[p].Features[0].Loop.V = append(append([]geom.Vertex{}, v[turn:]...), v[:turn]...)
		}
		wantGood(t, in)
	}
}

// A lost hole is taken up 14 mm before its end: most of the short rest lies in
// the lost kerf, and is an overlap, no second cut.
func TestShortRestOfALostCutIsNoSecondCut(t *testing.T) {
	const r = 10 - kerf/2
	rest := cutting{"p1.h1", geom.Polar(h1, r-6, -14/r-0.3), []step{{to: geom.Polar(h1, r, -14/r)}, {geom.Pt(h1.X+r, h1.Y), h1, 1}, {geom.Polar(h1, r, 4/r), h1, 1}}, full, false}
	in := goesOn(lineOf("p1.h1", "G3 X", 1), program(append([]cutting{rest}, cuttings()[1:]...)...))
	in.Done.Along = math.Pi*r - 2
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// What the kerf could reach and does not is uncut, and no place too tight for it.
func TestUncutSideIsNotCalledTooTight(t *testing.T) {
	c := frame("p1.outline", p1a, p1b, 0)
	c.way = c.way[:len(c.way)-2] // the last corner and half the bottom
	r := proof.Prove(single(program(c), feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 0))))
	told(t, r, "uncut")
	if strings.Contains(show(r), "too-tight") {
		t.Error(show(r))
	}
}
