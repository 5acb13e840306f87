package tui

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// saveView is the last stage: what would be written, what the proof says of
// it, and the door that stays shut until all of it holds.
type saveView struct{ page }

func (saveView) id() string          { return "save" }
func (saveView) title(*Model) string { return "save: the files, all or none" }
func (saveView) wide() bool          { return true }
func (saveView) explain() string {
	return "The job, the program and the dry run are written together or not at all. The program's text has been read back and compared with the drawing; without that proof nothing is written. Files from before stay as they are until the new ones are complete."
}

type (
	saveDone struct {
		gen   uint64
		paths []string
		told  fault.List
		err   error
	}
	targetsDone struct {
		dir, name string
		targets   []Target
	}
)

func (saveView) list(m *Model) list {
	var rows []row
	head := func(s string) { rows = append(rows, row{head: true, label: s}) }
	add := func(r row) { rows = append(rows, r) }
	u := m.d.Job.Units

	add(m.saveRow())
	rows = append(rows, m.sinceRow()...)
	if len(m.saved) > 0 && m.d.Saved {
		head("written")
		for i, p := range m.saved {
			add(row{id: fmt.Sprint("written", i), plain: text(p), state: stDone, why: plain.Clean(p)})
		}
		head("next, at the machine")
		for i, s := range m.nextSteps() {
			rows = append(rows, row{id: fmt.Sprint("next", i), why: s}.spread(2, text(fmt.Sprintf("%d %s", i+1, s)), span{}, m.leftWidth(saveView{})-6)...)
		}
	}
	head("files")
	add(m.words(words{id: "name", label: "file name", must: true, judge: judgeName,
		get: func(d *Draft) string { return d.Name },
		put: func(d *Draft, s string) { d.Name = s },
		why: "Without an ending: the job, the program and the dry run add their own."}))
	add(m.folderRow())
	for _, t := range m.targets {
		note := "new"
		if t.Exists {
			note = "is there already"
			if m.ours() {
				note = "takes the place of the one opened"
			}
		}
		add(row{id: "target:" + t.Name, label: t.What, value: t.Name, note: note, why: "Written when all of them can be."})
	}

	head("proof of the written text")
	if m.res.stopped {
		add(row{id: "proof", label: "plan it again", state: stOpen, verb: "plan", why: "It was stopped: there is no plan of the job as it stands.",
			act: func(m *Model) tea.Cmd { return m.planAgain() }})
	} else if p := m.res.prog; p == nil || m.res.busy != "" {
		add(row{id: "proof", label: "waits for the plan", why: "n goes to what is open."})
	} else {
		add(proofRow("proof", "program", p.Verdict, u))
		add(proofRow("proof-dry", "dry run", p.DryVerdict, u))
		for i, f := range append(append([]proof.Finding(nil), p.Verdict.Findings...), p.DryVerdict.Findings...) {
			said := findingText(f)
			if p.Verdict.Programs > 1 {
				said = fmt.Sprintf("program %d, %s", f.Program+1, said)
			}
			rows = append(rows, row{id: fmt.Sprint("finding", i), why: said, bounds: f.Do, state: severityState(f.Severity)}.spread(2, text(said), span{}, m.leftWidth(saveView{})-6)...)
		}
		head("the cut")
		r := p.Plan
		info := func(id, label, value, why string) { add(row{id: id, label: label, value: value, why: why}) }
		info("pierces", "pierces", fmt.Sprint(r.Pierces), "Each wears the consumables.")
		info("cut", "cut length", u.Length(r.CutLength), "With the arc on, leads and overburn included.")
		info("held", "height held", heldShare(r.HoldShare)+" of the cut", "Where the torch slows down, in small holes, and where the plate is cut beside it: a line of its own on the plate view, which a comma shows and hides.")
		info("rapid", "rapid length", u.Length(r.RapidLength), fmt.Sprintf("Torch up. No order of the same cuts can do with less than %s.", u.Length(r.RapidBound)))
		rows = append(rows, m.costRows(saveView{})...)
	}
	rows = append(rows, m.pieceRows()...)
	rows = append(rows, m.leftRows()...)
	if m.res.prog != nil && m.res.busy == "" {
		add(row{head: true, label: "if it was left half done"})
		add(m.resumeRow())
	}
	return rowsList(rows)
}

