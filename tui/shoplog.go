package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/coupon"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// logState says whether this job can be recorded.
func (m *Model) logState() string {
	if m.res.prog == nil || m.res.busy != "" {
		return "waits for the plan"
	}
	return ""
}

// openLog begins an entry of the cut log for the job as it is planned. What
// was typed for the same job is still there.
func (m *Model) openLog() tea.Cmd {
	p := m.res.prog
	if m.logState() != "" {
		m.say(inkWarn, "the cut log records a job that is planned: n goes to what is open.")
		return nil
	}
	if m.shop.runGen != m.d.Gen || m.shop.run.Job.Empty() && len(m.shop.run.Looks) == 0 {
		m.shop.run = presets.RunOf(m.d.Job, p.Tree, p.Plan.Pierces, p.Plan.Times.ArcOn+p.Plan.Times.Pierce)
		m.shop.run.By = m.d.Operator
		if set, ok := presets.Fitted(m.shop.sets); ok {
			m.shop.run.Set = set.Name
		}
		m.shop.runGen = m.d.Gen
	}
	m.lay(logPage{})
	m.spot().id = "look0"
	return nil
}

// logPage records what was seen after a cut.
type logPage struct{ shopView }

func (logPage) id() string            { return "log" }
func (logPage) title(m *Model) string { return "after the cut: " + m.d.Job.Name.String() }
func (logPage) explain() string {
	return "Go down the list: one key says how the edge is, digits say what the calliper reads. c: clean. e: heavy dross below that knocks off easily (the feed was too slow). b: a fine hard bead below (too fast). s: spatter on top. x: the arc did not come through. a: all edges are clean. Leave empty what nobody looked at. The list is kept as one entry of the cut log."
}

// drossKeys are the keys of the edges.
var drossKeys = []struct {
	key   string
	dross learn.Dross
}{{"c", learn.Clean}, {"e", learn.EasyDross}, {"b", learn.HardDross}, {"s", learn.TopDross}, {"x", learn.NotThrough}}

func (p logPage) list(m *Model) list {
	r := &m.shop.run
	u := m.shopUnits()
	rows := []row{{head: true, label: "edges and sizes"}}
	for i := range r.Looks {
		l := &r.Looks[i]
		x := m.ownNum(fmt.Sprint("look", i), l.Name(), fmt.Sprintf("Drawn %s. Type what the calliper reads.", u.Length(l.Drawn)), job.LogSize, l.Measured, l.Measured > 0,
			func(m *Model, v float64) { m.shop.run.Looks[i].Measured = v }, func(m *Model) { m.shop.run.Looks[i].Measured = 0 })
		x.source = upperFirst(x.bounds) + " " + x.source
		x.bounds = "Keys: c clean, e knocks off (too slow), b hard bead (too fast), s spatter on top, x not through, a all clean."
		if l.Measured == 0 {
			x.value = "of " + u.Length(l.Drawn)
		} else {
			x.value += " of " + u.Length(l.Drawn)
		}
		if l.Delay.Known {
			x.note = "delay " + unit.Number(l.Delay.Value, 2) + " s  "
		}
		if l.Part != 0 && l.Part != 1 {
			x.note += u.Feed(l.Part*r.Process.Feed) + "  "
		}
		if l.Dross != "" {
			x.note += l.Dross.Words()
			x.state = stDone
			if l.Dross != learn.Clean {
				x.state = stWarn
			}
		}
		x.keys = map[string]func(*Model) tea.Cmd{"a": func(m *Model) tea.Cmd {
			for k := range m.shop.run.Looks {
				m.shop.run.Looks[k].Dross = learn.Clean
			}
			return nil
		}}
		for _, k := range drossKeys {
			x.keys[k.key] = func(m *Model) tea.Cmd { m.look(i, k.dross); return nil }
		}
		if j := m.featureIndex(l.Feature); j >= 0 {
			x.aim = &aim{feature: j, drawing: -1}
		}
		rows = append(rows, x)
	}
	bevel := job.Opt{}
	at := slices.IndexFunc(r.Looks, func(l presets.Look) bool { return l.Kind == feature.Outline })
	if at >= 0 {
		bevel = r.Looks[at].Bevel
	}
	rows = append(rows, row{head: true, label: "of the whole run"},
		m.ownNum("volts", "arc voltage", "Read on a long straight side, or at height control.", job.ProcessVolts, r.Volts.Value, r.Volts.Known,
			func(m *Model, v float64) { m.shop.run.Volts = job.Of(v) }, func(m *Model) { m.shop.run.Volts = job.Opt{} }))
	if at >= 0 {
		rows = append(rows, m.ownNum("bevel", "edges lean by", "With a square at the outline: over 0 where more is cut away on top.", job.LogBevel, bevel.Value, bevel.Known,
			func(m *Model, v float64) { m.shop.run.Looks[at].Bevel = job.Of(v) }, func(m *Model) { m.shop.run.Looks[at].Bevel = job.Opt{} }))
	}
	rows = append(rows,
		m.ownNum("lost", "arcs lost", "Arcs that went out before the cut was done.", job.LogLost, float64(r.Lost), r.Lost > 0, func(m *Model, v float64) { m.shop.run.Lost = int(v) }, func(m *Model) { m.shop.run.Lost = 0 }),
		ownChoice("changed", "consumables changed", "Whether they were changed after this run.", []string{"no", "yes"}, b2i(r.Changed), func(m *Model, i int) { m.shop.run.Changed = i == 1 }),
		m.ownText("by", "by", "Who looked.", r.By.String(), func(m *Model, s string) { m.shop.run.By = plain.Of(s) }),
		m.ownText("notes", "notes", "Anything else.", r.Notes.String(), func(m *Model, s string) { m.shop.run.Notes = plain.Of(s) }),
		ownAct("keep", "keep this entry", m.looked(), "keep", "Into the cut log. Then what it says of the preset is shown.", func(m *Model) tea.Cmd { return m.keepRun() }))
	return rowsList(rows)
}

