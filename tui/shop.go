package tui

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// shop is what the pages about the shop's own numbers hold: what was read of
// the store, and what is being typed and not kept yet. Undo of the draft does
// not reach it: every file of the store has a history of its own.
type shop struct {
	read   bool
	err    error
	runs   []presets.Run
	sets   []presets.Set
	items  []storeRow
	faults fault.List

	find     presets.Query
	was, now presets.Preset // a preset being edited, and as it was
	beside   presets.Preset // what it is compared with
	run      presets.Run    // the entry of the cut log being made
	runGen   uint64         // draft that it was made for
	prop     presets.Proposal
	mWas     job.Machine
	mNow     job.Machine // a profile being edited
	mNew     bool
	readings []float64 // of a sensor offset, mm
	newSet   string
	oldSet   presets.SetEnd
}

// storeRow is one file of the store.
type storeRow struct {
	item    presets.Item
	past    int
	removed bool
}

// shopDone says what came of work on the store.
type shopDone struct {
	err    error
	readBy error
	said   string
	then   func(*Model)
	runs   []presets.Run
	sets   []presets.Set
	items  []storeRow
	faults fault.List
	lib    *presets.Library
}

// shopWork does something to the store off the loop, and reads anew what the
// pages show.
func (m *Model) shopWork(what string, do func(s presets.Store) (said string, err error), then func(*Model)) tea.Cmd {
	eng := m.eng
	return m.work(what, func() tea.Msg {
		d := shopDone{then: then}
		s, err := eng.Shop()
		if err != nil {
			d.readBy, d.err = err, err
			if do == nil {
				d.err = nil
			}
			return d
		}
		if do != nil {
			d.said, d.err = do(s)
		}
		var more fault.List
		d.runs, d.faults = s.Runs()
		d.sets, more = s.Sets()
		d.faults = append(d.faults, more...)
		items, err := s.Items()
		d.readBy = err
		for _, i := range items {
			past, _ := s.History(i)
			_, gone := s.Read(i)
			d.items = append(d.items, storeRow{i, len(past), gone != nil})
		}
		d.lib = eng.Reload()
		return d
	})
}

// readShop reads the store for the pages.
func (m *Model) readShop() tea.Cmd { return m.shopWork("read the shop's own numbers", nil, nil) }

func (m *Model) onShop(msg shopDone) tea.Cmd {
	s := &m.shop
	s.read, s.err = true, msg.readBy
	if msg.lib != nil {
		s.runs, s.sets, s.items, s.faults = msg.runs, msg.sets, msg.items, msg.faults
		m.eng.UseLibrary(msg.lib)
	}
	switch {
	case msg.err != nil:
		m.say(inkBad, sentence(msg.err.Error()))
		return nil
	case msg.said != "":
		m.say(inkGood, sentence(msg.said))
	}
	if msg.then != nil {
		msg.then(m)
	}
	m.refresh()
	return nil
}

// shopUnits are those that the shop's numbers are shown in.
func (m *Model) shopUnits() unit.System {
	if m.d.Job.Units == unit.Unknown {
		return unit.MM
	}
	return m.d.Job.Units
}

// stamp is now, as it stands in files.
func (m *Model) stamp() string { return m.now().Format(time.RFC3339) }

// shopView is a page whose rows say themselves which keys they have.
type shopView struct{ page }

func (shopView) wide() bool { return true }
func (shopView) keys(_ *Model, r row) []key.Binding {
	return r.hints
}

// ownNum is a number of the shop's own; it is put where the page keeps it.
func (m *Model) ownNum(id, label, why string, field job.Field, v float64, known bool, put func(*Model, float64), none func(*Model)) row {
	u := m.shopUnits()
	f := form{Dim: field.Range().Dim}
	r := row{id: id, label: label, why: why, typed: true, verb: "type it", bounds: f.bounds(field, u), source: sentence(upperFirst(field.Source())), value: "not said", state: stFree}
	if known {
		r.value, r.state = f.show(v, u), stGood
	}
	r.begin = func() string {
		if known {
			return f.typed(v, u)
		}
		return ""
	}
	r.check = func(s string) (func(*Draft), string) {
		if strings.TrimSpace(s) == "" {
			if none == nil && known {
				return nil, label + ": a number is wanted. " + r.bounds
			}
			return nil, ""
		}
		x, err := f.parse(s, u)
		if err != nil {
			return nil, sentence(err.Error()) + " " + r.bounds
		}
		if err := field.Check(x, u); err != nil {
			return nil, sentence(label + ": " + err.Error())
		}
		return nil, ""
	}
	r.take = func(m *Model, s string) tea.Cmd {
		if strings.TrimSpace(s) == "" {
			if none != nil {
				none(m)
			}
			return nil
		}
		if x, err := f.parse(s, u); err == nil {
			put(m, x)
		}
		return nil
	}
	return r
}

// ownText is a text of the shop's own.
func (m *Model) ownText(id, label, why, v string, put func(*Model, string)) row {
	r := row{id: id, label: label, why: why, verb: "type it", value: v}
	if v == "" {
		r.value, r.state = "not said", stFree
	}
	r.begin = func() string { return v }
	r.check = func(string) (func(*Draft), string) { return nil, "" }
	r.take = func(m *Model, s string) tea.Cmd {
		put(m, strings.TrimSpace(plain.Clean(s)))
		return nil
	}
	return r
}

