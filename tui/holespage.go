package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// holesPage says how holes are cut: the bands of the job, first that fits, and
// the rules for what no band fits.
type holesPage struct{ page }

func (holesPage) id() string          { return "form:holes" }
func (holesPage) title(*Model) string { return "holes: how each size is cut" }
func (holesPage) explain() string {
	return "A band says for which holes it is (metal, plate, size) and how they are cut: feed, height hold, overburn, lead, direction, or left to the drill. The first band that fits a hole decides; what no band fits goes by the rules below. " +
		"Each band gives its reason, which the features stage shows beside the hole. Bands lie in the job, so that it cuts the same on another day. The shop's own set lies in its configuration folder, in rules/holes.toml; it can be taken from there and kept there."
}

func (p holesPage) list(m *Model) list {
	j := &m.d.Job
	var rows []row
	head := func(s string) { rows = append(rows, row{head: true, label: s}) }
	head("bands of this job, first that fits")
	for i, h := range j.Rules.Holes {
		rows = append(rows, m.bandRow(p, i, h)...)
	}
	if len(j.Rules.Holes) == 0 {
		rows = append(rows, row{id: "none", label: "no bands", value: "rule: by size", state: stRule, why: "The rules below hold for every hole. Bands go further: by metal, plate and size."})
	}
	rows = append(rows, m.shopRow(), row{id: "add-band", label: "add a band", verb: "add", why: "Behind the others; left and right move it.",
		act: func(m *Model) tea.Cmd {
			n := len(m.d.Job.Rules.Holes)
			cmd := m.change(func(d *Draft) { d.Job.Rules.Holes = append(d.Job.Rules.Holes, job.HoleRule{}) })
			m.spot().id = bandID(n)
			m.lay(bandPage{n: n})
			return cmd
		}})
	if len(j.Rules.Holes) > 0 {
		rows = append(rows, m.keepBandsRow())
	}
	head("what no band fits")
	thick := form{behind: "x thickness"}
	part := form{percent: true}
	leave := job.DrillLeave
	rows = append(rows,
		choose(m, choice[job.DrillAction]{id: "rules.drill", label: "holes too small", rule: &leave,
			of: []pick[job.DrillAction]{{job.DrillLeave, "left to drill", "not cut, listed on the setup sheet"},
				{job.DrillPop, "pop their centre", "a short pulse of the arc marks where to drill"},
				{job.DrillRefuse, "refuse", "an error until you decide on each"}},
			get: func(j *job.Job) job.DrillAction { return j.Rules.Drill },
			put: func(j *job.Job, v job.DrillAction) { j.Rules.Drill = v },
			why: "What becomes of holes that plasma cannot cut true."}),
		m.rule(job.RulesDrillUnder, "too small from", thick, func(r *job.Rules) *float64 { return &r.DrillUnder }, "A hole no wider than this is not cut."),
		m.rule(job.RulesSlowUnder, "slow under", thick, func(r *job.Rules) *float64 { return &r.SlowUnder }, "A hole under this is cut slowly, with height held."),
		m.rule(job.RulesSlowDiameter, "slow, thick plate", form{}, func(r *job.Rules) *float64 { return &r.SlowDiameter }, "On thick plate a hole under this is cut slowly too."),
		m.rule(job.RulesThickFrom, "thick plate from", form{}, func(r *job.Rules) *float64 { return &r.ThickFrom }, "What counts as thick plate."),
		m.rule(job.RulesSlowFeed, "feed in slow holes", part, func(r *job.Rules) *float64 { return &r.SlowFeed }, "Part of the feed."),
		m.rule(job.RulesPopPulse, "pop pulse", form{}, func(r *job.Rules) *float64 { return &r.PopPulse }, "How long the arc burns to mark the centre of a hole that is drilled."))
	return rowsList(rows)
}

func (holesPage) keys(_ *Model, r row) []key.Binding {
	if strings.HasPrefix(r.id, "band") {
		return []key.Binding{keyDrop}
	}
	return nil
}

