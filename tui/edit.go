package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/plain"
)

// editMax is how many signs a value may have.
const editMax = 250

// editor is one line of text with a cursor. It is our own: the text field of
// Bubbles brings in a clipboard package that starts other programs.
type editor struct {
	row   string // id of the row that is edited
	rs    []rune
	at    int
	fresh bool // nothing typed yet: the first sign replaces the whole
}

func newEditor(row, text string) *editor {
	rs := []rune(plain.Clean(text))
	return &editor{row: row, rs: rs, at: len(rs), fresh: true}
}

func (e *editor) value() string { return string(e.rs) }

// key changes the text, and reports whether the key means anything here.
func (e *editor) key(k tea.KeyMsg) bool {
	if k.Paste {
		e.insert([]rune(pasted(k.Runes)))
		return true
	}
	was := e.fresh
	e.fresh = false
	switch k.String() {
	case "left", "ctrl+b":
		if e.at == 0 {
			e.fresh = was
			return false
		}
		e.at--
	case "right", "ctrl+f":
		if e.at == len(e.rs) {
			return was
		}
		e.at++
	case "home", "ctrl+a":
		e.at = 0
	case "end", "ctrl+e":
		e.at = len(e.rs)
	case "backspace", "ctrl+h":
		if e.at == 0 {
			return false
		}
		e.rs = slices.Delete(e.rs, e.at-1, e.at)
		e.at--
	case "delete", "ctrl+d":
		if e.at == len(e.rs) {
			return false
		}
		e.rs = slices.Delete(e.rs, e.at, e.at+1)
	case "ctrl+u":
		e.rs, e.at = e.rs[e.at:], 0
	case "ctrl+k":
		e.rs = e.rs[:e.at]
	case "ctrl+w", "alt+backspace":
		from := e.at
		for from > 0 && e.rs[from-1] == ' ' {
			from--
		}
		for from > 0 && e.rs[from-1] != ' ' {
			from--
		}
		e.rs = slices.Delete(e.rs, from, e.at)
		e.at = from
	default:
		if k.Alt || k.Type != tea.KeyRunes && k.Type != tea.KeySpace {
			e.fresh = was
			return false
		}
		if was {
			e.rs, e.at = nil, 0
		}
		e.insert([]rune(plain.Clean(string(k.Runes))))
	}
	return true
}

func (e *editor) insert(rs []rune) {
	if e.fresh {
		e.rs, e.at, e.fresh = nil, 0, false
	}
	rs = rs[:min(len(rs), editMax-len(e.rs))]
	e.rs = slices.Insert(e.rs, e.at, rs...)
	e.at += len(rs)
}

// show returns the text round the cursor in at most w cells.
func (e *editor) show(t *theme, w int) line {
	before, after := string(e.rs[:e.at]), string(e.rs[e.at:])
	for cells(before) > w-1 {
		rs := []rune(before)
		before = string(rs[1:])
	}
	after = cutTo(after, w-1-cells(before))
	style := inkPick
	if e.fresh {
		style = inkRule
	}
	return line{{before, style}, {t.caret, inkHead}, {after, style}}
}
