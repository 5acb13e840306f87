package drawing

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// readSVG reads SVG 2 as far as it can be cut: shapes and paths with their
// transforms, in the units of the root's viewBox, Y up. Text and pictures are
// noted. Nothing outside the file is ever opened.
func readSVG(ctx context.Context, data []byte, name plain.Text, page int) (*Raw, fault.List) {
	doc, line, err := parseSVG(ctx, data)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctxFault(ctx, name)
		}
		return nil, svgFault(name, line, err)
	}
	b := newBuilder(FormatSVG, name)
	b.sized(len(data))
	s := svgReader{ctx: ctx, doc: doc, b: b}
	if err := s.sheets(doc.root); err != nil {
		return nil, svgFault(name, doc.root.line, err)
	}
	seen := map[string]bool{}
	s.depth = 1
	s.countLayers(doc.root, seen)
	s.depth, s.layers = 0, len(seen) > 1
	s.draw()
	if ctx.Err() != nil {
		return nil, ctxFault(ctx, name)
	}
	b.roundBeziers()
	b.guessStyles()
	return b.done()
}

// svgFault turns what parsing ended with into a fault.
func svgFault(name plain.Text, line int, err error) fault.List {
	var l fault.List
	at := fault.Where{File: name.String(), Line: line}
	var limit errSVGLimit
	if errors.As(err, &limit) {
		l.Errorf(at, "limit", "Split the drawing or take away what is not to be cut", "the drawing has %v", limit)
		return l
	}
	what := plain.Clean(err.Error())
	what = strings.TrimPrefix(what, fmt.Sprintf("XML syntax error on line %d: ", line))
	l.Errorf(at, "broken-xml", "Save the drawing again from the program that made it", "the file is not whole: %s", what)
	return l
}

// svgReader draws a document.
type svgReader struct {
	ctx    context.Context
	doc    *svgDoc
	b      *builder
	sheet  svgSheet
	mm     float64 // in one unit of the drawing
	named  bool    // some group says that it is a layer
	layers bool    // there are layers to choose from; otherwise styles stand for them
	uses   []*svgNode
	depth  int
	made   int // elements made by use
	verts  int // and their vertices
	steps  int
}

// sheets reads every style element.
func (s *svgReader) sheets(n *svgNode) error {
	if n.name == "style" && (n.value(attrType) == "" || n.value(attrType) == "text/css") {
		if err := s.sheet.read(n.text); err != nil {
			return err
		}
	}
	if n.value(attrGroupMode) == "layer" {
		s.named = true
	}
	for _, k := range n.kids {
		if err := s.sheets(k); err != nil {
			return err
		}
	}
	return nil
}

// countLayers adds the names of layers below n until there are two, which is
// when they are a choice.
func (s *svgReader) countLayers(n *svgNode, seen map[string]bool) {
	for _, k := range n.kids {
		if name, ok := s.layerName(k); ok {
			seen[foldName(name)] = true
		}
		if len(seen) < 2 {
			s.depth++
			s.countLayers(k, seen)
			s.depth--
		}
	}
}

