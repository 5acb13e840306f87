package report

import (
	"fmt"
	"html"
	"math"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// Picture is a job as it lies on the stock, mm from XY zero, Y up.
type Picture struct {
	Box     geom.Box // all that is shown
	Strokes []Stroke
	Labels  []Label
	Zero    geom.Point
}

// Stroke is one path and what it stands for.
type Stroke struct {
	Kind StrokeKind
	Path geom.Path
}

// StrokeKind says what a path stands for, and so how it is drawn.
type StrokeKind int

const (
	StrokeStock StrokeKind = iota
	StrokeEdge             // of a finished part
	StrokeHold             // height is held
	StrokeCut              // the torch, arc on
	StrokeLead             // the same, in scrap
	StrokeRapid            // the torch, arc off
)

// strokes are told apart by width and dashes alone, so that a printer without
// colours will do. Widths in mm on paper.
var strokes = [...]struct{ class, style, name string }{
	StrokeStock: {"stock", "stroke-width:0.5", "stock"},
	StrokeEdge:  {"edge", "stroke-width:0.1", "edge of the part"},
	StrokeHold:  {"hold", "stroke-width:0.9;stroke:#999", "height held"},
	StrokeCut:   {"cut", "stroke-width:0.3", "cut"},
	StrokeLead:  {"lead", "stroke-width:0.3;stroke-dasharray:0.8 0.4", "lead"},
	StrokeRapid: {"rapid", "stroke-width:0.12;stroke-dasharray:0.3 0.7", "rapid"},
}

// Label is text at a place.
type Label struct {
	At   geom.Point
	Text string
}

// Scales are the reductions that a setup sheet may have.
var scales = []float64{1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 500, 1000}

// scaleFor returns the least reduction at which a box fits into w x h mm.
func scaleFor(b geom.Box, w, h float64) float64 {
	for _, s := range scales {
		if b.Width() <= w*s && b.Height() <= h*s {
			return s
		}
	}
	return max(b.Width()/w, b.Height()/h)
}

// paper turns places on the stock into places on paper, mm, Y down.
type paper struct {
	box   geom.Box
	scale float64
	x, y  float64 // of the picture's upper left corner
}

func (p paper) at(q geom.Point) (x, y string) {
	return num(p.x + (q.X-p.box.Min.X)/p.scale), num(p.y + (p.box.Max.Y-q.Y)/p.scale)
}

// num prints a length on paper: a hundredth of a mm is finer than any printer.
func num(v float64) string {
	s := fmt.Sprintf("%.3f", v)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// path writes a path as the d of an SVG path. Arcs stay arcs: counter-clockwise
// with Y up is sweep 0 with Y down.
func (p paper) path(w *strings.Builder, path geom.Path) {
	path = path.SplitArcs()
	for i := range path.NumSegs() {
		s := path.Seg(i)
		if i == 0 {
			x, y := p.at(s.A)
			fmt.Fprintf(w, "M%s %s", x, y)
		}
		x, y := p.at(s.B)
		if !s.IsArc() {
			fmt.Fprintf(w, "L%s %s", x, y)
			continue
		}
		sweep := 0
		if s.Bulge < 0 {
			sweep = 1
		}
		r := num(math.Max(s.Radius()/p.scale, 0.001))
		fmt.Fprintf(w, "A%s %s 0 0 %d %s %s", r, r, sweep, x, y)
	}
	if path.Closed {
		w.WriteByte('Z')
	}
}

// group draws the picture into a box of w x h mm on paper, its upper left
// corner at x, y. It returns the reduction and the height that it takes up.
func (pic *Picture) group(out *strings.Builder, x, y, w, h float64) (scale, height float64) {
	scale = scaleFor(pic.Box, w, h)
	p := paper{box: pic.Box, scale: scale, x: x + (w-pic.Box.Width()/scale)/2, y: y}
	out.WriteString(`<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">` + "\n")
	for kind := range strokes {
		for _, s := range pic.Strokes {
			if int(s.Kind) != kind || s.Path.NumSegs() == 0 {
				continue
			}
			fmt.Fprintf(out, `<path class="%s" style="%s" d="`, strokes[kind].class, strokes[kind].style)
			p.path(out, s.Path)
			out.WriteString("\"/>\n")
		}
	}
	zx, zy := p.at(pic.Zero)
	fmt.Fprintf(out, `<path class="zero" style="stroke-width:0.3" d="M%s %sh6m-1.5 -0.8l1.5 0.8l-1.5 0.8M%s %sv-6m-0.8 1.5l0.8 -1.5l0.8 1.5"/>`+"\n", zx, zy, zx, zy)
	out.WriteString("</g>\n")
	size := 2.2
	if len(pic.Labels) > 200 {
		size = 1.4
	}
	fmt.Fprintf(out, `<g font-family="sans-serif" font-size="%s" text-anchor="middle" stroke="#fff" stroke-width="0.5" paint-order="stroke" fill="#000">`+"\n", num(size))
	for _, l := range pic.Labels {
		lx, ly := p.at(l.At)
		fmt.Fprintf(out, `<text class="n" x="%s" y="%s" dy="%s">%s</text>`+"\n", lx, ly, num(-0.25*size), escape(l.Text))
	}
	out.WriteString("</g>\n")
	return scale, pic.Box.Height() / scale
}

// legend draws one sample of every stroke.
func legend(out *strings.Builder, x, y float64) {
	for _, s := range strokes {
		fmt.Fprintf(out, `<path fill="none" stroke="#000" style="%s" d="M%s %sh7"/><text x="%s" y="%s">%s</text>`+"\n", s.style, num(x), num(y-0.7), num(x+8), num(y), s.name)
		x += 13 + 1.3*float64(len(s.name))
	}
}

// escape makes foreign text harmless in SVG and HTML.
func escape(s string) string { return html.EscapeString(plain.Clean(s)) }