func judgeName(s string) string {
	if err := jobfile.BaseName(s); err != nil {
		return err.Error()
	}
	return ""
}

// fileName makes a good file name out of a drawing's.
func fileName(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9', r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r == '-', r == '_', r == '.':
			return r
		}
		return '-'
	}, s)
	s = strings.Trim(s, "-.")
	if judgeName(s) != "" {
		return ""
	}
	return s
}

// folderRow is where the files go. It moves the drawings' names along.
func (m *Model) folderRow() row {
	return m.words(words{id: "folder", label: "folder", must: true,
		get: func(d *Draft) string { return plain.Clean(d.Dir) },
		put: func(d *Draft, s string) {
			dir := filepath.FromSlash(s)
			if !filepath.IsAbs(dir) {
				dir = filepath.Join(d.Dir, dir)
			}
			d.moveTo(filepath.Clean(dir))
		},
		why: "Where the files go. A path that does not begin at the root is taken from the folder shown."})
}

// ours reports whether the name is that of the job that was opened or saved.
func (m *Model) ours() bool {
	return m.opened != "" && m.opened == filepath.Join(m.d.Dir, m.d.Name+".toml")
}

func (m *Model) saveRow() row {
	r := row{id: "save", label: "SAVE", verb: "save"}
	if s := m.shut(); s != "" {
		r.value, r.state = "shut: "+s, stOpen
		r.why = "Shut until everything holds. n goes to the first thing that is open."
		if n := len(m.blocks); n > 1 {
			r.why = fmt.Sprintf("Shut: %d things are open. n goes to the first.", n)
		}
		return r
	}
	if m.d.written() {
		r.value, r.state = "saved as it stands", stDone
		r.why = "Nothing has changed since."
		return r
	}
	r.value, r.state = "open: enter writes the files", stGood
	r.why = "All that is needed is decided, proved and confirmed."
	if m.d.Saved {
		r.why = "The job lies there as it stands, but " + m.d.Apart + "."
	}
	over := m.there()
	if len(over) > 0 && m.sure != m.key() {
		r.why = "Already there, would be replaced: " + strings.Join(over, ", ") + "."
	}
	r.act = func(m *Model) tea.Cmd {
		if len(over) > 0 && m.sure != m.key() {
			m.sure = m.key()
			m.say(inkWarn, "already there: "+strings.Join(over, ", ")+". Enter again replaces them; or change the name.")
			return nil
		}
		return m.save()
	}
	return r
}

func (m *Model) key() string { return m.d.Dir + "\x00" + m.d.Name }

// there lists files of others that a save would replace.
func (m *Model) there() []string {
	if m.ours() {
		return nil
	}
	var out []string
	for _, t := range m.targets {
		if t.Exists {
			out = append(out, t.Name)
		}
	}
	return out
}

func (m *Model) save() tea.Cmd {
	m.saving = true
	eng, d, loops, p, ctx := m.eng, m.d, m.res.loops, m.res.prog, m.ctx
	m.say(inkPlain, "being written")
	return m.work("save the job", func() tea.Msg {
		paths, told, err := eng.Save(ctx, d.Dir, d.Name, d.Job, loops, p)
		return saveDone{d.Gen, paths, told, err}
	})
}

func (m *Model) onSave(msg saveDone) tea.Cmd {
	m.saving = false
	if msg.err != nil {
		m.say(inkBad, "not saved: "+msg.err.Error())
		return nil
	}
	m.saved = msg.paths
	m.outcome.Saved = msg.paths
	if msg.gen != m.d.Gen {
		m.say(inkWarn, "saved as it stood; it was changed since.")
		return nil
	}
	m.opened = filepath.Join(m.d.Dir, m.d.Name+".toml")
	forget := m.savedAs(msg.gen, "")
	m.say(inkGood, "saved: "+count(len(msg.paths), "file")+" in "+plain.Clean(m.d.Dir))
	for _, f := range msg.told.Sorted() {
		m.say(inkWarn, "saved: "+count(len(msg.paths), "file")+". "+f.Error())
		break
	}
	m.spotOf(saveView{}).id = "save"
	m.targetsFor = "" // they are there now
	return tea.Batch(forget, m.remember(m.opened, m.d.Job))
}

