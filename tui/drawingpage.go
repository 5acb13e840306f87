package tui

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// drawingPage is one drawing: how it is read and how often it is cut.
type drawingPage struct {
	page
	n int
}

func (p drawingPage) id() string { return drawingID(p.n) }
func (p drawingPage) title(m *Model) string {
	if p.n >= len(m.d.Job.Drawings) {
		return "drawing"
	}
	d := m.d.Job.Drawings[p.n]
	if d.Shape != nil {
		return "part by its sizes: " + shapeName(d.Shape.Kind)
	}
	return "drawing " + plain.Clean(filepath.Base(filepath.FromSlash(d.File)))
}
func (p drawingPage) explain() string {
	return "How the file is read. Layers say what is cut, what is only marked and what is left out. If the file does not say its unit, you must: the two sizes beside the question show which one is meant."
}

func (p drawingPage) list(m *Model) list {
	if p.n >= len(m.d.Job.Drawings) {
		return rowsList(nil)
	}
	d := &m.d.Job.Drawings[p.n]
	l := m.loops(p.n)
	u := m.d.Job.Units
	at := func(j *job.Job) *job.Drawing { return &j.Drawings[p.n] }
	aimed := &aim{feature: -1, drawing: p.n, drawn: true}
	var rows []row
	add := func(r row) {
		r.aim = aimed
		rows = append(rows, r)
	}
	if m.fileChanged(*d) {
		add(p.takeRow())
	}
	add(row{head: true, label: "part"})
	bare := *d
	bare.Name = plain.Text{}
	add(m.words(words{id: "part", label: "part name", empty: "rule: " + planner.PartName(bare).String(),
		get: func(dr *Draft) string { return at(&dr.Job).Name.String() },
		put: func(dr *Draft, s string) { at(&dr.Job).Name = plain.Of(s) },
		why: "What the part is called in the program and on the setup sheet."}))
	add(m.num(num{field: job.DrawingQuantity, label: "quantity", empty: "rule: 1",
		get:  func(j *job.Job) (float64, bool) { q := at(j).Quantity; return float64(q), q != 0 },
		put:  func(j *job.Job, v float64) { at(j).Quantity = int(v) },
		none: func(j *job.Job) { at(j).Quantity = 0 },
		why:  "Copies of all parts in this drawing."}))

	if d.Shape != nil {
		return p.sized(m, rows, *d.Shape)
	}
	add(row{head: true, label: "reading"})
	if isPDF(d.File) || d.Page != 0 {
		add(m.pageRow(p.n))
	}
	add(p.units(m, d, l))
	add(p.scaleRow(m, l))
	add(p.mendedRow(m, l))
	if l != nil {
		size := sizes(l.Box.Width(), l.Box.Height(), u)
		if l.Box.Empty() {
			size = "nothing in use"
		}
		add(row{id: "size", label: "size as read", value: size, why: "Over all that is cut or marked."})
		add(row{head: true, label: "layers"})
		for i, info := range l.Layers {
			r := p.layer(m, i, info)
			r.aim = &aim{feature: -1, drawing: p.n, drawn: true, layer: info.Name}
			rows = append(rows, r)
		}
	}
	add(row{head: true, label: "drawing"})
	add(p.removeRow())
	return rowsList(rows)
}

// fileChanged reports whether the job's own copy of a drawing is cut, since
// another file lies in its place.
func (m *Model) fileChanged(d job.Drawing) bool {
	if _, kept := keep.Of(m.d.Job, d); !kept {
		return false
	}
	for _, f := range m.res.readFaults {
		if f.Code == keep.CodeChanged && f.File == d.File {
			return true
		}
	}
	return false
}

// takeRow opens the page that says what moved and asks which of the two is cut.
func (p drawingPage) takeRow() row {
	return opens("take", "changed since the save", "the copy is cut", "", "Another file lies there than the job was saved with. What is cut is the copy that the job keeps. Enter shows what moved, and takes the file as it is now if you want it.", movedPage(p.n)).warns()
}

// scaleRow sums the scale up and opens its page.
func (p drawingPage) scaleRow(m *Model, l *drawing.Loops) row {
	r := row{id: string(job.DrawingScale), label: "scale", verb: "take it from a length",
		why: "True size over drawn size. Pick something you can measure and type its true size: all else follows."}
	r.value, r.state = "rule: 1, as drawn", stRule
	if s := m.d.Job.Drawings[p.n].Scale; s != 0 {
		r.value, r.state = unit.Number(s, 6), stGood
	}
	r.act = func(m *Model) tea.Cmd { m.lay(scalePage{n: p.n}); return nil }
	return r
}

// mendedRow sums the healing up and opens its page.
func (p drawingPage) mendedRow(m *Model, l *drawing.Loops) row {
	u := m.d.Job.Units
	r := row{id: string(job.DrawingGap), label: "mended", verb: "look at each place",
		why: "What was joined, merged, dropped and left open, each with its place, and the gap up to which ends are joined."}
	gap := m.d.Job.Drawings[p.n].Gap
	if gap == 0 {
		gap = geom.Gap
	}
	r.value = "to " + u.Length(gap)
	if l != nil {
		r.note = count(len(l.Report), "line")
		if n := len(l.Open); n > 0 {
			r.note, r.state = fmt.Sprintf("%d open", n), stWarn
		}
	}
	r.act = func(m *Model) tea.Cmd { m.lay(mendedPage{n: p.n}); return nil }
	return r
}

