package drawing

import (
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// svgState is what an element takes over from those that hold it.
type svgState struct {
	m            affine // user units to the drawing
	fill, stroke svgPaint
	width        float64 // of the stroke, user units
	dash         bool
	visible      bool
	hidden       bool // for good: display:none, or opacity 0
	color        uint32
	font         float64 // px
	vw, vh       float64 // viewport, user units
	layer        int32   // -1: its style stands for one
}

// style returns the state inside n. ok is false if n is not drawn at all.
func (s *svgReader) style(n *svgNode, st svgState) (svgState, bool) {
	v := s.sheet.values(n)
	if v[propColor] != "" {
		st.color = parsePaint(v[propColor], svgPaint{color: st.color}, st.color).color
	}
	st.fill = parsePaint(v[propFill], st.fill, st.color)
	st.stroke = parsePaint(v[propStroke], st.stroke, st.color)
	if l, ok := parseSVGLength(v[propFontSize]); ok && l.v > 0 {
		st.font = l.px(st.font, st.font)
	}
	if l, ok := parseSVGLength(v[propStrokeWidth]); ok && l.v >= 0 {
		st.width = l.px(st.diagonal(), st.font)
	}
	if d := strings.TrimSpace(v[propDash]); d != "" && d != "inherit" {
		st.dash = strings.ContainsAny(d, "123456789")
	}
	switch strings.TrimSpace(v[propVisibility]) {
	case "visible":
		st.visible = true
	case "hidden", "collapse":
		st.visible = false
	}
	if zeroOpacity(v[propOpacity]) {
		st.hidden = true
	}
	if zeroOpacity(v[propFillOpacity]) {
		st.fill.none = true
	}
	if zeroOpacity(v[propStrokeOpacity]) {
		st.stroke.none = true
	}
	noDisplay := strings.TrimSpace(v[propDisplay]) == "none"
	if name, ok := s.layerName(n); ok && s.layers {
		st.layer = s.b.layer(name)
		if len(s.b.raw.Layers) > int(st.layer) {
			l := &s.b.raw.Layers[st.layer]
			l.Found = true
			if noDisplay && !l.Hidden {
				l.Hidden, l.Why = true, "display:none"
			}
		}
	} else if noDisplay {
		st.hidden = true
	}
	for _, k := range []svgAttr{propClip, propMask} {
		if c := strings.TrimSpace(v[k]); c != "" && c != "none" {
			s.at(n, st)
			p, ok := s.placeOf(n, st)
			s.b.note(fault.Note, "clip", "a clip path or mask is not applied: what it hides is taken all the same", "", p, ok)
		}
	}
	return s.transform(n, st, v)
}

func zeroOpacity(v string) bool {
	if v == "" {
		return false
	}
	l, ok := parseSVGLength(v)
	return ok && l.v <= 0
}

// diagonal is what per cent of no direction are of (SVG 2, 8.9).
func (st svgState) diagonal() float64 { return math.Hypot(st.vw, st.vh) / math.Sqrt2 }

func (s *svgReader) transform(n *svgNode, st svgState, v svgValues) (svgState, bool) {
	text := v[propTransform]
	if text == "" {
		text = n.value(attrTransform)
	}
	if text == "" {
		return st, true
	}
	m, ok := parseTransform(text)
	if !ok {
		s.at(n, st)
		p, ok := s.placeOf(n, st)
		s.b.note(fault.Error, "bad-transform", "the transform "+excerpt(text)+" cannot be read, so it is not drawn", "Save the drawing again without it", p, ok)
		return st, false
	}
	if o := strings.Fields(v[propTransformOrigin]); len(o) > 0 && n.name != "svg" {
		x, okX := parseSVGLength(o[0])
		y, okY := svgLength{}, true
		if len(o) > 1 {
			y, okY = parseSVGLength(o[1])
		}
		if !okX || !okY || x.unit == "%" || y.unit == "%" {
			s.at(n, st)
			s.b.note(fault.Warning, "transform-origin", "the origin of a transform, "+excerpt(v[propTransformOrigin])+", is not understood", "Check where it lies", geom.Point{}, true)
		} else {
			p := geom.Pt(x.px(st.vw, st.font), y.px(st.vh, st.font))
			m = translation(p).after(m).after(translation(p.Mul(-1)))
		}
	}
	st.m = st.m.after(m)
	return st, true
}

// corner is where an element's x and y put it, in its own coordinates.
func (s *svgReader) corner(n *svgNode, st svgState) geom.Point {
	return geom.Pt(s.length(n.value(attrX), st.vw, st, 0), s.length(n.value(attrY), st.vh, st, 0))
}

// placeOf says where an element lies, in its own coordinates: by its figures,
// else by those of the first in it that has any. ok is false if none has.
func (s *svgReader) placeOf(n *svgNode, st svgState) (p geom.Point, ok bool) {
	const within = 8 // elements within one another that are looked through
	for range within {
		for _, k := range [3][2]svgAttr{{attrX, attrY}, {attrCX, attrCY}, {attrX1, attrY1}} {
			if x, y := n.value(k[0]), n.value(k[1]); x != "" || y != "" {
				return geom.Pt(s.length(x, st.vw, st, 0), s.length(y, st.vh, st, 0)), true
			}
		}
		switch n.name {
		case "path":
			return firstPair(n.value(attrD))
		case "polygon", "polyline":
			return firstPair(n.value(attrPoints))
		case "rect", "circle", "ellipse", "line", "image", "text", "use": // at its zero
			return geom.Point{}, true
		}
		if len(n.kids) == 0 {
			return p, false
		}
		n = n.kids[0]
	}
	return p, false
}

// firstPair reads the point with which a path or a list of points begins.
func firstPair(text string) (geom.Point, bool) {
	f := strings.FieldsFunc(strings.TrimLeft(text, "Mm \t\r\n"), func(r rune) bool { return strings.ContainsRune(", \t\r\n", r) })
	if len(f) < 2 {
		return geom.Point{}, false
	}
	x, errX := strconv.ParseFloat(f[0], 64)
	y, errY := strconv.ParseFloat(f[1], 64)
	return geom.Pt(x, y), errX == nil && errY == nil
}

// excerpt is foreign text in a message, cut to what fits a line.
func excerpt(text string) string {
	r := []rune(plain.Clean(strings.Join(strings.Fields(text), " ")))
	if len(r) > 40 {
		r = append(r[:37:37], '.', '.', '.')
	}
	return `"` + string(r) + `"`
}

// layerName says whether a group is a layer: one that says so, or, in a file
// where none does, one right below the root that a person has named.
func (s *svgReader) layerName(n *svgNode) (string, bool) {
	if n.name != "g" || len(s.uses) > 0 {
		return "", false
	}
	label := n.value(attrLabel)
	if label == "" {
		label = n.value(attrDataName)
	}
	id := n.value(attrID)
	if n.value(attrGroupMode) == "layer" {
		if label == "" {
			label = id
		}
		return label, label != ""
	}
	if s.named || s.depth != 1 {
		return "", false
	}
	if label == "" && !countedID(id) {
		label = id
	}
	return label, label != ""
}

// countedID reports whether a program made the id: a short word and a number.
func countedID(id string) bool {
	word := strings.TrimRight(id, "0123456789-_.")
	switch strings.ToLower(word) {
	case "", "g", "group", "svg", "path", "svggroup", "id", "surface":
		return true
	}
	return false
}

// at tells the builder whose the next figures or notes are.
func (s *svgReader) at(n *svgNode, st svgState) {
	style := Style{Color: st.stroke.color, Weight: s.weight(st.width, st.m), Dash: st.dash}
	if st.stroke.none {
		style = Style{Color: st.fill.color, Filled: !st.fill.none}
	}
	painted := !st.stroke.none || !st.fill.none && n.name != "line"
	layer := st.layer
	if layer < 0 {
		layer = s.b.layer(style.layerName())
	}
	s.b.begin(n.name, n.line, layer, s.b.style(style), st.hidden || !st.visible || !painted)
	s.b.setTransform(st.m)
}

// kids draws what a container holds.
func (s *svgReader) kids(n *svgNode, st svgState, all bool) {
	s.depth++
	for _, k := range n.kids {
		if s.stop() {
			break
		}
		if !all { // switch: the first that makes no demand
			if _, picky := k.attr(attrRequires); picky {
				continue
			}
		}
		s.element(k, st)
		if !all {
			break
		}
	}
	s.depth--
}

// stop reports that nothing more is to be drawn: told to, or a limit passed.
func (s *svgReader) stop() bool {
	if s.steps++; s.steps&0xff == 0 && s.ctx.Err() != nil {
		return true
	}
	return s.b.blown != ""
}

func (s *svgReader) element(n *svgNode, st svgState) {
	switch n.name {
	case "defs", "symbol", "style":
		return
	}
	before := len(s.b.raw.verts)
	st, ok := s.style(n, st)
	if !ok {
		return
	}
	switch n.name {
	case "g", "a":
		s.kids(n, st, true)
		return
	case "switch":
		s.kids(n, st, false)
		return
	case "svg":
		s.nested(n, st, "", "")
		return
	case "use":
		s.use(n, st)
		return
	}
	s.shape(n, st)
	if s.b.cur.hidden && len(s.b.raw.verts) > before {
		s.b.noteHere(fault.Note, "hidden", "it is not shown: hidden, or neither stroked nor filled; left out", "", s.b.raw.verts[before].P)
	}
	if len(s.uses) > 0 {
		s.made++
		s.verts += len(s.b.raw.verts) - before
		if s.made > s.b.lim.copied {
			s.b.overLimit("elements made by use", s.b.lim.copied)
		}
		if s.verts > s.b.lim.copiedVertices {
			s.b.overLimit("vertices made by use", s.b.lim.copiedVertices)
		}
	}
}

// nested draws an inner svg element or a symbol in its viewport. w and h are
// what a use says instead of it.
func (s *svgReader) nested(n *svgNode, st svgState, w, h string) {
	if n.name == "svg" {
		st.m = st.m.after(translation(geom.Pt(s.length(n.value(attrX), st.vw, st, 0), s.length(n.value(attrY), st.vh, st, 0))))
		if w == "" {
			w = n.value(attrWidth)
		}
		if h == "" {
			h = n.value(attrHeight)
		}
	}
	vw, vh := s.length(w, st.vw, st, st.vw), s.length(h, st.vh, st, st.vh)
	if !(vw > 0) || !(vh > 0) {
		return
	}
	if box, ok := parseViewBox(n.value(attrViewBox)); ok {
		st.m = st.m.after(viewMap(0, 0, vw, vh, box, parseAspect(n.value(attrAspect))))
		vw, vh = box.w, box.h
	}
	st.vw, st.vh = vw, vh
	s.kids(n, st, true)
}

// use draws another element once more.
func (s *svgReader) use(n *svgNode, st svgState) {
	href := strings.TrimSpace(n.value(attrHref))
	id, local := strings.CutPrefix(href, "#")
	target := s.doc.byID[id]
	switch {
	case href == "":
		return
	case !local || target == nil:
		s.at(n, st)
		s.b.note(fault.Warning, "use-missing", "it refers to "+excerpt(href)+", which is not in the file", "Put it into the drawing, or delete the reference", s.corner(n, st), true)
		return
	}
	for _, u := range s.uses {
		if u == target {
			s.at(n, st)
			s.b.note(fault.Error, "use-cycle", "it refers to "+excerpt(href)+", which holds it", "Delete the reference", s.corner(n, st), true)
			return
		}
	}
	if len(s.uses) >= s.b.lim.nesting {
		s.b.overLimit("uses within one another", s.b.lim.nesting)
		return
	}
	if s.made++; s.made > s.b.lim.copied {
		s.b.overLimit("elements made by use", s.b.lim.copied)
		return
	}
	st.m = st.m.after(translation(geom.Pt(s.length(n.value(attrX), st.vw, st, 0), s.length(n.value(attrY), st.vh, st, 0))))
	s.uses = append(s.uses, target)
	switch target.name {
	case "symbol", "svg":
		if inner, ok := s.style(target, st); ok {
			s.nested(target, inner, n.value(attrWidth), n.value(attrHeight))
		}
	case "defs", "style":
	default:
		s.element(target, st)
	}
	s.uses = s.uses[:len(s.uses)-1]
}

// length reads a length of a shape; size is what per cent are of.
func (s *svgReader) length(text string, size float64, st svgState, missing float64) float64 {
	if text == "" || text == "auto" {
		return missing
	}
	l, ok := parseSVGLength(text)
	if !ok {
		return missing
	}
	return l.px(size, st.font)
}
