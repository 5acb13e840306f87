package tui

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// processView is the third stage: how the arc cuts, and the rules of the trade.
type processView struct{ page }

func (processView) id() string          { return "process" }
func (processView) title(*Model) string { return "process: arc, feed, rules" }
func (processView) explain() string {
	return "Current first: with material and thickness it finds a preset. Nothing is taken from a preset until you say so; each figure can be changed and then says that it was. Figures of a preset that nobody has cut with here are starting values: prove them with a test cut. A line that begins with 'rule:' is left to the rule of the trade; type a figure to overrule it, empty the line to give it back."
}

func (processView) list(m *Model) list {
	j := &m.d.Job
	pr, err := m.eng.Lookup(*j)
	var rows []row
	head := func(s string) { rows = append(rows, row{head: true, label: s}) }
	add := func(r row) { rows = append(rows, r) }

	head("process")
	add(m.ampsRow())
	add(m.presetRow(pr, err))
	from := func(n num, preset float64, known bool) {
		n.note = m.fromPreset(n, preset, known && err == nil)
		add(m.num(n))
	}
	p := func(at func(*job.Process) *float64) func(*job.Job) *float64 {
		return func(j *job.Job) *float64 { return at(&j.Process) }
	}
	q := pr.Process
	from(m.number(job.ProcessFeed, "feed", p(func(p *job.Process) *float64 { return &p.Feed }),
		"Along the edge. Too fast: the arc trails and dross clings hard; too slow: the kerf widens and dross hangs below."), q.Feed, true)
	from(m.number(job.ProcessKerf, "kerf", p(func(p *job.Process) *float64 { return &p.Kerf }),
		"Full width of the cut. Half of it is the way between the torch and the edge."), q.Kerf, true)
	from(m.number(job.ProcessPierceHeight, "pierce height", p(func(p *job.Process) *float64 { return &p.PierceHeight }),
		"Nozzle over the plate while it pierces: high enough that the spatter misses it."), q.PierceHeight, true)
	from(m.optional(job.ProcessPierceDelay, "pierce delay", func(j *job.Job) *job.Opt { return &j.Process.PierceDelay },
		"From the arc's start until the torch moves: as long as the arc takes to come through."), q.PierceDelay.Value, q.PierceDelay.Known)
	from(m.number(job.ProcessCutHeight, "cut height", p(func(p *job.Process) *float64 { return &p.CutHeight }),
		"Nozzle over the plate while it cuts. It sets bevel, kerf and arc voltage."), q.CutHeight, true)
	from(m.number(job.ProcessVolts, "arc voltage", p(func(p *job.Process) *float64 { return &p.Volts }),
		"At cut height; what height control is set to. It may stay unsaid."), q.Volts, q.Volts > 0)
	add(m.words(words{id: "gas", label: "gas",
		get:  func(d *Draft) string { return d.Job.Process.Gas.String() },
		put:  func(d *Draft, s string) { d.Job.Process.Gas = plain.Of(s) },
		note: sameText(pr, err, j), why: "Such as air."}))
	from(m.optional(job.ProcessPressure, "pressure", func(j *job.Job) *job.Opt { return &j.Process.Pressure },
		"At the torch's supply while gas flows. Unsaid, the checklist sends you to the torch's manual."), q.Pressure.Value, q.Pressure.Known)
	from(m.optional(job.ProcessGasFlow, "gas flow", func(j *job.Job) *job.Opt { return &j.Process.GasFlow },
		"It may stay unsaid."), q.GasFlow.Value, q.GasFlow.Known)
	add(m.plausibleRow())

	head("rules of the trade")
	for _, r := range m.ruleRows() {
		add(r)
	}
	return rowsList(rows)
}

