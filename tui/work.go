package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
)

// results is what the planner made of the draft so far. It may be older than
// the draft while busy says that work is under way.
type results struct {
	readJob job.Job // what loops were read for
	readDir string
	read    bool

	loops      []*drawing.Loops
	parts      []int      // that each drawing's entry stands for
	notes      fault.List // what was wrong before the job
	readFaults fault.List
	tree       feature.Tree
	index      map[string]int // features by id
	order      []int          // features as the table lists them
	place      []int          // where in the table a feature stands
	byFeature  map[string][]fault.Fault
	treeFaults fault.List

	prog       *planner.Program
	planFaults fault.List
	told       fault.List // all of them, each once
	checks     []Check
	items      []Item
	scene      *scene
	drawn      *scene // the drawings as read, also once a plate is planned

	busy    string // "reading", "planning"; "" when all is done
	stopped bool   // the person ended the work: there is no plan of this draft
}

// faults returns all that the phases said, in their order, each once: the
// plan says again what it heard from the phases before it.
func (r *results) faults() fault.List {
	var out fault.List
	seen := map[string]bool{}
	for _, l := range []fault.List{r.readFaults, r.treeFaults, r.planFaults, r.notes} {
		for _, f := range l {
			if k := f.Severity.String() + f.Error(); !seen[k] {
				seen[k] = true
				out = append(out, f)
			}
		}
	}
	return out
}

type (
	readDone struct {
		gen   int
		job   job.Job
		dir   string
		loops []*drawing.Loops
		read  fault.List
		tree  feature.Tree
		sort  fault.List
		scene *scene
		parts []int
	}
	planDone struct {
		gen    int
		prog   *planner.Program
		faults fault.List
		checks []Check
		items  []Item
		scene  *scene
	}
	// crashed says that a piece of work broke a promise of ours.
	crashed struct {
		what string
		why  any
		note string // file with the stack, "" if it could not be written
		gen  int    // of the plan, 0 for other work
	}
)

// work runs f off the update loop. Whatever happens in it becomes a message.
func (m *Model) work(what string, f func() tea.Msg) tea.Cmd {
	dir := m.stateDir
	return func() (msg tea.Msg) {
		defer func() {
			if r := recover(); r != nil {
				msg = crashed{what: what, why: r, note: crashNote(dir, what, r, debug.Stack())}
			}
		}()
		return f()
	}
}

// pipe is work towards the plan. Its fault stands until the next plan.
func (m *Model) pipe(what string, gen int, f func() tea.Msg) tea.Cmd {
	cmd := m.work(what, f)
	return func() tea.Msg {
		msg := cmd()
		if c, ok := msg.(crashed); ok {
			c.gen = gen
			return c
		}
		return msg
	}
}

// onCrash tells of a broken promise of ours. No plan came of it, so that
// nothing can be saved.
func (m *Model) onCrash(msg crashed) {
	what := fmt.Sprintf("a fault of this program while it tried to %s; nothing was written", msg.what)
	do := "Change what it was about, or tell the makers."
	if msg.note != "" {
		do = "What happened is in " + msg.note + "."
	}
	m.say(inkBad, what+". "+do)
	m.saving = false
	if msg.gen == 0 || msg.gen != m.workGen {
		return
	}
	m.endPlan()
	m.noPlan()
	r := &m.res
	r.planFaults.Errorf(fault.Where{}, "internal", do, "%s", what)
	r.told = r.faults()
	m.refresh()
}

// noPlan forgets the plan: the drawings are seen as they were read.
func (m *Model) noPlan() {
	r := &m.res
	r.busy = ""
	r.prog, r.checks, r.items, r.planFaults = nil, nil, nil, nil
	r.told = r.faults()
	r.gather()
	r.scene = treeScene(r.tree, r.loops)
	r.read = false // read again, should that have been it
}

// crashNote writes the stack beside the recovery files.
func crashNote(dir, what string, why any, stack []byte) string {
	if dir == "" {
		return ""
	}
	if os.MkdirAll(dir, 0o700) != nil {
		return ""
	}
	path := filepath.Join(dir, "crash.txt")
	if os.WriteFile(path, fmt.Appendf(nil, "%s: %v\n\n%s", what, why, stack), 0o600) != nil {
		return ""
	}
	return path
}

