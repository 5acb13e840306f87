package planner

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/letters"
)

// EditFollows says by name what goes along with an edit of the job, and what a
// person has to look at because it does not. The tree is that of the job with
// the edit.
func EditFollows(j job.Job, t feature.Tree, e job.Edit) (along, look []string) {
	part := -1
	for k, p := range t.Parts {
		if p.ID == e.Part() {
			part = k
		}
	}
	if part < 0 {
		return nil, nil
	}
	on := func(feature string) bool {
		p, _, _ := strings.Cut(feature, ".")
		return feature == e.On || e.Do.OfPart() && p == e.On
	}
	for k, p := range t.Parts {
		if in := p.In; k != part && in >= 0 && t.Features[in].Part == part && on(t.Features[in].ID) {
			how := "with its place"
			if e.Do == job.EditTurn {
				how = "turned with it"
			}
			along = append(along, fmt.Sprintf("part %s in %s, %s", p.ID, t.Features[in].ID, how))
		}
	}
	for _, o := range j.Overrides {
		var what []string
		if o.Start != nil {
			what = append(what, "start")
		}
		if n := len(o.Critical); n > 0 {
			what = append(what, "faces to keep clean")
		}
		switch {
		case !on(o.Feature):
		case e.Do == job.EditDelete:
			look = append(look, "what was said of "+o.Feature+" is of no use any longer")
		case len(what) > 0:
			along = append(along, strings.Join(what, " and ")+" of "+o.Feature)
		}
	}
	s := shop{job: j}
	for _, x := range j.Texts {
		if w := letters.Width(s.says(x, layout.Copy{Number: 1}), x.Height); e.Do.OfPart() && t.RidesOn(x, w) == e.On {
			along = append(along, fmt.Sprintf("text %q, its letters as they are", x.Say))
		}
	}
	if e.Do == job.EditDelete {
		for _, h := range j.Alignment.Holes {
			if h.Feature == e.On || labelFeature(h.Feature) == e.On {
				look = append(look, "the stock is aligned by "+h.Feature+": locate another hole")
			}
		}
	}
	if e.Do.OfPart() {
		n := 0
		for _, p := range j.Layout.Places {
			if p.Drawing == t.Parts[part].Drawing {
				n++
			}
		}
		if n > 0 {
			look = append(look, fmt.Sprintf("%s of %s stay at the places that were set: look where they lie now", counted(n, "copy", "copies"), PartName(j.Drawings[t.Parts[part].Drawing])))
		}
	}
	return along, look
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// labelFeature is the feature that a label of one copy names: p1.h2 of p1#3.h2.
func labelFeature(label string) string {
	part, rest, ok := strings.Cut(label, ".")
	part, _, _ = strings.Cut(part, "#")
	if !ok {
		return part
	}
	return part + "." + rest
}
