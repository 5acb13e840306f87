package tui

import (
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"pgregory.net/rapid"

	"example.org/kerfwright/planner/plain"
)

func themeOf(p termenv.Profile, ascii bool) theme {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(p)
	return newTheme(r, ascii)
}

// TestLineFitsExactly: whatever the text, a line laid out over w cells takes w
// cells, and nothing in it can move the cursor.
func TestLineFitsExactly(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		th := themeOf(termenv.Ascii, rapid.Bool().Draw(rt, "ascii"))
		w := rapid.IntRange(1, 90).Draw(rt, "w")
		var l line
		for range rapid.IntRange(0, 5).Draw(rt, "spans") {
			l = l.add(ink(rapid.IntRange(0, int(inkCount)-1).Draw(rt, "ink")), rapid.String().Draw(rt, "text"))
		}
		var b strings.Builder
		th.paint(&b, l.fit(&th, w), w)
		got := b.String()
		if n := ansi.StringWidth(got); n != w {
			rt.Fatalf("%q takes %d cells, want %d", got, n, w)
		}
		if !plain.IsClean(got) {
			rt.Fatalf("%q is not clean", got)
		}
		if th.ascii && !isASCII(got) {
			rt.Fatalf("%q is not ASCII", got)
		}
	})
}

func TestWrapKeepsEveryWordAndNoLineIsTooLong(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := rapid.StringMatching(`[a-zA-Z0-9 ,.ØÄ×]{0,200}`).Draw(rt, "text")
		w := rapid.IntRange(1, 40).Draw(rt, "w")
		lines := wrap(s, w)
		for _, l := range lines {
			if cells(l) > w {
				rt.Fatalf("%q is wider than %d", l, w)
			}
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if squeeze(strings.Join(lines, "")) != squeeze(s) {
			rt.Fatalf("%q became %q", s, lines)
		}
	})
}

// A figure and its unit stay on one line, in explanations and in rows.
func TestFigureKeepsItsUnit(t *testing.T) {
	const said = "From 4 mm to 8 mm: feed 1500 mm/min, 118 V, 4.0 % of it (11 m)."
	units := []string{"mm", "V,", "%", "m).", "mm:", "mm/min,"}
	for w := 12; w < len(said); w++ {
		lines := wrap(said, w)
		for _, r := range (row{}).spread(2, text(said), span{}, w) {
			s := ""
			for _, x := range r.plain {
				s += x.s
			}
			lines = append(lines, strings.TrimSpace(s))
		}
		for _, l := range lines {
			for _, u := range units {
				if strings.HasPrefix(l, u) {
					t.Errorf("%d cells: a line begins with %q: %q", w, u, l)
				}
			}
		}
	}
}

// TestSignsAreOneCellWide: the layout counts on it.
func TestSignsAreOneCellWide(t *testing.T) {
	for _, set := range []glyphs{unicodeSet, asciiSet} {
		for _, g := range []string{set.rule, set.wall, set.teeDown, set.teeUp, set.teeR, set.cutDone, set.cutOpen, set.torch, set.cursor,
			set.caret, set.leader, set.tick, set.more, set.cont, set.rise, set.aimX, set.aimY} {
			if ansi.StringWidth(g) != 1 || utf8.RuneCountInString(g) != 1 {
				t.Errorf("%q is not one cell", g)
			}
			if set.ascii && !isASCII(g) {
				t.Errorf("%q in the ASCII set", g)
			}
		}
	}
}

// TestRangesTakenAsSteadyAre: unsteady does not ask about these.
func TestRangesTakenAsSteadyAre(t *testing.T) {
	for r := rune(0xa0); r < 0x3000; r++ {
		if unsteady(r) || !plain.IsClean(string(r)) {
			continue
		}
		s := string(r)
		w := ansi.StringWidth(s)
		if w < 1 || ansi.StringWidth("A"+s) != w+1 || ansi.StringWidth(s+"A") != w+1 {
			t.Errorf("%U is not steady: %d cells", r, w)
		}
	}
}

// TestOnlySixteenColours: the person's own theme decides what they look like.
// SGR 30-37, 90-97 foregrounds (ECMA-48 and common practice for the bright ones).
func TestOnlySixteenColours(t *testing.T) {
	th := themeOf(termenv.ANSI, false)
	for i := range inkCount {
		for _, bad := range []string{"38;5", "38;2", "48;"} {
			if strings.Contains(th.pre[i], bad) {
				t.Errorf("ink %d: %q", i, th.pre[i])
			}
		}
		if (th.pre[i] == "") != (th.post[i] == "") {
			t.Errorf("ink %d is not switched off again: %q %q", i, th.pre[i], th.post[i])
		}
	}
	th = themeOf(termenv.Ascii, false)
	for i := range inkCount {
		if th.pre[i] != "" || th.post[i] != "" {
			t.Errorf("ink %d without colour: %q %q", i, th.pre[i], th.post[i])
		}
	}
}
