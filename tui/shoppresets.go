package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// presetsPage searches the presets.
type presetsPage struct{ shopView }

func (presetsPage) id() string          { return "presets" }
func (presetsPage) title(*Model) string { return "process presets" }
func (presetsPage) explain() string {
	return "All presets by metal, current and thickness; the lines on top narrow them down. For a thickness without a preset of its own the two neighbours are shown, that a figure would be taken between. Enter opens one: edit it, copy it, compare it, retire it. Share them with: kerfwright preset export FILE.toml."
}

func materialNames() []string {
	names := []string{"any"}
	for _, x := range job.Materials() {
		names = append(names, string(x))
	}
	return names
}

func (presetsPage) list(m *Model) list {
	q := &m.shop.find
	u := m.shopUnits()
	at := 1 + slices.Index(job.Materials(), q.Material)
	rows := []row{
		ownChoice("find.material", "metal", "Shows only the presets for one metal.", materialNames(), at, func(m *Model, i int) {
			m.shop.find.Material = ""
			if i > 0 {
				m.shop.find.Material = job.Materials()[i-1]
			}
		}),
		m.ownNum("find.thickness", "thickness", "Shows the presets that hold at this thickness, or the two next to it.", job.StockThickness, q.Thickness, q.Thickness > 0,
			func(m *Model, v float64) { m.shop.find.Thickness = v }, func(m *Model) { m.shop.find.Thickness = 0 }),
		m.ownNum("find.amps", "current", "Shows only the presets at this current.", job.ProcessAmps, q.Amps, q.Amps > 0,
			func(m *Model, v float64) { m.shop.find.Amps = v }, func(m *Model) { m.shop.find.Amps = 0 }),
		ownChoice("find.retired", "retired ones", "Those that are kept but no longer offered.", []string{"hidden", "shown"}, b2i(q.Retired), func(m *Model, i int) { m.shop.find.Retired = i == 1 }),
	}
	found := m.eng.Library().Search(*q)
	rows = append(rows, row{head: true, label: count(len(found), "preset")})
	last := ""
	for i, p := range found {
		head := fmt.Sprintf("%s, %s", p.Material, form{Dim: job.Amps}.show(p.Process.Amps, u))
		if head != last {
			rows, last = append(rows, row{head: true, label: head}), head
		}
		r := row{id: fmt.Sprintf("preset:%s:%g:%g", p.Material, p.Process.Amps, p.Thickness), verb: "open"}
		ink := inkPlain
		note := shortState(p.Process.State)
		if p.Own {
			note += ", own"
		}
		if p.Retired {
			ink, note = inkFaint, "retired"
		}
		if p.Process.State == job.Proved && !p.Retired {
			r.state = stDone
		}
		r.plain = line{{padRight(u.Length(p.Thickness), 12), ink}, {padRight("feed "+u.Feed(p.Process.Feed), 20), ink}, {padRight("kerf "+u.Length(p.Process.Kerf), 15), ink}, {note, inkFaint}}
		r.why = sentence(fmt.Sprintf("%s; from: %s", p.Process.State, p.Process.Source))
		r.act = func(m *Model) tea.Cmd { m.openPreset(found[i]); return nil }
		rows = append(rows, r)
	}
	return rowsList(rows)
}

func b2i(v bool) int {
	if v {
		return 1
	}
	return 0
}

func (m *Model) openPreset(p presets.Preset) {
	m.shop.was, m.shop.now, m.shop.beside = p, p, presets.Preset{}
	m.shop.now.Process.Taper = slices.Clone(p.Process.Taper)
	m.lay(presetPage{})
	m.spotOf(presetPage{}).id = "feed"
}

// presetPage edits one preset.
type presetPage struct{ shopView }

func (presetPage) id() string            { return "preset" }
func (presetPage) title(m *Model) string { return "preset " + m.shop.now.Name() }
func (presetPage) explain() string {
	return "Nothing is kept until you keep it. The shop's own preset stands in place of the shipped one; its earlier states stay in its history. A figure that the cut log taught says within how much it is known. Trust it only as far as it says: a starting value was never cut with here."
}

