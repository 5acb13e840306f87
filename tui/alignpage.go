package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// alignPage says how the stock lies on the table, by what was read there.
func alignPage() view {
	return alignView{formPage{name: "alignment", head: "stock as it lies", rows: alignRows,
		about: "A plate never lies quite straight. Move the torch over two points of one edge, far apart, read the position and type it here; one point on the next edge says where the corner is. A part that is drilled already is found by two of its holes. The whole program is turned and shifted to suit, arcs as arcs; the proof turns the drawing by the same points. Once it is measured the stock must not be moved."}}
}

// alignView leaves the plate out where there is little room: its figures need it.
type alignView struct{ formPage }

func (alignView) wide() bool { return true }

// alignRow is the line of the stock stage that opens the page.
func (m *Model) alignRow() row {
	a := m.d.Job.Alignment
	value := ""
	if a.Given() {
		value = "measured"
		if p := m.res.prog; p != nil && p.Lie != nil {
			value = fmt.Sprintf("turned %s", form{Dim: job.Angle}.show(p.Lie.Angle, m.d.Job.Units))
		}
	}
	r := opens("alignment", "lies", value, "as drawn", "How the stock lies on the table: typed points along its edges, or located holes, turn the whole program.", alignPage())
	for _, f := range m.res.told {
		if f.Entity == "alignment" {
			// Not bad: that would shut the plan, which alone can say that it is mended.
			r.state, r.bounds = stWarn, sentence(upperFirst(f.What))+" "+f.Do
		}
	}
	return r
}

func alignRows(m *Model) []row {
	j := &m.d.Job
	a, u := j.Alignment, j.Units
	of := func(d *Draft) *job.Alignment { return &d.Job.Alignment }
	// What was confirmed was other points: whoever changes one is asked again.
	set := func(change func(*job.Alignment)) func(*Draft) {
		return func(d *Draft) { of(d).Sure = false; change(of(d)) }
	}
	var rows []row
	add := func(r ...row) { rows = append(rows, r...) }
	add(choose(m, choice[job.AlignBy]{id: "by", label: "measured by", free: true,
		of: []pick[job.AlignBy]{{job.AlignEdges, "its edges", "two points along one edge, one on the next"},
			{job.AlignHoles, "located holes", "two holes of a part that is there, or more"}},
		get: func(j *job.Job) job.AlignBy { return j.Alignment.By },
		put: func(j *job.Job, v job.AlignBy) { j.Alignment.By, j.Alignment.Sure = v, false },
		why: "What is measured on the table. Not said: the stock lies as drawn, straight."}))
	switch a.By {
	case job.AlignEdges:
		bottom := job.EdgeBottom
		add(choose(m, choice[job.Edge]{id: "edge", label: "first edge", rule: &bottom,
			of:  []pick[job.Edge]{{job.EdgeBottom, "bottom", ""}, {job.EdgeLeft, "left", ""}, {job.EdgeTop, "top", ""}, {job.EdgeRight, "right", ""}},
			get: func(j *job.Job) job.Edge { return j.Alignment.Edge },
			put: func(j *job.Job, v job.Edge) { j.Alignment.Edge, j.Alignment.Sure = v, false },
			why: "The edge along which the first points are read, as the job draws the stock. The longer, the better."}))
		first := a.Edge
		if first == "" {
			first = job.EdgeBottom
		}
		add(row{head: true, label: fmt.Sprintf("read along the %s edge", first)})
		add(m.alignPoints("at", a.Points, 2, "Torch over the edge; type X and Y as the readout shows them.", set, func(a *job.Alignment) *[]geom.Point { return &a.Points })...)
		add(row{head: true, label: fmt.Sprintf("read on the %s edge", planner.NextEdge(*j))})
		add(m.alignPoints("next", a.Next, 1, "Torch over the next edge. Without a point there, the corner is taken to be where the first edge comes nearest to zero.", set, func(a *job.Alignment) *[]geom.Point { return &a.Next })...)
	case job.AlignHoles:
		add(row{head: true, label: "located holes"})
		add(m.alignHoles(set)...)
	default:
		return rows
	}
	add(m.num(num{field: job.AlignTurn, label: "ask again over", empty: "rule: " + form{Dim: job.Angle}.show(job.AlignMost, u),
		get:  func(j *job.Job) (float64, bool) { return j.Alignment.Most, j.Alignment.Most != 0 },
		put:  func(j *job.Job, v float64) { j.Alignment.Most = v },
		none: func(j *job.Job) { j.Alignment.Most = 0 },
		why:  "A larger turn is a slip of the key sooner than a stock that lies so."}))
	asked := false
	var told []row
	for i, f := range m.res.told {
		if f.Entity != "alignment" {
			continue
		}
		asked = asked || f.Code == "align-turn" || f.Code == "align-apart"
		for k, l := range wrap(f.What+". "+f.Do, m.leftWidth(alignPage())-6) {
			r := row{id: fmt.Sprint("told", i, ".", k), plain: text(l), why: f.Error()}
			if k == 0 {
				r.state = faultState(f)
			}
			told = append(told, r)
		}
	}
	add(told...)
	if asked || a.Sure {
		add(flag("sure", "it does lie so", a.Sure, func(d *Draft, v bool) { of(d).Sure = v },
			"Read the points once more first. Yes takes the large turn, or the error of the distance, as it is."))
	}
	if l := m.lieOf(); l != nil {
		add(row{head: true, label: "what comes of it"})
		add(m.lieRows(l)...)
	}
	if a.Given() {
		add(row{id: "clear", label: "lies as drawn after all", verb: "take back", why: "Drops all that was typed here; u brings it back.",
			act: func(m *Model) tea.Cmd { return m.change(func(d *Draft) { *of(d) = job.Alignment{} }) }})
	}
	return rows
}

