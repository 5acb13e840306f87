package planner_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// ringsAndLugs lays out n frames; in the cut-out of every third lies a lug.
func ringsAndLugs(n int) (job.Job, feature.Tree, []job.Place) {
	j := gateJob()
	cols := int(math.Ceil(math.Sqrt(float64(n))))
	j.Stock.Width, j.Stock.Height = 110*float64(cols)+40, 110*float64(cols)+40
	j.Stock.KeepOuts = []job.KeepOut{{Kind: job.Clamp, X: 100, Y: 20, Width: 30, Height: 30}}
	j.Drawings = append(j.Drawings, job.Drawing{File: "lug.dxf", Quantity: 1})
	l := append(loops(rect(0, 0, 100, 100), rect(20, 20, 60, 60)), loops(geom.Circle(geom.Pt(0, 0), 15))...)
	tree, _ := planner.Features(j, l)
	var places []job.Place
	for i := range n {
		x, y := 20+110*float64(i%cols), 20+110*float64(i/cols)
		places = append(places, job.Place{X: x, Y: y})
		if i%3 == 0 {
			places = append(places, job.Place{Drawing: 1, X: x + 50, Y: y + 50})
		}
	}
	return j, tree, places
}

// What the last look says and only what is near a change is looked at again
// gives the same as a look at everything: whatever is moved, turned, put on
// another plate, put in, taken out, and when metal or kerf change.
func TestLookAtWhatMovedIsLookAtEverything(t *testing.T) {
	j0, tree, start := ringsAndLugs(30)
	hits, less := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j, places := j0, slices.Clone(start)
		laid := planner.LayOut(nil, j, tree, places)
		for range rapid.IntRange(1, 12).Draw(rt, "edits") {
			places = slices.Clone(places)
			i := rapid.IntRange(0, len(places)-1).Draw(rt, "place")
			p := &places[i]
			switch rapid.IntRange(0, 9).Draw(rt, "what") {
			case 0:
				places = slices.Delete(places, i, i+1)
			case 1: // a copy that lies on it
				places = slices.Insert(places, i+1, *p)
			case 2:
				p.Plate = 3 - max(1, p.Plate)
			case 3:
				p.Angle += math.Pi / 4
			case 4:
				p.Lock = !p.Lock
			case 5:
				k := rapid.IntRange(0, len(places)-1).Draw(rt, "with")
				places[i], places[k] = places[k], places[i]
			case 6:
				j.Process.Kerf = 14.5 - j.Process.Kerf
			case 7:
				j.Stock.Width = j0.Stock.Width - 100*float64(rapid.IntRange(0, 1).Draw(rt, "narrow"))
			default:
				p.X += rapid.Float64Range(-130, 130).Draw(rt, "dx")
				p.Y += rapid.Float64Range(-60, 60).Draw(rt, "dy")
			}
			laid = planner.LayOut(laid, j, tree, places)
			want := planner.Collisions(j, tree, places)
			if !maps.Equal(laid.Bad, want) {
				rt.Fatalf("looked at %d of %d: %v, all of it says %v", laid.Looked, len(places), laid.Bad, want)
			}
			for i, p := range places {
				if laid.Boxes[i] != planner.PlaceBox(tree, p) {
					rt.Fatalf("box of place %d: %v", i, laid.Boxes[i])
				}
			}
			if laid.Looked < len(places) {
				less++
				hits += len(want)
			}
		}
	})
	if less == 0 || hits == 0 {
		t.Errorf("%d looks took something over, with %d hits", less, hits)
	}
}

// A move costs the same on any plate: only what is near is compared.
func TestMoveComparesOnlyWhatIsNear(t *testing.T) {
	for _, n := range []int{50, 500} {
		j, tree, places := ringsAndLugs(n)
		laid := planner.LayOut(nil, j, tree, places)
		moved := slices.Clone(places)
		moved[20].X += 5
		if next := planner.LayOut(laid, j, tree, moved); next.Looked > 20 || len(next.Bad) == 0 {
			t.Errorf("%d frames: the shapes of %d places are compared, %v", n, next.Looked, next.Bad)
		}
	}
}

func BenchmarkMoveByHand(b *testing.B) {
	for _, n := range []int{600, 3000} {
		j, tree, places := ringsAndLugs(n)
		b.Run(fmt.Sprint(len(places), " places"), func(b *testing.B) {
			laid := planner.LayOut(nil, j, tree, places)
			for i := range b.N {
				moved := slices.Clone(places)
				moved[20].X += float64(i%2 + 1)
				laid = planner.LayOut(laid, j, tree, moved)
			}
		})
		b.Run(fmt.Sprint(len(places), " places, all anew"), func(b *testing.B) {
			for range b.N {
				planner.LayOut(nil, j, tree, places)
			}
		})
	}
}