// ampsRow offers the currents that have a preset; others may be typed.
func (m *Model) ampsRow() row {
	n := m.number(job.ProcessAmps, "current", func(j *job.Job) *float64 { return &j.Process.Amps },
		"Set it on the supply, with the consumables made for it.")
	r := m.num(n)
	j := &m.d.Job
	all := m.eng.Amps(j.Stock.Material, j.Stock.Thickness)
	if len(all) == 0 {
		r.bounds += " No preset for this metal and thickness."
		return r
	}
	s := ""
	for i, a := range all {
		if i > 0 {
			s += ", "
		}
		s += form{Dim: job.Amps}.typed(a, 0)
	}
	r.bounds = "Left and right go along the presets: " + s + " A. " + r.bounds
	r.turn = func(step int) func(*Draft) {
		// The next preset in that direction, from wherever the current is.
		now := m.d.Job.Process.Amps
		var to float64
		switch {
		case step > 0:
			i := slices.IndexFunc(all, func(a float64) bool { return a > now })
			if i < 0 {
				return nil
			}
			to = all[i]
		default:
			for _, a := range all {
				if now == 0 || a < now {
					to = a
				}
			}
			if to == 0 {
				return nil
			}
		}
		return func(d *Draft) { d.Job.Process.Amps = to }
	}
	return r
}

// presetRow shows what the presets hold, and takes it over when asked.
func (m *Model) presetRow(pr Preset, err error) row {
	j := &m.d.Job
	u := j.Units
	r := row{id: "preset", label: "preset", verb: "take its figures"}
	if err != nil {
		r.value, r.state = "none", stFree
		r.why = sentence(err.Error())
		if j.Process.Amps == 0 {
			r.value = "waits for the current"
		}
		return r
	}
	r.value = pr.Process.Preset.String()
	r.why = sentence(fmt.Sprintf("%s: %s", upperFirst(pr.Note), pr.Process.State))
	for _, b := range pr.Beside {
		r.bounds += fmt.Sprintf("%s: feed %s, kerf %s, volts %s. ", u.Length(b.Thickness), u.Feed(b.Process.Feed), u.Length(b.Process.Kerf), form{Dim: job.Volts}.show(b.Process.Volts, u))
	}
	if s := pr.Process.Source.String(); s != "" {
		r.bounds += "From: " + s
	}
	switch {
	case sameProcess(j.Process, pr.Process):
		r.state, r.why = stDone, "Taken. "+r.why
		return r
	case j.Process.Feed == 0:
		r.note = "enter takes it"
	default:
		r.note = "differs, enter takes it"
		r.state = stWarn
	}
	r.act = func(m *Model) tea.Cmd {
		// A shop that keeps bands of its own wants its holes cut by them.
		bands, own := m.eng.HoleBands()
		own = own && len(bands) > 0 && len(m.d.Job.Rules.Holes) == 0
		cmd := m.change(func(d *Draft) {
			d.Job.Process = pr.Process
			if own {
				d.Job.Rules.Holes = bands
			}
		})
		if own {
			m.say(inkRule, fmt.Sprintf("taken, and with it the shop's own %s of holes: see the line 'holes' below.", count(len(bands), "band")))
		}
		return cmd
	}
	return r
}

func sameProcess(a, b job.Process) bool { return a.Equal(b) }

// fromPreset says where a figure comes from.
func (m *Model) fromPreset(n num, preset float64, known bool) string {
	v, have := n.get(&m.d.Job)
	switch {
	case !have || !known:
		return ""
	case v == preset:
		return "preset"
	}
	f := n.form
	f.Dim = n.field.Range().Dim
	return "preset " + f.typed(preset, m.d.Job.Units)
}

func sameText(pr Preset, err error, j *job.Job) string {
	if err == nil && !j.Process.Gas.Empty() && j.Process.Gas == pr.Process.Gas {
		return "preset"
	}
	return ""
}

// plausibleRow shows the judgement of physics on the process.
func (m *Model) plausibleRow() row {
	c, known := m.eng.Plausible(m.d.Job)
	r := row{id: "plausible", label: "melts the kerf", value: c.Figure, why: sentence(c.Why), bounds: c.Do}
	if c.Limit != "" {
		r.why = sentence(c.Figure+"; "+c.Limit) + " " + r.why
	}
	switch {
	case !known:
		r.value, r.note, r.state = "waits for figures", "", stFree
	case c.Verdict == planner.Pass:
		r.state = stDone
	default:
		r.state = stWarn // the checks stage says whether it forbids saving
	}
	return r
}