func (logPage) keys(_ *Model, r row) []key.Binding {
	if r.keys["e"] != nil {
		return []key.Binding{bind("c e b s x", "edge", "c"), bind("a", "all clean", "a")}
	}
	return r.hints
}

// look says how the edges of one cut are, and goes on to the next cut.
func (m *Model) look(i int, d learn.Dross) {
	all := m.shop.run.Looks
	for k := range all {
		if all[k].Feature == all[i].Feature {
			all[k].Dross = d
		}
	}
	for k := i + 1; k < len(all); k++ {
		if all[k].Feature != all[i].Feature {
			m.spot().id = fmt.Sprint("look", k)
			return
		}
	}
}

// looked says how much of the entry is filled in.
func (m *Model) looked() string {
	sizes, edges := 0, 0
	for _, l := range m.shop.run.Looks {
		sizes += b2i(l.Measured > 0)
		edges += b2i(l.Dross != "")
	}
	return fmt.Sprintf("%s, %s", count(sizes, "size"), count(edges, "edge"))
}

func (m *Model) keepRun() tea.Cmd {
	r := m.shop.run
	r.At = m.stamp()
	r.Looks = slices.Clone(r.Looks)
	u := m.shopUnits()
	return m.shopWork("keep an entry of the cut log", func(s presets.Store) (string, error) {
		_, err := s.LogRun(r, u)
		return "kept in the cut log", err
	}, func(m *Model) {
		m.shop.run, m.shop.runGen = presets.Run{}, 0
		m.back()
		m.openLearn(nil)
	})
}

// openLearn looks through the cut log for a preset; nil is that of the job.
func (m *Model) openLearn(p *presets.Preset) tea.Cmd {
	lib := m.eng.Library()
	if p == nil {
		s := m.d.Job.Stock
		proc, n, err := lib.Lookup(s.Material, s.Thickness, m.d.Job.Process.Amps)
		switch {
		case err != nil:
			// No preset yet: what the job was cut with is the first one.
			p = &presets.Preset{Material: s.Material, Thickness: s.Thickness, Process: m.d.Job.Process}
			if s.Material == "" || s.Thickness == 0 || m.d.Job.Process.Amps == 0 {
				m.say(inkWarn, "metal, thickness and current come first: the log is looked through for them.")
				return nil
			}
		case n.Exact:
			p = &n.Thinner
		default:
			p = &presets.Preset{Material: s.Material, Thickness: s.Thickness, Process: proc}
		}
	}
	m.shop.prop = presets.Propose(*p, m.shop.runs, m.shop.sets, m.d.Operator, m.stamp(), m.shopUnits())
	m.lay(learnPage{})
	m.spot().id = "accept"
	return nil
}

