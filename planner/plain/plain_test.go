package plain_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"example.org/kerfwright/planner/plain"
)

func TestEveryControlRuneBecomesVisible(t *testing.T) {
	var controls []rune
	for r := rune(0); r < 0x100; r++ {
		if unicode.IsControl(r) {
			controls = append(controls, r)
		}
	}
	if len(controls) != 65 { // C0, DEL and C1
		t.Fatalf("%d control runes", len(controls))
	}
	controls = append(controls, '\u202e', '\u2066', '\u200b', '\u2028', '\u2029', '\ufeff', '\u00ad', '\ue000')
	for _, r := range controls {
		if got := plain.Of("a" + string(r) + "b").String(); got != "a·b" {
			t.Errorf("%U: %q", r, got)
		}
	}
	if got := plain.Of("\xff\x9b31m").String(); !utf8.ValidString(got) || got != "··31m" {
		t.Errorf("broken bytes: %q", got)
	}
}

func TestGoodTextStays(t *testing.T) {
	for _, s := range []string{"", "Torbügel 12 × Ø8", "片", "half ½ mm²"} {
		if got := plain.Of(s).String(); got != s || !plain.IsClean(s) {
			t.Errorf("%q became %q", s, got)
		}
	}
}

// NISTIR 6556 3.3.4: a comment ends at the first right parenthesis, may not
// hold a left one, and is a message if it begins with MSG and a comma, blanks
// and case free.
func FuzzComment(f *testing.F) {
	for _, s := range []string{"a (b) c", "MSG, fire", " m\x00sG ,x", "x\r\nM3", "%", "\u202e)", strings.Repeat("(", 300), "print,#5061"} {
		f.Add(s, 60)
	}
	f.Fuzz(func(t *testing.T, s string, limit int) {
		limit %= 300
		got := plain.Comment(s, limit)
		if len(got) > max(limit, 0) {
			t.Fatalf("%d long, %d allowed", len(got), limit)
		}
		for _, r := range got {
			if r < 0x20 || r > 0x7e || strings.ContainsRune("()[]{}%;", r) {
				t.Fatalf("%q holds %q", got, r)
			}
		}
		word, _, found := strings.Cut(got, ",")
		if found && strings.EqualFold(strings.ReplaceAll(word, " ", ""), "MSG") {
			t.Fatalf("%q is a message", got)
		}
	})
}
