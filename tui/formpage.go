package tui

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// formPage is a page of rows that belong together, opened from one line of a
// stage.
type formPage struct {
	page
	name, head, about string
	rows              func(m *Model) []row
}

func (p formPage) id() string          { return "form:" + p.name }
func (p formPage) title(*Model) string { return p.head }
func (p formPage) explain() string     { return p.about }
func (p formPage) list(m *Model) list  { return rowsList(p.rows(m)) }

// opens is the line that opens a page, with what holds on it now; an empty
// value is the rule's own.
func opens(id, label, value, rule, why string, p view) row {
	r := row{id: id, label: label, value: value, why: why, verb: "open"}
	if value == "" {
		r.value, r.state = "rule: "+rule, stRule
	}
	r.act = func(m *Model) tea.Cmd { m.lay(p); return nil }
	return r
}

// rulePages are the pages behind the lines of the process stage.
func rulePages(m *Model) []view {
	out := []view{holesPage{}, cornersPage(), tabsPage(), orderPage(), taperPage()}
	for i := range m.d.Job.Rules.Holes {
		out = append(out, bandPage{n: i})
	}
	return out
}

// rule is a row for one of the job's rules; while nobody has said, it shows
// what holds.
func (m *Model) rule(f job.Field, label string, fm form, at func(*job.Rules) *float64, why string) row {
	def := job.DefaultRules()
	u := m.d.Job.Units
	n := m.number(f, label, func(j *job.Job) *float64 { return at(&j.Rules) }, why)
	fm.Dim = f.Range().Dim
	n.form = fm
	n.empty = "rule: " + fm.show(*at(&def), u)
	if *at(&def) == 0 {
		n.empty = "rule: none"
	}
	return m.num(n)
}

// ruleCount is rule for a whole number.
func (m *Model) ruleCount(f job.Field, label, empty string, at func(*job.Rules) *int, why string) row {
	def := job.DefaultRules()
	if v := *at(&def); v != 0 {
		empty = "rule: " + form{Dim: job.Count}.show(float64(v), m.d.Job.Units)
	}
	return m.num(num{field: f, label: label, empty: empty, why: why,
		get:  func(j *job.Job) (float64, bool) { v := *at(&j.Rules); return float64(v), v != 0 },
		put:  func(j *job.Job, v float64) { *at(&j.Rules) = int(v) },
		none: func(j *job.Job) { *at(&j.Rules) = 0 }})
}

// flag is a row with yes and no.
func flag(id, label string, now bool, put func(*Draft, bool), why string) row {
	r := row{id: id, label: label, value: "no", why: why, verb: "change", bounds: "Yes or no."}
	if now {
		r.value = "yes"
	}
	set := func(v bool) func(*Draft) { return func(d *Draft) { put(d, v) } }
	r.turn = func(step int) func(*Draft) {
		if now == (step > 0) {
			return nil
		}
		return set(step > 0)
	}
	r.act = func(m *Model) tea.Cmd { return m.change(set(!now)) }
	return r
}

// says are lines of text that explain, after the first a row may point at.
func (m *Model) says(v view, id, s string, i ink, st state) []row {
	return row{id: id, state: st, why: s}.spread(0, inked(i, s), span{}, m.leftWidth(v)-6)
}

// info is a line of a figure that was worked out.
func info(id, label, value, why string) row { return row{id: id, label: label, value: value, why: why} }

// sizes is a width and a height with their unit once: "240 × 100 mm".
func sizes(w, h float64, u unit.System) string {
	return strings.TrimSuffix(u.Length(w), " "+short(u)) + " × " + u.Length(h)
}

// lessOne returns a slice less one element, nil if none is left.
func lessOne[T any](all []T, i int) []T {
	if all = slices.Delete(slices.Clone(all), i, i+1); len(all) == 0 {
		return nil
	}
	return all
}
