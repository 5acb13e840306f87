package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
)

// costs is what a plan was last reckoned to take, for one draft.
type costs struct {
	d    *Draft
	p    *planner.Program
	rows []report.Row
}

// costOf reckons once for each draft and plan: rows are made several times a
// frame, and a plan may have thousands of cuts.
func (m *Model) costOf(p *planner.Program) []report.Row {
	if c := &m.costs; c.d != m.d || c.p != p {
		*c = costs{m.d, p, m.eng.Cost(m.d.Job, p, m.d.Prices)}
	}
	return m.costs.rows
}

// costRows tell what the planned job takes: time by kind, gas, current, wear,
// metal and money. What is not known says so and is never nothing.
func (m *Model) costRows(v view) []row {
	p := m.res.prog
	w := m.leftWidth(v) - 4
	rows := []row{{head: true, label: "time and cost"}}
	t := p.Times()
	told := []struct{ id, name, figure, why string }{{"time", "time", "about " + unit.Duration(p.Plan.Time),
		"From the first touch-off to the last rise, by the machine's own limits. What the operator takes in pauses is not in it."}}
	parts := fmt.Sprintf("arc on %s, piercing %s, touch-off %s, up and down %s, rapids %s",
		unit.Duration(t.ArcOn), unit.Duration(t.Pierce), unit.Duration(t.Probe), unit.Duration(t.Raise), unit.Duration(t.Rapid))
	if t.Pauses > 0 {
		parts += ", and " + count(t.Pauses, "pause")
	}
	told = append(told, struct{ id, name, figure, why string }{"times", "of it", parts, "Where the time goes."})
	for i, r := range m.costOf(p) {
		why := "Reckoned from the plan, the process and the shop's prices."
		if i > 2 {
			why += " What is not known is left out of no sum: the sum is then not known either."
		}
		told = append(told, struct{ id, name, figure, why string }{fmt.Sprint("cost", i), r.Name, r.Figure, why})
	}
	for _, x := range told {
		r := row{id: x.id, label: x.name, why: x.why}
		spans := line{{padRight(x.name+" ", labelWidth-1), inkPlain}}
		rows = append(rows, r.hung(labelWidth, spans, x.figure, w)...)
	}
	known := 0
	for _, at := range priceRows {
		if at.at(&m.d.Prices).Known {
			known++
		}
	}
	rows = append(rows, row{id: "prices", label: "the shop's prices", value: fmt.Sprintf("%d of %d are known", known, len(priceRows)), verb: "open",
		why: "What this shop pays, and how long its consumables last. Kept for every job.",
		act: func(m *Model) tea.Cmd { m.lay(pricesPage{}); return nil }})
	return rows
}

// hung lays a text out behind a label; the lines after the first hang under
// its beginning.
func (r row) hung(indent int, label line, s string, w int) []row {
	lines := wrap(s, w-indent)
	if len(lines) == 0 {
		lines = []string{""}
	}
	r.plain = append(append(line(nil), label...), span{lines[0], inkPlain})
	out := []row{r}
	for _, l := range lines[1:] {
		out = append(out, row{head: true, more: true, plain: line{{blanks(indent - 1), inkPlain}, {l, inkPlain}}})
	}
	return out
}

// pricesPage asks what the shop pays. Every line may stay unknown.
type pricesPage struct{ page }

func (pricesPage) id() string          { return "prices" }
func (pricesPage) title(*Model) string { return "what the shop pays" }
func (pricesPage) wide() bool          { return true }
func (pricesPage) explain() string {
	return "None of this comes with the program. Type what your shop pays, each without tax or each with it; 0 says that it costs nothing, an empty line that it is not known. It is kept in the shop's own folder for every job."
}

// priceRow is one line of the price list.
type priceRow struct {
	id, label string
	field     job.Field
	behind    string // its unit, after the currency if money is meant
	money     bool
	percent   bool
	at        func(*cost.Prices) *job.Opt
	why       string
}

var priceRows = []priceRow{
	{"mild-steel", "mild steel", job.Price, "per kg", true, false, func(p *cost.Prices) *job.Opt { return &p.MildSteel }, "Charged for the rectangle that the parts take up."},
	{"stainless", "stainless", job.Price, "per kg", true, false, func(p *cost.Prices) *job.Opt { return &p.Stainless }, "Charged for the rectangle that the parts take up."},
	{"aluminium", "aluminium", job.Price, "per kg", true, false, func(p *cost.Prices) *job.Opt { return &p.Aluminium }, "Charged for the rectangle that the parts take up."},
	{"gas", "gas", job.Price, "per m3", true, false, func(p *cost.Prices) *job.Opt { return &p.Gas }, "While the arc burns. Compressed air costs the compressor's current."},
	{"electricity", "electricity", job.Price, "per kWh", true, false, func(p *cost.Prices) *job.Opt { return &p.Electricity }, "For the arc, by volts, amperes and the supply's efficiency."},
	{"efficiency", "supply's efficiency", job.PriceEfficiency, "", false, true, func(p *cost.Prices) *job.Opt { return &p.Efficiency }, "Power in the arc over power from the mains: the supply's manual has it."},
	{"machine", "machine", job.Price, "per hour", true, false, func(p *cost.Prices) *job.Opt { return &p.Machine }, "What the table costs while it works."},
	{"labour", "labour", job.Price, "per hour", true, false, func(p *cost.Prices) *job.Opt { return &p.Labour }, "What the operator costs while it works."},
	{"swap", "changing a blank", job.PriceSwap, "", false, false, func(p *cost.Prices) *job.Opt { return &p.Swap }, "How long a pause takes."},
	{"set", "set of consumables", job.Price, "", true, false, func(p *cost.Prices) *job.Opt { return &p.Set }, "Electrode, nozzle and what else is changed with them."},
	{"life-starts", "it lasts", job.PriceStarts, "starts", false, false, func(p *cost.Prices) *job.Opt { return &p.LifeStarts }, "Starts that a set is expected to last, by your own log."},
	{"life-arc", "and of arc", job.PriceMinutes, "min", false, false, func(p *cost.Prices) *job.Opt { return &p.LifeArcOn }, "Minutes of arc that a set is expected to last, by your own log. What is reached first ends it."},
	{"used-starts", "fitted set has had", job.PriceStarts, "starts", false, false, func(p *cost.Prices) *job.Opt { return &p.UsedStarts }, "Put it back to 0 when you fit a new set."},
	{"used-arc", "and of arc ", job.PriceMinutes, "min", false, false, func(p *cost.Prices) *job.Opt { return &p.UsedArcOn }, "Put it back to 0 when you fit a new set."},
}

