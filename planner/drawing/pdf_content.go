package drawing

import (
	"context"
	"fmt"

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
