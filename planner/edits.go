package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// EditLine is one edit in words.
type EditLine struct {
	N             int // from 1, in the order in which they are made
	On            string
	What          string // such as "turned 90 deg"
	Before, After string // sizes, or places of what was moved; "" where there is none
	OK            bool   // it could be made
}

// EditLines lists a job's edits in order. The tree is the job's own.
func EditLines(j job.Job, t feature.Tree) []EditLine {
	out := make([]EditLine, len(j.Edits))
	for i, e := range j.Edits {
		l := EditLine{N: i + 1, On: e.On, What: editWords(e, j.Units)}
		if i < len(t.Done) && t.Done[i].OK {
			d := t.Done[i]
			size := func(s feature.Size) string { return editSize(e.Do, s, j.Units) }
			if l.OK = true; e.Do != job.EditAdd {
				l.Before = size(d.Before)
			}
			if e.Do != job.EditDelete {
				l.After = size(d.After)
			}
		}
		out[i] = l
	}
	return out
}

// PartSizes are those of a part as it is drawn and after the edits.
func PartSizes(t feature.Tree, id string) (drawn, now feature.Size) {
	size := func(p geom.Path) feature.Size {
		b := p.Box()
		return feature.Size{Width: b.Width(), Height: b.Height(), At: b.Center()}
	}
	for k, p := range t.Parts {
		if p.ID != id || p.Outline < 0 {
			continue
		}
		now = size(t.Features[p.Outline].Loop)
		if drawn = now; k < len(t.Drawn) {
			for _, f := range t.Drawn[k].Features {
				if f.Outline {
					drawn = size(f.Loop)
				}
			}
		}
	}
	return drawn, now
}

// Line is the edit with what it changed, on one line.
func (l EditLine) Line() string {
	s := l.On + " " + l.What
	if was := l.Change(); was != "" {
		s += ", " + was
	}
	return s
}

// Change is what an edit changed: "20 mm before, 22 mm now".
func (l EditLine) Change() string {
	switch {
	case !l.OK:
		return "cannot be made"
	case l.Before != "" && l.After != "":
		return l.Before + " before, " + l.After + " now"
	case l.Before != "":
		return "it was " + l.Before
	}
	return l.After
}

// editWords says what an edit does.
func editWords(e job.Edit, u unit.System) string {
	switch e.Do {
	case job.EditTurn:
		return "turned " + degrees(e.Angle)
	case job.EditMirror:
		return "mirrored, the other hand"
	case job.EditScale:
		return "scaled by " + unit.Number(e.Factor, 5)
	case job.EditCorrect:
		var axes []string
		if e.DrawnX > 0 {
			axes = append(axes, fmt.Sprintf("X %s came out %s", u.Length(e.DrawnX), u.Length(e.MeasuredX)))
		}
		if e.DrawnY > 0 {
			axes = append(axes, fmt.Sprintf("Y %s came out %s", u.Length(e.DrawnY), u.Length(e.MeasuredY)))
		}
		return "corrected: " + strings.Join(axes, ", ")
	case job.EditDiameter:
		return "diameter " + u.Length(e.Diameter)
	case job.EditLength:
		return "length " + u.Length(e.Length)
	case job.EditMove:
		return fmt.Sprintf("moved X %s, Y %s", u.Length(e.X), u.Length(e.Y))
	case job.EditDelete:
		return "deleted"
	case job.EditAdd:
		at := fmt.Sprintf("at X %s, Y %s", u.Length(e.X), u.Length(e.Y))
		if e.Diameter > 0 {
			return "added, a hole " + at
		}
		if e.Angle != 0 {
			at += ", turned " + degrees(e.Angle)
		}
		return "added, a slot " + at
	}
	return string(e.Do)
}

