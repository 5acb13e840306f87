package planner

import (
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Carry returns the job as it is made of the drawings as they are now: what
// was said of features goes along under their new names and to their new
// places, what was said of those that are gone is left out, and all that no
// longer holds, or wants a look, is named.
func (m Moves) Carry(j job.Job) (out job.Job, told []string) {
	out = j
	tell := func(format string, args ...any) { told = append(told, fmt.Sprintf(format, args...)) }
	shift := func(drawing int) geom.Point {
		if drawing >= 0 && drawing < len(m.Shifts) {
			return m.Shifts[drawing]
		}
		return geom.Point{}
	}
	out.Overrides = nil
	for _, o := range j.Overrides {
		p, known := m.pairs[o.Feature]
		switch {
		case !known:
		case p.now == "":
			tell("what was said of %s no longer holds: it is gone", o.Feature)
			continue
		case p.size:
			tell("look at what was said of %s: it has another size now", o.Feature)
		}
		if known {
			by := p.by.Add(p.shift)
			o.Feature = p.now
			if o.Start != nil {
				q := o.Start.Add(by)
				o.Start = &q
			}
			o.Critical = slices.Clone(o.Critical)
			for i := range o.Critical {
				o.Critical[i] = o.Critical[i].Add(by)
			}
		}
		out.Overrides = append(out.Overrides, o)
	}
	out.Edits = nil
	for i, e := range j.Edits {
		was := e.On
		if e.Do == job.EditAdd {
			was = e.Part()
		}
		p, known := m.pairs[was]
		if part, ok := m.pairs[e.Part()]; !known && ok { // of what an edit added
			p, known, was = part, true, e.Part()
		}
		switch {
		case !known:
		case p.now == "":
			tell("edit %d, %s %s, no longer holds: %s is gone", i+1, e.On, editWords(e, j.Units), was)
			continue
		case p.size && e.Do != job.EditTurn && e.Do != job.EditMirror && e.Do != job.EditMove:
			tell("look at edit %d, %s %s: %s has another size now", i+1, e.On, editWords(e, j.Units), was)
		}
		if known {
			if p.part && strings.Contains(e.On, ".") {
				_, rest, _ := strings.Cut(e.On, ".")
				e.On = p.now + "." + rest
			} else {
				e.On = p.now
			}
			if e.Do == job.EditAdd {
				e.X, e.Y = e.X+p.shift.X, e.Y+p.shift.Y
			}
		}
		out.Edits = append(out.Edits, e)
	}
	out.Alignment.Holes = slices.Clone(j.Alignment.Holes)
	for i := range out.Alignment.Holes {
		h := &out.Alignment.Holes[i]
		p, known := m.pairs[labelFeature(h.Feature)]
		switch {
		case known && p.now == "":
			tell("the stock is aligned by %s, which is gone: locate another hole", h.Feature)
		case known && p.now == labelFeature(h.Feature):
		case known && !strings.Contains(h.Feature, "#"):
			h.Feature = p.now
		case known:
			tell("the stock is aligned by %s, which is called %s now: locate it anew", h.Feature, p.now)
		}
	}
	out.Texts = slices.Clone(j.Texts)
	for i := range out.Texts {
		by := shift(out.Texts[i].Drawing - 1)
		out.Texts[i].X, out.Texts[i].Y = out.Texts[i].X+by.X, out.Texts[i].Y+by.Y
	}
	out.Layout.Places = slices.Clone(j.Layout.Places)
	for i := range out.Layout.Places {
		p := &out.Layout.Places[i]
		back := geom.Move{Mirror: p.Mirror, Angle: p.Angle}.Apply(shift(p.Drawing)) // so that the part stays where it lay
		p.X, p.Y = p.X-back.X, p.Y-back.Y
	}
	if n := len(j.Layout.Places); n > 0 && slices.ContainsFunc(m.List, func(x Moved) bool { return m.pairs[x.Was].size && strings.HasSuffix(x.Was, ".outline") }) {
		tell("an outline has another size, and parts lie at places that were set: look at the layout")
	}
	return out, told
}
