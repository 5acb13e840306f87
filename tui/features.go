package tui

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// featuresView is the second stage: what the drawings hold, and how each of
// it is cut.
type featuresView struct{ page }

func (featuresView) id() string { return "features" }
func (featuresView) title(m *Model) string {
	return "features: what is cut, sizes in " + short(m.d.Job.Units)
}
func (featuresView) explain() string {
	return "Every closed line of the drawings is a part's outline, a hole, a slot or a cut-out; lines on mark layers are marks. The size against the thickness of the plate decides how it is cut. Enter changes kind, rule or start point; x leaves a feature out and takes it in again. What you change is kept in the job and shown with a star. e turns, mirrors, scales or corrects a part, and lists all edits of parts and features."
}

func (featuresView) list(m *Model) list {
	t := &m.res.tree
	if len(t.Features) == 0 {
		why := "No drawing is read yet: stage 1 adds one."
		switch {
		case m.res.busy == "reading":
			why = "The drawing is being read."
		case len(m.d.Job.Drawings) > 0:
			why = "The drawings hold nothing to cut on the layers in use: t tells what was found, stage 1 changes layers."
		}
		return rowsList([]row{{id: "none", plain: text("no features"), why: why}})
	}
	return list{
		n: len(m.res.order) + 1,
		at: func(i int) row {
			if i == len(m.res.order) {
				return m.editsRow()
			}
			return m.featureRow(m.res.order[i])
		},
		find: func(id string) int {
			if id == "edits" {
				return len(m.res.order)
			}
			if len(id) < 2 || id[:2] != "f:" {
				return -1
			}
			k, ok := m.res.index[id[2:]]
			if !ok {
				return -1
			}
			return m.res.place[k]
		},
	}
}

// featureRow is one line of the table: id, kind, size, ratio, rule.
func (m *Model) featureRow(i int) row {
	t := &m.res.tree
	f := &t.Features[i]
	u := m.d.Job.Units
	star := " "
	if f.Changed {
		star = "*"
	}
	name := f.ID
	if len(name) > 10 {
		name = name[:9] + m.th.more
	}
	r := row{id: "f:" + f.ID, aim: &aim{feature: i, drawing: t.Parts[f.Part].Drawing}, verb: "change"}
	r.plain = line{
		{padRight(name, 10), inkPlain}, {star, inkRule}, {fmt.Sprintf("%-7s", f.Kind), inkPlain},
		{padLeft(featureSize(f, u), 10), inkPlain}, {padLeft(ratio(f), 5), inkFaint}, {" ", inkPlain}, {ruleWord(f.Rule), ruleInk(f.Rule)},
	}
	r.why = f.Why
	for _, ft := range m.res.byFeature[f.ID] {
		r.state = max3(r.state, faultState(ft))
		r.why = ft.What + ". " + ft.Do + " " + f.Why
	}
	r.why = sentence(r.why)
	r.bounds = sentence(where(f, u))
	if f.Rule.Cuts() && f.Kind != feature.Mark {
		r.bounds += " Square side on the " + planner.SquareSide(*f) + ", bevel on the other."
	}
	r.act = func(m *Model) tea.Cmd { m.lay(featurePage{id_: f.ID}); return nil }
	return r
}

// max3 keeps the worse of two states of a fault.
func max3(a, b state) state {
	if a == stBad || b == stBad {
		return stBad
	}
	if a == stWarn || b == stWarn {
		return stWarn
	}
	return a
}

func padLeft(s string, w int) string { return blanks(w-cells(s)) + s }

// featureSize is a feature's size as the table shows it.
func featureSize(f *feature.Feature, u unit.System) string {
	fm := form{Dim: job.Length}
	// As many figures as the column has room for.
	both := func(a, b float64) string {
		most := 3
		if u == unit.MM {
			most = 1
		}
		for n := most; ; n-- {
			s := unit.Number(u.FromMM(a), n) + "×" + unit.Number(u.FromMM(b), n)
			if cells(s) < 10 || n == 0 {
				return s
			}
		}
	}
	switch {
	case f.Kind == feature.Slot && f.Diameter > 0:
		return both(f.Diameter, f.Length)
	case f.Diameter > 0:
		return "Ø " + fm.typed(f.Diameter, u)
	}
	return both(f.Width, f.Height)
}

func ratio(f *feature.Feature) string {
	if f.Ratio == 0 {
		return ""
	}
	return unit.Number(f.Ratio, 1) + "x"
}

