package proof_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/proof"
)

// Only a touch-off leaves a Z to be set, and only a dry run is asked as it
// moves on.
func TestMoveWithoutATouchOffLeavesNoZToBeSet(t *testing.T) {
	x := &text{goodDry().lines}
	x.drop("", "G38.2", 0)
	x.drop("", "G92", 0)
	if r := proveDry(x, nil); found(r, "touch-off-zero", "") {
		t.Error(show(r))
	}
	y := &text{good().lines} // set where the torch is lit, after a move
	y.lines[y.find("p1.h1", "G92", 0)] = "G0 X60.5 Y60"
	y.insert(y.find("p1.h1", "M3", 0), "G0 X60 Y60")
	n := strings.Count(show(proof.Prove(input([]byte(strings.Join(y.lines, "\n")+"\n")))), "[touch-off-zero]")
	if n != 1 {
		t.Errorf("told %d times", n)
	}
}
