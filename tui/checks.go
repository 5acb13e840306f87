package tui

import (
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// checksView is the fourth stage: what was computed, and what a person has to
// see with their own eyes. Each line is confirmed by its own key; there is no
// key for several.
type checksView struct{}

func (checksView) id() string          { return "checks" }
func (checksView) title(*Model) string { return "checks: before the arc is lit" }
func (checksView) wide() bool          { return true }
func (checksView) explain() string {
	return "First what the program worked out: each check with its figure and its limit. Then what only a person can see, sorted by where you stand. Go there, look, and confirm each with its own key (or space on the line); the same key takes it back. Your name and the time are kept in the job. If the job changes, what no longer holds is asked again. " + disclaimer
}

// disclaimer stands on the checks stage at all times.
const disclaimer = "Not a substitute for local codes, the machine's manual and training."

// itemKeys are the keys that confirm a line; none of them means anything else
// on this stage.
const itemKeys = "abcdegimopswxyz123456789"

func (checksView) list(m *Model) list {
	var rows []row
	if m.res.prog == nil || m.res.busy != "" {
		why := "the plan must be made first"
		if s := m.shut(); s != "" {
			why += ": " + s
		}
		if m.res.busy != "" {
			why = m.res.busy
		}
		return rowsList([]row{{id: "wait", plain: text("the checks wait: " + why), why: "n goes to what is open."}})
	}
	rows = append(rows, row{head: true, label: "worked out"})
	wide := 0
	for _, c := range m.res.checks {
		wide = max(wide, cells(c.Title)+2)
	}
	for _, c := range m.res.checks {
		rows = append(rows, m.checkRow(c, min(wide, 34), m.leftWidth(checksView{})-4)...)
	}
	rows = append(rows, row{head: true, label: "who confirms"})
	rows = append(rows, m.words(words{id: "operator", label: "operator", must: true,
		get: func(d *Draft) string { return d.Operator.String() },
		put: func(d *Draft, s string) { d.Operator = plain.Of(s) },
		why: "Your name stands beside each confirmation in the job."}))
	n := 0
	for s := AtPlate; s <= OnPerson; s++ {
		first := true
		for _, it := range m.res.items {
			if it.Station != s {
				continue
			}
			if first {
				rows = append(rows, row{head: true, label: s.String()})
				first = false
			}
			k := ""
			if n < len(itemKeys) {
				k = itemKeys[n : n+1]
			}
			n++
			rows = append(rows, m.itemRow(it, k, m.leftWidth(checksView{})-6)...)
		}
	}
	return rowsList(rows)
}

// checkRow lays a check out over w cells; what has no room goes over to the next
// line.
func (m *Model) checkRow(c Check, wide, w int) []row {
	r := row{id: "check:" + c.ID, why: sentence(c.Why), bounds: c.Do}
	if c.Limit != "" {
		r.why = sentence(c.Figure+"; limit "+c.Limit) + " " + r.why
	}
	word, wi := "", inkPlain
	switch c.Verdict {
	case planner.Warn:
		r.state, word, wi = stWarn, "look: ", inkWarn
	case planner.Fail:
		r.state, word, wi = stBad, "FAILS: ", inkBad
	default:
		r.state = stDone
	}
	r.plain = line{{padRight(c.Title, wide), inkPlain}}
	var over []row
	last := &r.plain
	next := func() {
		over = append(over, row{head: true, more: true, plain: line{{blanks(wide), inkPlain}}})
		last = &over[len(over)-1].plain
	}
	for i, s := range wrap(word+c.Figure, w-wide) {
		if i > 0 {
			next()
		}
		*last = last.add(wi, s)
	}
	if limit := "limit " + c.Limit; c.Limit != "" && last.width()+3+cells(limit) <= w {
		*last = last.add(inkFaint, "   "+limit)
	} else if c.Limit != "" {
		for _, s := range wrap(limit, w-wide) {
			next()
			*last = last.add(inkFaint, s)
		}
	}
	if i := m.featureIndex(featureOf(c.Feature)); i >= 0 {
		r.aim, r.verb = &aim{feature: i, drawing: -1}, "go there"
		id := "f:" + featureOf(c.Feature)
		r.act = func(m *Model) tea.Cmd {
			m.goTo(block{stage: featureStage, row: id})
			return nil
		}
	}
	return append([]row{r}, over...)
}

func padRight(s string, w int) string { return s + blanks(w-cells(s)) }

func (m *Model) itemRow(it Item, k string, w int) []row {
	r := row{id: "item:" + it.ID, why: sentence(it.Why)}
	c, ok := m.confirmed(it)
	box := "[" + k + "]"
	if k == "" {
		box = "[ ]"
	}
	r.state = stOpen
	l := line{{box, inkOrder}, {it.Text, inkPlain}}
	if it.Figure != "" {
		l = l.add(inkRule, "("+it.Figure+")")
	}
	var by span
	if ok {
		r.state = stDone
		by = span{c.By.String() + " " + m.clock(c.At), inkGood}
	}
	toggle := func(m *Model) tea.Cmd { return m.confirm(it) }
	r.keys = map[string]func(*Model) tea.Cmd{" ": toggle}
	r.act = toggle
	return r.spread(4, l, by, w)
}

// clock is the time of a confirmation, as short as the day allows.
func (m *Model) clock(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	now := m.now().In(t.Location())
	switch {
	case t.Year() != now.Year():
		return t.Format("2 Jan 2006")
	case t.YearDay() != now.YearDay():
		return t.Format("2 Jan 15:04")
	}
	return t.Format("15:04")
}

// confirmed finds the confirmation that holds for an item.
func (m *Model) confirmed(it Item) (job.Confirmation, bool) {
	for _, c := range m.d.Job.Checks {
		if c.ID == it.ID && c.RestsOn == it.RestsOn {
			return c, true
		}
	}
	return job.Confirmation{}, false
}

// confirm writes down that the operator has seen to an item, or takes it back.
func (m *Model) confirm(it Item) tea.Cmd {
	if m.d.Operator.Empty() {
		m.spot().id = "operator"
		m.say(inkWarn, "type the operator's name first: it stands beside each confirmation.")
		return nil
	}
	_, have := m.confirmed(it)
	at := m.now().Format(time.RFC3339)
	return m.change(func(d *Draft) {
		var keep []job.Confirmation
		for _, c := range d.Job.Checks {
			if c.ID != it.ID {
				keep = append(keep, c)
			}
		}
		if !have {
			keep = append(keep, job.Confirmation{ID: it.ID, By: d.Operator, At: at, RestsOn: it.RestsOn})
		}
		d.Job.Checks = keep
	})
}

func (checksView) keys(_ *Model, r row) []key.Binding {
	if strings.HasPrefix(r.id, "item:") {
		return []key.Binding{bind("[a]", "confirms that line"), keySpace}
	}
	return nil
}

// press confirms the line whose key it is, if all of that line is on the screen:
// what is not seen cannot be confirmed.
func (v checksView) press(m *Model, k string, _ row) (bool, tea.Cmd) {
	if len(k) != 1 || !strings.Contains(itemKeys, k) || m.whole {
		return false, nil
	}
	l := v.list(m)
	sp := m.spotOf(v)
	h := m.bodyHeight()
	sp.scroll(l, h)
	for i := sp.top; i < min(l.n, sp.top+h) && l.last(i) < sp.top+h; i++ {
		r := l.at(i)
		if strings.HasPrefix(r.id, "item:") && r.plain[0].s == "["+k+"]" {
			sp.id, sp.i = r.id, i
			return true, r.act(m)
		}
	}
	return false, nil
}