func (p presetPage) list(m *Model) list {
	s := &m.shop
	now := &s.now
	u := m.shopUnits()
	num := func(key, label, why string, f job.Field, at func(*job.Process) *float64) row {
		v := *at(&now.Process)
		r := m.ownNum(key, label, why, f, v, v > 0, func(m *Model, v float64) { m.typedFigure(key, func(p *job.Process) { *at(p) = v }) },
			func(m *Model) { m.typedFigure(key, func(p *job.Process) { *at(p) = 0 }) })
		return m.knownWithin(r, key, f)
	}
	opt := func(key, label, why string, f job.Field, at func(*job.Process) *job.Opt) row {
		v := *at(&now.Process)
		r := m.ownNum(key, label, why, f, v.Value, v.Known, func(m *Model, v float64) { m.typedFigure(key, func(p *job.Process) { *at(p) = job.Of(v) }) },
			func(m *Model) { m.typedFigure(key, func(p *job.Process) { *at(p) = job.Opt{} }) })
		return m.knownWithin(r, key, f)
	}
	rows := []row{{head: true, label: "figures"},
		num("feed", "feed", "Along the edge.", job.ProcessFeed, func(p *job.Process) *float64 { return &p.Feed }),
		num("kerf", "kerf", "Full width of the cut.", job.ProcessKerf, func(p *job.Process) *float64 { return &p.Kerf }),
		num("pierce_height", "pierce height", "Nozzle over the plate while it pierces.", job.ProcessPierceHeight, func(p *job.Process) *float64 { return &p.PierceHeight }),
		opt("pierce_delay", "pierce delay", "From the arc's start until the torch moves.", job.ProcessPierceDelay, func(p *job.Process) *job.Opt { return &p.PierceDelay }),
		num("cut_height", "cut height", "Nozzle over the plate while it cuts.", job.ProcessCutHeight, func(p *job.Process) *float64 { return &p.CutHeight }),
		num("volts", "arc voltage", "At cut height.", job.ProcessVolts, func(p *job.Process) *float64 { return &p.Volts }),
		m.ownText("gas", "gas", "Such as air.", now.Process.Gas.String(), func(m *Model, s string) { m.shop.now.Process.Gas = plain.Of(s) }),
		opt("pressure", "pressure", "At the torch's supply while gas flows.", job.ProcessPressure, func(p *job.Process) *job.Opt { return &p.Pressure }),
		opt("gas_flow", "gas flow", "It may stay unsaid.", job.ProcessGasFlow, func(p *job.Process) *job.Opt { return &p.GasFlow }),
		{head: true, label: "trust"},
		ownChoice("state", "state", "How far the shop trusts it.", stateNames(), slices.Index(job.States(), now.Process.State), func(m *Model, i int) { m.shop.now.Process.State = job.States()[i] }),
		m.ownNum("from", "holds from", "The least thickness that it holds at as it is. Empty is its own thickness only.", job.StockThickness, now.From, now.From > 0,
			func(m *Model, v float64) { m.shop.now.From = v }, func(m *Model) { m.shop.now.From = 0 }),
		m.ownNum("to", "holds to", "The largest thickness that it holds at as it is.", job.StockThickness, now.To, now.To > 0,
			func(m *Model, v float64) { m.shop.now.To = v }, func(m *Model) { m.shop.now.To = 0 }),
		m.ownText("source", "comes from", "Where the figures came from.", now.Process.Source.String(), func(m *Model, s string) { m.shop.now.Process.Source = plain.Of(s) }),
		m.ownText("by", "by", "Who entered or measured it.", now.By.String(), func(m *Model, s string) { m.shop.now.By = plain.Of(s) }),
		m.ownText("notes", "notes", "Anything that who cuts with it should know.", now.Notes.String(), func(m *Model, s string) { m.shop.now.Notes = plain.Of(s) }),
		{head: true, label: "what to do with it"},
		ownAct("keep", "keep", m.presetChanged(), "keep", "Into the shop's own store; the state before stays in its history.", func(m *Model) tea.Cmd { return m.keepPreset(m.shop.was, m.shop.now) }),
		ownAct("use", "take into this job", "", "take", "The job's process becomes this.", func(m *Model) tea.Cmd {
			p := m.shop.now.Process
			m.say(inkGood, "taken into the job.")
			return m.change(func(d *Draft) { d.Job.Process = p })
		}),
		m.ownNum("copy", "copy to thickness", "Makes a preset of its own at another thickness, as a starting value.", job.StockThickness, 0, false, func(m *Model, v float64) {
			c := m.shop.now
			c.Thickness, c.From, c.To, c.Own, c.File, c.Figures, c.Retired = v, 0, 0, false, "", nil, false
			c.Process.State, c.Process.Preset = job.Starting, plain.Text{}
			c.Process.Source = plain.Of("copied from " + m.shop.was.Name())
			c.Process.Preset = plain.Of(c.Name())
			m.shop.was, m.shop.now = c, c
			m.say(inkGood, "a copy; keep it when its figures are right.")
		}, func(*Model) {}),
		ownAct("learn", "what the log says", "", "open", "What the cut log says of this preset.", func(m *Model) tea.Cmd { return m.openLearn(&m.shop.was) }),
		ownAct("retire", map[bool]string{false: "retire", true: "offer it again"}[now.Retired], "", "do it", "Kept, but no longer offered, until it is offered again.", func(m *Model) tea.Cmd {
			m.shop.now.Retired = !m.shop.now.Retired
			return m.keepPreset(m.shop.was, m.shop.now)
		}),
		{head: true, label: "compared with " + m.comparedWith()}}
	diff := presets.Compare(s.was, s.now, u)
	if s.beside.Material != "" {
		diff = presets.Compare(s.now, s.beside, u)
	}
	for i, d := range diff {
		rows = append(rows, row{id: fmt.Sprint("diff", i), plain: line{{padRight(d.Name, 15), inkPlain}, {d.A, inkPlain}, {"  ->  ", inkFaint}, {d.B, inkPlain}}, why: d.Name + ": " + d.A + " -> " + d.B})
	}
	if len(diff) == 0 {
		rows = append(rows, row{id: "diff", plain: inked(inkFaint, "no difference")})
	}
	return rowsList(rows)
}

