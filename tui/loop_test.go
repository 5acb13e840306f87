package tui

import (
	"context"
	"math/rand"
	"runtime"
	"sync"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// The screen must never stand still for 50 ms. That is a time, and no test
// that must pass everywhere can measure one; these count instead what is done
// between a key and its frame: what is asked of the engine, how many rows are
// made, how many pieces of line are drawn, what is allotted. The benchmarks
// beside them say what those counts take.

// loopWatch is an engine that notes what is asked of it while the wizard acts
// on a message or draws.
type loopWatch struct {
	Engine
	t      *testing.T
	mu     sync.Mutex
	onLoop bool
	asked  map[string]int // since the last look
}

// slow refuses what reads, plans or writes while nobody else can act.
func (l *loopWatch) slow(what string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.onLoop {
		l.t.Errorf("%s is asked for on the update loop", what)
	}
}

func (l *loopWatch) quick(what string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.onLoop {
		l.asked[what]++
	}
}

func (l *loopWatch) Read(ctx context.Context, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	l.slow("Read")
	return l.Engine.Read(ctx, j, dir)
}
func (l *loopWatch) Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List) {
	l.slow("Features")
	return l.Engine.Features(j, loops)
}
func (l *loopWatch) Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*planner.Program, fault.List) {
	l.slow("Plan")
	return l.Engine.Plan(ctx, j, loops)
}
func (l *loopWatch) Checks(j job.Job, p *planner.Program, faults fault.List) []Check {
	l.slow("Checks")
	return l.Engine.Checks(j, p, faults)
}
func (l *loopWatch) Checklist(j job.Job, p *planner.Program) []Item {
	l.slow("Checklist")
	return l.Engine.Checklist(j, p)
}
func (l *loopWatch) List(dir string) ([]Entry, error) {
	l.slow("List")
	return l.Engine.List(dir)
}
func (l *loopWatch) Open(path string) (job.Job, fault.List) {
	l.slow("Open")
	return l.Engine.Open(path)
}
func (l *loopWatch) Files(dir, name string, j job.Job, p *planner.Program) []Target {
	l.slow("Files")
	return l.Engine.Files(dir, name, j, p)
}
func (l *loopWatch) Save(ctx context.Context, dir, name string, j job.Job, loops []*drawing.Loops, p *planner.Program) ([]string, fault.List, error) {
	l.slow("Save")
	return l.Engine.Save(ctx, dir, name, j, loops, p)
}
func (l *loopWatch) Pages(j job.Job, n int, dir string) (int, error) {
	l.slow("Pages")
	return l.Engine.Pages(j, n, dir)
}
func (l *loopWatch) KeepHoleBands(bands []job.HoleRule, u unit.System) error {
	l.slow("KeepHoleBands")
	return l.Engine.KeepHoleBands(bands, u)
}
func (l *loopWatch) SavePrices(p cost.Prices) error {
	l.slow("SavePrices")
	return l.Engine.SavePrices(p)
}
func (l *loopWatch) Recount(dir, name string, j job.Job) error {
	l.slow("Recount")
	return l.Engine.Recount(dir, name, j)
}
func (l *loopWatch) TakeUp(ctx context.Context, dir, name string, j job.Job, whole *planner.Program, from planner.From) (*planner.Program, fault.List) {
	l.slow("TakeUp")
	return l.Engine.TakeUp(ctx, dir, name, j, whole, from)
}
func (l *loopWatch) SaveTakenUp(ctx context.Context, dir, name string, j job.Job, p *planner.Program, from planner.From) ([]string, error) {
	l.slow("SaveTakenUp")
	return l.Engine.SaveTakenUp(ctx, dir, name, j, p, from)
}
func (l *loopWatch) Reload() *presets.Library {
	l.slow("Reload")
	return l.Engine.Reload()
}
func (l *loopWatch) Since(was job.Job, loops []*drawing.Loops, p *planner.Program) []Since {
	l.slow("Since")
	return l.Engine.Since(was, loops, p)
}
func (l *loopWatch) Nest(ctx context.Context, j job.Job, loops []*drawing.Loops) (planner.Nested, fault.List) {
	l.slow("Nest")
	return planner.Nest(ctx, j, loops)
}
func (l *loopWatch) Offcuts(job.Stock) []Offcut {
	l.slow("Offcuts")
	return nil
}

// What is looked up in tables or summed up over the cuts, once a frame or less.
func (l *loopWatch) Ready(j job.Job) fault.List {
	l.quick("Ready")
	return l.Engine.Ready(j)
}
func (l *loopWatch) Amps(m job.Material, thickness float64) []float64 {
	l.quick("Amps")
	return l.Engine.Amps(m, thickness)
}
func (l *loopWatch) Moved(loops []*drawing.Loops) (planner.Moves, bool) {
	l.quick("Moved")
	return l.Engine.Moved(loops)
}
func (l *loopWatch) Lookup(j job.Job) (Preset, error) {
	l.quick("Lookup")
	return l.Engine.Lookup(j)
}
func (l *loopWatch) Plausible(j job.Job) (Check, bool) {
	l.quick("Plausible")
	return l.Engine.Plausible(j)
}
func (l *loopWatch) Machines() []job.Machine {
	l.quick("Machines")
	return l.Engine.Machines()
}