func bandID(n int) string { return fmt.Sprint("band", n) }

// bandRow is one band in words, with how many holes of the job it decides.
func (m *Model) bandRow(p view, i int, h job.HoleRule) []row {
	r := row{id: bandID(i), verb: "change", why: "Enter changes it, d takes it away, left and right move it up and down: the first that fits decides."}
	if !h.Note.Empty() {
		r.bounds = sentence("Why: " + h.Note.String())
	}
	n, first := m.caught(i)
	l := line{{fmt.Sprintf("%d ", i+1), inkFaint}, {bandFor(h, m.d.Job.Units) + ": ", inkPlain}, {bandDoes(h, m.d.Job.Units), inkRule}}
	if m.res.tree.Features != nil {
		l = l.add(inkFaint, fmt.Sprintf("(%d here)", n))
	}
	if first >= 0 {
		r.aim = &aim{feature: first, drawing: m.res.tree.Parts[m.res.tree.Features[first].Part].Drawing}
	}
	r.act = func(m *Model) tea.Cmd { m.lay(bandPage{n: i}); return nil }
	r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
		return m.change(func(d *Draft) { d.Job.Rules.Holes = lessOne(d.Job.Rules.Holes, i) })
	}}
	shift := func(m *Model, by int) tea.Cmd {
		k := i + by
		if k < 0 || k >= len(m.d.Job.Rules.Holes) {
			return nil
		}
		cmd := m.change(func(d *Draft) { b := d.Job.Rules.Holes; b[i], b[k] = b[k], b[i] })
		m.spot().id = bandID(k)
		return cmd
	}
	r.keys["left"] = func(m *Model) tea.Cmd { return shift(m, -1) }
	r.keys["right"] = func(m *Model) tea.Cmd { return shift(m, 1) }
	return r.spread(2, l, span{}, m.leftWidth(p)-6)
}

// caught counts the holes and slots of the job that a band decides.
func (m *Model) caught(band int) (n, first int) {
	j := &m.d.Job
	first = -1
	for _, i := range m.res.order {
		if feature.Band(m.res.tree.Features[i], j.Rules.Holes, j.Stock.Material, j.Stock.Thickness) == band {
			if n++; first < 0 {
				first = i
			}
		}
	}
	return n, first
}

// bandFor says for which holes a band is.
func bandFor(h job.HoleRule, u unit.System) string {
	var s []string
	if h.Material != "" {
		s = append(s, strings.ReplaceAll(string(h.Material), "-", " "))
	}
	if h.From > 0 {
		s = append(s, "plate from "+u.Length(h.From))
	}
	if h.UpTo > 0 {
		s = append(s, "hole to "+form{behind: "x thickness"}.show(h.UpTo, u))
	}
	if h.Under > 0 {
		s = append(s, "hole under "+u.Length(h.Under))
	}
	if h.Round {
		s = append(s, "no slots")
	}
	if s == nil {
		return "every hole"
	}
	return strings.Join(s, ", ")
}

// bandDoes says what a band does.
func bandDoes(h job.HoleRule, u unit.System) string {
	switch h.Action {
	case job.HoleDrill:
		return "left to drill"
	case job.HolePop:
		return "pop, then drill"
	case job.HoleRefuse:
		return "refuse"
	}
	feed := h.Feed
	if feed == 0 {
		feed = 1
	}
	s := form{Dim: job.Pure, percent: true}.show(feed, u) + " of feed"
	if h.Hold {
		s += ", held"
	}
	if h.Overburn.Known {
		s += ", overburn " + u.Length(h.Overburn.Value)
	}
	if h.Lead != "" {
		s += ", " + string(h.Lead) + " lead"
	}
	if h.Against {
		s += ", other way round"
	}
	return s
}

