package proof_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A file cut short anywhere is no program.
func TestTruncatedFileIsCaughtWhereverItEnds(t *testing.T) {
	text := good().text()
	for n := range len(text) - len("M30\n") + 1 {
		r := proof.Prove(input(text[:n]))
		missing := false
		for _, f := range r.Findings {
			missing = missing || f.Code == "no-end" || f.Code == "not-cut"
		}
		if r.OK || !missing {
			t.Fatalf("cut short after %d bytes: %s", n, show(r))
		}
	}
}

// Any line left out is caught, or does no harm, and the list below says why.
func TestLinesLeftOutAreCaught(t *testing.T) {
	// Comments; words in force anyway; a lift that the next one repeats; an
	// overburn; the point at which a side that goes on straight closes.
	harmless := []string{"(p", "(gate", "G0 X0 Y0", "G0 Z12", "G3 X68.3985", "G3 X228.3985", "G3 X61.0839", "G1 X140.0000 Y80.7500$", "G1 X144.0000 Y80.7500"}
	lines := good().lines
	for i, l := range lines {
		x := &text{slices.Delete(slices.Clone(lines), i, i+1)}
		r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
		want := i == slices.Index(lines, "M5") || slices.ContainsFunc(harmless, func(h string) bool { return strings.HasPrefix(l+"$", h) })
		if r.OK != want {
			t.Errorf("without line %d %q: wanted ok = %v: %s", i+1, l, want, show(r))
		}
	}
}

// along lays points along a cut, lead included, no further apart than gap.
func along(c cutting, gap float64) []geom.Point {
	out := []geom.Point{c.pierce}
	at := c.pierce
	for _, s := range c.way {
		if s.turn == 0 {
			n := int(math.Hypot(s.to.X-at.X, s.to.Y-at.Y)/gap) + 1
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				out = append(out, geom.Pt(at.X+t*(s.to.X-at.X), at.Y+t*(s.to.Y-at.Y)))
			}
		} else {
			r := math.Hypot(at.X-s.centre.X, at.Y-s.centre.Y)
			a0 := math.Atan2(at.Y-s.centre.Y, at.X-s.centre.X)
			a1 := math.Atan2(s.to.Y-s.centre.Y, s.to.X-s.centre.X)
			for s.turn > 0 && a1 <= a0 {
				a1 += 2 * math.Pi
			}
			for s.turn < 0 && a1 >= a0 {
				a1 -= 2 * math.Pi
			}
			n := int(math.Abs(a1-a0)*r/gap) + 1
			for i := 1; i <= n; i++ {
				a := a0 + (a1-a0)*float64(i)/float64(n)
				out = append(out, geom.Pt(s.centre.X+r*math.Cos(a), s.centre.Y+r*math.Sin(a)))
			}
		}
		at = s.to
	}
	return out
}

func least(q geom.Point, pts []geom.Point) float64 {
	d := math.Inf(1)
	for _, p := range pts {
		d = min(d, (p.X-q.X)*(p.X-q.X)+(p.Y-q.Y)*(p.Y-q.Y))
	}
	return math.Sqrt(d)
}

// Numbers of lit lines, moved by 0.05 mm and more: whatever a plain sampling
// of the kerf says gouges a part or leaves an edge, the proof must see too.
func TestNudgedNumbersAreCaught(t *testing.T) {
	const gap = 0.03
	edges := map[string][]geom.Point{}
	for _, p := range parts() {
		for _, f := range p.Features {
			if f.Rule != "drill" {
				loop := f.Loop.Flatten(1e-5)
				for i, a := range loop {
					b := loop[(i+1)%len(loop)]
					n := int(a.Dist(b)/gap) + 1
					for k := range n {
						edges[f.ID] = append(edges[f.ID], a.Lerp(b, float64(k)/float64(n)))
					}
				}
			}
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	// Small features, so that a plain sampling does not take for ever.
	targets := []string{"p1.h1", "p1.h3", "p2.outline"}
	harmful, quiet, seen := 0, 0, 0
	for round := range 90 {
		id := targets[round%len(targets)]
		c := cuttingOf(id)
		was := along(c, gap)
		c.way = slices.Clone(c.way)
		k := rng.IntN(len(c.way))
		d := (0.05 + 0.3*rng.Float64()*rng.Float64()) * float64(1-2*rng.IntN(2))
		whole := rng.IntN(3) == 0
		switch {
		case whole && rng.IntN(2) == 0:
			c = moved(c, geom.Pt(d, 0))
		case whole:
			c = moved(c, geom.Pt(0, d))
		case rng.IntN(2) == 0:
			c.way[k].to.X += d
		default:
			c.way[k].to.Y += d
		}
		x := &text{good().lines}
		x.replace(id, c)
		r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
		now := along(c, gap)
		bad := ""
		// Half a step of sampling is worth 0.0002 mm beside a kerf of 1.5.
		const clear = 0.021
		for other, e := range edges {
			if other != id && len(e) > 2000 {
				continue
			}
			for _, q := range e {
				n := least(q, now)
				if n < kerf/2-clear {
					bad = fmt.Sprintf("gouges %s by %.3f", other, kerf/2-n)
				}
				if other == id && n > kerf/2+clear && least(q, was) < kerf/2+0.001 {
					bad = fmt.Sprintf("leaves %.3f of %s", n-kerf/2, id)
				}
			}
			if bad != "" {
				break
			}
		}
		switch {
		case bad != "" && r.OK:
			t.Errorf("%s, step %d by %.3f: %s, not seen: %s", id, k, d, bad, show(r))
		case bad != "":
			harmful++
			named := false
			from, to := x.section(id)
			for _, f := range r.Findings {
				named = named || f.Feature == id && f.Line > from && f.Line <= to
			}
			if !named {
				t.Errorf("%s, step %d by %.3f: no finding names feature and line: %s", id, k, d, show(r))
			}
		case r.OK:
			quiet++
		default:
			seen++ // such as an arc whose radii no longer agree
		}
	}
	t.Logf("%d harmful, all caught; %d more caught; %d without harm", harmful, seen, quiet)
	if harmful < 45 {
		t.Errorf("only %d of 90 nudges do harm", harmful)
	}
}
