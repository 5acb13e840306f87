package tui

import "testing"

// A caution may take several lines of a narrow screen: the cursor on it brings
// all of them into sight, so that nobody confirms half a sentence.
func TestAllTextOfTheCursorsRowIsInSight(t *testing.T) {
	long := row{id: "long", state: stOpen}.spread(4, line{{"one two three four five six", inkPlain}}, span{}, 12)
	if len(long) < 3 {
		t.Fatalf("%d lines", len(long))
	}
	rows := []row{{id: "a"}, {id: "b"}, {id: "c"}}
	rows = append(append(rows, long...), row{id: "z"})
	l := rowsList(rows)
	first := l.find("long")
	for h := len(long); h < len(rows); h++ {
		s := spot{id: "long", i: first}
		s.scroll(l, h)
		if last := l.last(first); last != first+len(long)-1 || s.top > first || last >= s.top+h {
			t.Errorf("%d rows seen: from %d, the text is %d to %d", h, s.top, first, last)
		}
	}
	s := spot{id: "long", i: first}
	s.scroll(l, 1) // no room for all: at least where it begins
	if s.top != first {
		t.Errorf("one row seen: from %d", s.top)
	}
}
