package letters_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/letters"
)

const all = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"

// ISO 3098 type B (from memory): height h, letters 2/10 h apart, strokes h/10.
func TestProportionsAreThoseOfTypeB(t *testing.T) {
	for _, h := range letters.Heights() {
		for _, r := range all {
			b := geom.EmptyBox()
			for _, s := range letters.Strokes(string(r), h) {
				b = b.Union(s.Box())
			}
			if math.Abs(b.Height()-h) > 1e-9 || math.Abs(b.Min.Y) > 1e-9 || math.Abs(b.Min.X) > 1e-9 && r != '1' {
				t.Errorf("%c at %g mm: %v", r, h, b)
			}
			if w := letters.Width(string(r), h); math.Abs(b.Max.X-w) > 1e-9 || w > 0.8*h+1e-9 {
				t.Errorf("%c at %g mm is %g wide, its strokes end at %g", r, h, w, b.Max.X)
			}
		}
		if got := letters.Width("HH", h) - 2*letters.Width("H", h); math.Abs(got-0.2*h) > 1e-9 {
			t.Errorf("%g between letters of %g mm", got, h)
		}
		if got := letters.Width("H H", h) - 2*letters.Width("H", h); math.Abs(got-0.6*h) > 1e-9 {
			t.Errorf("%g between words of %g mm", got, h)
		}
	}
	for i, h := range letters.Heights()[1:] {
		if r := h / letters.Heights()[i]; math.Abs(r-math.Sqrt2) > 0.03 { // rounded in the standard
			t.Errorf("%g after %g mm", h, letters.Heights()[i])
		}
	}
}

// A torch marks a stroke h/10 wide: no two strokes of a sign, but those that
// meet, may come nearer than that, or they run into one spot.
func TestStrokesOfASignKeepApart(t *testing.T) {
	for _, r := range all {
		s := letters.Strokes(string(r), 10)
		for i := range s {
			for k := range i {
				a, _, _ := geom.MinDist(geom.IndexPaths(s[i]), geom.IndexPaths(s[k]))
				if a.Dist > 1e-9 && a.Dist < 1 {
					t.Errorf("%c: strokes %d and %d are %g apart", r, k+1, i+1, a.Dist)
				}
			}
		}
	}
}

// Every sign is unlike every other: two that were drawn alike would be read
// wrong.
func TestNoTwoSignsAreAlike(t *testing.T) {
	seen := map[string]rune{}
	for _, r := range all + "-+=.,:/_#()" {
		var b strings.Builder
		for _, s := range letters.Strokes(string(r), 10) {
			for _, q := range s.Flatten(0.1) {
				b.WriteString(strings.TrimSpace(strings.Join([]string{num(q.X), num(q.Y)}, ",")) + " ")
			}
		}
		if was, ok := seen[b.String()]; ok {
			t.Errorf("%c is drawn as %c", r, was)
		}
		seen[b.String()] = r
	}
}

func num(v float64) string { return string(rune('a' + int(math.Round(v)))) }

// Arcs turn into their neighbours: at every vertex beside an arc the direction
// changes by at most a right angle, so that the torch does not have to turn
// back.
func TestArcsRunOn(t *testing.T) {
	for _, r := range all {
		for _, s := range letters.Strokes(string(r), 10) {
			for i := 1; i < s.NumSegs(); i++ {
				a, b := s.Seg(i-1), s.Seg(i)
				if (a.IsArc() || b.IsArc()) && a.Tangent(1).Dot(b.Tangent(0)) < -1e-9 && !strings.ContainsRune("B38", r) {
					t.Errorf("%c turns back at %v", r, b.A)
				}
			}
		}
	}
}

func TestSignsWithoutAFormAreNamed(t *testing.T) {
	if got := letters.Missing("Gate Öse 12%"); got != "Ö%" {
		t.Errorf("%q", got)
	}
	if got := letters.Strokes("a", 5); len(got) != 2 {
		t.Errorf("a small letter is no capital: %d strokes", len(got))
	}
}