// ruleRows are the rules that a job may overrule; those of one matter share a
// page.
func (m *Model) ruleRows() []row {
	j := &m.d.Job
	part := form{percent: true}
	holds := job.ControlWithHolds
	cw := job.OutlineClockwise
	bands := ""
	if n := len(j.Rules.Holes); n > 0 {
		bands = count(n, "band")
	}
	taper := ""
	if n := len(j.Process.Taper); n > 0 {
		taper = count(n, "row")
	}
	return []row{
		choose(m, choice[job.HeightControl]{id: "rules.control", label: "height control", rule: &holds,
			of: []pick[job.HeightControl]{{job.ControlWithHolds, "on, with holds", "held where the torch slows down or the plate is cut beside it"},
				{job.ControlOff, "off", "touch-off alone sets the height: for flat plate and short cuts"}},
			get: func(j *job.Job) job.HeightControl { return j.Rules.Control },
			put: func(j *job.Job, v job.HeightControl) { j.Rules.Control = v },
			why: "Height control follows the arc voltage. It dives where the torch slows down, so there it must be held."}),
		m.rule(job.RulesHoldBelow, "hold below", part, func(r *job.Rules) *float64 { return &r.HoldBelow }, "Part of the feed under which height is held."),
		opens("holes", "holes", bands, "by size", "How holes of each size are cut: bands of the job, and the rules for what no band fits.", holesPage{}),
		opens("taper", "taper of holes", taper, "none", "By how much holes are drawn wider so that they come out right, as measured.", taperPage()),
		m.rule(job.RulesMaxLead, "longest lead-in", form{}, func(r *job.Rules) *float64 { return &r.MaxLead }, "From the pierce to the edge. Shorter where there is no room."),
		m.rule(job.RulesOverburn, "overburn", form{}, func(r *job.Rules) *float64 { return &r.Overburn }, "How far a closed inside cut goes past its start."),
		m.rule(job.RulesLeadOut, "lead-out", form{}, func(r *job.Rules) *float64 { return &r.LeadOut }, "On slots and cut-outs, back towards the pierce. None on holes."),
		choose(m, choice[job.Turn]{id: "rules.clockwise", label: "outlines run", rule: &cw,
			of: []pick[job.Turn]{{job.OutlineClockwise, "clockwise", "the square side is on the right of travel with the usual swirl of the gas"},
				{job.OutlineCounterClockwise, "counter-clockwise", "for a torch whose gas swirls the other way"}},
			get: func(j *job.Job) job.Turn { return j.Rules.Clockwise },
			put: func(j *job.Job, v job.Turn) { j.Rules.Clockwise = v },
			why: "Inside features run the other way."}),
		opens("corners", "entry and corners", cornersNow(j), "nothing special", "Creep on the lead-in, loops or slowing down at sharp corners, the shortest hold.", cornersPage()),
		opens("tabs", "tabs and slugs", tabsNow(j), "none", "Tabs that keep small parts in; slugs cut across so that they fall.", tabsPage()),
		m.marksRow(),
		m.orderLine("What is kept together, heat spread, corners to begin and park at, touch-offs used again; time, bound and gap."),
		m.ruleCount(job.RulesCutRange, "quality expected", "rule: 4, holes 5", func(r *job.Rules) *int { return &r.CutRange },
			"ISO 9013 range of how square the cut face is, 1 best to 5. What a feature can hold is forecast with it; plasma with air reaches 4, in small holes 5 (common practice, no source)."),
		m.rule(job.RulesTolerance, "curves within", form{}, func(r *job.Rules) *float64 { return &r.Tolerance }, "How far lines and arcs may lie from a curve of the drawing that is neither."),
		m.rule(job.RulesProofWithin, "proof within", form{}, func(r *job.Rules) *float64 { return &r.ProofWithin }, "How far the written program may cut into a part, or miss its edge, before the proof refuses it."),
		m.room(job.LayoutMargin, "free edge of plate", func(j *job.Job) *float64 { return &j.Layout.Margin }, "Kept free along the edge of the stock."),
		m.room(job.LayoutGap, "between parts", func(j *job.Job) *float64 { return &j.Layout.Gap }, "Kept free between two parts."),
	}
}

// room is a distance that the layout works out itself while nobody has said.
func (m *Model) room(f job.Field, label string, at func(*job.Job) *float64, why string) row {
	n := m.number(f, label, at, why)
	n.empty = "rule: room to pierce"
	r := m.num(n)
	r.bounds = f.Range().Text(m.d.Job.Units) + ". Leave the line empty for the rule: as much as a pierce and its lead need."
	return r
}
