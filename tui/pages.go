package tui

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
)

// listPage shows the choices of a row in full, each with its reason.
type listPage struct {
	page
	name, head, why string
	of              []option
}

func (p listPage) id() string          { return "list:" + p.name }
func (p listPage) title(*Model) string { return p.head }
func (p listPage) list(m *Model) list {
	rows := make([]row, len(p.of))
	for i, o := range p.of {
		r := row{id: strconv.Itoa(i), plain: line{{o.name, inkPlain}}, why: o.why, verb: "take"}
		if r.why == "" {
			r.why = p.why
		}
		if o.now {
			r.state = stDone
		}
		r.act = func(m *Model) tea.Cmd {
			m.back()
			if o.now {
				return nil
			}
			cmd := m.change(o.change)
			if o.then != nil {
				o.then(m)
			}
			return cmd
		}
		rows[i] = r
	}
	return rowsList(rows)
}

// layList shows the choices with the cursor on the one that holds now.
func (m *Model) layList(p listPage) {
	m.lay(p)
	for i, o := range p.of {
		if o.now {
			m.spot().id = strconv.Itoa(i)
		}
	}
}

// helpPage explains a view and the row under the cursor, in full.
type helpPage struct {
	page
	of  view
	row string
}

func (p helpPage) id() string            { return "why" }
func (p helpPage) title(m *Model) string { return "why: " + p.of.title(m) }
func (p helpPage) wide() bool            { return true }

// explainer is a view that can say what it is for.
type explainer interface{ explain() string }

func (p helpPage) list(m *Model) list {
	var rows []row
	add := func(head, s string) {
		if s == "" {
			return
		}
		rows = append(rows, row{head: true, label: head})
		for i, l := range wrap(s, m.leftWidth(p)-6) {
			rows = append(rows, row{id: fmt.Sprintf("%s%d", head, i), plain: text(l)})
		}
	}
	l := p.of.list(m)
	if i := l.find(p.row); i >= 0 {
		r := l.at(i)
		name := r.label
		if name == "" {
			name = "this line"
		}
		add(name, r.why)
		add("range", r.bounds)
		add("source", strings.TrimSpace(r.source))
		if r.plain != nil || r.note != "" {
			add("as it stands", full(r))
		}
	}
	if e, ok := p.of.(explainer); ok {
		add(p.of.title(m), e.explain())
	}
	return rowsList(append(rows, keyRows(m.leftWidth(p)-6)...))
}

// full is all the text of a row.
func full(r row) string {
	s := ""
	for _, x := range r.plain {
		s += x.s
	}
	if s == "" {
		s = r.value
	}
	if r.note != "" {
		s += ", " + r.note
	}
	return s
}

// keyHelp is every key that means the same on all stages, and those of the
// plate, each with what it does.
var keyHelp = []struct {
	head string
	keys [][2]string
}{
	{"keys", [][2]string{
		{"arrows, h j k l", "move and choose"},
		{"enter", "edits a value, opens a list, or does what the line says"},
		{"tab, shift+tab", "to the next stage, to the one before"},
		{"esc", "one step back; stops long work"},
		{"n", "to the next thing that is open"},
		{"u, r", "takes the last edit back, makes it again"},
		{"t, s", "all that the planner told; the shop's own numbers"},
		{"v", "the plate alone; + and - nearer and further, f all of it"},
		{",", "where height is held: off the picture, and on again"},
		{"q", "leaves; what is not saved is kept as a draft"},
	}},
	{"keys on the plate", [][2]string{
		{"arrows", "move a cross; with shift they move the picture"},
		{"tab, enter", "cross to the next cut; open its feature"},
		{"m", "measures from where the cross lies"},
		{"digits", "show and hide what is drawn"},
		{"c", "draws with braille, blocks or plain signs"},
		{"space", "runs the program by the plan's own times, and waits: left and right go by cuts, up and down change the speed, page keys go 5 s, w follows the torch"},
		{"g", "writes the program that goes on where the cross lies"},
	}},
}

// keyRows lists the keys in w cells.
func keyRows(w int) (rows []row) {
	const column = 17
	for _, g := range keyHelp {
		rows = append(rows, row{head: true, label: g.head})
		for _, k := range g.keys {
			name := k[0]
			for i, l := range wrap(k[1], w-column) {
				rows = append(rows, row{id: fmt.Sprint(g.head, k[0], i), plain: line{{padRight(name, column), inkHead}, {l, inkPlain}}})
				name = ""
			}
		}
	}
	return rows
}

// toldPage lists all that the planner said, worst first.
type toldPage struct{ page }

func (toldPage) id() string          { return "told" }
func (toldPage) title(*Model) string { return "told by the planner" }
func (toldPage) wide() bool          { return true }
func (toldPage) explain() string {
	return "All that the planner found while it read, sorted, planned and wrote: errors (!) forbid saving, warnings (~) want a look, notes say what was done or left out. Enter on a line goes to its feature, or shows its place."
}

func toldID(i int) string { return "told:" + strconv.Itoa(i) }

