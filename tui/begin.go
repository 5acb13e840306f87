package tui

import (
	"fmt"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

type (
	foundDone struct{ found []Found }
	openDone  struct {
		path   string
		dir    string
		job    job.Job
		faults fault.List
	}
)

// begin looks for drafts left behind and opens what the command line named.
func (m *Model) begin() tea.Cmd {
	var cmds []tea.Cmd
	if m.keep != nil {
		dir := m.keep.dir
		cmds = append(cmds, m.work("look for drafts", func() tea.Msg { return foundDone{find(dir)} }))
	}
	if dir, eng := m.stateDir, m.eng; dir != "" && len(m.given) == 0 {
		cmds = append(cmds, m.work("look for recent jobs", func() tea.Msg { return recentDone{logged(readRecent(dir), eng)} }))
	}
	var drawings []string
	for _, p := range m.given {
		if isJob(p) {
			cmds = append(cmds, m.open(p))
		} else if no := unfit(p); no != "" {
			m.say(inkBad, no)
		} else {
			drawings = append(drawings, p)
		}
	}
	if len(drawings) > 0 {
		cmds = append(cmds, m.change(func(d *Draft) {
			for _, p := range drawings {
				d.addDrawing(p)
			}
		}))
	}
	return tea.Batch(cmds...)
}

// isJob tells a job file from a drawing by its name.
func isJob(path string) bool { return strings.EqualFold(filepath.Ext(path), ".toml") }

// open reads a job file off the loop.
func (m *Model) open(path string) tea.Cmd {
	eng := m.eng
	return m.work("open a job", func() tea.Msg {
		abs, err := filepath.Abs(path)
		if err != nil {
			return openDone{path: path, faults: fault.From(err, fault.Where{File: path})}
		}
		j, faults := eng.Open(abs)
		return openDone{path: abs, dir: filepath.Dir(abs), job: j, faults: faults}
	})
}

// onOpen makes the opened job the draft. What stood there can be had back
// with undo.
func (m *Model) onOpen(msg openDone) tea.Cmd {
	if msg.faults.Bad() {
		m.openFaults = msg.faults
		m.lay(brokenPage{})
		return nil
	}
	m.notes = append(append(fault.List(nil), m.eng.Notes()...), msg.faults...)
	m.res = results{notes: m.notes}
	cmd := m.change(func(d *Draft) {
		d.Job, d.Dir = cloneJob(msg.job), msg.dir
		d.Name = strings.TrimSuffix(filepath.Base(msg.path), filepath.Ext(msg.path))
		for _, c := range msg.job.Checks {
			if !c.By.Empty() {
				d.Operator = c.By
			}
		}
	})
	m.opened = msg.path
	m.opening = opening{was: msg.job, no: m.opening.no + 1, pending: true}
	why := apart(msg.job, msg.faults)
	cmd = tea.Batch(cmd, m.savedAs(m.d.Gen, why)) // as opened, nothing would be lost
	if why != "" && len(msg.job.Files) > 0 {
		m.say(inkBad, why+": do not run them, save again. Key t tells more.")
	}
	m.pages = keepFound(m.pages)
	return tea.Batch(cmd, m.remember(msg.path, msg.job))
}

// apart says why the programs beside a job that was opened are not of it.
func apart(j job.Job, faults fault.List) string {
	if len(j.Files) == 0 {
		return "no program was saved with it"
	}
	for _, f := range faults {
		if f.Code == bundle.CodeMixed || f.Code == bundle.CodeStale {
			return "the programs beside the job are not of it as it is"
		}
	}
	return ""
}

func keepFound(pages []view) []view {
	for _, p := range pages {
		if p.id() == "found" {
			return []view{p}
		}
	}
	return nil
}

// brokenPage shows why a job file could not be opened.
type brokenPage struct{ page }

func (brokenPage) id() string          { return "broken" }
func (brokenPage) title(*Model) string { return "the job cannot be opened" }
func (brokenPage) wide() bool          { return true }
func (brokenPage) list(m *Model) list {
	var rows []row
	for i, f := range m.openFaults.Sorted() {
		for k, l := range wrap(f.Error(), m.leftWidth(brokenPage{})-6) {
			r := row{id: fmt.Sprint(i, ".", k), plain: text(l), why: f.Error()}
			if k == 0 {
				r.state = faultState(f)
			}
			rows = append(rows, r)
		}
	}
	return rowsList(rows)
}

func (m *Model) onFound(msg foundDone) {
	m.found = msg.found
	if len(m.found) > 0 {
		m.lay(foundPage{})
	}
}

// takeUp makes a draft left behind the draft. Its file goes when ours is written.
func (m *Model) takeUp(f Found) tea.Cmd {
	m.pages = nil
	old := *f.Draft
	cmd := m.change(func(d *Draft) {
		gen, prices := d.Gen, d.Prices
		*d = old
		d.Gen, d.Prices = gen, prices
		d.Stage = int(clampStage(old.Stage))
	})
	h := m.holder
	m.found = without(m.found, f.Path)
	m.say(inkGood, "draft taken up. It is not saved yet.")
	return tea.Batch(cmd, m.work("take up a draft", func() tea.Msg {
		if path, err := h.Keep(); err != nil || path == "" {
			return keptDone{err} // the old file stays
		}
		removeKept(f.Path)
		return keptDone{}
	}))
}

func (m *Model) dropFound(path string) tea.Cmd {
	m.found = without(m.found, path)
	if len(m.found) == 0 {
		m.back()
	}
	m.say(inkPlain, "draft thrown away.")
	return m.work("throw a draft away", func() tea.Msg { return keptDone{removeKept(path)} })
}

func without(l []Found, path string) []Found {
	var out []Found
	for _, f := range l {
		if f.Path != path {
			out = append(out, f)
		}
	}
	return out
}

// unfit says why a drawing's name cannot stand in a job file, "" if it can.
func unfit(path string) string {
	if plain.IsClean(path) {
		return ""
	}
	return plain.Clean(filepath.Base(path)) + ": the name holds control signs or is no UTF-8. Rename the file."
}

// addDrawing adds a drawing by the path that a person gave.
func (d *Draft) addDrawing(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = relTo(d.Dir, abs)
	}
	d.Job.Drawings = append(d.Job.Drawings, job.Drawing{File: path})
	if d.Name == "" {
		base := filepath.Base(path)
		d.Name = fileName(strings.TrimSuffix(base, filepath.Ext(base)))
	}
	if d.Job.Name.Empty() {
		base := filepath.Base(path)
		d.Job.Name = plain.Of(strings.TrimSuffix(base, filepath.Ext(base)))
	}
}

// relTo returns path relative to dir where that is possible.
func relTo(dir, path string) string {
	if rel, err := filepath.Rel(dir, path); err == nil {
		return filepath.ToSlash(rel)
	}
	return path
}

// moveTo changes the folder that drawings are relative to.
func (d *Draft) moveTo(dir string) {
	for i, dr := range d.Job.Drawings {
		if dr.File != "" && !filepath.IsAbs(dr.File) {
			d.Job.Drawings[i].File = relTo(dir, filepath.Join(d.Dir, filepath.FromSlash(dr.File)))
		}
	}
	d.Dir = dir
}

// forget removes the recovery file off the loop.
func (m *Model) forget() tea.Cmd {
	k, gen := m.keep, m.d.Gen
	if k == nil {
		return nil
	}
	return m.work("remove the draft", func() tea.Msg { return keptDone{k.forget(gen)} })
}
