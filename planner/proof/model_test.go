package proof_test

import (
	"math"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A feature that is not cut may be drawn as it likes: nothing is compared with it.
func TestFeatureThatIsLeftOutNeedsNoEdge(t *testing.T) {
	open := rounded(geom.Pt(200, 100), geom.Pt(210, 110), 0)
	open.Closed = false
	for _, loop := range []geom.Path{open, {}} {
		in := input(good().text())
		in.Parts[0].Features = append(in.Parts[0].Features, feature("p1.x", "hole", "leave", loop))
		wantGood(t, in)
	}
}

// What cannot be compared is told of once, and is not said to be uncut besides.
func TestFeatureThatCannotBeComparedIsToldOfOnce(t *testing.T) {
	q := geom.Vertex{P: geom.Pt(200, 100)}
	free := feature("p1.x", "hole", "inside", geom.Circle(geom.Pt(205, 105), 5))
	free.Kerf = 0
	open := rounded(geom.Pt(200, 100), geom.Pt(210, 110), 0)
	open.Closed = false
	for name, v := range map[string]struct {
		f    proof.Feature
		code string
	}{
		"nothing":      {feature("p1.x", "hole", "inside", geom.Path{}), "no-edge"},
		"open":         {feature("p1.x", "hole", "inside", open), "no-edge"},
		"one point":    {feature("p1.x", "hole", "inside", geom.Path{Closed: true, V: []geom.Vertex{q}}), "no-edge"},
		"a mark of it": {feature("p1.x", "mark", "mark", geom.Path{V: []geom.Vertex{q, q}}), "no-edge"},
		"no number":    {feature("p1.x", "hole", "inside", geom.Circle(geom.Pt(math.NaN(), 100), 5)), "no-edge"},
		"no kerf":      {free, "no-kerf"},
	} {
		in := input(good().text())
		in.Parts[0].Features = append(in.Parts[0].Features, v.f)
		if r := proof.Prove(in); r.OK || len(r.Findings) != 1 || r.Findings[0].Code != v.code || r.Findings[0].Feature != "p1.x" {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// A mark that is missing is shown where it is drawn to begin.
func TestMissingMarkIsShownAtItsBeginning(t *testing.T) {
	line := geom.Polygon(geom.Pt(200, 100), geom.Pt(190, 120), geom.Pt(215, 110)) // clockwise
	line.Closed = false
	in := input(good().text())
	in.Parts[0].Features = append(in.Parts[0].Features, feature("p1.m1", "mark", "mark", line))
	if r := proof.Prove(in); len(r.Findings) != 1 || r.Findings[0].Code != "not-cut" || *r.Findings[0].At != geom.Pt(200, 100) {
		t.Error(show(r))
	}
}

// A blank whose outline nobody gave bounds nothing; the others keep theirs.
func TestBlankWithoutAnOutlineKeepsItsPlace(t *testing.T) {
	write := func(second geom.Point) []byte {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false))
		w.put("M0")
		w.cut(hole("p1#2.h1", second, 20, full, false))
		w.footer()
		return w.text()
	}
	in := blanks(write(geom.Pt(200, 60)), 0, 0)
	in.Stock.Shapes[0] = geom.Path{}
	wantGood(t, in)
	in.Text = write(geom.Pt(200, 95))
	in.Parts[1].Features = []proof.Feature{feature("p1#2.h1", "hole", "inside", geom.Circle(geom.Pt(200, 95), 10))}
	wantCodes(t, proof.Prove(in), "off-plate")
}
