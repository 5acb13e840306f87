package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/unit"
)

// A title that is too long for its side ends in a sign, and in no half figure.
func TestTitleThatIsCutSaysSo(t *testing.T) {
	const title = "plate, 240 cuts, 37 min 56 s"
	m := start(t, 80, 24).m
	for w := 12; w < 60; w++ {
		s := lineText(m.titleRule(title, w))
		if n := cells(s); n != w {
			t.Errorf("%d cells of %d: %q", n, w, s)
		}
		said := strings.Trim(s, "─ ")
		switch {
		case cells(title)+5 <= w && said != title, cells(title)+5 > w && !strings.HasSuffix(said, m.th.more):
			t.Errorf("%d cells: %q", w, said)
		case said != title:
			if kept := strings.TrimRight(strings.TrimSuffix(said, m.th.more), " "); strings.ContainsAny(kept[max(0, len(kept)-1):], "0123456789") {
				t.Errorf("%d cells: a figure without its unit: %q", w, said)
			}
		}
	}
}

func TestBestSoFarSaysWhatItUses(t *testing.T) {
	for _, c := range []struct {
		n    planner.Nested
		u    unit.System
		want string
	}{
		{planner.Nested{Plates: 1, Length: []float64{1812.34}}, unit.MM, "best so far, 1812.3 mm used"},
		{planner.Nested{Plates: 1, Length: []float64{254}}, unit.Inch, "best so far, 10 in used"},
		{planner.Nested{Plates: 2, Length: []float64{1990, 1812.34}}, unit.MM, "best: plate 2, 1812.3 mm"},
		{planner.Nested{}, unit.MM, "best so far"},
	} {
		if got := bestName(&c.n, c.u); got != c.want || cells(got) > 28 { // 28 cells beside a view on 80
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
