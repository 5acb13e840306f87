package drawing

import (
	"errors"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

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
			p.b.note(fault.Error, "form-cycle", "a form draws itself", "Print the drawing to a new PDF", p.st.ctm.apply(geom.Point{}), true)
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
	p.b.note(fault.Error, "broken-stream", err.Error()+"; what could be read of it is shown", "Save the PDF again from the program that made it", p.st.ctm.apply(geom.Point{}), true)
}
