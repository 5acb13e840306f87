package drawing

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// mlineVertex is one corner of an MLINE: every element runs at its own
// distance from it along the mitre.
type mlineVertex struct {
	p, dir, mitre point3
	at            []float64 // of each element, along the mitre
}

// Flags of MLINESTYLE for a straight cap (from memory).
const (
	capStart = 16
	capEnd   = 256
)

// readMline draws the parallel lines of an MLINE: 11 vertex, 12 direction, 13
// mitre, 74 number of parameters of the next element, 41 the parameters, of
// which the first is the element's distance along the mitre; 71 flags (2
// closed, 4 no start cap, 8 no end cap), 2 style name.
func (d *dxf) readMline() {
	e := d.start("MLINE")
	var v []mlineVertex
	flags, style, params := 0, "", 0
	const most = 1 << 20 // numbers of one MLINE; far over any drawing
	size := 0
	for d.next() && d.code != 0 {
		last := len(v) - 1
		switch c := d.code; {
		case c == 2:
			style = foldName(string(d.str()))
		case c == 71:
			flags = d.whole()
		case c == 11:
			v = append(v, mlineVertex{p: point3{d.num()}})
			size++
		case c == 74:
			params = d.whole()
		case c == 41 && last >= 0 && params > 0:
			v[last].at = append(v[last].at, d.num())
			params = 0 // the rest of this element's parameters are breaks
			size++
		case (c == 21 || c == 31) && last >= 0:
			v[last].p[c/10-1] = d.num()
		case (c == 12 || c == 22 || c == 32) && last >= 0:
			v[last].dir[c/10-1] = d.num()
		case (c == 13 || c == 23 || c == 33) && last >= 0:
			v[last].mitre[c/10-1] = d.num()
		default:
			d.common(&e)
		}
		if size > most {
			d.out.overLimit("numbers of one MLINE", most)
			return
		}
	}
	if !d.open(&e) || len(v) == 0 {
		return
	}
	if len(v) < 2 || !d.mlineSound(v) {
		d.to.note(fault.Error, "bad-entity", fmt.Sprintf("an MLINE with %d vertices whose lines do not match", len(v)), "Explode it in the CAD", v[0].p.flat(), true)
		return
	}
	if _, _, _, lies := flat(&e); !lies {
		d.tilted(&e, v[0].p.flat())
		return
	}
	for i := range v {
		if !level(v[i].p[2]-v[0].p[2], v[i].p.flat().Dist(v[0].p.flat())) {
			d.steep(v[i].p.flat())
			return
		}
	}
	d.raised(&e, v[0].p[2], v[0].p.flat())
	d.drawMline(v, flags, d.msCaps[style])
}

// mlineSound: every vertex has a place for each element.
func (d *dxf) mlineSound(v []mlineVertex) bool {
	for i := range v {
		if len(v[i].at) != len(v[0].at) {
			return false
		}
	}
	return len(v[0].at) > 0
}

func (d *dxf) drawMline(v []mlineVertex, flags, caps int) {
	at := func(i, k int) geom.Point { return v[i].p.flat().Add(v[i].mitre.flat().Mul(v[i].at[k])) }
	closed := flags&2 != 0
	lo, hi := 0, 0
	for k := range v[0].at {
		d.to.moveTo(at(0, k))
		for i := 1; i < len(v); i++ {
			d.to.lineTo(at(i, k))
		}
		if closed {
			d.to.closePath()
		}
		d.to.endPath()
		if v[0].at[k] < v[0].at[lo] {
			lo = k
		}
		if v[0].at[k] > v[0].at[hi] {
			hi = k
		}
	}
	if closed || lo == hi {
		return
	}
	last := len(v) - 1
	if caps&capStart != 0 && flags&4 == 0 {
		d.to.addLine(at(0, lo), at(0, hi))
	}
	if caps&capEnd != 0 && flags&8 == 0 {
		d.to.addLine(at(last, lo), at(last, hi))
	}
}
