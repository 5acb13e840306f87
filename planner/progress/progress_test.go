package progress_test

import (
	"context"
	"sync"
	"testing"

	"example.org/kerfwright/planner/progress"
)

func TestPhasesFollowOneAnother(t *testing.T) {
	var w progress.Watch
	if _, ok := w.Step(); ok {
		t.Error("told before anything was")
	}
	ctx := progress.Part(progress.With(context.Background(), &w), "plate 2 of 3")
	leads := progress.Phase(ctx, "leads", "parts")
	progress.Tell(leads, 3, 4)
	progress.Tell(leads, 2, 4) // a slower worker: what is done stays done
	if s, _ := w.Step(); s != (progress.Step{Phase: 1, In: "plate 2 of 3", What: "leads", Done: 3, All: 4, Of: "parts"}) {
		t.Errorf("%+v", s)
	}
	progress.Best(leads, "3 of 4 parts")
	progress.Phase(ctx, "proof", "")
	progress.Tell(leads, 4, 4) // too late: another phase is under way
	progress.Tell(ctx, 1, 9)   // that began none
	if s, _ := w.Step(); s != (progress.Step{Phase: 2, In: "plate 2 of 3", What: "proof", Best: "3 of 4 parts"}) {
		t.Errorf("%+v", s)
	}
}

func TestNoMoreIsDoneThanThereIs(t *testing.T) {
	var w progress.Watch
	ctx := progress.Phase(progress.With(context.Background(), &w), "search", "steps")
	progress.Tell(ctx, 12, 10)
	progress.Tell(ctx, 1, 0)
	if s, _ := w.Step(); s.Done != 10 || s.All != 10 {
		t.Errorf("%+v", s)
	}
}

func TestEnoughIsAskedOnlyOfWhoIsWatched(t *testing.T) {
	var w progress.Watch
	ctx := progress.With(context.Background(), &w)
	other := progress.With(context.Background(), &progress.Watch{})
	w.Enough()
	if !progress.Enough(ctx) || progress.Enough(other) || progress.Enough(context.Background()) {
		t.Error("asked of the wrong work")
	}
}

func TestToldInVainWithoutAListener(t *testing.T) {
	ctx := progress.Phase(progress.Part(context.Background(), "y"), "x", "cuts")
	progress.Tell(ctx, 1, 2)
	progress.Best(ctx, "y")
	if ctx != context.Background() {
		t.Error("a context was made for nobody")
	}
}

func TestManyMayTellSideBySide(t *testing.T) {
	var w progress.Watch
	ctx := progress.Phase(progress.With(context.Background(), &w), "leads", "parts")
	var all sync.WaitGroup
	for k := range 64 {
		all.Go(func() { progress.Tell(ctx, k+1, 64) })
	}
	all.Wait()
	if s, _ := w.Step(); s.Done != 64 {
		t.Errorf("%+v", s)
	}
}
