package fault_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
)

func TestAFaultSaysWhereWhatAndWhatToDo(t *testing.T) {
	f := fault.Fault{Severity: fault.Error, Where: fault.Where{File: "gate.dxf", Line: 1482, Entity: "SPLINE", Feature: "p1.s1", Frame: fault.InDrawing, X: 1, Y: 2.5},
		What: "2 control points, degree 3 needs 4", Do: "Explode it in the CAD."}
	want := "gate.dxf:1482: SPLINE: p1.s1: 2 control points, degree 3 needs 4 at (1.000, 2.500). Explode it in the CAD."
	if got := f.Error(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestAFaultNeverMovesTheCursor(t *testing.T) {
	f := fault.Fault{Where: fault.Where{File: "a\x1b[2J", Entity: "layer \r\n", Feature: "\u202e"}, What: "\x07", Do: "\u009b31m"}
	if s := f.Error(); strings.ContainsAny(s, "\x1b\r\n\x07\u009b\u202e") {
		t.Errorf("%q", s)
	}
}

func TestAllErrorsComeOutWorstFirstAndOneLineEach(t *testing.T) {
	var l fault.List
	l.Notef(fault.Where{}, "n", "noted")
	l.Errorf(fault.Where{Line: 3}, "e", "Stop.", "first")
	l.Warnf(fault.Where{}, "w", "", "warned")
	l.Errorf(fault.Where{}, "e", "", "second")
	if s := l.Sorted(); s[0].What != "first" || s[1].What != "second" || s[2].What != "warned" || s[3].What != "noted" {
		t.Errorf("%v", s)
	}
	err := fmt.Errorf("save: %w", l.Err())
	if got := l.Err().Error(); got != "line 3: first. Stop.\nsecond" {
		t.Errorf("%q", got)
	}
	if back := fault.From(err, fault.Where{}); len(back) != 2 || back[0].Code != "e" {
		t.Errorf("%v", back)
	}
	if back := fault.From(errors.New("disk full"), fault.Where{File: "x"}); len(back) != 1 || !back.Bad() {
		t.Errorf("%v", back)
	}
	if (fault.List{}).Err() != nil || l.At(fault.Warning).Err() != nil {
		t.Error("a list without errors is an error")
	}
}
