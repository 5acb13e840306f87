package tui

import (
	"context"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

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
	ctx = progress.Phase(progress.With(context.Background(), r.watch), "places", 0, 1)
	progress.Tell(ctx, 1, 4)
	d.send(beatDue{})
	d.lacks("places") // too short to be told
	*now = now.Add(30 * time.Second)
	d.send(beatDue{})
	d.shows("places, 25 %, about 1 min 30 s left esc stops")
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

// TestRealPlanTellsHowFarItIs: the planner itself speaks to whoever watches.
func TestRealPlanTellsHowFarItIs(t *testing.T) {
	d, _ := shopFloor(t, 80, 24, "hinge-leaf.dxf")
	setUpLeafStock(d)
	var w progress.Watch
	p, faults := d.m.eng.Plan(progress.With(context.Background(), &w), d.m.d.Job, d.m.res.loops)
	if p == nil || faults.Bad() {
		t.Fatal(faults.Err())
	}
	if s, ok := w.Step(); !ok || s.Part < 0.85 || s.What != "proof" {
		t.Errorf("%+v %v", s, ok)
	}
}