// restart throws away work on older drafts and begins anew: reading if other
// shapes are wanted, then features, then the plan.
func (m *Model) restart() tea.Cmd {
	m.endPlan()
	m.workGen++
	j, dir, gen := m.d.Job, m.d.Dir, m.workGen
	if len(j.Drawings) == 0 {
		m.res = results{notes: m.notes}
		m.res.told = m.res.faults()
		return nil
	}
	run, ctx := m.startRun("read the drawings")
	m.planRun = run
	have := m.res.read && m.res.readDir == dir && sameReading(m.res.readJob, j)
	loops, faults := m.res.loops, m.res.readFaults
	m.res.busy, m.res.stopped = "reading", false
	eng := m.eng
	return tea.Batch(m.pipe("read the drawings", gen, func() tea.Msg {
		if !have {
			loops, faults = eng.Read(ctx, j, dir)
		}
		tree, sort := eng.Features(j, loops)
		return readDone{gen, j, dir, loops, faults, tree, sort, treeScene(tree, loops), partsIn(j, loops)}
	}), m.startBeat())
}

// planAgain begins what was stopped.
func (m *Model) planAgain() tea.Cmd {
	cmd := m.restart()
	m.refresh()
	return cmd
}

func (m *Model) onRead(msg readDone) tea.Cmd {
	if msg.gen != m.workGen {
		return nil
	}
	r := &m.res
	r.read, r.readJob, r.readDir = true, msg.job, msg.dir
	r.loops, r.readFaults, r.tree, r.treeFaults = msg.loops, msg.read, msg.tree, msg.sort
	r.index = make(map[string]int, len(r.tree.Features))
	for i, f := range r.tree.Features {
		r.index[f.ID] = i
	}
	r.drawn = msg.scene
	r.parts = msg.parts
	r.busy = ""
	m.endPlan()
	r.told = r.faults()
	r.sortFeatures()
	m.refresh()
	if !m.plannable() {
		r.prog, r.planFaults, r.checks, r.items = nil, nil, nil, nil
		r.scene = msg.scene
		r.told = r.faults()
		r.gather()
		m.refresh()
		return nil
	}
	if r.prog == nil {
		r.scene = msg.scene
	}
	r.busy = "planning"
	m.refresh()
	run, ctx := m.startRun("plan the job")
	m.planRun = run
	eng, gen := m.eng, msg.gen
	before := append(append(fault.List(nil), msg.read...), msg.sort...)
	return tea.Batch(m.pipe("plan the job", gen, func() tea.Msg {
		p, faults := eng.Plan(ctx, msg.job, msg.loops)
		done := planDone{gen: gen, prog: p, faults: faults}
		if p != nil && ctx.Err() == nil {
			done.scene = planScene(msg.job, p)
			done.checks = eng.Checks(msg.job, p, append(before, faults...))
			done.items = eng.Checklist(msg.job, p)
		}
		return done
	}), m.startBeat())
}

func (m *Model) onPlan(msg planDone) tea.Cmd {
	if msg.gen != m.workGen {
		return nil
	}
	m.endPlan()
	m.taken = taken{}
	r := &m.res
	r.prog, r.planFaults, r.checks, r.items, r.busy = msg.prog, msg.faults, msg.checks, msg.items, ""
	r.told = r.faults()
	r.gather()
	r.scene = msg.scene
	if msg.prog == nil {
		r.scene = treeScene(r.tree, r.loops)
		m.refresh()
		return nil
	}
	cmd := m.dropStale()
	m.refresh()
	return cmd
}

// dropStale takes away confirmations of what has changed since.
func (m *Model) dropStale() tea.Cmd {
	holds := func(c job.Confirmation) bool {
		for _, it := range m.res.items {
			if it.ID == c.ID && it.RestsOn == c.RestsOn {
				return true
			}
		}
		return false
	}
	var keep []job.Confirmation
	for _, c := range m.d.Job.Checks {
		if holds(c) {
			keep = append(keep, c)
		}
	}
	if len(keep) == len(m.d.Job.Checks) {
		return nil
	}
	n := len(m.d.Job.Checks) - len(keep)
	m.d = m.d.edit(func(d *Draft) { d.Job.Checks = keep; d.Saved = false })
	m.holder.publish(m.d)
	m.say(inkWarn, fmt.Sprintf("%s taken back: the job changed since. Look again, confirm again.", count(n, "confirmation")))
	return m.keepDraft()
}

// plannable reports whether all that a plan needs is decided.
func (m *Model) plannable() bool {
	for _, b := range m.blocks {
		if b.plan {
			return false
		}
	}
	return true
}

type keptDone struct{ err error }

// keepDraft writes the recovery file off the loop.
func (m *Model) keepDraft() tea.Cmd {
	h := m.holder
	return m.work("keep the draft", func() tea.Msg {
		_, err := h.Keep()
		return keptDone{err}
	})
}
