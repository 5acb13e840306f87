package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// fixturePage says where blanks sit.
type fixturePage struct{ page }

func (fixturePage) id() string          { return "fixture" }
func (fixturePage) title(*Model) string { return "fixture for blanks" }
func (fixturePage) explain() string {
	return "A blank has its outside already. Each pocket says where the blank's datum corner sits, measured from XY zero. The program stops between loads so that blanks can be changed."
}

func (fixturePage) list(m *Model) list {
	u := m.d.Job.Units
	fix := func(j *job.Job) *job.Fixture { return &j.Stock.Fixture }
	var rows []row
	rows = append(rows, choose(m, choice[job.Corner]{id: "stock.fixture.datum", label: "datum corner", of: corners, rule: ptr(job.LowerLeft),
		get: func(j *job.Job) job.Corner { return fix(j).Datum },
		put: func(j *job.Job, v job.Corner) { fix(j).Datum = v },
		why: "The corner of the blank that lies against the fixture's stops."}))
	allow := m.optional(job.FixtureAllowance, "blanks may differ", func(j *job.Job) *job.Opt { return &fix(j).Allowance },
		"By how much a blank may be larger or smaller than the drawing. Features too near an edge are warned of.")
	rows = append(rows, m.num(allow))
	rows = append(rows, m.num(num{field: job.FixtureCount, label: "pieces wanted", empty: "rule: one a pocket",
		get:  func(j *job.Job) (float64, bool) { return float64(fix(j).Count), fix(j).Count != 0 },
		put:  func(j *job.Job, v float64) { fix(j).Count = int(v) },
		none: func(j *job.Job) { fix(j).Count = 0 },
		why:  "In all, over as many runs as it takes; those done before are not cut again. If there are more than pockets, the program stops for the blanks to be changed."}))
	rows = append(rows, row{head: true, label: "pockets, from XY zero"})
	for i, p := range fix(&m.d.Job).Pockets {
		r := m.pointRow(fmt.Sprint("pocket", i), fmt.Sprintf("pocket %d", i+1), job.FixturePocket, p, true, u,
			func(d *Draft, q geom.Point) { fix(&d.Job).Pockets[i] = q })
		r.why = "Where the datum corner of the blank in this pocket is. d takes the pocket away."
		r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
			return m.change(func(d *Draft) { fix(&d.Job).Pockets = slices.Delete(fix(&d.Job).Pockets, i, i+1) })
		}}
		rows = append(rows, r)
	}
	rows = append(rows, row{id: "add", label: "add a pocket", verb: "add", why: "At XY zero first; then type where it is.",
		act: func(m *Model) tea.Cmd {
			n := len(fix(&m.d.Job).Pockets)
			cmd := m.change(func(d *Draft) { fix(&d.Job).Pockets = append(fix(&d.Job).Pockets, geom.Point{}) })
			m.spot().id = fmt.Sprint("pocket", n)
			return cmd
		}})
	return rowsList(rows)
}

func ptr[T any](v T) *T { return &v }

// pointRow is a row that holds a place: two lengths with a comma or a blank
// between them.
func (m *Model) pointRow(id, label string, f job.Field, p geom.Point, known bool, u unit.System, put func(*Draft, geom.Point)) row {
	fm := form{Dim: job.Length}
	r := row{id: id, label: label, verb: "type it", bounds: "X and Y with a blank between them, each " + fm.bounds(f, u), source: sentence(upperFirst(f.Source()))}
	typed := func() string {
		if !known {
			return ""
		}
		return fm.typed(p.X, u) + "  " + fm.typed(p.Y, u)
	}
	if known {
		r.value = "X " + fm.show(p.X, u) + "  Y " + fm.show(p.Y, u)
	}
	r.begin = typed
	r.check = func(s string) (func(*Draft), string) {
		v, no := pointFigures(s, u)
		if no != "" {
			return nil, no + " " + r.bounds
		}
		for _, x := range v {
			if f.Check(x, u) != nil {
				return nil, fm.show(x, u) + ": out of range. " + r.bounds
			}
		}
		q := geom.Pt(v[0], v[1])
		if known && q == p {
			return nil, ""
		}
		return func(d *Draft) { put(d, q) }, ""
	}
	return r
}

// pointFigures reads two lengths with a blank or a comma between them.
func pointFigures(s string, u unit.System) (v [2]float64, no string) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	if len(parts) != 2 {
		return v, "two lengths are wanted, such as 12.5 40."
	}
	for i, t := range parts {
		x, err := form{Dim: job.Length}.parse(t, u)
		if err != nil {
			return v, sentence(err.Error())
		}
		v[i] = x
	}
	return v, ""
}
