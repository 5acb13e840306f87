package planner_test

import (
	"context"
	"reflect"
	"runtime"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/progress"
)

// hooked is a job of hooks, which rows lay badly.
func hooked(rounds int) (job.Job, geom.Path) {
	j := gateJob()
	j.Stock.Width, j.Stock.Height = 900, 300
	j.Layout.Rounds, j.Layout.Gap, j.Layout.Margin = rounds, 12, 12
	j.Drawings[0].Quantity = 9
	return j, geom.Polygon(geom.Pt(0, 0), geom.Pt(110, 0), geom.Pt(110, 25), geom.Pt(30, 25), geom.Pt(30, 100), geom.Pt(0, 100))
}

// What is shown while a nest runs becomes better only, holds no two parts that
// touch, and is what is kept: when the budget is used, and when whoever waits
// has had enough of a long one.
func TestBestSoFarIsShownAndKept(t *testing.T) {
	for _, rounds := range []int{40, 20_000} {
		j, shape := hooked(rounds)
		l := loops(shape)
		tree, _ := planner.Features(j, l)
		var w progress.Watch
		ctx := progress.With(context.Background(), &w)
		done := make(chan planner.Nested)
		go func() {
			out, faults := planner.Nest(ctx, j, l)
			if faults.Bad() {
				t.Error(faults)
			}
			done <- out
		}()
		var shown []*planner.Nested
		look := func() {
			s, _ := w.Step()
			if n, ok := s.Look.(*planner.Nested); ok && (len(shown) == 0 || n != shown[len(shown)-1]) {
				shown = append(shown, n)
			}
		}
		var out planner.Nested
		for running := true; running; {
			select {
			case out = <-done:
				running = false
			default:
			}
			runtime.Gosched()
			if look(); len(shown) >= 2 && rounds > 1000 {
				w.Enough()
			}
		}
		last := shown[len(shown)-1]
		if !reflect.DeepEqual(last.Places, out.Places) || last.How != out.How || last.Length[0] != out.Length[0] {
			t.Errorf("%d rounds: kept %s over %g mm, shown was %s over %g mm", rounds, out.How, out.Length, last.How, last.Length)
		}
		for i, n := range shown {
			if bad := planner.Collisions(j, tree, n.Places); len(bad) > 0 || len(n.Places) != 9 {
				t.Errorf("layout %d that is shown: %d places, %v", i, len(n.Places), bad)
			}
			if i > 0 && n.Length[0] > shown[i-1].Length[0] {
				t.Errorf("layout %d is %g mm long, the one before it %g", i, n.Length[0], shown[i-1].Length[0])
			}
		}
		if rounds > 1000 && out.Rounds >= rounds {
			t.Errorf("%d rounds after enough was said", out.Rounds)
		}
	}
}

// Being watched changes nothing.
func TestNestThatIsWatchedIsTheSame(t *testing.T) {
	j, shape := hooked(30)
	one, _ := planner.Nest(context.Background(), j, loops(shape))
	two, _ := planner.Nest(progress.With(context.Background(), &progress.Watch{}), j, loops(shape))
	if !reflect.DeepEqual(one, two) {
		t.Errorf("%v\n%v", one, two)
	}
}
