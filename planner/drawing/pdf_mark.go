package drawing

import (
	"fmt"
)

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
