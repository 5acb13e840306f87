package tui

import (
	"context"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/fault"
)

// Model is the wizard. It owns the draft and the size of the screen, and is
// the only one that knows which view is on top.
type Model struct {
	eng      Engine
	th       theme
	now      func() time.Time
	ctx      context.Context
	holder   *Holder
	keep     *keeper // nil: no place for a recovery file
	stateDir string

	w, h int

	d          *Draft
	undo, redo []*Draft
	opened     string // job file that the draft came from, "" if from nowhere
	given      []string
	openFaults fault.List
	notes      fault.List             // told before anything was planned
	lacks      map[string]fault.Fault // what the planner says is missing, by field
	shown      map[string]bool        // fields that have a row
	leaving    bool

	pages []view
	spots map[string]*spot
	ed    *editor
	no    string // why the typed text is refused
	in    input

	said    line // one message, until something else is done
	saidNew bool

	res     results
	taken   taken
	opening opening
	onDisk  *Draft     // as it was saved or opened last
	runs    []*running // what a person waits for, in the order in which it began
	planRun *running   // that of the plan
	beat    time.Duration
	beating bool // a beatDue is on its way
	simBeat time.Duration
	workGen int
	blocks  []block

	moveBy float64 // mm that one key moves a part by hand
	laid   *laid

	plate      plateView
	whole      bool // the plate alone fills the middle
	dirs       map[string]listing
	found      []Found
	recent     []recentJob
	saving     bool
	saved      []string // paths written last
	targets    []Target
	targetsFor string // which place they were looked up for
	sure       string // place where files of others may be replaced
	outcome    Outcome
	forms      forms
	shop       shop
	costs      costs
}

// Init starts what was asked for on the command line.
func (m *Model) Init() tea.Cmd {
	return m.begin()
}

// Update acts on one message.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	cmd := m.on(msg)
	return m, tea.Batch(cmd, m.hold(), m.follow(), m.seek())
}

func (m *Model) on(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
		return nil
	case tea.KeyMsg:
		keys, cmd := m.in.take(msg, m.ed != nil)
		return tea.Batch(append(m.pressAll(keys), cmd)...)
	case escDue:
		return tea.Batch(m.pressAll(m.in.due(msg))...)
	case readDone:
		return m.onRead(msg)
	case planDone:
		return m.onPlan(msg)
	case openDone:
		return m.onOpen(msg)
	case listDone:
		m.onList(msg)
	case targetsDone:
		m.onTargets(msg)
	case saveDone:
		return m.onSave(msg)
	case countedDone:
		return m.onPieces(msg)
	case takenDone:
		m.onTaken(msg)
	case takenSaved:
		m.onTakenSaved(msg)
	case pricesDone:
		if msg.err != nil {
			m.say(inkWarn, "the prices are not kept: "+msg.err.Error())
		}
	case rackDone:
		m.onRack(msg)
	case nestDone:
		return m.onNest(msg)
	case simDue:
		return m.onSim(msg)
	case beatDue:
		return m.onBeat()
	case bestDrawn:
		m.onBestDrawn(msg)
	case longDone:
		m.endRun(msg.run)
		if msg.msg != nil {
			return m.on(msg.msg)
		}
	case recentDone:
		m.recent = msg.jobs
	case foundDone:
		m.onFound(msg)
	case sinceDone:
		m.onSince(msg)
	case quitDone:
		m.outcome.Draft, m.outcome.Err = msg.draft, msg.err
		return tea.Quit
	case shopDone:
		return m.onShop(msg)
	case keptDone:
		if msg.err != nil {
			m.say(inkWarn, "the draft is not kept: "+msg.err.Error())
		}
	case pagesDone:
		m.onCounted(msg)
	case pageDone:
		m.onLooked(msg)
	case keptBands:
		m.onKeptBands(msg)
	case crashed:
		m.onCrash(msg)
		if m.leaving {
			return tea.Quit
		}
	}
	return nil
}

func (m *Model) pressAll(keys []tea.KeyMsg) []tea.Cmd {
	var cmds []tea.Cmd
	for _, k := range keys {
		cmds = append(cmds, m.pressOne(k))
	}
	return cmds
}

// pressOne acts on one key. A key without effect leaves everything as it is,
// also the message that stands there.
func (m *Model) pressOne(k tea.KeyMsg) tea.Cmd {
	if m.w < minWidth || m.h < minHeight {
		if k.String() == "ctrl+c" {
			return m.leave()
		}
		return nil // what is not seen is not changed
	}
	m.saidNew = false
	did, cmd := m.press(k)
	if did && !m.saidNew {
		m.said = nil
	}
	return cmd
}

func (m *Model) press(k tea.KeyMsg) (bool, tea.Cmd) {
	if k.Type == tea.KeyCtrlC {
		return true, m.leave()
	}
	if m.ed != nil {
		return m.typing(k)
	}
	if k.Paste {
		return false, nil
	}
	v := m.top()
	l := v.list(m)
	sp := m.spot()
	i := sp.settle(l)
	var r row
	if i >= 0 {
		r = l.at(i)
	}
	s := k.String()
	if m.whole {
		return m.pressPlate(k)
	}
	if f := r.keys[s]; f != nil {
		return true, f(m)
	}
	if did, cmd := v.press(m, s, r); did {
		return true, cmd
	}
	return m.pressCommon(k, r)
}