func (toldPage) list(m *Model) list {
	l := m.res.told
	if len(l) == 0 {
		return rowsList([]row{{id: "none", plain: text("nothing to tell")}})
	}
	var order []int
	for _, s := range []fault.Severity{fault.Error, fault.Warning, fault.Note} {
		for i, f := range l {
			if f.Severity == s {
				order = append(order, i)
			}
		}
	}
	return list{
		n: len(order),
		at: func(k int) row {
			f := l[order[k]]
			r := row{id: toldID(order[k]), state: faultState(f), plain: text(f.Error()), why: f.Error()}
			if i := m.featureIndex(featureOf(f.Feature)); i >= 0 {
				r.aim = &aim{feature: i, drawing: -1}
				r.verb = "go there"
				r.act = func(m *Model) tea.Cmd {
					m.goTo(block{stage: featureStage, row: "f:" + featureOf(f.Feature)})
					return nil
				}
			} else if r.aim = m.placeOf(f); r.aim != nil {
				r.verb = "show its place"
				r.act = func(m *Model) tea.Cmd { m.bringNear(); return nil }
			}
			return r
		},
		find: func(id string) int {
			for k, i := range order {
				if toldID(i) == id {
					return k
				}
			}
			return -1
		},
	}
}

func faultState(f fault.Fault) state { return severityState(f.Severity) }

func severityState(s fault.Severity) state {
	switch s {
	case fault.Error:
		return stBad
	case fault.Warning:
		return stWarn
	}
	return stGood
}

// leavePage asks what becomes of work that is not saved.
type leavePage struct{ page }

func (leavePage) id() string          { return "leave" }
func (leavePage) title(*Model) string { return "leave" }
func (leavePage) list(m *Model) list {
	stay := row{id: "stay", plain: text("stay"), verb: "stay", why: "Back to the job."}
	stay.act = func(m *Model) tea.Cmd { m.back(); return nil }
	keep := row{id: "keep", plain: text("leave, keep the draft"), verb: "leave",
		why: "The job is not saved. It is kept as a draft and offered when the wizard starts again."}
	keep.act = func(m *Model) tea.Cmd { return m.quit(false) }
	if m.keep == nil {
		keep.plain, keep.why, keep.act = text("leave, keep the draft: not possible"), "There is no folder for the draft. Save the job, or leave and lose it.", nil
	}
	drop := row{id: "drop", plain: text("leave, throw the draft away"), verb: "throw away",
		why: "What was done since the last save is gone for good."}
	drop.act = func(m *Model) tea.Cmd { return m.quit(true) }
	return rowsList([]row{stay, keep, drop})
}

// leave ends the wizard, after a question if work would be lost.
func (m *Model) leave() tea.Cmd {
	if !m.d.worth() {
		return m.quit(true)
	}
	m.ed, m.no = nil, ""
	if m.top().id() == "leave" {
		return nil
	}
	m.lay(leavePage{})
	m.spot().id = "keep"
	if m.keep == nil {
		m.spot().id = "stay"
	}
	return nil
}

// quit ends the program; the last thing done is to write or drop the draft.
func (m *Model) quit(drop bool) tea.Cmd {
	m.endAll()
	h, k, gen := m.holder, m.keep, m.d.Gen
	m.leaving = true
	return m.work("leave", func() tea.Msg {
		if k == nil {
			return quitDone{}
		}
		if drop {
			return quitDone{err: k.forget(gen)}
		}
		path, err := h.Keep()
		return quitDone{path, err}
	})
}

// quitDone is the last message: with it the program ends.
type quitDone struct {
	draft string
	err   error
}

// foundPage offers the drafts that a lost connection or a crash left.
type foundPage struct{ page }

func (foundPage) id() string          { return "found" }
func (foundPage) title(*Model) string { return "drafts left behind" }
func (foundPage) wide() bool          { return true }
func (foundPage) explain() string {
	return "Work that was not saved when the connection broke or the program ended. Take it up, throw it away, or leave it for later with esc."
}

func (foundPage) list(m *Model) list {
	rows := []row{{head: true, label: "not saved when the wizard last ended"}}
	for _, f := range m.found {
		when := f.At.Format("2006-01-02 15:04")
		r := row{id: f.Path, verb: "take up"}
		drop := func(m *Model) tea.Cmd { return m.dropFound(f.Path) }
		r.keys = map[string]func(*Model) tea.Cmd{"d": drop}
		if f.Err != nil {
			r.state = stBad
			r.plain = text(when + "  cannot be read: " + f.Err.Error())
			r.why = "The file is " + f.Path + ". d throws it away."
		} else {
			name := f.Draft.Job.Name.String()
			if name == "" {
				name = f.Draft.Name
			}
			if name == "" {
				name = "no name yet"
			}
			r.plain = line{{when + "  ", inkPlain}, {plain.Clean(name), inkPlain},
				{fmt.Sprintf("  %s, at %s", count(len(f.Draft.Job.Drawings), "drawing"), clampStage(f.Draft.Stage)), inkFaint}}
			r.why = "Enter takes it up, d throws it away, esc leaves it for later."
			r.act = func(m *Model) tea.Cmd { return m.takeUp(f) }
		}
		rows = append(rows, r)
	}
	later := row{id: "later", plain: text("leave them for later"), verb: "go on", why: "They are offered again at the next start."}
	later.act = func(m *Model) tea.Cmd { m.back(); return nil }
	return rowsList(append(rows, later))
}

func (foundPage) keys(_ *Model, r row) []key.Binding {
	if r.keys == nil {
		return nil
	}
	return []key.Binding{keyDrop}
}

func clampStage(n int) stage { return stage(max(0, min(n, int(stages)-1))) }