// draw works out the root's viewport and walks the tree.
func (s *svgReader) draw() {
	root := s.doc.root
	box, hasBox := parseViewBox(root.value(attrViewBox))
	w, okW := parseSVGLength(root.value(attrWidth))
	h, okH := parseSVGLength(root.value(attrHeight))
	okW, okH = okW && w.v > 0, okH && h.v > 0
	const font = 16 // px, the usual size of text that nothing sets (CSS Fonts, medium)
	px := func(l svgLength, ok bool, size float64) float64 {
		if !ok || l.unit == "%" {
			return size
		}
		return l.px(size, font)
	}
	if !hasBox { // user units are px
		box = svgBox{0, 0, px(w, okW, 300), px(h, okH, 150)} // a replaced element's size (CSS 2, 10.3.2)
	}
	vw, vh := px(w, okW, box.w), px(h, okH, box.h)
	switch fixW, fixH := okW && w.unit != "%", okH && h.unit != "%"; {
	case fixW && !fixH: // the other side by the viewBox (CSS 2, 10.6.2)
		vh = vw * box.h / box.w
	case fixH && !fixW:
		vw = vh * box.w / box.h
	}
	// As large as it is shown: one unit of the drawing is one of the viewBox
	// along X.
	m := viewMap(0, 0, vw, vh, box, parseAspect(root.value(attrAspect)))
	k := 1 / m.a
	m = scaling(k, k).after(m)
	s.mm = m.a * unit.MMPerInch / pxPerInch / k
	// Y up, zero at the lower left of the page.
	m = translation(geom.Pt(0, vh*k)).after(scaling(1, -1)).after(m)
	s.unit(w, h, okW, okH, hasBox)
	if !m.finite() || !(s.mm > 0) {
		s.b.noteOn(fault.Error, "bad-number", "svg", -1, "a page size that cannot be", "Set the page size of the drawing and save it again", place{line: root.line})
		return
	}
	st := svgState{m: m, stroke: svgPaint{none: true}, width: 1, visible: true, font: font, vw: box.w, vh: box.h, layer: -1}
	if st, ok := s.style(root, st); ok {
		s.kids(root, st, true)
	}
	s.missedRules()
}

// unit says what one unit of the drawing is, and doubts it where the file
// only has px: programs before about 2016 took 90 to the inch, some 72.
func (s *svgReader) unit(w, h svgLength, okW, okH, hasBox bool) {
	u := FileUnit{MM: s.mm, System: unit.MM, Name: "1/96 in"}
	u.Source = "no size in it: 96 px to the inch are taken"
	said := svgLength{}
	if okW && svgInches(w.unit) > 0 {
		said = w
		u.Source = "width " + unit.Number(w.v, 4) + " " + w.unit
	} else if okH && svgInches(h.unit) > 0 {
		said = h
		u.Source = "height " + unit.Number(h.v, 4) + " " + h.unit
	}
	switch said.unit {
	case "in", "pt", "pc":
		u.System = unit.Inch
	}
	if said.unit != "" && hasBox {
		u.Name = unit.Number(s.mm, 6) + " mm"
		s.b.raw.Unit = u
		return
	}
	if said.unit != "" {
		u.Source += " without a viewBox: 96 px to the inch are taken"
	} else if okW || okH {
		u.Source = "size in px: 96 to the inch are taken"
	}
	what := "the file does not give its true size (" + u.Source + ")"
	switch dpi := s.oldPixels(); dpi {
	case 90:
		what += ", but the program that wrote it meant 90, which would make it 1.0667 times as large"
	case 72:
		what += ", but the program that wrote it means 72, which would make it 1.3333 times as large"
	default:
		what += "; older programs meant 90 (1.0667 times as large) or 72 (1.3333 times)"
	}
	u.Doubt = what
	s.b.raw.Unit = u
}

// oldPixels guesses px to the inch from the program that wrote the file:
// Inkscape before 0.92 used 90, Illustrator uses 72 (from memory). 0: no idea.
func (s *svgReader) oldPixels() int {
	if _, v, ok := strings.Cut(s.doc.maker, "Inkscape "); ok {
		v, _, _ = strings.Cut(strings.TrimSpace(v), " ")
		if f, err := strconv.ParseFloat(v, 64); err == nil && f < 0.92 {
			return 90
		}
	}
	if strings.Contains(s.doc.maker, "Adobe Illustrator") {
		return 72
	}
	return 0
}

func (s *svgReader) missedRules() {
	if s.sheet.missed > 0 {
		s.b.noteOn(fault.Warning, "style-rules", "style", -1,
			fmt.Sprintf("%d style rules have selectors that are not understood; what they hide is taken all the same", s.sheet.missed),
			"Look whether anything is there that should not be cut", place{})
	}
}

// weight is the true width of a line drawn under m, mm.
func (s *svgReader) weight(width float64, m affine) float32 {
	w := width * math.Sqrt(math.Abs(m.det())) * s.mm
	if !(w > 0) || w > 1e6 {
		return 0
	}
	// Told apart by the hundredth: transforms leave rounding behind.
	return float32(math.Round(w*100) / 100)
}
