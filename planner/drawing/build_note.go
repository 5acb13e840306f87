package drawing

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// note records something about the entity that begin named, in the place p if
// at is set. Notes of one code, type and layer are counted on one line.
func (b *builder) note(sev fault.Severity, code, what, do string, p geom.Point, at bool) {
	p = b.m.apply(p)
	if !at {
		p = nowhere
	}
	b.noteHere(sev, code, what, do, p)
}

// noteHere is note for a place that is the drawing's already, or nowhere.
func (b *builder) noteHere(sev fault.Severity, code, what, do string, p geom.Point) {
	typ := ""
	if types := b.root.raw.types; int(b.cur.typ) < len(types) {
		typ = types[b.cur.typ]
	}
	at := p.Finite()
	if !at {
		p = geom.Point{}
	}
	b.noteOn(sev, code, typ, b.cur.layer, what, do, place{int(b.cur.line), p, at})
}

// noteOn is note for things that are not an entity's; layer -1 is none.
func (b *builder) noteOn(sev fault.Severity, code, typ string, layer int32, what, do string, at place) {
	key := noteKey{code, typ, layer}
	i, ok := b.noteOf[key]
	if !ok {
		if len(b.raw.notes) >= b.lim.notes { // too many kinds: one line for each code
			key = noteKey{code: code, layer: -1}
			if i, ok = b.noteOf[key]; !ok && len(b.raw.notes) >= 2*b.lim.notes {
				return
			}
			layer, typ = -1, ""
		}
		if !ok {
			i = len(b.raw.notes)
			b.noteOf[key] = i
			b.raw.notes = append(b.raw.notes, note{sev: sev, code: code, typ: typ, layer: layer, what: what, do: do})
		}
	}
	n := &b.raw.notes[i]
	n.sev = max(n.sev, sev)
	if n.count < notePlaces {
		n.places[n.count] = at
	}
	n.count++
}

// noteMore counts more of a note that noteOn made.
func (b *builder) noteMore(code, typ string, layer int32, more int) {
	i, ok := b.noteOf[noteKey{code, typ, layer}]
	if !ok {
		i, ok = b.noteOf[noteKey{code: code, layer: -1}]
	}
	if ok {
		b.raw.notes[i].count += more
	}
}