// shopRow takes the shop's bands, or those that are shipped, into the job.
func (m *Model) shopRow() row {
	bands, own := m.eng.HoleBands()
	whose := "as shipped"
	if own {
		whose = "the shop's own"
	}
	r := row{id: "shop-bands", label: "take bands", value: count(len(bands), "band"), note: whose, verb: "take them",
		why: "In place of the job's. They were not yet proved on your table: figures of common practice, to start from."}
	if own {
		r.why = "In place of the job's: the bands that this shop keeps."
	}
	if slices.Equal(bands, m.d.Job.Rules.Holes) {
		r.note, r.state = "taken", stDone
		return r
	}
	r.act = func(m *Model) tea.Cmd {
		return m.change(func(d *Draft) { d.Job.Rules.Holes = slices.Clone(bands) })
	}
	return r
}

// keepBandsRow keeps the job's bands as the shop's own.
func (m *Model) keepBandsRow() row {
	bands, own := m.eng.HoleBands()
	r := row{id: "keep-bands", label: "keep as the shop's", verb: "keep them", why: "Writes the job's bands to rules/holes.toml in the shop's configuration folder, in place of those that are there. Other jobs may take them; jobs that have bands stay as they are."}
	if own && slices.Equal(bands, m.d.Job.Rules.Holes) {
		r.value, r.state = "kept", stDone
		return r
	}
	r.act = func(m *Model) tea.Cmd {
		eng, j := m.eng, m.d.Job
		return m.work("keep the hole bands", func() tea.Msg { return keptBands{eng.KeepHoleBands(j.Rules.Holes, j.Units)} })
	}
	return r
}

// keptBands says what came of keeping the bands.
type keptBands struct{ err error }

func (m *Model) onKeptBands(msg keptBands) {
	if msg.err != nil {
		m.say(inkBad, "not kept: "+sentence(msg.err.Error()))
		return
	}
	m.say(inkGood, "kept as the shop's own bands.")
}

// bandPage changes one band.
type bandPage struct {
	page
	n int
}

func (p bandPage) id() string          { return fmt.Sprint("form:band", p.n) }
func (p bandPage) title(*Model) string { return fmt.Sprintf("hole band %d", p.n+1) }
func (p bandPage) explain() string {
	return "Above for which holes the band is, below how they are cut. A limit that is left empty does not bind. The picture shows the first hole that the band decides."
}

