package tui

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// form is how a number is shown and typed: what it measures, and for bare
// ratios what is put behind it.
type form struct {
	job.Dim
	behind  string // such as "x thickness"
	percent bool   // a part of 1, shown in percent
}

// decimals of a value as it is shown: a thousandth of a millimetre and a
// ten-thousandth of an inch are what a calliper can still tell apart.
func (f form) decimals(u unit.System) int {
	switch f.Dim {
	case job.Length:
		if u == unit.Inch {
			return 4
		}
		return 3
	case job.Feed:
		if u == unit.Inch {
			return 1
		}
		return 0
	case job.Count:
		return 0
	case job.Amps, job.Volts, job.Bar, job.Litres:
		return 1
	case job.Pure:
		if f.percent {
			return 1
		}
		return 6
	}
	return 3
}

// typed is a number as it would be typed, without its unit.
func (f form) typed(v float64, u unit.System) string {
	v = f.Dim.Show(v, u)
	if f.percent {
		v *= 100
	}
	return unit.Number(v, f.decimals(u))
}

// show is a number with its unit.
func (f form) show(v float64, u unit.System) string {
	s := f.typed(v, u)
	switch n := f.Dim.Unit(u); {
	case f.percent:
		return s + " %"
	case n != "":
		return s + " " + n
	case f.behind != "":
		return s + " " + f.behind
	}
	return s
}

// parse reads what was typed; a unit may follow.
func (f form) parse(s string, u unit.System) (float64, error) {
	s = strings.TrimSpace(s)
	switch f.Dim {
	case job.Length:
		return unit.ParseLength(s, u)
	case job.Feed:
		return unit.ParseLength(strings.TrimSpace(strings.TrimSuffix(s, "/min")), u)
	}
	low := strings.ToLower(s)
	for _, tail := range []string{strings.ToLower(f.Dim.Unit(u)), f.behind, "x", "%"} {
		if tail != "" && (tail != "%" || f.percent) {
			low = strings.TrimSpace(strings.TrimSuffix(low, tail))
		}
	}
	v, err := unit.ParseNumber(low)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", s, err)
	}
	if f.percent {
		v /= 100
	}
	if f.Dim == job.Angle {
		v *= math.Pi / 180
	}
	return v, nil
}

// bounds is the range of a field: "0.2 to 160 mm: thinner is foil ...".
func (f form) bounds(field job.Field, u unit.System) string {
	r := field.Range()
	s := r.Text(u)
	switch {
	case f.percent:
		s = f.typed(r.Min, u) + " to " + f.show(r.Max, u)
	case f.behind != "":
		s += " " + f.behind
	}
	if r.Why != "" && r.Why != f.behind {
		s += ": " + r.Why
	}
	return sentence(s)
}

// num describes a row that holds a number.
type num struct {
	field job.Field // also the row's id, unless id is set
	id    string
	label string
	form  form // Dim is taken from the field
	get   func(*job.Job) (v float64, known bool)
	put   func(*job.Job, float64)
	none  func(*job.Job) // makes it unknown, or gives it back to the rule; nil: it must hold a number
	// Instead of the three above, for what is not part of the job.
	getDraft  func(*Draft) (v float64, known bool)
	putDraft  func(*Draft, float64)
	noneDraft func(*Draft)

	must  bool   // unknown blocks, whatever the planner says
	empty string // what stands there while it is unknown; a rule begins with "rule: "
	note  string
	why   string
	only  string // what may be typed, where the field's own limits are those of the computer
}

// anyStart is what may be typed as the start of a search.
const anyStart = "A whole number: 1, 2, 3 and so on."