// pressCommon acts on the keys that mean the same everywhere.
func (m *Model) pressCommon(k tea.KeyMsg, r row) (bool, tea.Cmd) {
	l, sp, s := m.top().list(m), m.spot(), k.String()
	switch {
	case match(k, keyUp):
		return sp.move(l, -1), nil
	case match(k, keyDown):
		return sp.move(l, 1), nil
	case match(k, keyPgUp):
		return sp.move(l, -m.bodyHeight()+1), nil
	case match(k, keyPgDn):
		return sp.move(l, m.bodyHeight()-1), nil
	case match(k, keyHome):
		return sp.move(l, -l.n), nil
	case match(k, keyEnd):
		return sp.move(l, l.n), nil
	case match(k, keyLeft):
		return m.turn(r, -1)
	case match(k, keyRight):
		return m.turn(r, 1)
	case match(k, keyEnter):
		return m.enter(r)
	case match(k, keyNext):
		return m.setStage(stage(m.d.Stage) + 1), nil
	case match(k, keyPrev):
		return m.setStage(stage(m.d.Stage) - 1), nil
	case match(k, keyOpen):
		return m.nextOpen(), nil
	case match(k, keyBack):
		esc := k.Type == tea.KeyEscape
		return esc && m.escKeeps() || m.back() || esc && m.stopWork(), nil
	case match(k, keyBest) && m.keepBest():
		return true, nil
	case match(k, keyWhy):
		return m.lay(helpPage{of: m.top(), row: r.id}), nil
	case match(k, keyShop):
		return m.lay(shopPage{}), m.readShop()
	case match(k, keyTold):
		return m.lay(toldPage{}), nil
	case match(k, keyPlate):
		m.showPlate()
		return true, nil
	case match(k, keyIn):
		return m.zoom(1), nil
	case match(k, keyOut):
		return m.zoom(-1), nil
	case match(k, keyFit):
		return m.fitPlate(), nil
	case match(k, keyHolds):
		return m.showHolds(), nil
	case match(k, keyUndo):
		return m.unedit()
	case match(k, keyRedo):
		return m.reedit()
	case match(k, keyQuit):
		return true, m.leave()
	case match(k, keyStop):
		if !canSuspend() {
			m.say(inkWarn, "cannot be suspended here: the shell that started this would not get it back. Leave with q; the draft is kept.")
			return true, nil
		}
		return true, tea.Suspend
	}
	if r.begin != nil && r.typed && len(s) == 1 && (s[0] >= '0' && s[0] <= '9' || s[0] == '.') {
		m.ed = newEditor(r.id, "")
		return m.typing(k)
	}
	return false, nil
}

func match(k tea.KeyMsg, b key.Binding) bool { return key.Matches(k, b) }

// typing acts on a key while a value is edited.
func (m *Model) typing(k tea.KeyMsg) (bool, tea.Cmd) {
	switch {
	case k.Type == tea.KeyEscape:
		m.ed, m.no = nil, ""
		return true, nil
	case k.Type == tea.KeyEnter:
		return m.commit()
	case k.Type == tea.KeyUp, k.Type == tea.KeyDown, k.Type == tea.KeyTab, k.Type == tea.KeyShiftTab:
		did, cmd := m.commit()
		if m.ed != nil {
			return did, cmd
		}
		_, more := m.press(k)
		return true, tea.Batch(cmd, more)
	}
	if !m.ed.key(k) {
		return false, nil
	}
	m.judge()
	return true, nil
}

// judge holds the typed text against the row's own check.
func (m *Model) judge() {
	m.no = ""
	if r, ok := m.editedRow(); ok {
		_, m.no = r.check(m.ed.value())
	}
}

func (m *Model) editedRow() (row, bool) {
	l := m.top().list(m)
	if i := l.find(m.ed.row); i >= 0 {
		if r := l.at(i); r.check != nil {
			return r, true
		}
	}
	return row{}, false
}

// commit takes the typed value over, if it is good.
func (m *Model) commit() (bool, tea.Cmd) {
	r, ok := m.editedRow()
	if !ok {
		m.ed, m.no = nil, ""
		return true, nil
	}
	change, no := r.check(m.ed.value())
	if no != "" {
		same := m.no == no
		m.no = no
		return !same, nil
	}
	fresh, typed := m.ed.fresh, m.ed.value()
	m.ed, m.no = nil, ""
	if r.take != nil && (!fresh || typed != "") {
		return true, r.take(m, typed)
	}
	if change == nil || fresh {
		return true, nil // left as it was
	}
	cmd := m.change(change)
	if r.done != nil {
		r.done(m)
	}
	return true, cmd
}

func (m *Model) turn(r row, step int) (bool, tea.Cmd) {
	if r.turn == nil {
		return false, nil
	}
	change := r.turn(step)
	if change == nil {
		return false, nil
	}
	return true, m.change(change)
}

func (m *Model) enter(r row) (bool, tea.Cmd) {
	switch {
	case r.begin != nil:
		m.ed, m.no = newEditor(r.id, r.begin()), ""
		return true, nil
	case r.act != nil:
		return true, r.act(m)
	}
	return m.turn(r, 1)
}

// say puts a message where the explanation stands.
func (m *Model) say(i ink, s string) {
	m.said, m.saidNew = inked(i, s), true
}
