package tui

import (
	"fmt"
	"math"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// scalePage finds the scale of a drawing from lengths that a person can
// measure: the true size of a feature is typed, and all else follows.
type scalePage struct {
	page
	n int
}

func (p scalePage) id() string            { return fmt.Sprint("scale", p.n) }
func (p scalePage) title(m *Model) string { return "scale of " + m.drawingName(p.n) }
func (p scalePage) explain() string {
	return "A drawing may have lost its scale on the way: a PDF printed to fit the page, a file in another unit. Go to something of which you know the true size, and type it: the whole drawing follows, and each line shows the size as it was drawn beside the size as it is now. " +
		"Then look at a second length that you know: if that is right too, the scale is. Longer lengths give a truer scale. Several may be typed: the scale is that which fits them best, and what each is off by is shown."
}

// known is a length of which the operator said the true size. It stays with
// the wizard, not with the job, which holds the scale alone.
type known struct {
	at   geom.Point // middle of its loop at scale 1: loops may be counted anew when all is read again
	name string
	was  float64 // mm at scale 1: one loop may lie in the middle of another
	mm   float64 // true
}

// of reports whether the length is that of the loop of a drawing that was read
// with the scale given.
func (k known) of(l *drawing.Loops, loop int, scale float64) bool {
	if c := l.Closed[loop].Path.Box().Center(); c.Mul(1/scale).Dist(k.at) > geom.Gap {
		return false
	}
	return slices.ContainsFunc(l.Extents(loop), func(e drawing.Extent) bool {
		return e.Name == k.name && math.Abs(e.MM/scale-k.was) <= geom.Gap
	})
}

// forms is what the forms remember of a drawing while the wizard runs, by
// its file.
type forms struct {
	known map[string][]known
	loops map[string]loopsAt
	pages map[string]*pageList

	// What can be measured, kept since a list is asked for often.
	of       *drawing.Loops
	tree     *feature.Feature // the first of it
	all      []measure
	measures map[string]int // rows by id
}

// loopsAt is how many closed loops a drawing had when its scale was first
// looked at, and the scale that it had then. With is all else it was read
// with: when that changes, another count is no matter of the scale.
type loopsAt struct {
	with   string
	scale  float64
	closed int
}

// torn says what the scale did to the number of closed loops, "" if nothing:
// gaps are measured at the true size, so that a larger scale opens some and a
// smaller one closes what was meant to be apart.
func (p scalePage) torn(m *Model, l *drawing.Loops) string {
	ds := m.res.readJob.Drawings
	if p.n >= len(ds) {
		return ""
	}
	d := ds[p.n]
	d.Scale = 0
	now := loopsAt{fmt.Sprintf("%+v", d), p.was(m), len(l.Closed)}
	first, ok := m.forms.loops[d.File]
	if !ok || first.with != now.with {
		if m.forms.loops == nil {
			m.forms.loops = map[string]loopsAt{}
		}
		m.forms.loops[d.File] = now
		return ""
	}
	if first.closed == now.closed || first.scale == now.scale {
		return ""
	}
	return fmt.Sprintf("At scale %s the drawing had %s, now it has %d. Gaps are measured at the true size: look at what was mended, and set the largest gap that is closed to suit.",
		form{Dim: job.Pure}.typed(first.scale, m.d.Job.Units), count(first.closed, "closed loop"), now.closed)
}

// measure is one length of the drawing that can be picked.
type measure struct {
	feature int // of the tree
	loop    int // into Closed
	at      geom.Point
	drawing.Extent
}

func (x measure) id(m *Model) string {
	return "len:" + m.res.tree.Features[x.feature].ID + "." + x.Name
}

// measures lists what can be measured, in the order of the features' table.
func (p scalePage) measures(m *Model, l *drawing.Loops) []measure {
	t := &m.res.tree
	var tree *feature.Feature // the tree changes under the same loops when features are edited
	if len(t.Features) > 0 {
		tree = &t.Features[0]
	}
	if m.forms.of == l && m.forms.tree == tree {
		return m.forms.all
	}
	var out []measure
	byID := map[string]int{}
	for _, i := range m.res.order {
		f := &t.Features[i]
		if t.Parts[f.Part].Drawing != p.n || !f.Loop.Closed || f.Added {
			continue
		}
		for _, e := range l.Extents(f.From) {
			x := measure{i, f.From, l.Closed[f.From].Path.Box().Center().Mul(1 / p.was(m)), e}
			byID[x.id(m)] = len(out)
			out = append(out, x)
		}
	}
	m.forms.of, m.forms.tree, m.forms.all, m.forms.measures = l, tree, out, byID
	return out
}

// was is the scale with which the drawing that is shown was read.
func (p scalePage) was(m *Model) float64 {
	if ds := m.res.readJob.Drawings; p.n < len(ds) && ds[p.n].Scale != 0 {
		return ds[p.n].Scale
	}
	return 1
}

func (p scalePage) list(m *Model) list {
	if p.n >= len(m.d.Job.Drawings) {
		return rowsList(nil)
	}
	l := m.loops(p.n)
	if l == nil || m.res.busy == "reading" {
		return rowsList([]row{{id: "none", plain: text("the drawing is not read yet")}})
	}
	u := m.d.Job.Units
	file := m.d.Job.Drawings[p.n].File
	was := p.was(m)
	all := p.measures(m, l)
	size := func(mm float64) (value, note string) {
		if was == 1 {
			return u.Length(mm), "as drawn"
		}
		return u.Length(mm), "drawn " + u.Length(mm/was)
	}
	at := func(j *job.Job) *float64 { return &j.Drawings[p.n].Scale }
	rows := []row{m.num(num{field: job.DrawingScale, label: "scale", empty: "rule: 1, as drawn",
		get:  func(j *job.Job) (float64, bool) { return *at(j), *at(j) != 0 },
		put:  func(j *job.Job, v float64) { *at(j) = v },
		none: func(j *job.Job) { *at(j) = 0 },
		why:  "True size over drawn size. An empty line takes the drawing as it is."})}
	box := row{id: "box", label: "whole drawing", value: sizes(l.Box.Width(), l.Box.Height(), u), why: "Over all that is cut or marked, as it is now."}
	if was != 1 {
		box.bounds = "As drawn: " + sizes(l.Box.Width()/was, l.Box.Height()/was, u) + "."
	}
	rows = append(rows, box)
	if why := p.torn(m, l); why != "" {
		rows = append(rows, row{id: "torn", label: "closed loops", value: fmt.Sprint(len(l.Closed)), state: stWarn, note: "the scale changed them", bounds: why,
			why: "A loop that is open cannot be cut out."})
	}

	said := m.forms.known[file]
	if len(said) > 0 {
		rows = append(rows, row{head: true, label: "true sizes you gave"})
		for i, k := range said {
			rows = append(rows, p.saidRow(m, l, all, i, k))
		}
		rows = append(rows, p.fitRows(m, l, said)...)
		if c, ok := second(l, was, all, said); ok {
			v, note := size(c.MM)
			r := row{id: "second", label: "check: " + m.res.tree.Features[c.feature].ID, value: v, note: note, state: stWarn, verb: "go to its line",
				why:    fmt.Sprintf("Measure this %s too, or another length: if it is right as well, the scale is. Enter goes to its line, where its true size can be typed.", c.Name),
				bounds: "", aim: &aim{feature: c.feature, drawing: p.n, drawn: true}}
			r.act = func(m *Model) tea.Cmd { m.spot().id = c.id(m); return nil }
			rows = append(rows, r)
		}
	}
	rows = append(rows, row{head: true, label: "pick one, type its true size"})
	for i := range rows {
		if rows[i].aim == nil {
			rows[i].aim = &aim{feature: -1, drawing: p.n, drawn: true}
		}
	}
	first := len(rows)
	return list{n: first + len(all),
		at: func(i int) row {
			if i < first {
				return rows[i]
			}
			return p.lengthRow(m, l, all[i-first], size)
		},
		find: func(id string) int {
			if i := rowsList(rows).find(id); i >= 0 {
				return i
			}
			if i, ok := m.forms.measures[id]; ok {
				return first + i
			}
			return -1
		}}
}

// second is the longest length of which nobody said the true size.
func second(l *drawing.Loops, scale float64, all []measure, said []known) (measure, bool) {
	best := -1
	for i, x := range all {
		if slices.ContainsFunc(said, func(k known) bool { return k.of(l, x.loop, scale) }) {
			continue
		}
		if best < 0 || x.MM > all[best].MM {
			best = i
		}
	}
	if best < 0 {
		return measure{}, false
	}
	return all[best], true
}

// lengthRow is one length: as it is now, and as it was drawn.
func (p scalePage) lengthRow(m *Model, l *drawing.Loops, x measure, size func(float64) (string, string)) row {
	u := m.d.Job.Units
	fm := form{Dim: job.Length}
	r := row{id: x.id(m), label: m.res.tree.Features[x.feature].ID + " " + x.Name, typed: true, verb: "type its true size",
		why: "Measure it on the part or read it off the drawing, and type what it truly is.", aim: &aim{feature: x.feature, drawing: p.n, drawn: true}}
	r.source = "As a factor of what was drawn: " + form{}.bounds(job.DrawingScale, u) + " " + sentence(upperFirst(job.DrawingScale.Source()))
	r.value, r.note = size(x.MM)
	file := m.d.Job.Drawings[p.n].File
	was := p.was(m)
	var mm float64
	r.begin = func() string { return fm.typed(x.MM, u) }
	r.check = func(s string) (func(*Draft), string) {
		v, err := fm.parse(s, u)
		if err != nil {
			return nil, sentence(err.Error()) + " " + r.why
		}
		mm = v
		f, err := drawing.FitScale(measured(l, was, with(m.forms.known[file], known{x.at, x.Name, x.MM / was, v})))
		if err != nil {
			return nil, sentence(err.Error())
		}
		scale := f.Factor * was
		return func(d *Draft) { d.Job.Drawings[p.n].Scale = scale }, ""
	}
	r.done = func(m *Model) {
		if m.forms.known == nil {
			m.forms.known = map[string][]known{}
		}
		m.forms.known[file] = with(m.forms.known[file], known{x.at, x.Name, x.MM / was, mm})
		m.spot().id = "second"
	}
	return r
}

// with puts a known length to the others, in place of what was said of the
// same.
func with(all []known, k known) []known {
	out := slices.DeleteFunc(slices.Clone(all), func(o known) bool {
		return o.name == k.name && o.at.Dist(k.at) <= geom.Gap && math.Abs(o.was-k.was) <= geom.Gap
	})
	return append(out, k)
}

// measured puts known lengths beside what the drawing, as it was read with the
// scale given, has for them. What it has no longer is left out.
func measured(l *drawing.Loops, scale float64, all []known) []drawing.Measured {
	var out []drawing.Measured
	for _, k := range all {
		for i := range l.Closed {
			if !k.of(l, i, scale) {
				continue
			}
			for _, e := range l.Extents(i) {
				if e.Name == k.name {
					out = append(out, drawing.Measured{Name: k.name, Drawn: e.MM, True: k.mm})
				}
			}
			break
		}
	}
	return out
}

// saidRow shows a true size that was given, and what is left between.
func (p scalePage) saidRow(m *Model, l *drawing.Loops, all []measure, i int, k known) row {
	u := m.d.Job.Units
	file := m.d.Job.Drawings[p.n].File
	r := row{id: fmt.Sprint("said", i), label: k.name, value: u.Length(k.mm), state: stDone, why: "d takes it back; the scale stays until another length is typed."}
	for _, x := range all {
		if !k.of(l, x.loop, p.was(m)) || x.Name != k.name {
			continue
		}
		r.label = m.res.tree.Features[x.feature].ID + " " + k.name
		r.aim = &aim{feature: x.feature, drawing: p.n, drawn: true}
		off := x.MM - k.mm
		r.note = "fits"
		const seen = 0.0005 // mm: less is not shown in three decimals
		if math.Abs(off) >= seen {
			r.note, r.state = fmt.Sprintf("now %s", u.Length(x.MM)), stWarn
		}
	}
	r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
		m.forms.known[file] = slices.Delete(slices.Clone(m.forms.known[file]), i, i+1)
		return nil
	}}
	return r
}

// fitRows say what to think of the scale.
func (p scalePage) fitRows(m *Model, l *drawing.Loops, said []known) []row {
	f, err := drawing.FitScale(measured(l, p.was(m), said))
	if err != nil {
		return nil
	}
	var rows []row
	tell := func(id, s string, st state) {
		if s == "" {
			return
		}
		rows = append(rows, row{id: id, state: st, why: sentence(s)}.spread(2, text(s), span{}, m.leftWidth(p)-6)...)
	}
	total, err := drawing.FitScale([]drawing.Measured{{Drawn: 1, True: p.was(m)}})
	if err == nil && total.Looks != "" && p.was(m) != 1 {
		tell("looks", "the scale looks like "+total.Looks, stGood)
	}
	tell("ask", f.Ask, stWarn)
	tell("reach", f.Reach(l), severityState(fault.Warning))
	return rows
}