// lieOf is what the last plan found of how the stock lies.
func (m *Model) lieOf() *planner.Lie {
	if m.res.prog == nil || m.res.busy != "" {
		return nil
	}
	return m.res.prog.Lie
}

// alignPoints are the rows of a list of read points, with empty ones up to
// least and one to add.
func (m *Model) alignPoints(id string, now []geom.Point, least int, why string, set func(func(*job.Alignment)) func(*Draft), list func(*job.Alignment) *[]geom.Point) []row {
	u := m.d.Job.Units
	var rows []row
	for i := range max(least, len(now)) {
		known := i < len(now)
		var p geom.Point
		if known {
			p = now[i]
		}
		r := m.pointRow(fmt.Sprint(id, i), fmt.Sprintf("point %d", i+1), job.AlignPoint, p, known, u, func(d *Draft, q geom.Point) {
			set(func(a *job.Alignment) {
				l := list(a)
				if i < len(*l) {
					(*l)[i] = q
				} else {
					*l = append(*l, q)
				}
			})(d)
		})
		r.why = why
		if !known {
			r.value, r.state = "not read yet", stFree
		} else {
			r.why += " d takes it away."
			r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
				return m.change(set(func(a *job.Alignment) { *list(a) = slices.Delete(*list(a), i, i+1) }))
			}}
		}
		rows = append(rows, r)
	}
	if n := len(now); n >= least && n < 20 {
		r := m.pointRow(fmt.Sprint(id, n), "one more", job.AlignPoint, geom.Point{}, false, u, func(d *Draft, q geom.Point) {
			set(func(a *job.Alignment) { *list(a) = append(*list(a), q) })(d)
		})
		r.value, r.state, r.why = "", stFree, "A further point shows by what it lies off how straight and square the stock is."
		rows = append(rows, r)
	}
	return rows
}

