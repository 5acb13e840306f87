package drawing

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// block is a BLOCK, read in its own axes.
type block struct {
	name     plain.Text
	base     geom.Point
	from, to int // items of dxf.blk
	notes    []note
	inserts  []insert
	xref     plain.Text // file that it stands for; empty for a block of this file
	isXref   bool
}

// insert is an INSERT: where a block goes.
type insert struct {
	key      string // of the block
	name     plain.Text
	line     int
	layer    int32
	style    int32
	hidden   bool
	m        affine // from the block's axes, base point at zero, to those around
	cols     int
	rows     int
	col, row geom.Point // steps of an array
}

// blockSection reads BLOCKS.
func (d *dxf) blockSection() {
	for d.next() {
		if d.code != 0 {
			continue
		}
		switch string(d.str()) {
		case "ENDSEC":
			return
		case "EOF", "SECTION":
			d.back()
			return
		case "BLOCK":
			d.readBlock()
		}
	}
}

// readBlock: 2 name, 10 20 base point, 70 flags (4 external reference, 8 its
// overlay), 1 path of the external file.
func (d *dxf) readBlock() {
	k := &block{}
	d.badNum = false
	key := ""
	for d.next() && d.code != 0 {
		switch d.code {
		case 2:
			s := d.names.decode(d.str())
			k.name, key = plain.Of(s), foldName(s)
		case 10:
			k.base.X = d.num()
		case 20:
			k.base.Y = d.num()
		case 70:
			k.isXref = d.whole()&(4|8) != 0
		case 1:
			k.xref = plain.Of(d.names.decode(d.str()))
		}
	}
	if d.code == noCode {
		return
	}
	d.back()
	if d.badNum {
		d.out.noteOn(fault.Error, "bad-number", "BLOCK", -1, fmt.Sprintf("base point %q is not a number", plain.Clean(string(d.badVal[:min(len(d.badVal), 40)]))),
			"Export the drawing again", place{line: d.badAt})
	}
	k.from = len(d.blk.raw.items)
	d.inBlk, d.to = k, d.blk
	d.entities("ENDBLK")
	d.blk.endPath()
	d.inBlk, d.to = nil, d.out
	k.to = len(d.blk.raw.items)
	k.notes = slices.Clone(d.blk.raw.notes)
	d.blk.raw.notes = d.blk.raw.notes[:0]
	clear(d.blk.noteOf)
	if _, taken := d.blocks[key]; !taken && len(d.blocks) < d.out.lim.items {
		d.blocks[key] = k
	}
}

// readInsert: 2 block name, 10 20 30 place in the entity's own axes, 41 42 43
// scales, 50 turn in degrees, 70 71 columns and rows, 44 45 their spacing.
func (d *dxf) readInsert() {
	e := d.start("INSERT")
	ins := insert{line: e.line, cols: 1, rows: 1}
	var p point3
	sx, sy, turn, dx, dy := 1.0, 1.0, 0.0, 0.0, 0.0
	for d.next() && d.code != 0 {
		switch d.code {
		case 2:
			s := d.names.decode(d.str())
			ins.key, ins.name = foldName(s), plain.Of(s)
		case 10, 20, 30:
			p[d.code/10-1] = d.num()
		case 41:
			sx = d.num()
		case 42:
			sy = d.num()
		case 50:
			turn = d.num()
		case 70:
			ins.cols = max(1, d.whole())
		case 71:
			ins.rows = max(1, d.whole())
		case 44:
			dx = d.num()
		case 45:
			dy = d.num()
		default:
			d.common(&e)
		}
	}
	if !d.open(&e) {
		return
	}
	m, ok := d.plane(&e, p)
	if !ok {
		return
	}
	if sx == 0 || sy == 0 {
		d.to.note(fault.Warning, "block-scale", "a block with scale 0 has no width and is left out", "Set its scale in the CAD", m.apply(p.flat()), true)
		return
	}
	r := rotation(turn)
	ins.m = m.after(translation(p.flat())).after(r).after(scaling(sx, sy))
	if !ins.m.finite() {
		d.to.note(fault.Error, "bad-number", "a place, scale or turn that is not a number", "Draw it again or delete it", m.apply(p.flat()), true)
		return
	}
	// The spacing of an array turns with it but is not scaled.
	turned := m.after(r)
	ins.col, ins.row = turned.vector(geom.Pt(dx, 0)), turned.vector(geom.Pt(0, dy))
	ins.layer, ins.style, ins.hidden = e.layer, d.styleOf(&e), e.hidden
	if d.inBlk != nil {
		d.inBlk.inserts = append(d.inBlk.inserts, ins)
	} else {
		d.inOut = append(d.inOut, ins)
	}
}

// around is what an INSERT hands down to what it draws.
type around struct {
	m      affine
	layer  int32 // of entities on layer 0
	style  int32 // of entities BYBLOCK
	hidden bool
	chain  []*block
}

// expandAll draws the INSERTs of the model space.
func (d *dxf) expandAll() {
	for i := range d.inOut {
		d.expand(&d.inOut[i], around{m: identity})
	}
	d.out.setTransform(identity)
}