// num makes the row. What may stand in it is the field's own range.
func (m *Model) num(n num) row {
	j := &m.d.Job
	u := j.Units
	n.form.Dim = n.field.Range().Dim
	if n.getDraft == nil {
		n.getDraft = func(d *Draft) (float64, bool) { return n.get(&d.Job) }
		n.putDraft = func(d *Draft, v float64) { n.put(&d.Job, v) }
		if n.none != nil {
			n.noneDraft = func(d *Draft) { n.none(&d.Job) }
		}
	}
	id := n.id
	if id == "" {
		id = string(n.field)
	}
	r := row{id: id, label: n.label, note: n.note, why: n.why, typed: true, verb: "type it", bounds: n.form.bounds(n.field, u), source: sentence(upperFirst(n.field.Source()))}
	if n.only != "" {
		r.bounds, r.source = n.only, "Limits: none that matter. It only says where the search begins."
	}
	v, known := n.getDraft(m.d)
	switch {
	case known:
		r.value = n.form.show(v, u)
		if n.field.Check(v, u) != nil {
			r.state, r.note = stBad, "out of range"
		}
	case n.must:
		r.value, r.state = "unknown", stOpen
	default:
		r.value, r.state = n.empty, stRule
		if n.empty == "" {
			r.value, r.state = "not said", stFree
		}
	}
	m.ready(&r, known)
	r.begin = func() string {
		if known {
			return n.form.typed(v, u)
		}
		return ""
	}
	r.check = func(s string) (func(*Draft), string) {
		if strings.TrimSpace(s) == "" {
			switch {
			case n.noneDraft == nil && known:
				return nil, n.label + ": a number is wanted. " + r.bounds
			case !known:
				return nil, ""
			}
			return n.noneDraft, ""
		}
		x, err := n.form.parse(s, u)
		if err != nil {
			return nil, sentence(err.Error()) + " " + r.bounds
		}
		if n.field.Check(x, u) != nil {
			rg := n.field.Range()
			what := "must be a whole number"
			switch {
			case x < rg.Min:
				what = "too small"
			case x > rg.Max:
				what = "too large"
			}
			return nil, fmt.Sprintf("%s %s: %s. ", n.label, n.form.show(x, u), what) + r.bounds
		}
		if known && x == v {
			return nil, ""
		}
		return func(d *Draft) { n.putDraft(d, x) }, ""
	}
	return r
}

// number is a row for a value of which 0 means that nobody has said.
func (m *Model) number(f job.Field, label string, at func(*job.Job) *float64, why string) num {
	return num{field: f, label: label, why: why,
		get:  func(j *job.Job) (float64, bool) { v := *at(j); return v, v != 0 },
		put:  func(j *job.Job, v float64) { *at(j) = v },
		none: func(j *job.Job) { *at(j) = 0 },
	}
}

// optional is a row for a value that may be unknown although 0 is a good one.
func (m *Model) optional(f job.Field, label string, at func(*job.Job) *job.Opt, why string) num {
	return num{field: f, label: label, why: why,
		get:  func(j *job.Job) (float64, bool) { o := *at(j); return o.Value, o.Known },
		put:  func(j *job.Job, v float64) { *at(j) = job.Of(v) },
		none: func(j *job.Job) { *at(j) = job.Opt{} },
	}
}

// ready puts on a row what the planner says is missing or does not go
// together there. Its faults name fields as the job file does.
func (m *Model) ready(r *row, known bool) {
	f, ok := m.lacks[r.id]
	if !ok || r.state == stBad {
		return
	}
	if !known {
		r.value, r.state = "unknown", stOpen
		return
	}
	r.state, r.note = stBad, f.What
	if f.Do != "" {
		r.bounds = sentence(upperFirst(f.What)) + " " + f.Do
	}
}

