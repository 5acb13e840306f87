package drawing

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

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
		b.note(fault.Note, "background", "a white rectangle behind the whole page left out", "", sub[0].p[0], true)
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
		b.note(fault.Note, "hidden", "it is not shown: switched off, or drawn with an opacity of 0; left out", "", sub[0].p[0], true)
	}
	if len(b.raw.items) > items && !p.onPage(&b.raw.items[items]) {
		b.raw.items[items].hidden = true
		b.note(fault.Note, "off-page", "it lies wholly outside the visible page and is left out", "", sub[0].p[0], true)
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