func (d *dxf) expand(ins *insert, a around) {
	layer := ins.layer
	if layer == 0 {
		layer = a.layer
	}
	a.hidden = a.hidden || ins.hidden || d.out.raw.Layers[layer].Why == "frozen"
	a.layer, a.style = layer, d.styles.blend(ins.style, a.style)
	note := func(sev fault.Severity, code, what, do string) {
		d.out.noteOn(sev, code, "INSERT "+ins.name.String(), layer, what, do,
			place{ins.line, a.m.apply(geom.Pt(ins.m.e, ins.m.f)), true})
	}
	k := d.blocks[ins.key]
	switch {
	case k == nil:
		note(fault.Warning, "block-missing", "the file does not hold this block", "Export the drawing again with its blocks, or explode it in the CAD")
		return
	case k.isXref:
		note(fault.Warning, "xref", fmt.Sprintf("stands for another file (%q), which is not read", k.xref.String()), "Bind it in the CAD and export again")
		return
	case slices.Contains(a.chain, k):
		names := make([]string, 0, len(a.chain)+1)
		for _, c := range a.chain[slices.Index(a.chain, k):] {
			names = append(names, c.name.String())
		}
		note(fault.Error, "block-cycle", "the block holds itself: "+strings.Join(append(names, k.name.String()), " > "), "Explode or repair it in the CAD")
		return
	case len(a.chain) >= d.out.lim.nesting:
		note(fault.Error, "limit", fmt.Sprintf("blocks nested deeper than %d", d.out.lim.nesting), "Explode them in the CAD")
		return
	}
	a.chain = append(a.chain, k)
	first := a.m
	for row := range ins.rows {
		for col := range ins.cols {
			if d.copied++; d.copied&0xff == 0 && d.ctx.Err() != nil {
				d.stopped = true
			}
			if d.stopped || d.out.blown != "" || !d.mayCopy(0) {
				return
			}
			step := ins.col.Mul(float64(col)).Add(ins.row.Mul(float64(row)))
			a.m = first.after(translation(step)).after(ins.m).after(translation(k.base.Mul(-1)))
			d.drawBlock(k, a)
		}
	}
}

// mayCopy counts n more vertices made by blocks and stops at the limit.
func (d *dxf) mayCopy(n int) bool {
	d.copiedV += n
	switch {
	case d.copied > d.out.lim.copied:
		d.out.overLimit("entities made by blocks", d.out.lim.copied)
	case d.copiedV > d.out.lim.copiedVertices:
		d.out.overLimit("vertices made by blocks", d.out.lim.copiedVertices)
	default:
		return true
	}
	return false
}

// drawBlock draws one copy of a block's entities, then the blocks in it.
func (d *dxf) drawBlock(k *block, a around) {
	if !a.m.finite() {
		return
	}
	types, src := d.out.raw.types, &d.blk.raw
	d.out.setTransform(a.m)
	for _, it := range src.items[k.from:k.to] {
		d.copied++
		if !d.mayCopy(src.weight(it)) {
			return
		}
		layer := it.layer
		if layer == 0 {
			layer = a.layer
		}
		d.out.begin(types[it.typ], int(it.line), layer, d.styles.blend(it.style, a.style), it.hidden || a.hidden)
		d.out.copyItem(src, it)
	}
	for _, n := range k.notes {
		layer := n.layer
		if layer == 0 {
			layer = a.layer
		}
		if a.hidden {
			n.sev = fault.Note
		}
		for i := range min(n.count, notePlaces) {
			q := n.places[i]
			q.p = a.m.apply(q.p)
			q.at = q.at && q.p.Finite()
			d.out.noteOn(n.sev, n.code, n.typ, layer, n.what, n.do, q)
		}
		if more := n.count - notePlaces; more > 0 {
			d.out.noteMore(n.code, n.typ, layer, more)
		}
	}
	for i := range k.inserts {
		d.expand(&k.inserts[i], a)
	}
}

// weight is what a copy of the item costs, in vertices.
func (r *Raw) weight(it item) int {
	n := int(it.n)
	for _, v := range r.verts[it.first : it.first+it.n] {
		if v.Src != 0 {
			// Fitting costs far more than copying.
			n += 20 * r.curves[v.Src-1].length()
		}
	}
	return n
}

// mlineCaps looks for the end caps of MLINE styles, which stand at the end of
// a file, if it holds an MLINE at all.
func (d *dxf) mlineCaps() {
	data := d.text.data
	if d.bin != nil {
		data = d.bin
	}
	found := false
	for rest := data; !found; {
		i := bytes.Index(rest, []byte("MLINE"))
		if i < 0 {
			return
		}
		rest = rest[i+5:]
		found = len(rest) > 0 && (rest[0] < ' ')
	}
	g := groups{text: textScanner{data: d.text.data, cr: d.text.cr}, bin: d.bin, wide: d.wide}
	name, flags, in := "", 0, false
	keep := func() {
		if in && len(d.msCaps) < d.out.lim.styles {
			d.msCaps[foldName(name)] = flags
		}
		in = false
	}
	for g.next() {
		switch {
		case g.code == 0:
			keep()
			in = string(g.str()) == "MLINESTYLE"
			name, flags = "", 0
		case in && g.code == 2:
			name = string(g.str())
		case in && g.code == 70:
			flags = g.whole()
		}
	}
	keep()
}
