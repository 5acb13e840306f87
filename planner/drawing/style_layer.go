package drawing

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// layerName names the entities of one style, for what no layer of an SVG or
// PDF file claims: it says what the operator would point at, such as
// "black 0.25 mm dashed".
func (s Style) layerName() string {
	var b strings.Builder
	b.WriteString(colorName(s.Color))
	switch {
	case s.Filled:
		b.WriteString(" fill")
	case s.Weight > 0:
		b.WriteString(" " + unit.Number(float64(s.Weight), 2) + " mm")
	default:
		b.WriteString(" hairline")
	}
	if s.Dash {
		b.WriteString(" dashed")
	}
	return b.String()
}

// colorName says a colour in a word, or as its six digits.
func colorName(c uint32) string {
	switch c {
	case 0x000000:
		return "black"
	case 0xffffff:
		return "white"
	case 0xff0000:
		return "red"
	case 0x00ff00:
		return "green"
	case 0x0000ff:
		return "blue"
	case 0xffff00:
		return "yellow"
	case 0x00ffff:
		return "cyan"
	case 0xff00ff:
		return "magenta"
	case 0x808080:
		return "grey"
	}
	return fmt.Sprintf("#%06x", c)
}

// What dimensions, arrows and notes are told by; common practice, no source.
const (
	arrowHead    = 6.0 // mm across, at most
	arrowCorners = 5
	looseEnds    = 0.5     // part of a layer's line ends that meet no other line
	guessAtMost  = 100_000 // line ends; more are no drawing with dimensions, and cost memory
)

// guessStyles looks at the layers that stand for styles and says which look
// like dimensions or arrows. Nothing is said unless another layer is left to
// be cut.
func (b *builder) guessStyles() {
	b.endPath()
	r := &b.raw
	mm := r.Unit.MM
	if !(mm > 0) {
		mm = 1
	}
	type content struct {
		closed, arrows, ends, loose int
	}
	all := make([]content, len(r.Layers))
	grid := geom.Gap / mm
	ends, ok := r.lineEnds(grid)
	if !ok {
		return
	}
	for i := range r.items {
		it := &r.items[i]
		if it.hidden || it.n < 2 {
			continue
		}
		c := &all[it.layer]
		v := r.verts[it.first : it.first+it.n]
		if it.closed {
			c.closed++
			if r.Styles[it.style].Filled && arrowLike(v, arrowHead/mm) {
				c.arrows++
			}
			continue
		}
		for _, p := range []geom.Point{v[0].P, v[len(v)-1].P} {
			c.ends++
			if !meets(ends, p, grid) {
				c.loose++
			}
		}
	}
	left := 0
	for i, c := range all {
		l := &r.Layers[i]
		switch {
		case l.Found || l.Hidden || c.closed+c.ends == 0:
		case c.closed > 0 && c.arrows == c.closed && c.ends == 0:
			l.Guess, l.GuessWhy = job.LayerIgnore, fmt.Sprintf("all of it is filled and under %g mm across, as arrow heads are", arrowHead)
			continue
		case c.closed == 0 && float64(c.loose) > looseEnds*float64(c.ends):
			l.Guess, l.GuessWhy = job.LayerIgnore, fmt.Sprintf("%d of its %d line ends meet no other line, as in dimensions", c.loose, c.ends)
			continue
		}
		if c.closed+c.ends > 0 {
			left++
		}
	}
	if left == 0 {
		for i := range r.Layers {
			r.Layers[i].Guess, r.Layers[i].GuessWhy = "", ""
		}
	}
}

// arrowLike reports whether a closed run is a small figure of few lines.
func arrowLike(v []rawVertex, size float64) bool {
	box := geom.EmptyBox()
	for _, w := range v {
		if w.Src != 0 || w.Bulge != 0 {
			return false
		}
		box = box.Add(w.P)
	}
	return len(v) <= arrowCorners && max(box.Width(), box.Height()) <= size
}

type cell [2]int64

func cellOf(p geom.Point, size float64) cell {
	return cell{int64(p.X / size), int64(p.Y / size)}
}

// lineEnds counts the ends of open runs in each cell of a grid; not ok if
// there are too many.
func (r *Raw) lineEnds(size float64) (ends map[cell]int, ok bool) {
	ends = map[cell]int{}
	for i := range r.items {
		if it := &r.items[i]; !it.hidden && !it.closed && it.n > 1 {
			ends[cellOf(r.verts[it.first].P, size)]++
			ends[cellOf(r.verts[it.first+it.n-1].P, size)]++
		}
		if len(ends) > guessAtMost {
			return nil, false
		}
	}
	return ends, true
}

// meets reports whether another end lies in the cell of p or one beside it.
func meets(ends map[cell]int, p geom.Point, size float64) bool {
	n, c := 0, cellOf(p, size)
	for dx := int64(-1); dx <= 1; dx++ {
		for dy := int64(-1); dy <= 1; dy++ {
			n += ends[cell{c[0] + dx, c[1] + dy}]
		}
	}
	return n > 1
}