// learnPage shows what the cut log says of a preset.
type learnPage struct{ shopView }

func (learnPage) id() string            { return "learn" }
func (learnPage) title(m *Model) string { return "what the log says of " + m.shop.prop.Was.Name() }
func (learnPage) explain() string {
	return "Each line is a figure as it is and as the log would have it, with how far it may be off (95 of 100 cases) and what it rests on. Nothing changes until you accept; what stood there stays in the preset's history."
}
func (p learnPage) list(m *Model) list {
	q := &m.shop.prop
	w := m.leftWidth(p) - 4
	rows := []row{{head: true, label: newestRuns(q.Runs) + " in this metal, thickness and current"}}
	for i, c := range q.Changes {
		r := row{id: fmt.Sprint("change", i), state: stWarn, why: sentence(c.Why)}
		rows = append(rows, r.hung(labelWidth, line{{padRight(c.Figure+" ", labelWidth-1), inkPlain}}, c.Was+"  ->  "+c.Now, w)...)
	}
	if len(q.Changes) > 0 {
		rows = append(rows, ownAct("accept", "accept", "the preset becomes this", "accept", "Into the shop's own store; the state before stays in its history.", func(m *Model) tea.Cmd {
			prop, u := m.shop.prop, m.shopUnits()
			return m.shopWork("accept what the log says", func(s presets.Store) (string, error) {
				saved, err := s.EditPreset(prop.Was, prop.Now, u)
				return "accepted, kept in " + saved.Item.String() + ". On stage 3 the job can take it", err
			}, func(m *Model) {
				m.shop.prop = presets.Propose(prop.Now, m.shop.runs, m.shop.sets, m.d.Operator, m.stamp(), m.shopUnits())
			})
		}), ownAct("leave", "leave it", "nothing changes", "leave", "It is offered again when you look.", func(m *Model) tea.Cmd { m.back(); return nil }))
	} else {
		rows = append(rows, row{id: "nothing", state: stDone, plain: text("nothing to change"), why: "The preset says what the log says, as far as it goes."})
	}
	if len(q.Told) > 0 {
		rows = append(rows, row{head: true, label: "also"})
		for i, s := range q.Told {
			rows = append(rows, row{id: fmt.Sprint("told", i), why: sentence(s)}.hung(1, line{{"", inkPlain}}, s, w)...)
		}
	}
	return rowsList(rows)
}

// setsPage is about consumables.
type setsPage struct{ shopView }

func (setsPage) id() string          { return "sets" }
func (setsPage) title(*Model) string { return "consumables" }
func (setsPage) explain() string {
	return "A set is the electrode, the nozzle and what is changed with them. Starts and arc-on time are counted from the cut log; how long a set lasts comes from the sets that were worn out here. The checks warn when the fitted set would not last for the job."
}
func (setsPage) list(m *Model) list {
	s := &m.shop
	old := s.oldSet
	if old == "" {
		old = presets.SetWorn
	}
	rows := []row{{head: true, label: "fit a new set"},
		m.ownText("set.name", "its name", "Such as the date or a number on the box.", s.newSet, func(m *Model, t string) { m.shop.newSet = t }),
		ownChoice("set.old", "the one before", "What became of it: only worn and failed sets tell how long one lasts.", []string{"worn", "failed", "still good"}, slices.Index(presets.SetEnds(), old),
			func(m *Model, i int) { m.shop.oldSet = presets.SetEnds()[i] }),
		ownAct("set.fit", "it is on the torch now", "", "fit it", "From now on the cut log counts for it.", func(m *Model) tea.Cmd {
			if m.shop.newSet == "" {
				m.say(inkWarn, "give the new set a name first.")
				return nil
			}
			set := presets.Set{Name: plain.Of(m.shop.newSet), Fitted: m.stamp(), Amps: m.d.Job.Process.Amps}
			return m.shopWork("fit a set of consumables", func(st presets.Store) (string, error) {
				return set.Name.String() + " is on the torch", st.FitSet(set, old)
			}, func(m *Model) { m.shop.newSet, m.shop.oldSet = "", "" })
		}),
		{head: true, label: "sets"}}
	for i, set := range s.sets {
		w := presets.WearOf(set, s.runs)
		r := row{id: fmt.Sprint("set", i)}
		state := "on the torch"
		if set.Ended != "" {
			state = string(set.Why)
		}
		r.plain = line{{padRight(set.Name.String(), 20), inkPlain}, {padRight(count(w.Starts, "start"), 14), inkPlain}, {padRight(unit.Duration(w.ArcOn)+" of arc", 20), inkPlain}, {state, inkFaint}}
		r.why = sentence("Fitted " + set.Fitted)
		rows = append(rows, r)
	}
	if len(s.sets) == 0 {
		rows = append(rows, row{id: "none", plain: inked(inkFaint, "none yet")})
	}
	life := presets.LifeOfSets(s.sets, s.runs)
	if life.Starts.N > 0 {
		rows = append(rows, row{id: "life", label: "a set lasts", value: fmt.Sprintf("%s starts, %s h of arc", unit.Number(life.Starts.Mean, 0), unit.Number(life.Hours.Mean, 1)),
			note: fmt.Sprintf("count on %s and %s h", unit.Number(life.Starts.Prudent(), 0), unit.Number(life.Hours.Prudent(), 1)), why: fmt.Sprintf("From %s.", count(life.Starts.N, "worn set"))})
	}
	return rowsList(rows)
}

