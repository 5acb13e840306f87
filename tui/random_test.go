package tui

import (
	"reflect"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

// TestAnyKeysKeepThePromises: whatever is pressed, pasted or resized, the
// frame fits, drafts that were published stay as they were, nothing is saved
// while the door is shut, and the wizard ends only when it is told to.
func TestAnyKeysKeepThePromises(t *testing.T) {
	keys := []string{"up", "down", "left", "right", "enter", "esc", "tab", "shift+tab", "space", "home", "end", "pgup", "pgdown",
		"backspace", "ctrl+u", "delete", "n", "n", "n", "x", "u", "r", "t", "v", "?", "+", "-", "f", "d", "6", "1", "0", ".", "a", "b", "enter", "down", "down"}
	sizes := [][2]int{{80, 24}, {80, 24}, {120, 33}, {200, 60}, {79, 24}, {81, 40}}
	state := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		d := start(t, 80, 24, withFiles, func(s *Session) {
			s.StateDir = state
			s.NoColor, s.ASCII = rapid.Bool().Draw(rt, "no colour"), rapid.Bool().Draw(rt, "ascii")
		})
		defer d.m.Close()
		d.m.keep.gone = true // no disk: hundreds of runs share it
		if rapid.Bool().Draw(rt, "filled in") {
			d.stock("hinge.dxf", "open.dxf", "nounit.dxf")
			d.process()
		}
		size := [2]int{80, 24}
		for range rapid.IntRange(1, 40).Draw(rt, "steps") {
			seen := d.m.holder.Load()
			before := cloneJob(seen.Job)
			shut, saves := d.m.shut(), d.eng.count("save")
			switch rapid.IntRange(0, 9).Draw(rt, "what") {
			case 0:
				size = rapid.SampledFrom(sizes).Draw(rt, "size")
				d.send(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			case 1:
				d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(rapid.StringN(1, 20, -1).Draw(rt, "burst"))})
			case 2:
				d.send(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune(rapid.StringN(1, 50, -1).Draw(rt, "paste"))})
			default:
				d.keys(rapid.SampledFrom(keys).Draw(rt, "key"))
			}
			if d.quit { // q is in a burst, and there was nothing to lose
				return
			}
			frame := d.frame()
			lines := strings.Split(frame, "\n")
			if len(lines) != size[1] {
				rt.Fatalf("%v: %d lines\n%s", size, len(lines), frame)
			}
			for _, l := range lines {
				if ansi.StringWidth(l) > size[0] {
					rt.Fatalf("%v: %d cells: %q", size, ansi.StringWidth(l), l)
				}
			}
			if !reflect.DeepEqual(seen.Job, before) {
				rt.Fatal("a draft that was published was written to")
			}
			if d.m.holder.Load() != d.m.d {
				rt.Fatal("the newest draft is not published")
			}
			if shut != "" && d.eng.count("save") != saves {
				rt.Fatalf("saved although shut: %s", shut)
			}
		}
	})
}
