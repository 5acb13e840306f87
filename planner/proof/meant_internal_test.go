package proof

import (
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner/geom"
)

// node is a line of a drawing that is made by laying lines into lines.
type node struct {
	line Line
	in   *node
}

// layInto draws lines into a square of the side given: none, or up to four in
// its quarters.
func layInto(rt *rapid.T, in *node, at geom.Point, side float64, deep int, out *[]*node) {
	for k := range 4 {
		if rapid.IntRange(0, 2).Draw(rt, "there") == 0 {
			continue
		}
		h := side / 2
		low := at.Add(geom.Pt(float64(k%2)*h, float64(k/2)*h))
		n := &node{in: in, line: Line{Mark: rapid.IntRange(0, 3).Draw(rt, "mark") == 0}}
		mid := low.Add(geom.Pt(h/2, h/2))
		if deep > 0 || rapid.Bool().Draw(rt, "round") {
			n.line.Loop = geom.Circle(mid, 0.45*h)
		} else {
			a := 0.45 * h
			n.line.Loop = geom.Polygon(mid.Add(geom.Pt(-a, -a)), mid.Add(geom.Pt(a, -a)), mid.Add(geom.Pt(a, a)), mid.Add(geom.Pt(-a, a)))
		}
		*out = append(*out, n)
		if deep < 3 {
			layInto(rt, n, mid.Sub(geom.Pt(0.3*h, 0.3*h)), 0.6*h, deep+1, out)
		}
	}
}

// Every line is of the part that the outermost line round it is, by how the
// drawing was made; a mark has nothing in it.
func TestLinesAreOfThePartThatTheyWereDrawnInto(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var all []*node
		layInto(rt, nil, geom.Pt(-30, 10), 200, 0, &all)
		all = rapid.Permutation(all).Draw(rt, "order")
		lines := make([]Line, len(all))
		number, parts := map[*node]int{}, 0
		outermost := func(n *node) (out *node) {
			for o := n.in; o != nil; o = o.in {
				if !o.line.Mark {
					out = o
				}
			}
			return out
		}
		for i, n := range all {
			lines[i] = n.line
			if outermost(n) == nil && !n.line.Mark {
				parts++
				number[n] = parts
			}
		}
		d := sorted(lines)
		if d.parts != parts {
			rt.Fatalf("%d parts, want %d", d.parts, parts)
		}
		for i, n := range all {
			want := number[n]
			if o := outermost(n); o != nil {
				want = number[o]
			}
			if d.part[i] != want {
				rt.Fatalf("line %d is of part %d, want %d", i, d.part[i], want)
			}
		}
	})
}

// Lines may touch: what lies on the edge says nothing, the rest by its majority.
func TestLineThatTouchesIsInsideOrNot(t *testing.T) {
	ell := geom.Polygon(geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 20), geom.Pt(20, 20), geom.Pt(20, 60), geom.Pt(0, 60))
	box := func(x0, y0, x1, y1 float64) geom.Path {
		return geom.Polygon(geom.Pt(x0, y0), geom.Pt(x1, y0), geom.Pt(x1, y1), geom.Pt(x0, y1))
	}
	for _, c := range []struct {
		name  string
		outer geom.Path
		inner geom.Path
		has   bool
	}{
		{"well inside", ell, box(5, 5, 15, 15), true},
		{"in the notch, on two edges of it", ell, box(20, 20, 60, 60), false},
		{"an end of the leg, on three edges", ell, box(0, 40, 20, 60), true},
		{"an end of the foot, on three edges", ell, box(40, 0, 60, 20), true},
		{"on three edges of a box, the right of it left out", box(0, 0, 50, 30), box(0, 0, 40, 30), true},
		{"the left of it left out", box(0, 0, 50, 30), box(10, 0, 50, 30), true},
		{"the upper side left out", box(0, 0, 50, 30), box(0, 0, 50, 20), true},
		{"the lower side left out", box(0, 0, 50, 30), box(0, 10, 50, 30), true},
		{"half in, half out", box(0, 0, 50, 30), box(10, 20, 20, 40), false},
		{"beside it", box(0, 0, 50, 30), box(50, 0, 60, 30), false},
	} {
		l := &loop{edge: newPieces(piecesOf(c.outer)), box: c.outer.Box(), closed: true}
		o := &loop{edge: newPieces(piecesOf(c.inner)), box: c.inner.Box(), closed: true}
		if l.has(o) != c.has {
			t.Errorf("%s: %v", c.name, !c.has)
		}
	}
}