// savedAs notes that the draft of that generation is what lies on the disk;
// apart says why the programs beside it are not its own, "" if they are.
func (m *Model) savedAs(gen uint64, apart string) tea.Cmd {
	if gen != m.d.Gen {
		return nil
	}
	d := *m.d
	d.Saved, d.Apart = true, apart
	m.d, m.onDisk = &d, &d
	m.holder.publish(m.d)
	m.refresh()
	return m.forget()
}

func (m *Model) onTargets(msg targetsDone) {
	if msg.dir == m.d.Dir && msg.name == m.d.Name {
		m.targets = msg.targets
	}
}

// follow asks what lies where the files would go, whenever that changes and
// the save stage is in sight.
func (m *Model) follow() tea.Cmd {
	key := m.key()
	if p := m.res.prog; p != nil {
		key += fmt.Sprint("\x00", len(p.Files()), p.Plates, m.d.Job.Machine.Program.NameLength)
	}
	if stage(m.d.Stage) != saveStage || m.targetsFor == key {
		return nil
	}
	m.targetsFor = key
	if m.d.Name == "" {
		m.targets = nil
		return nil
	}
	eng, dir, name, j, p := m.eng, m.d.Dir, m.d.Name, m.d.Job, m.res.prog
	return m.work("look where the files go", func() tea.Msg {
		return targetsDone{dir, name, eng.Files(dir, name, j, p)}
	})
}

func proofRow(id, label string, r proof.Result, u unit.System) row {
	out := row{id: id, label: label, why: "The written text was read again by a reader that knows nothing of the plan, and what it would cut was laid over the drawing."}
	if r.OK {
		out.value, out.state = "passes", stDone
		out.note = fmt.Sprintf("%s into a part, %s short of an edge", u.Length(r.WorstGouge), u.Length(r.Uncut))
		if n := len(r.Findings); n > 0 {
			out.note = count(n, "thing") + " to look at"
		}
		return out
	}
	out.value, out.state = "does not pass: "+found(r), stBad
	return out
}

func findingText(f proof.Finding) string {
	s := ""
	if f.Line > 0 {
		s = fmt.Sprintf("line %d: ", f.Line)
	}
	if f.Feature != "" {
		s += f.Feature + ": "
	}
	return s + f.Text
}

func (m *Model) nextSteps() []string {
	var dry, prog string
	n := 0 // programs of this plate
	for _, t := range m.targets {
		switch t.What {
		case "program", "program 1":
			prog = t.Name
		case "dry run":
			dry = t.Name
		case "its dry run":
			dry = cmp.Or(dry, t.Name)
		}
		if strings.HasPrefix(t.What, "program") {
			n++
		}
	}
	zero := "lower left"
	for _, c := range corners {
		if c.v == m.d.Job.Stock.Zero {
			zero = c.name
		}
	}
	steps := []string{
		fmt.Sprintf("Load %s. Set X0 Y0 with the torch over the %s corner of the stock.", dry, zero),
		"Run it: the torch stays dark. It goes round the rectangle that the job needs, then along every cut. Watch clamps, slats and the plate's edges.",
		fmt.Sprintf("Load %s, hood down, hand at the stop. Stay at the table while it cuts.", prog),
		"Measure the first part. If it is too large or too small all round, the true kerf is not the one set here.",
	}
	if n > 1 {
		again := fmt.Sprintf("Then the same with program 2 of %d, and so on in their order: the metal and the zero stay as they are.", n)
		steps = slices.Insert(steps, 3, again)
	}
	return steps
}
