package progress_test

import (
	"context"
	"math"
	"sync"
	"testing"

	"example.org/kerfwright/planner/progress"
)

func TestPhasesLieOneInAnother(t *testing.T) {
	var w progress.Watch
	if _, ok := w.Step(); ok {
		t.Error("told before anything was")
	}
	ctx := progress.With(context.Background(), &w)
	plan := progress.Phase(ctx, "plan", 0.5, 1)
	order := progress.Phase(plan, "order", 0.2, 0.6) // 0.6 to 0.8 of all
	progress.Tell(order, 1, 4)
	if s, _ := w.Step(); s.What != "order" || math.Abs(s.Part-0.65) > 1e-12 {
		t.Errorf("%+v", s)
	}
	progress.Best(order, "3 of 4 lie")
	progress.Tell(plan, 0, 1) // the outer phase was at 0.5: what is done stays done
	if s, _ := w.Step(); s.Part < 0.65 || s.Best != "3 of 4 lie" {
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
	ctx := progress.Phase(context.Background(), "x", 0, 1)
	progress.Tell(ctx, 1, 2)
	progress.Best(ctx, "y")
	if ctx != context.Background() {
		t.Error("a context was made for nobody")
	}
}

func TestManyMayTellSideBySide(t *testing.T) {
	var w progress.Watch
	ctx := progress.Phase(progress.With(context.Background(), &w), "parts", 0, 1)
	var all sync.WaitGroup
	for k := range 64 {
		all.Go(func() { progress.Tell(ctx, k+1, 64) })
	}
	all.Wait()
	if s, _ := w.Step(); s.Part != 1 {
		t.Errorf("%+v", s)
	}
}