// counted is a view that counts the rows made of it.
type counted struct {
	view
	rows *int
}

func (c counted) list(m *Model) list {
	l := c.view.list(m)
	at := l.at
	l.at = func(i int) row { *c.rows++; return at(i) }
	return l
}

// tally is what one key and its frame took.
type tally struct{ rows, lines, objects int }

// sitting is a wizard on a plate of n contours whose every key is counted.
type sitting struct {
	*driver
	w    *loopWatch
	rows int
}

func sitAt(t *testing.T, n int) *sitting {
	s := &sitting{w: &loopWatch{Engine: &grateEngine{n: n}, t: t, asked: map[string]int{}}}
	s.driver = start(t, 200, 60, func(se *Session) { se.Engine = s.w })
	s.loop = func(on bool) {
		s.w.mu.Lock()
		s.w.onLoop = on
		s.w.mu.Unlock()
	}
	s.stock()
	s.set("stock.width", "3000")
	s.set("stock.height", "3000")
	s.set("stock.thickness", "3")
	s.process()
	if s.m.res.prog == nil || len(s.m.res.prog.Cuts) != n+1 {
		t.Fatal(s.m.res.told)
	}
	s.confirmAll()
	return s
}

// press counts a key and the frame that follows; what the key set going is
// done after the count, as it is off the loop.
func (s *sitting) press(msg tea.Msg) (c tally) {
	var before, after runtime.MemStats
	base, drawn := s.m.plate.base, 0
	if base != nil {
		drawn = *base.lines
	}
	clear(s.w.asked)
	s.rows = 0
	runtime.ReadMemStats(&before)
	s.loop(true)
	_, cmd := s.m.Update(msg)
	s.m.View()
	s.loop(false)
	runtime.ReadMemStats(&after)
	c.rows, c.objects = s.rows, int(after.Mallocs-before.Mallocs)
	if now := s.m.plate.base; now != nil {
		c.lines = *now.lines
		if now == base {
			c.lines -= drawn
		}
	}
	s.run(cmd)
	return c
}

// viewsOfALongJob are the views that have to do with many contours, or with
// all there is.
func viewsOfALongJob() map[string]view {
	out := map[string]view{"layout": layoutPage(), "holes": holesPage{}, "taper": taperPage(), "order": orderPage(), "corners": cornersPage(), "tabs": tabsPage(),
		"marks": marksPage(), "alignment": alignPage(), "told": toldPage{}, "scale": scalePage{}, "mended": mendedPage{}, "drawing": drawingPage{}, "resume": resumePage{},
		"feature": featurePage{id_: "p1.h1"}, "faces": facesPage{id_: "p1.h1"}, "prices": pricesPage{}, "shop": shopPage{}, "coupons": couponsPage{}}
	for s := range stages {
		out[s.String()] = s.view()
	}
	return out
}

// TestKeyCostsTheSameOnAnyPlate: on every view, a key that moves the cursor
// makes no more rows than a few screens hold, draws no picture anew, asks the
// engine only for what it has in tables, and allots with 5,000 contours hardly
// more than with 500.
func TestKeyCostsTheSameOnAnyPlate(t *testing.T) {
	keys := []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyDown}, {Type: tea.KeyUp}, {Type: tea.KeyPgDown}, {Type: tea.KeyEnd}, {Type: tea.KeyPgUp}, {Type: tea.KeyHome}}
	few, many := sitAt(t, 500), sitAt(t, 5000)
	worst := tally{}
	for name, v := range viewsOfALongJob() {
		for _, s := range []*sitting{few, many} {
			s.m.pages = []view{counted{v, &s.rows}}
			s.press(tea.KeyMsg{Type: tea.KeyHome}) // opens it: sums and boxes are worked out once
			s.press(tea.KeyMsg{Type: tea.KeyEnd})
			s.press(tea.KeyMsg{Type: tea.KeyHome})
		}
		for _, k := range keys {
			a, b := few.press(k), many.press(k)
			worst = tally{max(worst.rows, b.rows), max(worst.lines, b.lines), max(worst.objects, b.objects)}
			if b.rows > 20*60 {
				t.Errorf("%s, %s: %d rows are made for a screen of 60", name, k, b.rows)
			}
			if b.lines > 2000 {
				t.Errorf("%s, %s: %d pieces of line are drawn for a cursor that moved", name, k, b.lines)
			}
			if b.objects > a.objects+a.objects/2+2000 {
				t.Errorf("%s, %s: %d objects are allotted, %d with a tenth of the contours", name, k, b.objects, a.objects)
			}
			for what, n := range many.w.asked {
				if n > 40 {
					t.Errorf("%s, %s: %s is asked %d times", name, k, what, n)
				}
			}
		}
	}
	t.Logf("at most %d rows, %d pieces of line, %d objects", worst.rows, worst.lines, worst.objects)
}

