package tui

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/progress"
)

// slow is a wizard whose clock the test moves, and whose commands wait until
// they are run.
func slow(t *testing.T) (*driver, *time.Time) {
	now := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	d := start(t, 80, 24, func(s *Session) { s.Now = func() time.Time { return now } })
	return d, &now
}

// TestLongWorkIsToldAndTakesItsBest: how far it is and what is left stand in
// the head; b asks for the best so far, and the result is taken.
func TestLongWorkIsToldAndTakesItsBest(t *testing.T) {
	d, now := slow(t)
	d.quiet = true
	var ctx context.Context
	d.m.long("lay the parts out", func(context.Context) tea.Msg { return nil })
	r := d.m.waited()
	ctx = progress.Phase(progress.With(context.Background(), r.watch), "places", "cuts")
	progress.Tell(ctx, 412, 5000)
	d.send(beatDue{})
	d.lacks("places") // too short to be told
	*now = now.Add(30 * time.Second)
	d.send(beatDue{})
	d.shows("places: 412 of 5000 cuts, 30 s so far esc stops")
	d.keys("b")
	if progress.Enough(ctx) {
		t.Error("there is nothing to keep yet")
	}
	progress.Best(ctx, "14 of 20 parts")
	d.send(beatDue{})
	d.shows("b keeps 14 of 20 parts")
	d.keys("b")
	if !progress.Enough(ctx) {
		t.Error("b does not ask for the best so far")
	}
	d.send(longDone{r, nil})
	d.lacks("esc stops")
}

// TestEscStopsAPlan: the plan is dropped, the door says why, and it can be
// planned again.
func TestEscStopsAPlan(t *testing.T) {
	d, now := slow(t)
	d.stock()
	d.process()
	if d.m.res.prog == nil {
		t.Fatal("no plan")
	}
	d.quiet, d.later = true, nil
	d.run(d.m.change(func(dr *Draft) { dr.Job.Process.Feed = 1000 }))
	if d.m.res.busy == "" || d.m.waited() == nil {
		t.Fatal("nothing is under way")
	}
	*now = now.Add(5 * time.Second)
	d.send(beatDue{})
	d.shows("esc stops")
	held := d.later
	d.keys("esc")
	d.send(escDue{d.m.in.n})
	if d.m.res.busy != "" || !d.m.res.stopped || d.m.waited() != nil {
		t.Fatalf("still under way: %q", d.m.res.busy)
	}
	d.shows("SHUT planning was stopped")
	// What the stopped work still brings counts no more.
	d.quiet = false
	for _, msg := range collect(held) {
		d.send(msg)
	}
	if d.m.res.prog != nil {
		t.Error("the stopped plan is taken all the same")
	}
	d.keys("n")
	if d.m.d.Stage != int(saveStage) {
		t.Fatalf("on stage %d", d.m.d.Stage)
	}
	d.keys("enter")
	if d.m.res.prog == nil || d.m.res.stopped || strings.Contains(d.m.shut(), "stopped") {
		t.Errorf("not planned again: %s", d.m.shut())
	}
}

// TestRestIsMeasuredNotGuessed: what is left is told only once a tenth of the
// count was seen to be done, at the speed at which it was done, and anew for
// every phase.
func TestRestIsMeasuredNotGuessed(t *testing.T) {
	var w progress.Watch
	at := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	ctx := progress.With(context.Background(), &w)
	r := &running{what: "plan the job", watch: &w, since: at}
	see := func(after time.Duration, text, left string) {
		t.Helper()
		at = at.Add(after)
		r.see(at)
		if r.text != text || r.left != left {
			t.Errorf("%q, %q; want %q, %q", r.text, r.left, text, left)
		}
	}
	see(2*time.Second, "plan the job", "2 s so far")
	tries := progress.Phase(progress.Part(ctx, "plate 2 of 3"), "order of the cuts", "tries")
	progress.Tell(tries, 200, 1000)
	see(0, "plate 2 of 3, order of the cuts: 200 of 1000 tries", "2 s so far")
	progress.Tell(tries, 299, 1000)
	see(3*time.Second, "plate 2 of 3, order of the cuts: 299 of 1000 tries", "5 s so far")
	progress.Tell(tries, 400, 1000) // 200 in 10 s: 600 take 30 s
	see(7*time.Second, "plate 2 of 3, order of the cuts: 400 of 1000 tries", "30 s more")
	progress.Phase(ctx, "proof", "")
	see(time.Second, "proof", "13 s so far")
	cuts := progress.Phase(ctx, "places", "cuts")
	progress.Tell(cuts, 1, 2)
	see(time.Second, "places: 1 of 2 cuts", "14 s so far") // seen for the first time: nothing is measured yet
}