// couponsPage makes jobs of test pieces.
type couponsPage struct{ shopView }

func (couponsPage) id() string          { return "coupons" }
func (couponsPage) title(*Model) string { return "test pieces" }
func (couponsPage) explain() string {
	return "Each is a job like any other, for the metal, process and machine of the job on the screen: it plans, proves, is checked and saved, cut on scrap, and then recorded in the cut log. They are listed in the order in which each rests on the one before. u brings the job back that stood there."
}
func (couponsPage) list(m *Model) list {
	j := &m.d.Job
	u := m.shopUnits()
	rows := []row{{head: true, label: "for " + m.couponFor()}}
	for _, k := range coupon.Kinds() {
		made, err := coupon.Make(coupon.Spec{Kind: k, Stock: j.Stock, Process: j.Process, Machine: j.Machine, Units: u})
		r := row{id: "coupon:" + string(k), label: k.Title(), why: k.What(), verb: "make it the job"}
		if err != nil {
			r.value, r.state, r.bounds = "waits", stFree, sentence(err.Error())
		} else {
			r.value = fmt.Sprintf("%s by %s of plate", u.Length(made.Stock.Width), u.Length(made.Stock.Height))
			r.act = func(m *Model) tea.Cmd {
				cmd := m.change(func(d *Draft) {
					keep := d.Job
					d.Job = made
					d.Job.Stock.Surface, d.Job.Stock.Under = keep.Stock.Surface, keep.Stock.Under
					d.Name = fileName(made.Name.String())
				})
				m.pages = nil
				m.setStage(featureStage)
				m.say(inkGood, k.Title()+" is the job now; u brings the other one back.")
				return cmd
			}
		}
		rows = append(rows, r)
	}
	return rowsList(rows)
}

// couponFor names what test pieces are made for; a preset's own name says the
// metal and the thickness already.
func (m *Model) couponFor() string {
	j, u := &m.d.Job, m.shopUnits()
	metal := orNot(string(j.Stock.Material))
	parts := []string{metal, orNot(lengthOr(j.Stock.Thickness, u)), orNot(j.Process.Preset.String()), orNot(j.Machine.Name.String())}
	if strings.Contains(parts[2], metal) && strings.HasSuffix(parts[2], parts[1]) {
		parts = parts[2:]
	}
	return strings.Join(parts, ", ")
}

func orNot(s string) string {
	if s == "" {
		return "not said"
	}
	return s
}

func lengthOr(v float64, u unit.System) string {
	if v == 0 {
		return ""
	}
	return u.Length(v)
}

// newestRuns names the runs that a proposal rests on.
func newestRuns(n int) string {
	if n == 1 {
		return "from the one run"
	}
	return fmt.Sprintf("from the newest %d runs", n)
}
