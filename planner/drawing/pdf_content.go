package drawing

import (
	"context"
	"errors"
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// pdfStates bounds saved graphics states and marked content within one
// another; ISO 32000-1, annex C, asks writers to stay under 28.
const pdfStates = 4096

// pdfState is the graphics state as far as it matters to a cut.
type pdfState struct {
	ctm             affine
	width           float64 // of lines, user units
	dash            bool
	stroke, fill    uint32
	strokeInk       bool // the colour counts ink: 1 is dark
	fillInk         bool
	noStroke, clear bool // drawn with an opacity of 0: strokes, fills
}

// pdfSeg is one step of the path under construction, already in the drawing.
type pdfSeg struct {
	op byte // m, l, c or h
	p  [3]geom.Point
}

// pdfMark is marked content that is open.
type pdfMark struct {
	layer int32 // -1: as outside
	off   bool
}

// pdfPen interprets content streams (ISO 32000-1, 8 and 14.6): paths become
// figures of the builder, everything else is left out or noted.
type pdfPen struct {
	ctx    context.Context
	d      *pdfDoc
	b      *builder
	mm     float64
	page   geom.Box // visible, in the drawing
	layers pdfLayers
	decls  int // optional content groups in the file

	st    pdfState
	saved []pdfState
	marks []pdfMark
	path  []pdfSeg
	cur   geom.Point // current point, user space
	begun geom.Point // of the subpath

	forms    []*pdfStream
	decoded  map[*pdfStream][]byte
	work     int64 // bytes of content that may still be interpreted
	made     int
	verts    int // made by forms; while one is drawn, less those that were there before
	figures  int // painted paths
	pictures int
	texts    int
	textAt   geom.Point
	unseen   bool // text rendering mode 3
	err      error
}

// run interprets one content stream.
func (p *pdfPen) run(content []byte, res pdfDict) {
	if p.work -= int64(len(content)); p.work < 0 {
		p.err = errPDFLimit{fmt.Sprintf("more than %d MB of content, forms counted as often as they are drawn", p.d.budget>>20)}
		return
	}
	l := pdfLexer{b: content}
	var nums []float64
	var objs []any
	for n := 0; p.err == nil; n++ {
		if n&0xfff == 0 && p.ctx.Err() != nil {
			p.err = p.ctx.Err()
			return
		}
		l.space()
		if l.i >= len(l.b) {
			return
		}
		c := l.b[l.i]
		if isPDFDelim(c) {
			o, _ := l.object(0)
			if _, isOp := o.(pdfOp); !isOp && len(objs) < 16 {
				objs = append(objs, o)
			}
			continue
		}
		w := l.regular()
		if c < 'A' { // digits, signs and the point; ' and " are operators
			if v, ok := pdfNumber(w); ok {
				if len(nums) < 64 {
					nums = append(nums, v)
				}
				continue
			}
		}
		switch string(w) {
		case "true", "false", "null":
			continue
		case "BI":
			p.inlineImage(&l)
		default:
			p.do(string(w), nums, objs, res)
		}
		nums, objs = nums[:0], objs[:0]
		if p.b.blown != "" {
			return
		}
	}
}

// inlineImage skips a picture in the content: BI, its dictionary, ID, data, EI.
func (p *pdfPen) inlineImage(l *pdfLexer) {
	p.picture()
	for {
		o, ok := l.object(0)
		if !ok {
			return
		}
		if o == pdfOp("ID") {
			break
		}
	}
	for l.i++; l.i+2 <= len(l.b); l.i++ {
		b := l.b
		if b[l.i] == 'E' && b[l.i+1] == 'I' && isPDFSpace(b[l.i-1]) && (l.i+2 == len(b) || isPDFSpace(b[l.i+2])) {
			l.i += 2
			return
		}
	}
	l.i = len(l.b)
}

// do carries out one operator. Operators with too few operands do nothing.
func (p *pdfPen) do(op string, v []float64, objs []any, res pdfDict) {
	if need, ok := pdfOperands[op]; ok {
		if len(v) < need {
			return
		}
		v = v[len(v)-need:] // the nearest to the operator count
	}
	pt := func(i int) geom.Point { return geom.Pt(v[i], v[i+1]) }
	switch op {
	case "m":
		p.move(pt(0))
	case "l":
		p.line(pt(0))
	case "c":
		p.curve(pt(0), pt(2), pt(4))
	case "v":
		p.curve(p.cur, pt(0), pt(2))
	case "y":
		p.curve(pt(0), pt(2), pt(2))
	case "h":
		p.closeSub()
	case "re":
		x, y, w, h := v[0], v[1], v[2], v[3]
		p.move(geom.Pt(x, y))
		p.line(geom.Pt(x+w, y))
		p.line(geom.Pt(x+w, y+h))
		p.line(geom.Pt(x, y+h))
		p.closeSub()
	case "S":
		p.paint(true, false)
	case "s":
		p.closeSub()
		p.paint(true, false)
	case "f", "F", "f*":
		p.paint(false, true)
	case "B", "B*":
		p.paint(true, true)
	case "b", "b*":
		p.closeSub()
		p.paint(true, true)
	case "n":
		p.path = p.path[:0]
	case "q":
		if len(p.saved) >= pdfStates {
			p.err = errPDFLimit{fmt.Sprintf("more than %d saved states within one another", pdfStates)}
			return
		}
		p.saved = append(p.saved, p.st)
	case "Q":
		if n := len(p.saved); n > 0 {
			p.st = p.saved[n-1]
			p.saved = p.saved[:n-1]
		}
	case "cm":
		p.st.ctm = p.st.ctm.after(affine{v[0], v[1], v[2], v[3], v[4], v[5]})
	case "w":
		p.st.width = v[0]
	case "d":
		if len(objs) > 0 {
			p.dash(objs[len(objs)-1])
		}
	case "gs":
		p.extState(objs, res)
	case "Do":
		p.xobject(objs, res)
	case "BDC":
		p.beginMark(objs, res)
	case "BMC":
		p.pushMark(pdfMark{layer: -1})
	case "EMC":
		if n := len(p.marks); n > 0 {
			p.marks = p.marks[:n-1]
		}
	case "Tm":
		p.textAt = pt(4)
	case "Td", "TD":
		p.textAt = p.textAt.Add(pt(0))
	case "BT":
		p.textAt = geom.Point{}
	case "Tr":
		p.unseen = v[0] == 3 || v[0] == 7
	case "Tj", "TJ", "'", "\"":
		p.text()
	default:
		p.color(op, v, objs)
	}
}

// pdfOperands is how many numbers an operator takes (ISO 32000-1, annex A).
var pdfOperands = map[string]int{
	"m": 2, "l": 2, "c": 6, "v": 4, "y": 4, "re": 4, "cm": 6, "w": 1,
	"g": 1, "G": 1, "rg": 3, "RG": 3, "k": 4, "K": 4, "Tm": 6, "Td": 2, "TD": 2, "Tr": 1,
}

func (p *pdfPen) add(op byte, q ...geom.Point) {
	s := pdfSeg{op: op}
	for i, x := range q {
		s.p[i] = p.st.ctm.apply(x)
	}
	if len(p.path) >= p.b.lim.vertices {
		p.b.overLimit("vertices", p.b.lim.vertices)
		return
	}
	p.path = append(p.path, s)
}

func (p *pdfPen) move(q geom.Point) {
	if n := len(p.path); n > 0 && p.path[n-1].op == 'm' { // of two in a row the last counts
		p.path = p.path[:n-1]
	}
	p.add('m', q)
	p.cur, p.begun = q, q
}

func (p *pdfPen) line(q geom.Point) {
	if len(p.path) == 0 {
		return
	}
	p.resume()
	p.add('l', q)
	p.cur = q
}

func (p *pdfPen) curve(a, b, q geom.Point) {
	if len(p.path) == 0 {
		return
	}
	p.resume()
	p.add('c', a, b, q)
	p.cur = q
}

// resume begins a new subpath where the last one was closed.
func (p *pdfPen) resume() {
	if p.path[len(p.path)-1].op == 'h' {
		p.add('m', p.cur)
		p.begun = p.cur
	}
}

func (p *pdfPen) closeSub() {
	if n := len(p.path); n > 0 && p.path[n-1].op != 'h' {
		p.add('h')
		p.cur = p.begun
	}
}

func (p *pdfPen) dash(o any) {
	p.st.dash = false
	a, _ := o.(pdfArray)
	for _, x := range a {
		if v, ok := x.(float64); ok && v > 0 {
			p.st.dash = true
		}
	}
}

// extState takes line width, dashes and opacity from a parameter dictionary.
func (p *pdfPen) extState(objs []any, res pdfDict) {
	dict, ok := p.named(objs, res, "ExtGState").(pdfDict)
	if !ok {
		return
	}
	if v, ok := p.d.get(dict["LW"]).(float64); ok {
		p.st.width = v
	}
	if a, ok := p.d.get(dict["D"]).(pdfArray); ok && len(a) > 0 {
		p.dash(p.d.get(a[0]))
	}
	if v, ok := p.d.get(dict["CA"]).(float64); ok {
		p.st.noStroke = v <= 0
	}
	if v, ok := p.d.get(dict["ca"]).(float64); ok {
		p.st.clear = v <= 0
	}
}

// named looks up the resource that the last operand names.
func (p *pdfPen) named(objs []any, res pdfDict, category pdfName) any {
	if len(objs) == 0 {
		return nil
	}
	name, ok := objs[len(objs)-1].(pdfName)
	if !ok {
		return nil
	}
	dict, _ := p.d.get(res[category]).(pdfDict)
	return p.d.get(dict[name])
}

// xobject draws a form, or notes a picture.
func (p *pdfPen) xobject(objs []any, res pdfDict) {
	s, ok := p.named(objs, res, "XObject").(*pdfStream)
	if !ok {
		return
	}
	switch p.d.get(s.dict["Subtype"]) {
	case pdfName("Image"):
		p.picture()
		return
	case pdfName("Form"):
	default:
		return
	}
	for _, f := range p.forms {
		if f == s {
			p.tag("form")
			p.b.note(fault.Error, "form-cycle", "a form draws itself", "Print the drawing to a new PDF", geom.Point{}, false)
			return
		}
	}
	lim := &p.b.lim
	if len(p.forms) >= lim.nesting {
		p.b.overLimit("forms within one another", lim.nesting)
		return
	}
	if p.made++; p.made > lim.copied {
		p.b.overLimit("forms drawn", lim.copied)
		return
	}
	content, ok := p.decoded[s]
	if !ok {
		var err error
		if content, err = p.d.decode(s); err != nil {
			p.brokenStream(err)
		}
		p.decoded[s] = content
	}
	before, saved, marks := p.st, len(p.saved), len(p.marks)
	if name, off, is := p.d.group(p.layers, s.dict["OC"]); is {
		p.pushMark(p.markOf(name, off))
	}
	if a, ok := p.d.get(s.dict["Matrix"]).(pdfArray); ok && len(a) >= 6 {
		var m [6]float64
		for i := range m {
			m[i], _ = p.d.get(a[i]).(float64)
		}
		p.st.ctm = p.st.ctm.after(affine{m[0], m[1], m[2], m[3], m[4], m[5]})
	}
	if own, ok := p.d.get(s.dict["Resources"]).(pdfDict); ok {
		res = own
	}
	path := p.path
	p.path = nil
	p.forms = append(p.forms, s)
	if len(p.forms) == 1 { // outermost: inner ones are part of it
		p.verts -= len(p.b.raw.verts)
	}
	p.run(content, res)
	if p.verts+len(p.b.raw.verts) > lim.copiedVertices {
		p.b.overLimit("vertices made by forms", lim.copiedVertices)
	}
	if len(p.forms) == 1 {
		p.verts += len(p.b.raw.verts)
	}
	p.forms = p.forms[:len(p.forms)-1]
	p.path = path
	p.st, p.saved, p.marks = before, p.saved[:min(saved, len(p.saved))], p.marks[:min(marks, len(p.marks))]
}

// brokenStream notes a stream that gives less than it should, or ends it all.
func (p *pdfPen) brokenStream(err error) {
	if errors.As(err, new(errPDFLimit)) {
		p.err = err
		return
	}
	p.tag("stream")
	p.b.note(fault.Error, "broken-stream", err.Error()+"; what could be read of it is shown", "Save the PDF again from the program that made it", geom.Point{}, false)
}

// beginMark opens marked content; optional content is a layer.
func (p *pdfPen) beginMark(objs []any, res pdfDict) {
	m := pdfMark{layer: -1}
	if len(objs) >= 2 && objs[len(objs)-2] == pdfName("OC") {
		if name, isName := objs[len(objs)-1].(pdfName); isName {
			props, _ := p.d.get(res["Properties"]).(pdfDict)
			if text, off, ok := p.d.group(p.layers, props[name]); ok {
				m = p.markOf(text, off)
			}
		}
	}
	p.pushMark(m)
}

func (p *pdfPen) pushMark(m pdfMark) {
	if len(p.marks) >= pdfStates {
		p.err = errPDFLimit{fmt.Sprintf("more than %d marked contents within one another", pdfStates)}
		return
	}
	p.marks = append(p.marks, m)
}

// markOf makes the layer of an optional content group. One group is no
// choice: then styles stand for layers, and the group only hides.
func (p *pdfPen) markOf(name string, off bool) pdfMark {
	if p.decls < 2 {
		return pdfMark{layer: -1, off: off}
	}
	i := p.b.layer(name)
	if int(i) < len(p.b.raw.Layers) {
		l := &p.b.raw.Layers[i]
		l.Found = true
		if off && !l.Hidden {
			l.Hidden, l.Why = true, "off"
		}
	}
	return pdfMark{layer: i}
}

// where returns the innermost layer, -1 if there is none, and whether
// anything around hides what is drawn.
func (p *pdfPen) where() (layer int32, hidden bool) {
	layer = -1
	for _, m := range p.marks {
		if m.layer >= 0 {
			if layer >= 0 && layer != m.layer && p.b.raw.Layers[layer].Hidden {
				hidden = true // a layer inside one that is off
			}
			layer = m.layer
		}
		hidden = hidden || m.off
	}
	return layer, hidden
}

// tag tells the builder whose the next notes are.
func (p *pdfPen) tag(typ string) {
	layer, hidden := p.where()
	if layer < 0 {
		layer = p.b.layer(Style{Filled: true}.layerName())
	}
	p.b.begin(typ, 0, layer, 0, hidden)
}

func (p *pdfPen) text() {
	if p.unseen {
		return
	}
	if _, hidden := p.where(); hidden {
		return
	}
	p.texts++
	p.tag("text")
	p.b.note(fault.Note, "text", "text is not cut", "Convert it to outlines in the drawing program if it is meant to be cut", p.st.ctm.apply(p.textAt), true)
}

func (p *pdfPen) picture() {
	p.pictures++
	p.tag("picture")
	p.b.note(fault.Note, "picture", "a picture is not cut", "Trace it in the drawing program if it is meant to be cut", p.st.ctm.apply(geom.Point{}), true)
}

// paint hands the path to the builder, each subpath as a figure of its own.
func (p *pdfPen) paint(stroke, fill bool) {
	path := p.path
	p.path = p.path[:0]
	stroke, fill = stroke && !p.st.noStroke, fill && !p.st.clear
	layer, hidden := p.where()
	style := Style{Color: p.st.stroke, Dash: p.st.dash, Weight: p.weight()}
	if !stroke {
		style = Style{Color: p.st.fill, Filled: true}
	}
	if !stroke && !fill {
		hidden = true
	}
	if layer < 0 {
		layer = p.b.layer(style.layerName())
	}
	s := p.b.style(style)
	for i := 0; i < len(path); {
		k := i + 1
		for k < len(path) && path[k].op != 'm' {
			k++
		}
		p.figure(path[i:k], layer, s, hidden, !stroke)
		i = k
	}
}

// figure draws one subpath: a move and what follows it.
func (p *pdfPen) figure(sub []pdfSeg, layer, style int32, hidden, closing bool) {
	b := p.b
	closed := closing
	if sub[len(sub)-1].op == 'h' {
		closed = true
		sub = sub[:len(sub)-1]
	}
	if len(sub) < 2 {
		return // a move alone paints nothing that could be cut
	}
	if closing && p.background(sub) {
		b.begin("path", 0, layer, style, hidden)
		b.note(fault.Note, "background", "a white rectangle behind the whole page left out", "", geom.Point{}, false)
		return
	}
	items := len(b.raw.items)
	b.begin("path", 0, layer, style, hidden)
	at := sub[0].p[0]
	b.moveTo(at)
	for _, s := range sub[1:] {
		if s.op == 'l' {
			b.lineTo(s.p[0])
			at = s.p[0]
		} else {
			b.smoothTo(at, s.p[0], s.p[1], s.p[2])
			at = s.p[2]
		}
	}
	if closed {
		if at == sub[0].p[0] { // it has come back by itself
			b.dropLast()
		}
		b.closePath()
	}
	b.endPath()
	p.figures++
	if hidden {
		b.note(fault.Note, "hidden", "it is not shown: switched off, or drawn with an opacity of 0; left out", "", geom.Point{}, false)
	}
	if len(b.raw.items) > items && !p.onPage(&b.raw.items[items]) {
		b.raw.items[items].hidden = true
		b.note(fault.Note, "off-page", "it lies wholly outside the visible page and is left out", "", geom.Point{}, false)
	}
}

// background reports whether a filled subpath is a white sheet under the page.
func (p *pdfPen) background(sub []pdfSeg) bool {
	if p.st.fill != 0xffffff || len(sub) > 5 {
		return false
	}
	box := geom.EmptyBox()
	for _, s := range sub {
		if s.op == 'c' {
			return false
		}
		box = box.Add(s.p[0])
	}
	room := (p.page.Width() + p.page.Height()) / 100
	return box.Grow(room).Encloses(p.page)
}

// onPage reports whether any part of the item may be seen.
func (p *pdfPen) onPage(it *item) bool {
	box := geom.EmptyBox()
	for _, v := range p.b.raw.verts[it.first : it.first+it.n] {
		box = box.Add(v.P)
		if v.Src != 0 {
			box = p.b.raw.curveBox(box, p.b.raw.curves[v.Src-1])
		}
	}
	return box.Overlaps(p.page.Grow(geom.Join / p.mm))
}

// weight is the true width of a line, mm, told apart by the hundredth.
func (p *pdfPen) weight() float32 {
	w := p.st.width * math.Sqrt(math.Abs(p.st.ctm.det())) * p.mm
	if !(w > 0) || w > 1e6 {
		return 0
	}
	return float32(math.Round(w*100) / 100)
}

// color follows the colour operators (8.6.8). Separations and patterns count
// as ink: 1 is dark.
func (p *pdfPen) color(op string, v []float64, objs []any) {
	c, ink := &p.st.fill, &p.st.fillInk
	switch op {
	case "G", "RG", "K", "CS", "SC", "SCN":
		c, ink = &p.st.stroke, &p.st.strokeInk
	}
	switch op {
	case "g", "G":
		*c, *ink = grayColor(v[0]), false
	case "rg", "RG":
		*c, *ink = rgbColor(v[0], v[1], v[2]), false
	case "k", "K":
		*c, *ink = cmykColor(v), false
	case "cs", "CS":
		*c, *ink = 0, true
		if len(objs) > 0 {
			switch objs[len(objs)-1] {
			case pdfName("DeviceGray"), pdfName("CalGray"), pdfName("G"):
				*ink = false
			}
		}
	case "sc", "SC", "scn", "SCN":
		switch len(v) {
		case 1:
			if *ink {
				v[0] = 1 - v[0]
			}
			*c = grayColor(v[0])
		case 3:
			*c = rgbColor(v[0], v[1], v[2])
		case 4:
			*c = cmykColor(v)
		}
	}
}

func grayColor(v float64) uint32 { return rgbColor(v, v, v) }

func rgbColor(r, g, b float64) uint32 {
	ch := func(v float64) uint32 { return uint32(math.Round(255 * min(1, max(0, v)))) }
	return ch(r)<<16 | ch(g)<<8 | ch(b)
}

func cmykColor(v []float64) uint32 {
	return rgbColor((1-v[0])*(1-v[3]), (1-v[1])*(1-v[3]), (1-v[2])*(1-v[3]))
}