// ownChoice is a row with few values, gone along with left and right.
func ownChoice(id, label, why string, names []string, at int, put func(*Model, int)) row {
	r := row{id: id, label: label, why: why, verb: "next", value: "any", hints: []key.Binding{keyLeft},
		bounds: sentence("One of: " + strings.Join(names, ", "))}
	if at >= 0 {
		r.value = names[at]
	}
	step := func(n int) func(*Model) tea.Cmd {
		return func(m *Model) tea.Cmd {
			if i := at + n; i >= 0 && i < len(names) {
				put(m, i)
			}
			return nil
		}
	}
	r.keys = map[string]func(*Model) tea.Cmd{"left": step(-1), "right": step(1), "h": step(-1), "l": step(1)}
	r.act = func(m *Model) tea.Cmd {
		put(m, (at+1)%len(names))
		return nil
	}
	return r
}

// ownAct is a row that does something.
func ownAct(id, label, value, verb, why string, act func(*Model) tea.Cmd) row {
	return row{id: id, label: label, value: value, verb: verb, why: why, act: act}
}

// opensPage is a row that lays a page over.
func opensPage(id, label, value, why string, p view) row {
	return ownAct(id, label, value, "open", why, func(m *Model) tea.Cmd { m.lay(p); return nil })
}

// shopPage is where the shop's own numbers begin.
type shopPage struct{ shopView }

func (shopPage) id() string          { return "shop" }
func (shopPage) title(*Model) string { return "the shop's own numbers" }
func (shopPage) explain() string {
	return "What this shop has measured on its own machine: presets with where each figure came from, the cut log, test pieces, sets of consumables, machine profiles. It lies in your own folder, and every file keeps all its earlier states. Two wizards at once lose nothing of each other: what both changed is put together figure by figure, or told."
}

func (p shopPage) list(m *Model) list {
	s := &m.shop
	if !s.read {
		return rowsList([]row{{id: "wait", plain: text("reading")}})
	}
	var rows []row
	if s.err != nil {
		rows = append(rows, row{head: true, label: "cannot be read: " + s.err.Error()})
	}
	own, retired := 0, 0
	for _, x := range m.eng.Library().Presets() {
		if x.Own {
			own++
		}
		if x.Retired {
			retired++
		}
	}
	set, ok := presets.Fitted(s.sets)
	wear := "no set is entered"
	if ok {
		w := presets.WearOf(set, s.runs)
		wear = fmt.Sprintf("%s, %s, %s of arc", set.Name, count(w.Starts, "start"), unit.Duration(w.ArcOn))
	}
	rows = append(rows, row{head: true, label: "after a cut"},
		ownAct("log", "record this cut", m.logState(), "open", "What was seen after this job was run: sizes, dross, arc voltage. It takes seconds, and tells the kerf and the feed.", func(m *Model) tea.Cmd { return m.openLog() }),
		ownAct("learn", "what the log says", count(len(s.runs), "run")+" in the cut log", "open", "What the cut log says of the preset for this job's metal, thickness and current.", func(m *Model) tea.Cmd { return m.openLearn(nil) }),
		opensPage("sets", "consumables", wear, "What the fitted set has behind it, and how long sets last here.", setsPage{}),
		row{head: true, label: "figures"},
		opensPage("presets", "process presets", fmt.Sprintf("%d, %d of them the shop's own", len(m.eng.Library().Presets()), own), "Search, edit, copy, compare, retire.", presetsPage{}),
		opensPage("coupons", "test pieces", "five kinds, sized to the metal", "Jobs that are cut to learn a figure: pierce delay, kerf, feed, holes, height.", couponsPage{}),
		row{head: true, label: "machine"},
		opensPage("profiles", "machine profiles", count(len(m.eng.Library().Machines()), "profile"), "Edit one, make a new one with its program beside it, calibrate the sensor.", profilesPage{}),
		row{head: true, label: "store"},
		opensPage("store", "files and history", count(len(s.items), "file"), "Bring an earlier state of a file back.", storePage{}))
	if len(s.faults) > 0 {
		rows = append(rows, row{head: true, label: "cannot be read, left as they are"})
		for i, f := range s.faults {
			rows = append(rows, row{id: fmt.Sprint("fault", i), state: stWarn, plain: text(f.Error()), why: f.Error()})
		}
	}
	return rowsList(rows)
}

// storePage lists the files of the store; enter brings an earlier state back.
type storePage struct{ shopView }

func (storePage) id() string          { return "store" }
func (storePage) title(*Model) string { return "files and history" }
func (storePage) explain() string {
	return "Every file of the shop's own store with how many earlier states it has. Enter brings the newest of them back; enter once more brings back what stood there. Older ones: kerfwright store history FILE. A backup of everything: kerfwright store backup FILE.tar.gz."
}
func (storePage) list(m *Model) list {
	var rows []row
	for _, f := range m.shop.items {
		item := f.item
		r := row{id: item.String(), verb: "bring back"}
		note := count(f.past, "earlier state")
		if f.removed {
			note = "removed, " + note
		}
		r.plain = line{{item.String(), inkPlain}, {"  " + note, inkFaint}}
		r.why = "Nothing older is kept: it was written once."
		if f.past > 0 {
			r.why = "Enter puts its newest earlier state back. What stands there now goes into the history."
			r.act = func(m *Model) tea.Cmd {
				return m.shopWork("bring an earlier state back", func(s presets.Store) (string, error) {
					v, err := s.Undo(item, 0)
					if err != nil {
						return "", err
					}
					return fmt.Sprintf("%s is again as it was until %s", item, v.At.In(m.now().Location()).Format("2006-01-02 15:04")), nil
				}, nil)
			}
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		rows = []row{{id: "none", plain: text("nothing of the shop's own yet"), why: "The first preset, profile or log entry makes it."}}
	}
	return rowsList(rows)
}