// sized is the page of a typed part: its sizes instead of how a file is read.
func (p drawingPage) sized(m *Model, rows []row, s job.Shape) list {
	rows = append(rows, row{head: true, label: "sizes of the " + shapeName(s.Kind)})
	rows = append(rows, p.sizes(m, s)...)
	for i := range rows {
		rows[i].aim = &aim{feature: -1, drawing: p.n, drawn: true}
	}
	rows = append(rows, p.addedRows(m, s)...)
	end := p.removeRow()
	end.aim = &aim{feature: -1, drawing: p.n, drawn: true}
	return rowsList(append(rows, row{head: true, label: "part of the job"}, end))
}

func isPDF(name string) bool { return strings.EqualFold(filepath.Ext(name), ".pdf") }

// units asks for the unit, with both sizes beside it.
func (p drawingPage) units(m *Model, d *job.Drawing, l *drawing.Loops) row {
	of := []pick[unit.System]{{unit.MM, "mm", ""}, {unit.Inch, "inch", ""}}
	if l != nil && !l.Box.Empty() {
		// The box is in mm by what one number of the file was taken for,
		// which may also be a centimetre or a foot.
		one := cmp.Or(l.MMPerUnit, 1)
		w, h := l.Box.Width()/one, l.Box.Height()/one
		for i := range of {
			s := of[i].v
			of[i].why = fmt.Sprintf("then it is %s by %s", unit.MM.Length(s.ToMM(w)), unit.MM.Length(s.ToMM(h)))
			if s == unit.Inch {
				of[i].why = fmt.Sprintf("then it is %s by %s", s.Length(s.ToMM(w)), s.Length(s.ToMM(h)))
			}
		}
	}
	c := choice[unit.System]{id: "units", label: "units of the file", of: of,
		get: func(j *job.Job) unit.System { return j.Drawings[p.n].Units },
		put: func(j *job.Job, v unit.System) { j.Drawings[p.n].Units = v },
		why: "What one unit of the drawing is. A wrong unit cuts a part 25 times too large or too small."}
	c.free = l == nil || l.UnitFrom != drawing.UnitAsked
	if l != nil && l.UnitFrom == drawing.UnitAsked {
		c.likely = l.Guess
	}
	r := choose(m, c)
	switch {
	case d.Units != unit.Unknown || l == nil:
	case l.UnitFrom == drawing.UnitInFile:
		r.value, r.state, r.note = l.Units.String(), stGood, "the file says so"
	default:
		r.why = sentence("The file does not say. mm: " + of[0].why + "; inch: " + of[1].why)
		r.bounds = c.why
		if l.Guess != unit.Unknown {
			r.note = "guess: " + l.Guess.String()
		}
	}
	return r
}

// layer says what a layer is for.
func (p drawingPage) layer(m *Model, i int, info drawing.LayerInfo) row {
	name := info.Name.String()
	if name == "" {
		name = "(no name)"
	}
	use, said := info.Use, false
	for _, o := range m.d.Job.Drawings[p.n].Layers {
		if o.Name == info.Name {
			use, said = o.Use, true
		}
	}
	r := row{id: "layer" + strconv.Itoa(i), label: name, value: string(use), note: fmt.Sprint(info.Entities, " pcs"), verb: "all choices",
		why:    "cut: cut through. mark: traced, not cut through. ignore: left out.",
		bounds: sentence(info.Why)}
	if !said {
		r.value, r.state = "guess: "+string(use), stRule
		r.bounds = "Guessed: " + r.bounds
	}
	if info.Hidden {
		r.note += ", hidden"
	}
	all := job.LayerUses()
	set := func(v job.LayerUse) func(*Draft) {
		return func(dr *Draft) {
			d := &dr.Job.Drawings[p.n]
			for k := range d.Layers {
				if d.Layers[k].Name == info.Name {
					d.Layers[k].Use = v
					return
				}
			}
			d.Layers = append(d.Layers, job.Layer{Name: info.Name, Use: v})
		}
	}
	r.turn = func(step int) func(*Draft) {
		k := slices.Index(all, use) + step
		if k < 0 || k >= len(all) {
			return nil
		}
		return set(all[k])
	}
	r.act = func(m *Model) tea.Cmd {
		pg := listPage{name: r.id, head: "layer " + name, why: r.why}
		for _, o := range all {
			pg.of = append(pg.of, option{name: string(o), change: set(o), now: said && o == use})
		}
		pg.of = append(pg.of, option{name: "leave it to the guess", now: !said, change: func(dr *Draft) {
			d := &dr.Job.Drawings[p.n]
			d.Layers = slices.DeleteFunc(d.Layers, func(l job.Layer) bool { return l.Name == info.Name })
			if len(d.Layers) == 0 {
				d.Layers = nil
			}
		}})
		m.layList(pg)
		return nil
	}
	return r
}