// TestPartMovedByHandCostsTheSameOnAnyPlate: a key that moves one part of a
// layout compares it with what is near, and allots with 1,000 parts little
// more than with 100.
func TestPartMovedByHandCostsTheSameOnAnyPlate(t *testing.T) {
	var worst [2]tally
	for k, n := range []int{100, 1000} {
		s := sitAt(t, 4)
		s.run(s.m.change(func(d *Draft) {
			for i := range n {
				d.Job.Layout.Places = append(d.Job.Layout.Places, job.Place{X: 20 + 90*float64(i%32), Y: 20 + 90*float64(i/32)})
			}
			d.Job.Drawings[0].Quantity = n
		}))
		s.m.pages = []view{counted{layoutPage(), &s.rows}}
		s.m.spot().id = partID(40)
		s.press(tea.KeyMsg{Type: tea.KeyRight}) // laid out and drawn once
		for _, r := range "lhwslllllll.ocadu" {
			c := s.press(runeKey(r))
			if look := s.m.layoutNow().look; look.Looked > 20 {
				t.Errorf("%q among %d parts: the shapes of %d are compared", r, n, look.Looked)
			}
			worst[k] = tally{max(worst[k].rows, c.rows), max(worst[k].lines, c.lines), max(worst[k].objects, c.objects)}
		}
		if len(s.m.layoutNow().bad) == 0 || len(s.m.layoutNow().here) != n+1 { // and its copy
			t.Errorf("moved into its neighbour, among %d parts: %v", len(s.m.layoutNow().here), s.m.layoutNow().bad)
		}
	}
	if few, many := worst[0], worst[1]; many.rows > 20*60 || many.objects > few.objects+few.objects/2+2000 {
		t.Errorf("100 parts take %+v, 1000 take %+v", few, many)
	}
	t.Logf("%+v", worst)
}

// TestPictureCostsWhatIsOnIt: drawn anew, the plate of 5,000 contours takes at
// most some pieces of line for each contour and layer; a circle that is
// smaller than a dot takes none.
func TestPictureCostsWhatIsOnIt(t *testing.T) {
	const n = 5000
	s := sitAt(t, n)
	s.m.pages = nil
	s.m.setStage(featureStage)
	s.keys("v")
	most := 0
	for _, k := range []string{"f", "+", "+", "+", "f", "-", "1", "2", "3", "4", "5", "6", "7", "1", "2", "3", "o"} {
		for _, r := range k {
			c := s.press(runeKey(r))
			most = max(most, c.lines)
			if c.lines > 60*n {
				t.Errorf("%q draws %d pieces of line, over %d for each contour", k, c.lines, 60)
			}
		}
	}
	if most < n {
		t.Errorf("at most %d pieces of line: the test sees no picture", most)
	}
	t.Logf("at most %d pieces of line", most)
}

// TestNothingSlowOnTheLoop presses keys at random on every stage and page, in
// a job and around one; whatever reads, plans, searches or writes is done off
// the loop, or the engine complains.
func TestNothingSlowOnTheLoop(t *testing.T) {
	s := sitAt(t, 40)
	r := rand.New(rand.NewSource(7))
	signs := "0123456789.+-vftnbuUoacdxes?ghw,p "
	named := []tea.KeyType{tea.KeyEnter, tea.KeyEnter, tea.KeyEnter, tea.KeyDown, tea.KeyDown, tea.KeyDown, tea.KeyUp, tea.KeyLeft, tea.KeyRight, tea.KeyTab, tea.KeyShiftTab, tea.KeyEscape, tea.KeyPgDown, tea.KeyEnd, tea.KeyCtrlU}
	seen := map[string]bool{}
	for i := range 600 {
		if i%200 == 0 { // back to a job that can be planned
			s.quit, s.m.leaving, s.m.pages, s.m.ed = false, false, nil, nil
		}
		k := tea.KeyMsg{Type: named[r.Intn(len(named))]}
		if r.Intn(3) == 0 {
			k = runeKey(rune(signs[r.Intn(len(signs))]))
		}
		s.press(k)
		s.quit, s.m.leaving = false, false
		seen[s.m.top().id()] = true
		if t.Failed() {
			t.Fatalf("after key %d, %s, on %s", i, k, s.m.top().id())
		}
	}
	if len(seen) < 10 {
		t.Errorf("only %d views were seen: %v", len(seen), seen)
	}
	for _, v := range viewsOfALongJob() {
		s.m.pages = []view{v}
		for _, id := range rowIDs(s.m, v) {
			s.m.pages = []view{v}
			s.m.ed = nil
			s.m.spot().id = id
			s.press(tea.KeyMsg{Type: tea.KeyEnter})
			if t.Failed() {
				t.Fatalf("enter on %s of %s", id, v.id())
			}
		}
	}
}

func rowIDs(m *Model, v view) (ids []string) {
	l := v.list(m)
	for i := range min(l.n, 60) {
		if r := l.at(i); r.live() && r.id != "" {
			ids = append(ids, r.id)
		}
	}
	return ids
}