// editSize is what an edit of that kind changes: sizes, or a place.
func editSize(do job.EditKind, s feature.Size, u unit.System) string {
	switch {
	case do == job.EditMove:
		return fmt.Sprintf("X %s Y %s", u.Length(s.At.X), u.Length(s.At.Y))
	case s.Length > 0:
		return fmt.Sprintf("%s x %s", u.Length(s.Length), u.Length(s.Diameter))
	case s.Diameter > 0:
		return u.Length(s.Diameter)
	}
	return fmt.Sprintf("%s x %s", u.Length(s.Width), u.Length(s.Height))
}

// WithEdit returns the job's edits with one more. A size that is typed is what
// is wanted of the part: it goes before the corrections that end the edits of
// its part, so that they act on it. The same size typed once more takes the
// place of the one before, and a turn after a turn is one turn.
func WithEdit(edits []job.Edit, e job.Edit) []job.Edit {
	at := len(edits)
back:
	for i := len(edits) - 1; i >= 0; i-- {
		o := edits[i]
		switch {
		case o.Part() != e.Part() || !o.Do.OfPart() && !e.Do.OfPart() && o.On != e.On:
		case o.Do == e.Do && o.On == e.On && (e.Do == job.EditDiameter || e.Do == job.EditLength):
			out := slices.Clone(edits)
			out[i] = e
			return out
		case o.Do == job.EditTurn && e.Do == job.EditTurn:
			out := slices.Clone(edits)
			if e.Angle = math.Remainder(o.Angle+e.Angle, 2*math.Pi); math.Abs(e.Angle) < geom.Angle {
				return noneIfEmpty(slices.Delete(out, i, i+1))
			}
			out[i] = e
			return out
		case o.Do == job.EditCorrect && !e.Do.OfPart():
			at = i
		default:
			break back
		}
	}
	return slices.Insert(slices.Clone(edits), at, e)
}

// WithoutEdit returns the job without edit number n, from 1. What was said of
// a feature that it added goes with it.
func WithoutEdit(j job.Job, n int) job.Job {
	gone := j.Edits[n-1]
	j.Edits = slices.Delete(slices.Clone(j.Edits), n-1, n)
	if gone.Do == job.EditAdd {
		j.Edits = slices.DeleteFunc(j.Edits, func(e job.Edit) bool { return e.On == gone.On })
		j.Overrides = slices.DeleteFunc(slices.Clone(j.Overrides), func(o job.Override) bool { return o.Feature == gone.On })
	}
	j.Edits, j.Overrides = noneIfEmpty(j.Edits), noneIfEmpty(j.Overrides)
	return j
}

func noneIfEmpty[T any](all []T) []T {
	if len(all) == 0 {
		return nil
	}
	return all
}

// editNotes name the edits in the head of a program, as many as fit there.
func editNotes(j job.Job, p *Program) []string {
	const most = 8
	var out []string
	for _, l := range EditLines(j, p.Tree) {
		if l.N > most {
			return append(out, fmt.Sprintf("edited: %d more, see the setup sheet", len(j.Edits)-most))
		}
		if line := "edited: " + l.Line(); len(line) <= gcode.CommentMost {
			out = append(out, line)
			continue
		}
		out = append(out, "edited: "+l.On+" "+l.What, "edited: "+l.On+" "+l.Change())
	}
	return out
}

// proofEdits hands the proof the edits and what the drawings gave, so that it
// makes them by itself.
func (s shop) proofEdits(in *proof.Input, p *Program) {
	for _, e := range s.job.Edits {
		in.Edits = append(in.Edits, proof.Edit{Do: string(e.Do), On: e.On, Angle: e.Angle, Factor: e.Factor,
			DrawnX: e.DrawnX, MeasuredX: e.MeasuredX, DrawnY: e.DrawnY, MeasuredY: e.MeasuredY,
			Diameter: e.Diameter, Length: e.Length, Width: e.Width, X: e.X, Y: e.Y})
	}
	for _, d := range p.Tree.Drawn {
		part := proof.DrawnPart{ID: d.ID, In: d.In}
		for _, f := range d.Features {
			part.Features = append(part.Features, proof.DrawnFeature{ID: f.ID, Outline: f.Outline, Loop: f.Loop})
		}
		in.Drawn = append(in.Drawn, part)
	}
}