// alignHoles are the rows of located holes: a feature and where it was found.
func (m *Model) alignHoles(set func(func(*job.Alignment)) func(*Draft)) []row {
	j := &m.d.Job
	var rows []row
	read := func(s string) (job.Located, string) {
		id, at, ok := strings.Cut(strings.TrimSpace(s), " ")
		if !ok || m.featureIndex(featureOf(id)) < 0 {
			return job.Located{}, "a feature of the job and its place are wanted, such as p1.h1 120.5 48"
		}
		var h job.Located
		pr := m.pointRow("", "", job.AlignPoint, geom.Point{}, false, j.Units, func(_ *Draft, q geom.Point) { h = job.Located{Feature: id, At: q} })
		change, no := pr.check(at)
		if change != nil {
			change(nil)
		}
		return h, no
	}
	bounds := "A feature and where its centre is, X and Y: p1.h1 120.5 48. Of a copy: p1#2.h1."
	fm := form{Dim: job.Length}
	for i, h := range j.Alignment.Holes {
		r := row{id: fmt.Sprint("hole", i), label: h.Feature, value: "X " + fm.show(h.At.X, j.Units) + "  Y " + fm.show(h.At.Y, j.Units), verb: "type it", bounds: bounds,
			why: "Where its centre was found on the table. d takes it away."}
		r.begin = func() string { return h.Feature + " " + fm.typed(h.At.X, j.Units) + " " + fm.typed(h.At.Y, j.Units) }
		r.check = func(s string) (func(*Draft), string) {
			n, no := read(s)
			if no != "" || n == h {
				return nil, no
			}
			return set(func(a *job.Alignment) { a.Holes[i] = n }), ""
		}
		r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
			return m.change(set(func(a *job.Alignment) { a.Holes = slices.Delete(a.Holes, i, i+1) }))
		}}
		rows = append(rows, r)
	}
	if n := len(j.Alignment.Holes); n < 20 {
		r := row{id: fmt.Sprint("hole", n), label: fmt.Sprintf("hole %d", n+1), value: "not located yet", state: stFree, verb: "type it", bounds: bounds,
			why: "A hole, or another feature, that is there already: its name as the features stage has it, and where its centre is on the table."}
		r.begin = func() string { return "" }
		r.check = func(s string) (func(*Draft), string) {
			if strings.TrimSpace(s) == "" {
				return nil, ""
			}
			h, no := read(s)
			if no != "" {
				return nil, no
			}
			return set(func(a *job.Alignment) { a.Holes = append(a.Holes, h) }), ""
		}
		rows = append(rows, r)
	}
	return rows
}

// lieRows tell the turn, what does not fit and what room is left.
func (m *Model) lieRows(l *planner.Lie) []row {
	u := m.d.Job.Units
	length, angle := form{Dim: job.Length}, form{Dim: job.Angle}
	rows := []row{
		{id: "turn", label: "turned", value: angle.show(l.Angle, u), note: "sure to " + angle.show(l.Unsure, u),
			why: "Counter-clockwise is positive. The further apart the points, the surer the turn."},
		{id: "shift", label: "shifted", value: "X " + length.show(l.Move.Shift.X, u) + "  Y " + length.show(l.Move.Shift.Y, u), why: "Of the stock's zero, after the turn about the program's zero."},
	}
	off := make([]string, len(l.Residual))
	for i, r := range l.Residual {
		off[i] = length.typed(r, u)
	}
	rows = append(rows, row{id: "off", label: "points off by", value: strings.Join(off, "  ") + " " + job.Length.Unit(u),
		why: "What each typed point lies off its edge, or off its hole, once the stock is turned and shifted."})
	if l.Third != 0 {
		rows = append(rows, row{id: "third", label: "next edge", value: length.show(l.Third, u),
			why: "How far the point on the next edge lies from where the first edge and the zero alone would put that edge. It moves the program."})
	}
	if m.d.Job.Alignment.By == job.AlignHoles {
		rows = append(rows, row{id: "apart", label: "further apart", value: length.show(l.Apart, u), why: "By how much the located holes lie further apart than drawn; nothing is stretched to suit."})
	}
	if len(l.Room) > 0 {
		rows = append(rows, row{head: true, label: "room left beside the cuts: now, and had it stayed straight"})
	}
	for _, r := range l.Room {
		change := r.Aligned - r.Straight
		sign := "+"
		if math.Signbit(change) {
			sign = ""
		}
		rows = append(rows, row{id: "room." + string(r.Edge), label: string(r.Edge), value: length.show(r.Aligned, u),
			note: fmt.Sprintf("was %s, %s%s", length.typed(r.Straight, u), sign, length.show(change, u)),
			why:  "Metal left between all that is cut and this edge of the stock, now and had the program been run as drawn on the stock as it lies."})
	}
	return rows
}
