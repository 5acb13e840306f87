package tui

import (
	"context"
	"testing"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/progress"
)

// While a nest runs the plate shows the best layout so far, and esc keeps it:
// the job itself changes only once the nest has ended.
func TestBestSoFarIsSeenOnThePlateAndEscKeepsIt(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	setUpLeaf(d)
	d.go_(stockStage)
	d.at("layout").keys("enter")
	d.set("wanted0", "4")
	d.set("layout.rounds", "20")
	d.quiet, d.later = true, nil
	d.at("nest").keys("enter")
	r := d.m.waited()
	if r == nil || !r.keeps {
		t.Fatal("no nest is under way")
	}
	held := d.later
	ctx := progress.Phase(progress.With(context.Background(), r.watch), "nest", "steps")
	progress.Tell(ctx, 11, 48)
	show := func(best string, used float64, places ...job.Place) {
		progress.Best(ctx, best)
		progress.Look(ctx, &planner.Nested{Places: places, Plates: 1, Length: []float64{used}})
		r.since = d.m.now().Add(-7 * time.Second)
		d.send(beatDue{})
		cmd := d.m.drawBest(r)
		if cmd != nil {
			t.Fatal("the same layout is drawn twice at once")
		}
		for _, msg := range collect(d.later[len(d.later)-1:]) {
			if b, ok := msg.(bestDrawn); ok {
				d.send(b)
			}
		}
	}
	look := inBothSizes(t, d)
	show("4 of 4 parts, 564 of 600 mm used", 564, job.Place{X: 12, Y: 12}, job.Place{X: 12, Y: 100}, job.Place{X: 12, Y: 190}, job.Place{X: 300, Y: 12})
	look("first")
	d.shows("best so far, 564 mm used")
	show("4 of 4 parts, 276 of 600 mm used", 276, job.Place{X: 12, Y: 12}, job.Place{X: 12, Y: 84}, job.Place{X: 12, Y: 156}, job.Place{X: 12, Y: 228})
	look("better")
	d.shows("esc keeps 4 of 4 parts")
	if len(d.m.d.Job.Layout.Places) != 0 {
		t.Error("what is only shown is in the job")
	}
	d.keys("esc")
	d.send(escDue{d.m.in.n})
	if !progress.Enough(ctx) || d.m.waited() != r {
		t.Error("esc does not keep the best so far")
	}
	if d.m.top().id() != layoutPage().id() {
		t.Errorf("esc left for %q", d.m.top().id())
	}
	d.lacks("esc keeps")
	d.quiet = false
	for _, msg := range collect(held) {
		d.send(msg)
	}
	if n := len(d.m.d.Job.Layout.Places); n != 4 || d.m.bestSoFar() != nil {
		t.Errorf("%d places: %v", n, d.m.said)
	}
	d.lacks("best so far")
}
