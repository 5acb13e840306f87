package tui

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/plain"
)

// bind makes a binding: what is shown, what it does, and the keys.
func bind(shown, does string, keys ...string) key.Binding {
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(shown, does))
}

// Every key of the wizard, once. `[`, `O`, `~` and capitals are
// bound to nothing: they are the tails of arrow keys that a slow link tore.
var (
	keyUp    = bind("↑↓", "move", "up", "k")
	keyDown  = bind("↓", "down", "down", "j")
	keyPgUp  = bind("PgUp", "page up", "pgup", "ctrl+b")
	keyPgDn  = bind("PgDn", "page down", "pgdown", "ctrl+f")
	keyHome  = bind("Home", "first", "home")
	keyEnd   = bind("End", "last", "end")
	keyLeft  = bind("←→", "choose", "left", "h")
	keyRight = bind("→", "next choice", "right", "l")
	keyEnter = bind("enter", "edit", "enter")
	keyBack  = bind("esc", "back", "esc", "backspace")
	keyEsc   = bind("esc", "back", "esc")
	keyNext  = bind("tab", "next stage", "tab")
	keyPrev  = bind("shift+tab", "stage before", "shift+tab")
	keyOpen  = bind("n", "next open", "n")
	keyWhy   = bind("?", "why", "?")
	keyShop  = bind("s", "shop", "s")
	keyTold  = bind("t", "told", "t")
	keyPlate = bind("v", "plate", "v")
	keyIn    = bind("+", "nearer", "+", "=")
	keyOut   = bind("-", "further", "-")
	keyFit   = bind("f", "whole plate", "f")
	keyHolds = bind(",", "holds", ",")
	keyUndo  = bind("u", "undo", "u")
	keyRedo  = bind("r", "redo", "r", "ctrl+r")
	keyQuit  = bind("q", "leave", "q", "ctrl+c")
	keyStop  = bind("ctrl+z", "suspend", "ctrl+z")
	keySpace = bind("space", "confirm", " ")
	keyDrop  = bind("d", "discard", "d")
	keyOut1  = bind("x", "leave out", "x")
	keyBest  = bind("b", "keep the best so far", "b")
)

// escWait is how long an esc is held back: an arrow key torn by a slow link
// arrives as esc and then text.
const escWait = 40 * time.Millisecond

// pasteMax is how many signs of a paste are taken.
const pasteMax = 200

// escDue says that no more signs of a torn key came in time.
type escDue struct{ n int }

// input puts torn keys together and takes bursts apart. What comes in is what
// Bubble Tea makes of one read; what goes out are single keys.
type input struct {
	wait    time.Duration // how long an esc is held back
	n       int           // counts escs
	waiting bool          // an esc is held back
	tail    string        // what came after it so far
}

// take returns the keys to act on now.
func (in *input) take(k tea.KeyMsg, editing bool) ([]tea.KeyMsg, tea.Cmd) {
	if k.Paste {
		return append(in.flush(), k), nil
	}
	var out []tea.KeyMsg
	var cmd tea.Cmd
	for _, one := range split(k, editing) {
		switch {
		case in.waiting && one.Type == tea.KeyRunes:
			in.tail += string(one.Runes)
			if whole, ok := torn(in.tail); ok {
				in.waiting, in.tail = false, ""
				out = append(out, whole...)
			} else if !tearing(in.tail) {
				out = append(out, in.flush()...)
			}
		case one.Type == tea.KeyEscape:
			out = append(out, in.flush()...)
			in.waiting = true
			in.n++
			n := in.n
			cmd = tea.Tick(in.wait, func(time.Time) tea.Msg { return escDue{n} })
		default:
			out = append(append(out, in.flush()...), one)
		}
	}
	return out, cmd
}

// due returns the esc that was held back, if it is still the one meant.
func (in *input) due(d escDue) []tea.KeyMsg {
	if d.n != in.n {
		return nil
	}
	return in.flush()
}

// flush gives out an esc that was held back, and what came after it.
func (in *input) flush() []tea.KeyMsg {
	if !in.waiting {
		return nil
	}
	out := []tea.KeyMsg{{Type: tea.KeyEscape}}
	for _, r := range in.tail {
		out = append(out, runeKey(r))
	}
	in.waiting, in.tail = false, ""
	return out
}

// tearing reports whether s may still become the tail of a cursor key.
func tearing(s string) bool {
	switch s {
	case "[", "O", "[1", "[3", "[4", "[5", "[6", "[7", "[8":
		return true
	}
	return false
}

// torn returns the key whose tail is s. What is not a key of ours is dropped.
func torn(s string) ([]tea.KeyMsg, bool) {
	types := map[string]tea.KeyType{
		"[A": tea.KeyUp, "[B": tea.KeyDown, "[C": tea.KeyRight, "[D": tea.KeyLeft,
		"OA": tea.KeyUp, "OB": tea.KeyDown, "OC": tea.KeyRight, "OD": tea.KeyLeft,
		"[H": tea.KeyHome, "[F": tea.KeyEnd, "OH": tea.KeyHome, "OF": tea.KeyEnd, "[Z": tea.KeyShiftTab,
		"[1~": tea.KeyHome, "[4~": tea.KeyEnd, "[7~": tea.KeyHome, "[8~": tea.KeyEnd,
		"[3~": tea.KeyDelete, "[5~": tea.KeyPgUp, "[6~": tea.KeyPgDown,
	}
	if t, ok := types[s]; ok {
		return []tea.KeyMsg{{Type: t}}, true
	}
	return nil, false
}

// split takes a burst apart: signs that arrive in one read are one KeyMsg, and
// esc followed at once by a sign is that sign with alt. Only the line editor
// has keys with alt.
func split(k tea.KeyMsg, editing bool) []tea.KeyMsg {
	var out []tea.KeyMsg
	if k.Alt {
		if editing {
			return []tea.KeyMsg{k}
		}
		out = append(out, tea.KeyMsg{Type: tea.KeyEscape})
		k.Alt = false
	}
	if k.Type != tea.KeyRunes {
		return append(out, k)
	}
	for _, r := range k.Runes {
		out = append(out, runeKey(r))
	}
	return out
}

func runeKey(r rune) tea.KeyMsg {
	if r == ' ' {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
}

// pasted returns the first line of a paste, cleaned and cut.
func pasted(rs []rune) string {
	for i, r := range rs {
		if r == '\n' || r == '\r' {
			rs = rs[:i]
			break
		}
	}
	return plain.Clean(string(rs[:min(len(rs), pasteMax)]))
}
