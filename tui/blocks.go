package tui

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
)

// block is one reason why nothing may be saved yet, and where it is settled.
type block struct {
	stage stage
	page  view   // laid over the stage; nil if it is settled on the stage itself
	row   string // id of the row
	why   string // such as "thickness unknown"
	plan  bool   // no plan can be made while it stands
}

// refresh collects anew what blocks saving.
func (m *Model) refresh() {
	m.blocks = nil
	m.lacks, m.shown = map[string]fault.Fault{}, map[string]bool{"drawings": true}
	for _, f := range m.eng.Ready(m.d.Job) {
		if _, ok := m.lacks[f.Entity]; !ok && f.Severity == fault.Error {
			m.lacks[f.Entity] = f
		}
	}
	if len(m.d.Job.Drawings) == 0 {
		m.block(block{stage: stockStage, row: "add", why: "no drawing yet", plan: true})
	}
	m.rowBlocks(stockStage, nil, stockView{})
	for i := range m.d.Job.Drawings {
		m.rowBlocks(stockStage, drawingPage{n: i}, drawingPage{n: i})
	}
	if m.d.Job.Stock.Hold == job.Blank {
		m.rowBlocks(stockStage, fixturePage{}, fixturePage{})
	}
	m.rowBlocks(processStage, nil, processView{})
	for _, p := range rulePages(m) {
		m.rowBlocks(processStage, p, p)
	}
	m.lackBlocks()
	m.faultBlocks()
	if m.res.stopped {
		m.block(block{stage: saveStage, row: "proof", why: "planning was stopped"})
	}
	if m.res.busy == "" && m.res.prog != nil {
		m.proofBlocks()
		m.checkBlocks()
	}
	slices.SortStableFunc(m.blocks, func(a, b block) int { return int(a.stage) - int(b.stage) })
}

func (m *Model) rowBlocks(s stage, p, v view) {
	l := v.list(m)
	for i := range l.n {
		r := l.at(i)
		m.shown[r.id] = true
		switch r.state {
		case stOpen:
			m.block(block{s, p, r.id, r.label + " unknown", true})
		case stBad:
			why := r.label + ": " + r.value
			if r.note != "" {
				why += ", " + r.note
			}
			m.block(block{s, p, r.id, why, true})
		}
	}
}

// lackBlocks adds what the planner misses and no row shows: a machine profile
// that is not whole.
func (m *Model) lackBlocks() {
	for _, f := range m.eng.Ready(m.d.Job) {
		if f.Severity == fault.Error && !m.shown[f.Entity] {
			m.shown[f.Entity] = true
			m.block(block{stage: stockStage, row: "machine", why: f.Brief(), plan: true})
		}
	}
}

func (m *Model) block(b block) { m.blocks = append(m.blocks, b) }

// faultBlocks adds a block for each Error that the planner found.
func (m *Model) faultBlocks() {
	reading := len(m.res.readFaults)
	for i, f := range m.res.told {
		if f.Severity != fault.Error {
			continue
		}
		b := block{stage: featureStage, why: f.Brief(), plan: i < reading}
		switch {
		case f.Feature != "" && m.featureIndex(featureOf(f.Feature)) >= 0:
			b.row = "f:" + featureOf(f.Feature)
		case m.editOf(f) > 0:
			b.page, b.row = editsPage(), editID(m.editOf(f)-1)
		case f.Code == "trim":
			b.stage, b.page, b.row = stockStage, layoutPage(), "trim"
		case i < reading:
			b.stage, b.page, b.row = stockStage, toldPage{}, toldID(i)
		default:
			b.page, b.row = toldPage{}, toldID(i)
		}
		m.block(b)
	}
}

func (m *Model) proofBlocks() {
	p := m.res.prog
	if !p.Verdict.OK {
		m.block(block{stage: saveStage, row: "proof", why: "the proof does not pass: " + found(p.Verdict)})
	}
	if !p.DryVerdict.OK {
		m.block(block{stage: saveStage, row: "proof-dry", why: "the dry run's proof does not pass: " + found(p.DryVerdict)})
	}
}

// found counts what a proof objects to.
// found counts what the proof found: what is wrong, and what only wants a look.
func found(r proof.Result) string {
	wrong := 0
	for _, f := range r.Findings {
		if f.Severity == fault.Error {
			wrong++
		}
	}
	s := fmt.Sprintf("%d wrong", wrong)
	if n := len(r.Findings) - wrong; n > 0 {
		s += fmt.Sprintf(", %d to look at", n)
	}
	return s
}

func (m *Model) checkBlocks() {
	for _, c := range m.res.checks {
		if c.Verdict == planner.Fail {
			m.block(block{stage: checkStage, row: "check:" + c.ID, why: c.Title + ": " + c.Figure})
		}
	}
	if m.d.Operator.Empty() {
		m.block(block{stage: checkStage, row: "operator", why: "operator unknown"})
	}
	for _, it := range m.res.items {
		if _, ok := m.confirmed(it); !ok {
			m.block(block{stage: checkStage, row: "item:" + it.ID, why: "not confirmed: " + it.Text})
		}
	}
	if m.d.Name == "" {
		m.block(block{stage: saveStage, row: "name", why: "file name unknown"})
	}
}

// openIn counts the blocks of a stage.
func (m *Model) openIn(s stage) int {
	n := 0
	for _, b := range m.blocks {
		if b.stage == s {
			n++
		}
	}
	return n
}

// shut says why nothing may be saved yet; "" if saving is open.
func (m *Model) shut() string {
	switch {
	case len(m.blocks) > 0:
		return m.blocks[0].why
	case m.res.busy != "":
		return m.res.busy
	case m.res.prog == nil:
		return "no plan"
	case m.saving:
		return "being written"
	}
	return ""
}

// nextBlock is the block that the key for it goes to: the one after where the
// cursor is, else the first from this stage on, round the road.
func (m *Model) nextBlock() int {
	here := m.d.Stage
	id := m.spot().id
	for i, b := range m.blocks {
		if int(b.stage) == here && b.row == id && m.onPage(b.page) {
			return (i + 1) % len(m.blocks)
		}
	}
	for i, b := range m.blocks {
		if int(b.stage) >= here {
			return i
		}
	}
	return 0
}

// nextOpen goes to the next thing that is open; if nothing is, to the door.
func (m *Model) nextOpen() bool {
	if m.shut() == "" {
		return m.goTo(block{stage: saveStage, row: "save"})
	}
	return len(m.blocks) > 0 && m.goTo(m.blocks[m.nextBlock()])
}

func (m *Model) onPage(p view) bool {
	if p == nil {
		return len(m.pages) == 0
	}
	return len(m.pages) > 0 && m.pages[len(m.pages)-1].id() == p.id()
}

func (m *Model) goTo(b block) bool {
	before, id := m.d.Stage, m.spot().id
	had := len(m.pages)
	m.pages = nil
	m.setStage(b.stage)
	if b.page != nil {
		m.pages = []view{b.page}
	}
	m.spot().id = b.row
	return before != m.d.Stage || id != b.row || had != len(m.pages)
}