func (p pricesPage) list(m *Model) list {
	money := m.d.Prices.Currency.String()
	rows := []row{m.words(words{id: "currency", label: "currency",
		get: func(d *Draft) string { return d.Prices.Currency.String() },
		put: func(d *Draft, s string) { d.Prices.Currency = plain.Of(s) },
		why: "As your shop writes it; it stands behind every sum."})}
	for i, at := range priceRows {
		switch i {
		case 0:
			rows = append(rows, row{head: true, label: "metal"})
		case 3:
			rows = append(rows, row{head: true, label: "running"})
		case 9:
			rows = append(rows, row{head: true, label: "consumables"})
		}
		behind := at.behind
		if at.money && money != "" {
			behind = money + " " + behind
		}
		rows = append(rows, m.num(num{field: at.field, id: "price:" + at.id, label: at.label, form: form{behind: behind, percent: at.percent}, empty: "not known",
			getDraft:  func(d *Draft) (float64, bool) { o := at.at(&d.Prices); return o.Value, o.Known },
			putDraft:  func(d *Draft, v float64) { *at.at(&d.Prices) = job.Of(v) },
			noneDraft: func(d *Draft) { *at.at(&d.Prices) = job.Opt{} },
			why:       at.why}))
	}
	return rowsList(rows)
}

type pricesDone struct{ err error }

// keepPrices writes the price list off the loop.
func (m *Model) keepPrices() tea.Cmd {
	eng, p := m.eng, m.d.Prices
	return m.work("save the prices", func() tea.Msg { return pricesDone{eng.SavePrices(p)} })
}

// pieceRows count the blanks of a fixture.
func (m *Model) pieceRows() []row {
	j := &m.d.Job
	p := m.res.prog
	if j.Stock.Hold != job.Blank {
		return nil
	}
	done, of := j.Stock.Fixture.Done, planner.Pieces(*j)
	run := 0
	if p != nil && m.res.busy == "" {
		for _, pl := range p.Placed {
			run = max(run, pl.Blank)
		}
	}
	rows := []row{{head: true, label: "pieces"}, m.num(num{field: job.FixtureDone, id: "done", label: "made so far", empty: fmt.Sprintf("0 of %d", of),
		form: form{behind: fmt.Sprintf("of %d", of)},
		get:  func(j *job.Job) (float64, bool) { return float64(j.Stock.Fixture.Done), j.Stock.Fixture.Done != 0 },
		put:  func(j *job.Job, v float64) { j.Stock.Fixture.Done = int(v) },
		none: func(j *job.Job) { j.Stock.Fixture.Done = 0 },
		why:  "Kept in the job: next week's program goes on from there. Scrap does not count."})}
	if run > 0 && done < of {
		n := min(run, of-done)
		rows = append(rows, row{id: "count", label: "count this run up", value: fmt.Sprintf("%s more, %d of %d then", count(n, "piece"), done+n, of), verb: "count",
			why: "Once the program has run to its end and every piece is good.",
			act: func(m *Model) tea.Cmd { return m.countUp(n) }})
	}
	return rows
}

type countedDone struct {
	gen uint64
	err error
}

// countUp adds the pieces of a run. A job that is saved as it stands gets the
// count at once.
func (m *Model) countUp(n int) tea.Cmd {
	was := m.d.Saved
	cmd := m.change(func(d *Draft) { d.Job.Stock.Fixture.Done += n })
	m.say(inkGood, fmt.Sprintf("counted: %d of %d.", m.d.Job.Stock.Fixture.Done, planner.Pieces(m.d.Job)))
	if !was {
		return cmd
	}
	eng, d := m.eng, m.d
	return tea.Batch(cmd, m.work("count the pieces", func() tea.Msg { return countedDone{d.Gen, eng.Recount(d.Dir, d.Name, d.Job)} }))
}

func (m *Model) onPieces(msg countedDone) tea.Cmd {
	if msg.err != nil {
		m.say(inkBad, "the count is not in the job file: "+msg.err.Error())
		return nil
	}
	m.targetsFor = ""
	return m.savedAs(msg.gen, m.d.Apart)
}