// shortState is how far a preset is trusted, where there is no room for what to
// do about it.
func shortState(s job.State) string {
	switch s {
	case job.Proved:
		return "proved here"
	case job.Tried:
		return "tried"
	}
	return "not proved"
}

func stateNames() []string {
	var names []string
	for _, s := range job.States() {
		names = append(names, string(s))
	}
	return names
}

func (m *Model) comparedWith() string {
	if m.shop.beside.Material != "" {
		return m.shop.beside.Name()
	}
	return "as it was"
}

func (p presetPage) keys(_ *Model, r row) []key.Binding {
	return append(slices.Clone(r.hints), bind("c", "compare with the next", "c"))
}

// press compares with the presets of the same metal and current, one after
// the other.
func (p presetPage) press(m *Model, k string, _ row) (bool, tea.Cmd) {
	if k != "c" {
		return false, nil
	}
	s := &m.shop
	row := m.eng.Library().Search(presets.Query{Material: s.now.Material, Amps: s.now.Process.Amps, Retired: true})
	at := slices.IndexFunc(row, func(p presets.Preset) bool { return p.Thickness == s.beside.Thickness && s.beside.Material != "" })
	for i := at + 1; i < len(row); i++ {
		if row[i].Thickness != s.now.Thickness {
			s.beside = row[i]
			return true, nil
		}
	}
	s.beside = presets.Preset{}
	return true, nil
}

// typedFigure takes a figure over by hand: what was known of it no longer
// holds.
func (m *Model) typedFigure(of string, put func(*job.Process)) {
	put(&m.shop.now.Process)
	m.shop.now.Figures = slices.DeleteFunc(slices.Clone(m.shop.now.Figures), func(f presets.Figure) bool { return f.Of == of })
	if len(m.shop.now.Figures) == 0 {
		m.shop.now.Figures = nil
	}
}

// knownWithin says on a row how well its figure is known.
func (m *Model) knownWithin(r row, of string, f job.Field) row {
	if g, ok := m.shop.now.Figure(of); ok {
		fm := form{Dim: f.Range().Dim}
		r.note = "+- " + fm.show(g.Within, m.shopUnits())
		r.bounds += " " + sentence(strings.TrimSpace(fmt.Sprintf("%s %s %s", g.From, g.By, g.At)))
	}
	return r
}

func (m *Model) presetChanged() string {
	if m.shop.now.Same(m.shop.was) {
		if m.shop.now.Own {
			return "nothing changed"
		}
		return "as it is, as the shop's own"
	}
	return "changed, not kept yet"
}

// keepPreset writes a preset; what another session changed since is merged.
func (m *Model) keepPreset(was, now presets.Preset) tea.Cmd {
	u := m.shopUnits()
	if now.By.Empty() {
		now.By = m.d.Operator
	}
	if !now.Same(was) {
		now.At = m.stamp()
	}
	return m.shopWork("keep a preset", func(s presets.Store) (string, error) {
		saved, err := s.EditPreset(was, now, u)
		if err != nil {
			return "", err
		}
		return strings.TrimSpace("kept in " + saved.Item.String() + ". " + saved.Told()), nil
	}, func(m *Model) {
		for _, p := range m.eng.Library().Presets() {
			if p.Material == now.Material && p.Thickness == now.Thickness && p.Process.Amps == now.Process.Amps {
				m.shop.was, m.shop.now = p, p
			}
		}
	})
}
