package presets_test

import (
	"context"
	"fmt"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
)

type demoSource map[string][]byte

func (s demoSource) Drawing(name string) ([]byte, error) {
	text, ok := s[name]
	if !ok {
		return nil, fmt.Errorf("no drawing %s", name)
	}
	return text, nil
}

func TestDemoIsPlannedAndProvedWithoutAWarning(t *testing.T) {
	text, drawings := presets.Demo()
	j, faults := jobfile.Decode(presets.DemoJob, text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	loops, faults := planner.Read(context.Background(), j, demoSource(drawings))
	if faults.Bad() {
		t.Fatal(faults)
	}
	p, faults := planner.Plan(context.Background(), j, loops)
	if faults.Worst() > fault.Note || p == nil {
		t.Fatal(faults)
	}
	// Drawn by hand: 4 leaves, each an outline, 2 slots and 3 bolt holes that
	// are cut, and a grease hole of 5 mm in 6 mm plate that is drilled.
	if len(p.Cuts) != 4*(1+2+3) || !p.Verdict.OK || !p.DryVerdict.OK {
		t.Errorf("%d cuts, %+v %+v", len(p.Cuts), p.Verdict, p.DryVerdict)
	}
}