func (p bandPage) list(m *Model) list {
	if p.n >= len(m.d.Job.Rules.Holes) {
		return rowsList([]row{{id: "none", plain: text("the job has this band no longer")}})
	}
	at := func(j *job.Job) *job.HoleRule { return &j.Rules.Holes[p.n] }
	h := *at(&m.d.Job)
	limit := func(f job.Field, label string, fm form, of func(*job.HoleRule) *float64, empty, why string) row {
		n := m.number(f, label, func(j *job.Job) *float64 { return of(at(j)) }, why)
		n.form, n.empty = fm, "rule: "+empty
		return m.num(n)
	}
	n, first := m.caught(p.n)
	catches := info("caught", "decides here", count(n, "hole"), "Holes and slots of this job that no band before it fits, and this one does.")
	if h == (job.HoleRule{Action: h.Action, Feed: h.Feed, Overburn: h.Overburn, Hold: h.Hold, Lead: h.Lead, Against: h.Against, Note: h.Note}) {
		catches.state, catches.note = stWarn, "no limit"
	}
	rows := []row{{head: true, label: "for which holes"},
		choose(m, choice[job.Material]{id: "rules.holes.material", label: "material", free: true,
			of:  []pick[job.Material]{{job.MildSteel, "mild steel", ""}, {job.Stainless, "stainless", ""}, {job.Aluminium, "aluminium", ""}},
			get: func(j *job.Job) job.Material { return at(j).Material },
			put: func(j *job.Job, v job.Material) { at(j).Material = v },
			why: "Not said: any metal."}),
		limit(job.HoleFrom, "plate from", form{}, func(h *job.HoleRule) *float64 { return &h.From }, "any", "Plate this thick or thicker."),
		limit(job.HoleUpTo, "hole up to", form{behind: "x thickness"}, func(h *job.HoleRule) *float64 { return &h.UpTo }, "any", "Diameter over thickness, no more than this. For slots their width."),
		limit(job.HoleUnder, "hole under", form{}, func(h *job.HoleRule) *float64 { return &h.Under }, "any", "Narrower than this."),
		flag("rules.holes.round", "round holes only", h.Round, func(d *Draft, v bool) { at(&d.Job).Round = v },
			"Slots of this width then go by another band, or by the rules."),
		catches,
		{head: true, label: "how they are cut"},
		choose(m, choice[job.HoleAction]{id: "rules.holes.action", label: "action", rule: ptr(job.HoleCut),
			of: []pick[job.HoleAction]{{job.HoleCut, "cut", "as the lines below say"}, {job.HoleDrill, "left to drill", "not cut, listed on the setup sheet; slots are cut all the same"},
				{job.HolePop, "pop, then drill", "a pulse of the arc marks the centre, the drill does the rest"}, {job.HoleRefuse, "refuse", "an error until you decide on each"}},
			get: func(j *job.Job) job.HoleAction { return at(j).Action },
			put: func(j *job.Job, v job.HoleAction) { at(j).Action = v },
			why: "What becomes of the holes of this band."})}
	if h.Action == job.HoleCut || h.Action == "" {
		over := m.optional(job.HoleOverburn, "overburn", func(j *job.Job) *job.Opt { return &at(j).Overburn }, "How far the cut goes on past its start. Too little leaves a nick, too much burns one.")
		over.empty = "rule: as all holes"
		rows = append(rows,
			limit(job.HoleFeed, "feed", form{percent: true}, func(h *job.HoleRule) *float64 { return &h.Feed }, "100 %", "Part of the feed."),
			flag("rules.holes.hold", "hold height", h.Hold, func(d *Draft, v bool) { at(&d.Job).Hold = v },
				"For the whole cut. At another feed the arc's voltage no longer tells the height."),
			m.num(over),
			choose(m, choice[job.LeadForm]{id: "rules.holes.lead", label: "lead", rule: ptr(leadByRule(h)),
				of:  []pick[job.LeadForm]{{job.LeadRadial, "radial", "straight from the middle to the edge"}, {job.LeadSpiral, "spiral", "half a turn from the middle that meets the edge along it"}},
				get: func(j *job.Job) job.LeadForm { return at(j).Lead },
				put: func(j *job.Job, v job.LeadForm) { at(j).Lead = v },
				why: "How the torch comes from the middle to the edge."}),
			flag("rules.holes.against", "other way round", h.Against, func(d *Draft, v bool) { at(&d.Job).Against = v },
				"Runs the other way than inside features do. The square side of the cut is then on the slug, not on the part."))
	}
	rows = append(rows, m.words(words{id: "rules.holes.note", label: "reason",
		get: func(d *Draft) string { return at(&d.Job).Note.String() },
		put: func(d *Draft, s string) { at(&d.Job).Note = plain.Of(s) },
		why: "Why, for whoever reads it at the table: it stands beside each hole of the band."}),
		row{id: "drop", label: "take the band away", verb: "take away", why: "u brings it back.",
			act: func(m *Model) tea.Cmd {
				m.back()
				return m.change(func(d *Draft) { d.Job.Rules.Holes = lessOne(d.Job.Rules.Holes, p.n) })
			}})
	if first >= 0 {
		for i := range rows {
			rows[i].aim = &aim{feature: first, drawing: m.res.tree.Parts[m.res.tree.Features[first].Part].Drawing}
		}
	}
	return rowsList(rows)
}

func leadByRule(h job.HoleRule) job.LeadForm {
	if h.Hold {
		return job.LeadRadial
	}
	return job.LeadSpiral
}
