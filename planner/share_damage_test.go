package planner_test

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// A row that shares its edges, on a plate that is trimmed, damaged like the
// leaf of TestRandomDamageIsCaughtOrHarmless and judged by the same plain
// reader: what it calls harm, the proof must refuse.
func TestRandomDamageOfSharedEdgesAndTrimIsCaught(t *testing.T) {
	each := 8
	if os.Getenv("KERFWRIGHT_LONG") != "" {
		each = 150
	}
	j, _ := braces(3, 120, 60)
	j.Stock.Width, j.Stock.Height = 450, 100
	j.Layout.Trim = job.TrimX
	l := loops(rect(0, 0, 120, 60))
	p := mustPlan(t, j, l)
	if p.Plan.Shared == nil || p.Plan.Shared.Edges != 2 || p.Trimmed(j.Units) == "" {
		t.Fatalf("%+v, trimmed at %q", p.Plan.Shared, p.Trimmed(j.Units))
	}
	was := watch(p.Text)
	half := j.Process.Kerf / 2
	var edges [][]geom.Point
	put := func(a, b geom.Point) {
		var pts []geom.Point
		for n, k := int(a.Dist(b))+1, 0; k <= n; k++ {
			q := a.Lerp(b, float64(k)/float64(n))
			d := math.Inf(1)
			for i := range was.cuts {
				d = was.cuts[i].off(q, d)
			}
			if d < half+edge/4 {
				pts = append(pts, q)
			}
		}
		if len(pts) < 10 {
			t.Fatalf("%d places from %v to %v are cut", len(pts), a, b)
		}
		edges = append(edges, pts)
	}
	for _, pl := range p.Placed {
		if f := p.Tree.Parts[pl.Part].Outline; f >= 0 {
			loop := pl.Move.Path(p.Tree.Features[f].Loop)
			for i := range loop.NumSegs() {
				put(loop.Seg(i).A, loop.Seg(i).B)
			}
		}
	}
	at, _ := p.TrimAt()
	for _, x := range [2]float64{at.X - half, at.X + half} {
		put(geom.Pt(x, 5), geom.Pt(x, 95)) // both walls of its kerf
	}
	if h := harmOf(was, was, edges, half); h != "" || len(was.cuts) != 4 {
		t.Fatalf("the good program itself: %s, %d cuts", h, len(was.cuts))
	}
	r := rand.New(rand.NewPCG(3, 4))
	harmful, all := 0, 0
	for _, d := range damages {
		for range each {
			lines := d.do(r, strings.Split(strings.TrimSuffix(string(p.Text), "\n"), "\n"))
			text := []byte(strings.Join(lines, "\n") + "\n")
			if bytes.Equal(text, p.Text) {
				continue
			}
			all++
			h := harmOf(watch(text), was, edges, half)
			if h != "" {
				harmful++
			}
			if v, _ := planner.Prove(context.Background(), j, l, text, false); v.OK && h != "" && !strings.Contains(h, "of which nothing is said") { // words are the other test's matter
				t.Errorf("%s: proved, but %s\n%s", d.name, h, difference(p.Text, text))
			}
		}
	}
	t.Logf("%d damaged programs, %d harmful", all, harmful)
	if harmful < all/2 {
		t.Errorf("%d of %d do harm: the damage is too soft to test anything", harmful, all)
	}
}