func where(f *feature.Feature, u unit.System) string {
	return fmt.Sprintf("Centre at X %s, Y %s in the drawing; %s by %s", u.Length(f.Center.X), u.Length(f.Center.Y), u.Length(f.Width), u.Length(f.Height))
}

func ruleWord(r feature.Rule) string {
	switch r {
	case feature.RuleOutline:
		return "outside"
	case feature.RuleInside:
		return "inside"
	case feature.RuleSlow:
		return "slow"
	case feature.RuleDrill:
		return "drill"
	case feature.RuleMark:
		return "mark"
	case feature.RuleLocate:
		return "locate"
	case feature.RuleLeave:
		return "left out"
	case feature.RuleRefuse:
		return "refused"
	}
	return string(r)
}

func ruleInk(r feature.Rule) ink {
	switch r {
	case feature.RuleRefuse:
		return inkBad
	case feature.RuleLeave, feature.RuleDrill:
		return inkWarn
	}
	return inkPlain
}

func (featuresView) keys(_ *Model, r row) []key.Binding {
	if r.aim == nil {
		return nil
	}
	return []key.Binding{keyOut1}
}

func (featuresView) press(m *Model, k string, r row) (bool, tea.Cmd) {
	if k == "e" && len(m.res.tree.Features) > 0 {
		return m.lay(editsPage()), nil
	}
	if k != "x" || r.aim == nil {
		return false, nil
	}
	f := m.res.tree.Features[r.aim.feature]
	o, _ := override(&m.d.Job, f.ID)
	switch {
	case o.Rule == string(feature.RuleLeave):
		o.Rule = ""
	case slices.Contains(feature.RulesFor(f), feature.RuleLeave):
		o.Rule = string(feature.RuleLeave)
	default:
		m.say(inkWarn, fmt.Sprintf("%s: %s cannot be left out.", f.ID, f.Kind))
		return true, nil
	}
	return true, m.change(func(d *Draft) { setOverride(&d.Job, o) })
}

// featurePage changes one feature.
type featurePage struct {
	page
	id_ string
}

func (p featurePage) id() string            { return "feature:" + p.id_ }
func (p featurePage) title(m *Model) string { return "feature " + p.id_ }
func (p featurePage) explain() string {
	return "What you say here stands over the rules, and is kept in the job. Left to the rule, it follows when thickness or process change."
}

func (p featurePage) list(m *Model) list {
	i := m.featureIndex(p.id_)
	if i < 0 {
		return rowsList([]row{{id: "none", plain: text("the drawing has this feature no longer")}})
	}
	f := m.res.tree.Features[i]
	u := m.d.Job.Units
	o, _ := override(&m.d.Job, f.ID)
	aimed := &aim{feature: i, drawing: m.res.tree.Parts[f.Part].Drawing}
	edit := func(j *job.Job, change func(*job.Override)) {
		o, _ := override(j, f.ID)
		change(&o)
		setOverride(j, o)
	}
	var rows []row
	rows = append(rows, row{head: true, label: fmt.Sprintf("%s  %s %s", f.Kind, featureSize(&f, u), short(u))})

	kinds := choice[string]{id: "kind", label: "kind", rule: ptr(string(f.Kind)), why: "What the line is. A hole or slot must have the shape of one.",
		get: func(*job.Job) string { return o.Kind },
		put: func(j *job.Job, v string) { edit(j, func(o *job.Override) { o.Kind = v }) }}
	for _, k := range feature.KindsFor(f) {
		kinds.of = append(kinds.of, pick[string]{string(k), string(k), ""})
	}
	rows = append(rows, choose(m, kinds))

	rules := choice[string]{id: "rule", label: "cut as", rule: ptr(string(f.Rule)), why: sentence(f.Why),
		get: func(*job.Job) string { return o.Rule },
		put: func(j *job.Job, v string) { edit(j, func(o *job.Override) { o.Rule = v }) }}
	for _, k := range feature.RulesFor(f) {
		rules.of = append(rules.of, pick[string]{string(k), ruleWord(k), ""})
	}
	r := choose(m, rules)
	if o.Rule == "" {
		r.value = "rule: " + ruleWord(f.Rule)
	}
	rows = append(rows, r)

	rows = append(rows, p.startRow(m, f, o, u, edit))
	rows = append(rows, m.wantedRows(p, f, edit)...)
	rows = append(rows, m.editRows(f)...)
	note := words{id: "note", label: "note",
		get: func(d *Draft) string { o, _ := override(&d.Job, f.ID); return o.Note.String() },
		put: func(d *Draft, s string) { edit(&d.Job, func(o *job.Override) { o.Note = plain.Of(s) }) },
		why: "Why it was changed, for whoever opens the job next."}
	rows = append(rows, m.words(note))
	if _, i := override(&m.d.Job, f.ID); f.Changed || i >= 0 {
		rows = append(rows, row{id: "back", label: "leave it all to the rules", verb: "take back", why: "Drops what was changed on this feature.",
			act: func(m *Model) tea.Cmd {
				return m.change(func(d *Draft) { setOverride(&d.Job, job.Override{Feature: f.ID}) })
			}})
	}
	rows = append(rows, m.forecastRows(p, f)...)
	rows = append(rows, m.cutRows(i)...)
	rows = append(rows, row{head: true, label: "why so"})
	for k, l := range wrap(f.Why+". "+where(&f, u)+".", m.leftWidth(p)-6) {
		rows = append(rows, row{id: fmt.Sprint("why", k), plain: text(l), why: f.Why})
	}
	for k, ft := range m.res.byFeature[f.ID] {
		for n, l := range wrap(ft.What+". "+ft.Do, m.leftWidth(p)-6) {
			r := row{id: fmt.Sprint("fault", k, ".", n), plain: text(l), why: ft.Error()}
			if n == 0 {
				r.state = faultState(ft)
			}
			rows = append(rows, r)
		}
	}
	for i := range rows {
		rows[i].aim = aimed
	}
	return rowsList(rows)
}

