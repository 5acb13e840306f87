package tui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// ink is what a piece of text means; the theme decides how it looks. Nothing
// is told by colour alone: every ink that matters goes with a glyph or a word.
type ink uint8

const (
	inkPlain ink = iota
	inkFaint     // leaders, rules, what is not there yet
	inkHead      // headings and the stage one is in
	inkPick      // the row under the cursor
	inkOpen      // unknown, to be decided
	inkBad       // wrong, or forbids saving
	inkWarn      // to be looked at
	inkGood      // decided, holds
	inkRule      // comes from a rule or a preset, not from the person
	inkStock     // edge of the stock
	inkPart      // cut edges of parts
	inkLead      // leads and overburn
	inkHold      // stretches with height hold
	inkRapid     // torch up
	inkOrder     // order numbers
	inkAimed     // the feature under the cursor, on the plate
	inkCount
)

// glyphs is a drawing set. Every sign is one cell wide.
type glyphs struct {
	ascii                                         bool
	rule, wall, teeDown, teeUp, teeR              string
	cutDone, cutOpen, torch                       string
	cursor, caret, leader, tick, more, cont, rise string
	aimX, aimY, here, from, lit                   string
	shades                                        [4]rune // of heat, least first
}

var unicodeSet = glyphs{
	rule: "─", wall: "│", teeDown: "┬", teeUp: "┴", teeR: "├",
	cutDone: "━", cutOpen: "╌", torch: "▾",
	cursor: "▸", caret: "▏", leader: "·", tick: "✓", more: "…", cont: "↓", rise: "↑",
	aimX: "▾", aimY: "▸", here: "×", from: "◇", lit: "█",
	shades: [4]rune{'░', '▒', '▓', '█'},
}

var asciiSet = glyphs{
	ascii: true,
	rule:  "-", wall: "|", teeDown: "+", teeUp: "+", teeR: "+",
	cutDone: "=", cutOpen: "-", torch: "v",
	cursor: ">", caret: "_", leader: ".", tick: "+", more: "~", cont: "v", rise: "^",
	aimX: "v", aimY: ">", here: "X", from: "O", lit: "@",
	shades: [4]rune{'.', ':', '%', '#'},
}

// theme turns inks into escape sequences and holds the drawing set. It comes
// from a renderer of our own, so that it does not hang on global state.
type theme struct {
	glyphs
	picture   picture
	pre, post [inkCount]string
}

// newTheme asks the renderer, whose colour profile decides, for the sequences
// of each ink. Only the sixteen ANSI colours are used.
func newTheme(r *lipgloss.Renderer, ascii bool) theme {
	t := theme{glyphs: unicodeSet}
	if ascii {
		t.glyphs = asciiSet
	}
	s := r.NewStyle
	color := func(n int) lipgloss.Style { return s().Foreground(lipgloss.ANSIColor(n)) }
	for i, st := range map[ink]lipgloss.Style{
		inkFaint: color(8),
		inkHead:  s().Bold(true),
		inkPick:  s().Bold(true),
		inkOpen:  color(3),
		inkBad:   color(1).Bold(true),
		inkWarn:  color(3),
		inkGood:  color(2),
		inkRule:  color(6),
		inkStock: color(4),
		inkLead:  color(5),
		inkHold:  color(3),
		inkRapid: color(8),
		inkOrder: color(6),
		inkAimed: color(2).Bold(true),
	} {
		t.pre[i], t.post[i], _ = strings.Cut(st.Render("x"), "x")
	}
	return t
}

// drawn is how the picture is drawn: braille where the locale has it, unless
// the person chose otherwise.
func (t *theme) drawn() picture {
	if t.ascii {
		return pictureASCII
	}
	return t.picture
}
