package keep_test

import (
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
)

// There are two states to compare only where the copy and another file are
// both at hand; either can be read whichever was taken.
func TestTwoStatesOfADrawingAreComparedWhereBothAreAtHand(t *testing.T) {
	bare := saved(t, "a.dxf", "one")
	bare.Kept = nil
	for _, c := range []struct {
		name string
		job  job.Job
		now  files
		anew bool
		want bool
	}{
		{"as it was", saved(t, "a.dxf", "one"), files{"a.dxf": "one"}, false, false},
		{"changed", saved(t, "a.dxf", "one"), files{"a.dxf": "two"}, false, true},
		{"changed and taken", saved(t, "a.dxf", "one"), files{"a.dxf": "two"}, true, true},
		{"gone", saved(t, "a.dxf", "one"), files{}, false, false},
		{"changed, without a copy", bare, files{"a.dxf": "two"}, false, false},
	} {
		s := keep.In(c.job, c.now)
		s.Anew = c.anew
		s.Drawing("a.dxf")
		if s.Moved() != c.want {
			t.Errorf("%s: %v", c.name, s.Moved())
		}
		if !c.want {
			continue
		}
		was, err1 := s.AsSaved().Drawing("a.dxf")
		now, err2 := s.Now().Drawing("a.dxf")
		if string(was) != "one" || string(now) != "two" || err1 != nil || err2 != nil {
			t.Errorf("%s: was %q, is %q", c.name, was, now)
		}
	}
}
