package tui

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

func burst(s string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)} }

// TestBurstIsTakenApart: on a slow link several signs arrive in one read and
// are one KeyMsg.
func TestBurstIsTakenApart(t *testing.T) {
	one, many := start(t, 80, 24), start(t, 80, 24)
	one.keys("j j j k")
	many.send(burst("jjjk"))
	if a, b := one.frame(), many.frame(); a != b {
		t.Errorf("typed one by one:\n%s\nin one read:\n%s", a, b)
	}
	if many.m.spot().i != 4 {
		t.Errorf("the cursor is on row %d", many.m.spot().i)
	}
}

// TestTornArrowIsPutTogether: an arrow key torn by the link arrives as esc and
// then "[B".
func TestTornArrowIsPutTogether(t *testing.T) {
	for _, c := range []struct {
		name string
		msgs []tea.Msg
		row  string
	}{
		{"in two", []tea.Msg{tea.KeyMsg{Type: tea.KeyEscape}, burst("[B")}, "units"},
		{"in three", []tea.Msg{tea.KeyMsg{Type: tea.KeyEscape}, burst("["), burst("B")}, "units"},
		{"application mode", []tea.Msg{tea.KeyMsg{Type: tea.KeyEscape}, burst("OB")}, "units"},
		{"and a burst behind it", []tea.Msg{tea.KeyMsg{Type: tea.KeyEscape}, burst("[Bj")}, "add"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, 80, 24)
			d.quiet = true // the wait for the rest does not end
			for _, msg := range c.msgs {
				d.send(msg)
			}
			if got := d.m.spot().id; got != c.row {
				t.Errorf("the cursor is on %q, want %q", got, c.row)
			}
		})
	}
}

// TestTornArrowDoesNotEndAnEdit: the text that was typed stays.
func TestTornArrowDoesNotEndAnEdit(t *testing.T) {
	d := start(t, 80, 24)
	d.keys("enter g a t e")
	d.quiet = true
	d.send(tea.KeyMsg{Type: tea.KeyEscape})
	d.send(burst("[D"))
	if d.m.ed == nil || d.m.ed.value() != "gate" || d.m.ed.at != 3 {
		t.Fatalf("editor: %+v", d.m.ed)
	}
}

// TestEscThenSignInOneRead: Bubble Tea makes alt+j of it.
func TestEscThenSignInOneRead(t *testing.T) {
	d := start(t, 80, 24)
	d.keys("?")
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("j"), Alt: true})
	if len(d.m.pages) != 0 {
		t.Error("esc did not go back")
	}
	if got := d.m.spot().id; got != "units" {
		t.Errorf("j did not move: on %q", got)
	}
}

// TestEscNeverLosesWork: pressed anywhere and often, it goes back and no further.
func TestEscNeverLosesWork(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	before := d.m.d.Job
	for range 4 {
		d.keys("? esc esc")
		d.keys("v esc")
		d.keys("tab esc")
	}
	if d.quit {
		t.Fatal("esc ended the wizard")
	}
	if !samePlan(before, d.m.d.Job) {
		t.Error("esc changed the job")
	}
}

// TestPasteIsCleanedAndCut: a paste may hold lines and control signs.
func TestPasteIsCleanedAndCut(t *testing.T) {
	d := start(t, 80, 24)
	paste := tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune("gate\x1b[2J leaf\nq\nq")}
	before := d.frame()
	d.send(paste)
	if d.frame() != before || d.quit {
		t.Fatal("a paste where nothing is typed did something")
	}
	d.keys("enter")
	d.send(paste)
	d.keys("enter")
	if got := d.m.d.Job.Name.String(); got != "gate·[2J leaf" {
		t.Errorf("name %q", got)
	}
	d.keys("enter")
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune(strings.Repeat("x", 5000))})
	if n := len(d.m.ed.rs); n > editMax {
		t.Errorf("%d signs were taken", n)
	}
}

// TestSplitSequencesAreNoBindings: what a torn key may leave behind must do
// nothing.
func TestTailsOfTornKeysAreBoundToNothing(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	before, gen := d.frame(), d.m.d.Gen
	for _, r := range "[O~ABCDFHZ;" {
		d.send(runeKey(r))
		if d.frame() != before || d.m.d.Gen != gen {
			t.Fatalf("%q does something", r)
		}
	}
}

func TestEditorKeys(t *testing.T) {
	for _, c := range []struct{ name, keys, want string }{
		{"typing replaces what stood there", "x", "x"},
		{"moving first keeps it", "end x", "gate leafx"},
		{"home", "home x", "xgate leaf"},
		{"backspace at the end", "backspace", "gate lea"},
		{"delete under the cursor", "home delete", "ate leaf"},
		{"all gone", "ctrl+u", ""},
		{"left and in between", "left left x", "gate lexaf"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, 80, 24)
			d.m.ed = newEditor("name", "gate leaf")
			d.keys(c.keys)
			if got := d.m.ed.value(); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}