// TestFramesOfLongWork: what stands in the head of a small screen; the least
// that matters gives way where there is no room.
func TestFramesOfLongWork(t *testing.T) {
	for _, c := range []struct {
		name  string
		w, h  int
		ascii bool
	}{{"80x24", 80, 24, false}, {"80x24-ascii", 80, 24, true}, {"120x40", 120, 40, false}} {
		t.Run(c.name, func(t *testing.T) {
			now := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
			d := start(t, c.w, c.h, func(s *Session) { s.Now, s.ASCII = func() time.Time { return now }, c.ascii })
			d.stock()
			d.quiet = true
			look := func(name, in, what, of string, done, all int, best string) {
				d.m.long("nest the parts", func(context.Context) tea.Msg { return nil })
				r := d.m.waited()
				ctx := progress.With(context.Background(), r.watch)
				if in != "" {
					ctx = progress.Part(ctx, in)
				}
				ctx = progress.Phase(ctx, what, of)
				d.send(beatDue{})
				now = now.Add(20 * time.Second)
				progress.Tell(ctx, done, all)
				if best != "" {
					progress.Best(ctx, best)
				}
				d.send(beatDue{})
				t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(strings.SplitN(d.frame(), "\n", 2)[0])) })
				d.send(longDone{r, nil})
			}
			look("order", "", "order of the cuts", "tries", 12500, 50000, "")
			look("other-plate", "plate 2 of 3", "places", "cuts", 412, 5000, "")
			look("nest", "", "nest", "steps", 4200, 15000, "14 of 20 parts, 812 of 1250 mm used")
			look("nest-again", "try 2, plate 2", "nest", "steps", 4200, 15000, "114 of 120 parts, 1812 of 2500 mm used")
			look("proof", "", "proof", "", 0, 0, "")
		})
	}
}

// heard returns the phases of f, each as it stood when most of it was done.
func heard(f func(ctx context.Context)) map[string]progress.Step {
	var mu sync.Mutex
	seen := map[string]progress.Step{}
	f(progress.With(context.Background(), &progress.Watch{Each: func(s progress.Step) {
		mu.Lock()
		defer mu.Unlock()
		if was := seen[s.What]; s.Done >= was.Done {
			seen[s.What] = s
		}
	}}))
	return seen
}

// TestRealPlanTellsHowFarItIs: the planner itself speaks to whoever watches, in
// counts of what there is.
func TestRealPlanTellsHowFarItIs(t *testing.T) {
	d, _ := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	setUpLeafStock(d)
	j := cloneJob(d.m.d.Job)
	j.Drawings[0].Quantity, j.Stock.Width, j.Stock.Height = 36, 2400, 1200
	cuts := 0
	seen := heard(func(ctx context.Context) {
		p, faults := d.m.eng.Plan(ctx, j, d.m.res.loops)
		if p == nil || faults.Bad() {
			t.Error(faults.Err())
			return
		}
		cuts = len(p.Cuts)
	})
	if s := seen["places"]; s.All != cuts || s.Of != "cuts" || cuts < 200 {
		t.Errorf("%+v, %d cuts", s, cuts)
	}
	if s := seen["order of the cuts"]; s.Done == 0 || s.Done > s.All || s.Of != "tries" {
		t.Errorf("%+v", s)
	}
	if _, ok := seen["proof"]; !ok {
		t.Errorf("%+v", seen)
	}
	for what, s := range seen {
		if (s.All > 0) != (s.Of != "") {
			t.Errorf("%s: %+v", what, s)
		}
	}
}

// TestRealNestTellsHowFarItIs: in steps of the budget that the job names.
func TestRealNestTellsHowFarItIs(t *testing.T) {
	d, _ := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	setUpLeafStock(d)
	j := cloneJob(d.m.d.Job)
	j.Drawings[0].Quantity, j.Layout.Rounds = 7, 60
	seen := heard(func(ctx context.Context) { d.m.eng.(nesting).Nest(ctx, j, d.m.res.loops) })
	if s := seen["nest"]; s.All != 60 || s.Done == 0 || s.Of != "steps" || !strings.Contains(s.Best, "parts, ") {
		t.Errorf("%+v", s)
	}
}
