package proof_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// dryWith is the good dry run with its rectangle grown by some mm to the left.
func dryWith(by float64) *text {
	x := &text{goodDry().lines}
	to := fmt.Sprintf("X%.4f", p1a.X-kerf/2-by)
	x.sub("", "G0 X", 0, "X39.2500", to)
	x.sub("", "G1 X", 1, "X39.2500", to)
	return x
}

func proveDry(x *text, change func(in *proof.Input)) proof.Result {
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Dry = true
	if change != nil {
		change(&in)
	}
	return proof.Prove(in)
}

// The rectangle may lie up to one kerf outside of what the torch does.
func TestTraceMayBeAKerfLarger(t *testing.T) {
	for by, ok := range map[float64]bool{-0.03: false, -0.01: true, 0: true, kerf - 0.01: true, kerf + 0.01: true, kerf + 0.03: false} {
		if r := proveDry(dryWith(by), nil); r.OK != ok || !ok && !found(r, "dry-trace", "the rectangle runs from") {
			t.Errorf("larger by %g mm: %s", by, show(r))
		}
	}
}

// A centre pop belongs to what the rectangle shows: here one that lies beside
// all cuts, with a kerf of its own.
func TestTraceGoesRoundThePops(t *testing.T) {
	pop := geom.Pt(30, 100)
	for _, v := range []struct {
		kerf, by float64
		ok       bool
	}{{kerf, 0, false}, {kerf, 9.2, false}, {kerf, 9.25, true}, {kerf, 9.25 + 1.4, true}, {kerf, 9.25 + 1.6, false}, {5, 9.25 + 4.9, true}, {5, 9.25 + 5.1, false}} {
		x := dryWith(v.by)
		x.insert(x.find("", "G0 X0 Y0", 0), "G0 X30 Y100")
		r := proveDry(x, func(in *proof.Input) {
			f := feature("p3.d1", "hole", "drill", geom.Circle(pop, 3))
			f.Pop, f.Kerf = true, v.kerf
			in.Parts = append(in.Parts, proof.Part{Label: "p3", Features: []proof.Feature{f}})
		})
		if bad := found(r, "dry-trace", "the rectangle runs from"); bad == v.ok {
			t.Errorf("%+v: %s", v, show(r))
		}
	}
}

// A trace that goes there and back on two sides shows half of the plate only.
func TestTraceThatDoesNotGoRoundIsCaught(t *testing.T) {
	x := &text{goodDry().lines}
	i := x.find("", "G1 X", 1) // back along the right side, then along the lower one
	x.lines[i], x.lines[i+1] = "G1 Y34.2500", "G1 X39.2500"
	if r := proveDry(x, nil); !found(r, "dry-trace", "does not begin with a rectangle") {
		t.Error(show(r))
	}
	y := &text{goodDry().lines}
	y.sub("", "G1 X", 1, "X39.2500", "X45")
	if r := proveDry(y, nil); !found(r, "dry-trace", "does not begin with a rectangle") {
		t.Error(show(r))
	}
}

// A dry run with nothing to follow, of a job that is all cut or of none, needs
// no rectangle and no touch-off; one over an old kerf is caught with cuts only.
func TestDryRunOfNothing(t *testing.T) {
	nothing := &writer{k: 1, dec: 4, dry: true}
	nothing.header()
	nothing.footer()
	for _, touch := range []bool{false, true} {
		x := &text{slices.Clone(nothing.lines)}
		if touch {
			x.insert(x.find("", "G0 X0", 0), "G0 X20 Y20", "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25")
		}
		for _, done := range []bool{false, true} {
			r := proveDry(x, func(in *proof.Input) {
				if done {
					in.Done = &proof.Done{Text: good().text(), Line: len(good().lines)}
				} else {
					in.Parts = nil
				}
			})
			if !r.OK || len(r.Findings) > 0 {
				t.Errorf("touch-off %v, done %v: %s", touch, done, show(r))
			}
		}
	}
}

// A place of the machine is none of the plate: going there shows no pop.
func TestPlaceOfTheMachineShowsNoPop(t *testing.T) {
	for word, ok := range map[string]bool{"": true, "G53 ": false} {
		x := &text{goodDry().lines}
		x.insert(x.find("", "G0 X0 Y0", 0), word+"G0 X220 Y160")
		r := proveDry(x, func(in *proof.Input) { in.Parts[0].Features[3].Pop = true })
		if r.OK != ok || !ok && !found(r, "not-cut", "") {
			t.Errorf("%q: %s", word, show(r))
		}
	}
}
