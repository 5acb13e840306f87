package tui

import (
	"bytes"
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// A job that is opened is held against the world: is the drawing the one that
// was saved, do preset and profile still say what the job carries, would the
// same program come out?

// Since is one thing that a saved job rests on.
type Since struct {
	ID    string
	What  string // such as "drawing hinge.dxf"
	State SinceState
	Text  string // how it stands now
	stage stage
	row   string // where it is settled
}

// SinceState says whether a thing is as it was when the job was saved.
type SinceState uint8

const (
	Same SinceState = iota
	Changed
	NotKnown
)

// opening is a job that was opened and is still to be held against the world.
type opening struct {
	was     job.Job
	no      int  // counts the jobs that were opened
	pending bool // the plan is still to come
	list    []Since
}

// sinceEngine knows what a saved job rests on.
type sinceEngine interface {
	// Since holds a job, as it was saved, against what there is now. p is nil
	// while it cannot be planned.
	Since(was job.Job, loops []*drawing.Loops, p *planner.Program) []Since
	// Moved says what moved between the drawings that were read, of which some
	// are the job's copies, and their files as they are now; false if no file has
	// changed, or one cannot be read.
	Moved(loops []*drawing.Loops) (planner.Moves, bool)
}

func (e *real) Since(was job.Job, loops []*drawing.Loops, p *planner.Program) []Since {
	var out []Since
	for i, d := range was.Drawings {
		if d.File == "" {
			continue // typed: it lies in the job itself
		}
		s := Since{ID: fmt.Sprint("drawing", i), What: "drawing " + plain.Clean(filepath.Base(filepath.FromSlash(d.File))), stage: stockStage, row: drawingID(i)}
		var now keep.Read
		if i < len(loops) && loops[i] != nil {
			now, _ = e.readOf(loops[i])
		}
		switch {
		case now.Sum == "":
			s.State, s.Text = NotKnown, "cannot be read"
		case d.SHA256 == "":
			s.State, s.Text = NotKnown, "the job was never saved with it"
		case now.From == keep.Changed:
			s.State, s.Text = Changed, "changed: the job's copy is cut"
		case now.From == keep.Missing:
			s.Text = "not there: the job's copy is cut"
		case d.SHA256 != now.Sum:
			s.State, s.Text = Changed, "another file now: look at every feature"
		}
		out = append(out, s)
	}
	out = append(out, e.sincePreset(was), e.sinceProfile(was))
	s := Since{ID: "program", What: "program", stage: saveStage, row: "save"}
	switch {
	case p == nil:
		s.State, s.Text = NotKnown, "there is no plan yet"
	case len(was.Files) == 0:
		s.State, s.Text = NotKnown, "none was saved with the job"
	default:
		for _, f := range p.Files() {
			now := sum(f.Text)
			if !slices.ContainsFunc(was.Files, func(f job.FileSum) bool { return f.SHA256 == now }) {
				s.State, s.Text = Changed, "another comes out now: save it, and watch its dry run"
			}
		}
	}
	return append(out, s)
}

// sincePreset holds the job's process against the preset it was taken from.
func (e *real) sincePreset(was job.Job) Since {
	s := Since{ID: "preset", What: "preset", stage: processStage, row: "preset"}
	if was.Process.Preset.Empty() {
		s.State, s.Text = NotKnown, "the figures were typed"
		return s
	}
	now, err := e.Lookup(was)
	switch {
	case err != nil:
		s.State, s.Text = Changed, "there is none for this metal, thickness and current now"
	case now.Process.Preset != was.Process.Preset:
		s.State, s.Text = Changed, fmt.Sprintf("another is nearest now: %s", now.Process.Preset)
	case !sameProcess(now.Process, was.Process):
		u := was.Units
		s.State, s.Text = Changed, fmt.Sprintf("differs: feed %s, kerf %s in the preset, %s and %s in the job", u.Feed(now.Process.Feed), u.Length(now.Process.Kerf),
			u.Feed(was.Process.Feed), u.Length(was.Process.Kerf))
		if now.Process.Feed == was.Process.Feed && now.Process.Kerf == was.Process.Kerf {
			s.Text = "differs in other figures than feed and kerf: look at them"
		}
	}
	return s
}

// sinceProfile holds the job's copy of the machine profile against the shop's.
func (e *real) sinceProfile(was job.Job) Since {
	s := Since{ID: "profile", What: "machine profile", stage: stockStage, row: "machine"}
	for _, m := range e.Machines() {
		if m.Name != was.Machine.Name {
			continue
		}
		m.SensorOffset = was.Machine.SensorOffset // measured for the job
		shop, _ := presets.EncodeMachine(m, was.Units)
		own, _ := presets.EncodeMachine(was.Machine, was.Units)
		if !bytes.Equal(shop, own) {
			s.State, s.Text = Changed, "the shop's profile of that name says something else"
		}
		return s
	}
	s.State, s.Text = NotKnown, "the shop has no profile of that name"
	return s
}

// sinceDone is what was found of the job that was opened as number no.
type sinceDone struct {
	no   int
	list []Since
}

// hold compares once the plan stands or it is known that none can be made: off
// the loop, since a program of many megabytes is read for it.
func (m *Model) hold() tea.Cmd {
	if !m.opening.pending || m.res.busy != "" {
		return nil
	}
	m.opening.pending = false
	eng, was, no, loops, prog := m.eng, m.opening.was, m.opening.no, m.res.loops, m.res.prog
	return m.work("look what changed since the job was saved", func() tea.Msg {
		return sinceDone{no, eng.Since(was, loops, prog)}
	})
}

func (m *Model) onSince(msg sinceDone) {
	if msg.no != m.opening.no {
		return // another job is open by now
	}
	m.opening.list = msg.list
	n := 0
	for _, s := range m.opening.list {
		if s.State == Changed {
			n++
		}
	}
	switch {
	case n > 0 && len(m.pages) == 0:
		m.lay(sincePage{})
	case n == 0 && m.said == nil && m.d.written():
		m.say(inkGood, "as it was saved: "+m.same()+" are the same.")
		m.saidNew = false
	}
}

// same lists what did not change.
func (m *Model) same() string {
	var out []string
	for _, s := range m.opening.list {
		if s.State == Same {
			out = append(out, s.What)
		}
	}
	if len(out) < 2 {
		return strings.Join(out, "") + " and all else"
	}
	return strings.Join(out[:len(out)-1], ", ") + " and " + out[len(out)-1]
}

// sincePage lists what a saved job rests on and how it stands now.
type sincePage struct{ page }

func (sincePage) id() string          { return "since" }
func (sincePage) title(*Model) string { return "since the job was saved" }
func (sincePage) wide() bool          { return true }
func (sincePage) explain() string {
	return "The job carries the sum of every drawing, a copy of its preset's figures and of the machine profile, and the sum of its program. Here they are held against what lies there now. Nothing is taken over by itself: enter goes where it is settled."
}

func (p sincePage) list(m *Model) list {
	w := m.leftWidth(p) - 6
	rows := []row{{head: true, label: "what the job rests on"}}
	for _, s := range m.opening.list {
		text := s.Text
		r := row{id: "since:" + s.ID, state: stDone, verb: "go there", why: "Enter goes where it is settled."}
		switch s.State {
		case Changed:
			r.state = stWarn
		case NotKnown:
			r.state = stFree
		default:
			text = cmp.Or(text, "the same")
		}
		r.act = func(m *Model) tea.Cmd { m.goTo(block{stage: s.stage, row: s.row}); return nil }
		rows = append(rows, r.hung(labelWidth, line{{padRight(s.What+" ", labelWidth-1), inkPlain}}, text, w+2)...)
	}
	if n, by := m.confirmedBefore(); n > 0 {
		rows = append(rows, row{head: true, label: "confirmations"})
		rows = append(rows, row{id: "since:kept", why: "They hold while nothing they rest on has changed. A program cannot see which plate lies on the table."}.hung(2,
			line{{"", inkPlain}}, fmt.Sprintf("%s from before hold still, %s.", count(n, "confirmation"), by), w)...)
		rows = append(rows, row{id: "since:plate", label: "another plate lies there", value: "ask again what is seen at the plate", verb: "ask again",
			why: "Takes back what was confirmed at the plate and of its zero and dry run: each is confirmed anew.",
			act: func(m *Model) tea.Cmd { return m.anotherPlate() }})
	}
	return rowsList(rows)
}

// confirmedBefore counts confirmations that hold, and tells of the oldest.
func (m *Model) confirmedBefore() (n int, by string) {
	first := ""
	for _, it := range m.res.items {
		if c, ok := m.confirmed(it); ok {
			n++
			if first == "" || c.At < first {
				first, by = c.At, "the oldest by "+c.By.String()+", "+m.clock(c.At)
			}
		}
	}
	return n, by
}

// anotherPlate takes back what was confirmed of the plate that lay there.
func (m *Model) anotherPlate() tea.Cmd {
	drop := map[string]bool{"zero": true, "dry-run": true}
	for _, it := range m.res.items {
		if it.Station == AtPlate {
			drop[it.ID] = true
		}
	}
	m.back()
	cmd := m.change(func(d *Draft) {
		var keep []job.Confirmation
		for _, c := range d.Job.Checks {
			if !drop[c.ID] {
				keep = append(keep, c)
			}
		}
		d.Job.Checks = keep
	})
	m.say(inkWarn, "asked again: n goes from one to the next.")
	return cmd
}

// sinceRow sums it up on the save stage.
func (m *Model) sinceRow() []row {
	if len(m.opening.list) == 0 {
		return nil
	}
	n := 0
	for _, s := range m.opening.list {
		if s.State == Changed {
			n++
		}
	}
	r := row{id: "since", label: "since it was saved", value: "nothing has changed", verb: "open", state: stDone,
		why: "Drawing, preset, profile and program, held against what the job was saved with.",
		act: func(m *Model) tea.Cmd { m.lay(sincePage{}); return nil }}
	if n > 0 {
		r.value, r.state = count(n, "thing")+" changed", stWarn
	}
	return []row{r}
}

// figures puts the job's own figures beside what a person confirms.
func figures(it *Item, j job.Job, p *planner.Program) {
	u := j.Units
	put := func(s string) {
		if it.Figure == "" {
			it.Figure = s
		} else if s != "" {
			it.Figure += ", " + s
		}
	}
	switch it.ID {
	case "stock":
		if j.Stock.Width > 0 && j.Stock.Height > 0 {
			put(fmt.Sprintf("%s by %s, %s thick", u.Length(j.Stock.Width), u.Length(j.Stock.Height), u.Length(j.Stock.Thickness)))
		}
	case "gas":
		if o := j.Process.Pressure; o.Known {
			put(form{Dim: job.Bar}.show(o.Value, u))
		}
		if o := j.Process.GasFlow; o.Known {
			put(form{Dim: job.Litres}.show(o.Value, u))
		}
	case "zero":
		for _, c := range corners {
			if c.v == j.Stock.Zero || j.Stock.Zero == "" && c.v == job.LowerLeft {
				put(c.name)
			}
		}
	case "dry-run", "people":
		if ways := p.Trace(); len(ways) > 0 && len(p.Cuts) > 0 {
			b := ways[0].Box()
			s := fmt.Sprintf("X %s to %s, Y %s to %s", unit.Number(u.FromMM(b.Min.X), 0), u.Length(b.Max.X), unit.Number(u.FromMM(b.Min.Y), 0), u.Length(b.Max.Y))
			put(s)
		}
	}
}

// lifting asks for the weight that is lifted, which the program knows.
func lifting(j job.Job, p *planner.Program) (Item, bool) {
	area := j.Stock.Width * j.Stock.Height
	what := "The plate is lifted by as many hands as its weight takes, or by a hoist; gloves are on."
	if j.Stock.Hold == job.Blank {
		return Item{}, false
	}
	kg := cost.Weight(j.Stock.Material, area, j.Stock.Thickness)
	if !kg.Known {
		return Item{}, false
	}
	figure := "plate " + unit.Number(kg.Value, 1) + " kg"
	heaviest := 0.0
	for _, k := range planner.Cost(j, p, cost.Prices{}).Kinds {
		if k.Kg.Known {
			heaviest = max(heaviest, k.Kg.Value)
		}
	}
	if heaviest > 0 {
		figure += ", heaviest part " + unit.Number(heaviest, 1) + " kg"
	}
	return Item{ID: "lift", Station: AtPlate, Text: what, Figure: figure,
		Why: "weight by size and usual density; how much one person may lift is for local codes to say"}, true
}