// upperFirst makes a clause begin like a sentence; an id such as p1.h3 stays.
func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n < len(s) && (unicode.IsDigit(rune(s[n])) || s[n] == '.') {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// sentence ends a clause with a full stop, once.
func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// words is a row that holds text.
type words struct {
	id    string
	label string
	get   func(*Draft) string
	put   func(*Draft, string)
	must  bool // unknown blocks
	judge func(string) string
	empty string // what stands there while nothing was said
	note  string
	why   string
}

func (m *Model) words(t words) row {
	r := row{id: t.id, label: t.label, note: t.note, why: t.why, verb: "type it"}
	v := t.get(m.d)
	switch {
	case v != "":
		r.value = v
		if t.judge != nil {
			if no := t.judge(v); no != "" {
				r.state, r.note = stBad, no
			}
		}
	case t.must:
		r.value, r.state = "unknown", stOpen
	case t.empty != "":
		r.value, r.state = t.empty, stRule
	default:
		r.value, r.state = "not said", stFree
	}
	r.begin = func() string { return v }
	r.check = func(s string) (func(*Draft), string) {
		s = strings.TrimSpace(plain.Clean(s))
		if s == v {
			return nil, ""
		}
		if t.judge != nil && s != "" {
			if no := t.judge(s); no != "" {
				return nil, sentence(t.label + ": " + no)
			}
		}
		return func(d *Draft) { t.put(d, s) }, ""
	}
	return r
}

// pick is one choice of a row with few of them.
type pick[T comparable] struct {
	v    T
	name string
	why  string
}

// choice is a row with a fixed set of values. The zero value of T means that
// nobody has said.
type choice[T comparable] struct {
	id, label string
	of        []pick[T]
	get       func(*job.Job) T
	put       func(*job.Job, T)
	rule      *T // what holds while nobody has said; nil: it must be said
	free      bool
	likely    T // while nobody has said, the choice that lies nearest; the zero value is none
	note      string
	why       string
}

// choose makes the row.
func choose[T comparable](m *Model, c choice[T]) row {
	var zero T
	r := row{id: c.id, label: c.label, note: c.note, why: c.why, verb: "all choices"}
	v := c.get(&m.d.Job)
	at := -1
	for i, p := range c.of {
		if p.v == v {
			at = i
		}
	}
	likely := -1
	for i, p := range c.of {
		if c.likely != zero && p.v == c.likely {
			likely = i
		}
	}
	name := func(v T) string {
		for _, p := range c.of {
			if p.v == v {
				return p.name
			}
		}
		return fmt.Sprint(v)
	}
	switch {
	case v == zero && c.rule != nil:
		r.value, r.state = "rule: "+name(*c.rule), stRule
	case v == zero && c.free:
		r.value, r.state = "not said", stFree
	case v == zero:
		r.value, r.state = "unknown", stOpen
	case at < 0:
		r.value, r.state, r.note = name(v), stBad, "is none of the choices"
	default:
		r.value = c.of[at].name
		if c.of[at].why != "" {
			r.bounds = sentence(c.of[at].name + ": " + c.of[at].why)
		}
	}
	if r.bounds == "" {
		names := make([]string, len(c.of))
		for i, p := range c.of {
			names[i] = p.name
		}
		r.bounds = sentence("One of: " + strings.Join(names, ", "))
	}
	m.ready(&r, v != zero)
	set := func(v T) func(*Draft) { return func(d *Draft) { c.put(&d.Job, v) } }
	r.turn = func(step int) func(*Draft) {
		i := at + step
		if at < 0 && step < 0 {
			i = len(c.of) - 1
		}
		if at < 0 && likely >= 0 {
			i = likely
		}
		if i < 0 || i >= len(c.of) {
			return nil
		}
		return set(c.of[i].v)
	}
	r.act = func(m *Model) tea.Cmd {
		p := listPage{name: c.id, head: c.label, why: c.why}
		for _, o := range c.of {
			p.of = append(p.of, option{name: o.name, why: o.why, change: set(o.v), now: o.v == v})
		}
		if c.rule != nil || c.free {
			what := "not said"
			if c.rule != nil {
				what = "leave it to the rule: " + name(*c.rule)
			}
			p.of = append(p.of, option{name: what, change: set(zero), now: v == zero})
		}
		m.layList(p)
		if v == zero && likely >= 0 {
			m.spot().id = strconv.Itoa(likely)
		}
		return nil
	}
	return r
}

// option is one line of a listPage.
type option struct {
	name, why string
	change    func(*Draft)
	now       bool
	then      func(*Model) // after the change
}