// startRow chooses the start: left and right go along the line's own corners,
// enter types a place.
func (p featurePage) startRow(m *Model, f feature.Feature, o job.Override, u unit.System, edit func(*job.Job, func(*job.Override))) row {
	set := func(q *geom.Point) func(*Draft) {
		if q != nil { // the job keeps it as drawn, so that it follows the edits
			drawn := f.AsDrawn(*q)
			q = &drawn
		}
		return func(d *Draft) { edit(&d.Job, func(o *job.Override) { o.Start = q }) }
	}
	var at geom.Point
	if o.Start != nil {
		at = f.Now(*o.Start)
	}
	r := m.pointRow("start", "start at", job.OverrideStart, at, o.Start != nil, u,
		func(d *Draft, q geom.Point) { set(&q)(d) })
	if o.Start == nil {
		r.value, r.state = "rule: best place", stRule
	}
	r.why = "Where the cut begins, in the drawing's own measure. Left and right go along the line's corners; an empty line leaves it to the rule: a corner or a straight, never a tight arc."
	now := -1
	for i, v := range f.Loop.V {
		if o.Start != nil && v.P.Near(at) {
			now = i
			r.note = fmt.Sprintf("corner %d of %d", i+1, len(f.Loop.V))
		}
	}
	r.turn = func(step int) func(*Draft) {
		n := len(f.Loop.V)
		if n == 0 {
			return nil
		}
		i := now + step
		if now < 0 && step < 0 {
			i = n - 1
		}
		q := f.Loop.V[(i+n)%n].P
		return set(&q)
	}
	check := r.check
	r.check = func(s string) (func(*Draft), string) {
		if s == "" {
			if o.Start == nil {
				return nil, ""
			}
			return set(nil), ""
		}
		return check(s)
	}
	return r
}

// sortFeatures puts the features in the order of the table: part by part, and
// collects what was said about each.
func (r *results) sortFeatures() {
	r.order, r.place = r.order[:0:0], make([]int, len(r.tree.Features))
	for _, p := range r.tree.Parts {
		for _, i := range p.Features {
			r.place[i] = len(r.order)
			r.order = append(r.order, i)
		}
	}
	r.gather()
}

// gather sorts the faults by feature. A fault of a copy, such as p1#2.h3,
// belongs to the feature of the part.
func (r *results) gather() {
	r.byFeature = map[string][]fault.Fault{}
	for _, f := range r.told {
		if id := featureOf(f.Feature); id != "" && f.Severity > fault.Note {
			r.byFeature[id] = append(r.byFeature[id], f)
		}
	}
}

// featureOf strips the copy from a label: "p1#2.h3" is p1.h3.
func featureOf(label string) string {
	out := make([]byte, 0, len(label))
	skip := false
	for i := range len(label) {
		switch c := label[i]; {
		case c == '#':
			skip = true
		case skip && c >= '0' && c <= '9':
		default:
			skip = false
			out = append(out, c)
		}
	}
	return string(out)
}
