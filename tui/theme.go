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

// colourOf is the ANSI colour of each ink, 0 for none. Green is not among them:
// beside red and yellow it is what the most common colour blindness takes away.
var colourOf = [inkCount]int{inkFaint: 8, inkOpen: 3, inkBad: 1, inkWarn: 3, inkGood: 6, inkRule: 6, inkStock: 4, inkLead: 5, inkHold: 3, inkRapid: 8,
	inkOrder: 6, inkAimed: 14}

// newTheme asks the renderer, whose colour profile decides, for the sequences
// of each ink. Only the sixteen ANSI colours are used.
func newTheme(r *lipgloss.Renderer, ascii bool) theme {
	t := theme{glyphs: unicodeSet}
	if ascii {
		t.glyphs = asciiSet
	}
	for i := range inkCount {
		st := r.NewStyle()
		if n := colourOf[i]; n > 0 {
			st = st.Foreground(lipgloss.ANSIColor(n))
		}
		if i == inkHead || i == inkPick || i == inkBad || i == inkAimed {
			st = st.Bold(true)
		}
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
