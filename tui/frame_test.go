package tui

import (
	"errors"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/proof"
)

// walk leads a wizard past every stage and page, and calls look at each.
func walk(d *driver, look func(name string)) {
	d.t.Helper()
	look("empty")
	d.keys("?")
	look("why")
	d.keys("esc")
	d.at("add").keys("enter")
	look("files")
	d.keys("esc")
	d.stock("hinge.dxf", "open.dxf")
	d.at("stock.thickness")
	look("stock")
	d.keys("enter 9 9 9")
	look("stock-refused")
	d.keys("esc")
	d.at("drawing1").keys("enter")
	look("drawing")
	d.keys("esc")
	d.at("machine").keys("enter")
	look("machines")
	d.keys("esc")
	d.go_(featureStage)
	look("features-unplanned")
	d.process()
	look("process")
	d.go_(featureStage)
	d.at("f:p1.h3")
	look("features")
	d.keys("enter")
	look("feature")
	d.keys("esc v")
	look("plate")
	d.keys("+ + v f t")
	look("told")
	d.keys("esc")
	d.go_(checkStage)
	look("checks-open")
	d.confirmAll()
	look("checks")
	d.go_(saveStage)
	look("save")
	d.at("save").keys("enter")
	look("saved")
	d.at("prices")
	look("cost")
	d.keys("enter")
	look("prices")
	d.keys("esc")
	d.at("resume").keys("enter")
	d.set("cut", "3")
	look("resume")
	d.keys("esc")
	d.set("name", "gate-leaf")
	d.keys("q")
	look("leave")
	d.keys("esc")
}

func withFiles(s *Session) {
	s.Engine = &fake{entries: map[string][]Entry{"/shop": {{Name: "gates", Dir: true}, {Name: "hinge.dxf", Kind: "drawing", Size: 48213},
		{Name: "hinge.toml", Kind: "job", Size: 2210}, {Name: "invoice.odt"}}}}
}

// TestFramesOfEveryStage holds every frame as it was last looked at. Read the
// difference before -update.
func TestFramesOfEveryStage(t *testing.T) {
	for _, c := range []struct {
		name  string
		w, h  int
		ascii bool
	}{{"80x24", 80, 24, false}, {"80x24-ascii", 80, 24, true}, {"120x40", 120, 40, false}, {"120x40-ascii", 120, 40, true}, {"200x60", 200, 60, false}, {"200x60-ascii", 200, 60, true}} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, c.w, c.h, withFiles, func(s *Session) { s.ASCII = c.ascii })
			walk(d, func(name string) {
				t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
			})
		})
	}
}

// trimmed takes the blanks off the ends of lines, so that goldens survive
// editors.
func trimmed(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.Join(lines, "\n") + "\n"
}

// fits fails unless the frame is exactly h lines of at most w cells.
func fits(t *testing.T, frame string, w, h int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	if len(lines) != h {
		t.Fatalf("%d by %d: %d lines\n%s", w, h, len(lines), frame)
	}
	for i, l := range lines {
		if n := ansi.StringWidth(l); n > w {
			t.Fatalf("%d by %d: line %d takes %d cells: %q", w, h, i, n, l)
		}
	}
}

// TestFramesFitTheScreen: at every size, on every stage and page.
func TestFramesFitTheScreen(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		d := start(t, 80, 24, withFiles, func(s *Session) { s.ASCII, s.NoColor = ascii, false })
		sizes := [][2]int{{80, 24}, {81, 25}, {100, 30}, {119, 31}, {120, 32}, {121, 40}, {200, 60}, {300, 100}, {80, 200}, {400, 24}, {79, 24}, {80, 23}, {40, 10}, {10, 3}, {1, 1}}
		walk(d, func(name string) {
			for _, s := range sizes {
				d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
				frame := d.frame()
				fits(t, frame, s[0], s[1])
				if ascii && strings.ContainsFunc(ansi.Strip(frame), func(r rune) bool { return r > 0x7e }) {
					t.Fatalf("%s at %v: more than ASCII:\n%s", name, s, frame)
				}
			}
			d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
		})
	}
}

func TestNothingIsDrawnBeforeTheSizeIsKnown(t *testing.T) {
	d := start(t, 0, 0)
	if d.frame() != "" {
		t.Errorf("%q", d.frame())
	}
}

func TestTooSmallSaysSoAndChangesNothing(t *testing.T) {
	d := start(t, 60, 20)
	d.shows("Too small: 60 by 20. Needs 80 by 24.")
	before := *d.m.d
	d.keys("j enter x enter tab right")
	if d.m.ed != nil || d.m.d.Gen != before.Gen || d.m.d.Stage != before.Stage {
		t.Error("keys changed what nobody sees")
	}
	d.keys("ctrl+c")
	if !d.quit {
		t.Error("ctrl+c does not leave")
	}
}

// TestResizeStorm: sizes in any order leave the frame as that size gives it.
func TestResizeStorm(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(featureStage)
	want := map[[2]int]string{}
	r := rand.New(rand.NewSource(1))
	sizes := [][2]int{{80, 24}, {200, 60}, {79, 24}, {120, 33}, {132, 43}}
	for range 300 {
		s := sizes[r.Intn(len(sizes))]
		d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
		frame := d.frame()
		fits(t, frame, s[0], s[1])
		if want[s] == "" {
			want[s] = frame
		} else if want[s] != frame {
			t.Fatalf("at %v the frame depends on the sizes before", s)
		}
	}
}

// TestKeyWithoutEffectChangesNothing: no byte of the frame, on any stage.
func TestKeyWithoutEffectChangesNothing(t *testing.T) {
	d := start(t, 80, 24, withFiles)
	walk(d, func(name string) {
		if d.m.ed != nil {
			return
		}
		before := d.frame()
		for _, k := range []tea.KeyMsg{burst("Q"), burst("!"), burst("é"), {Type: tea.KeyF5}, {Type: tea.KeyInsert}, {Type: tea.KeyCtrlG}, burst("漢")} {
			d.send(k)
			if d.frame() != before {
				t.Fatalf("%s: %q changed the frame", name, k)
			}
		}
	})
	// A key at the end of its way has no effect either, and leaves a message.
	d = start(t, 80, 24)
	d.stock()
	d.at("name")
	d.m.say(inkWarn, "a message that stands")
	before := d.frame()
	d.keys("up up home pgup")
	if d.frame() != before {
		t.Error("a key at the end of its way changed the frame")
	}
	d.keys("down")
	d.lacks("a message that stands")
}

// hostile holds all 65 control runes of ISO 6429 (C0, DEL and C1), and what
// else moves text about: bidi marks, line separators, broken UTF-8, emoji.
func hostile() string {
	var b strings.Builder
	for r := rune(0); r <= 0x9f; r++ {
		if r < 0x20 || r >= 0x7f {
			b.WriteRune(r)
		}
	}
	return "A" + b.String() + "\x1b[2J\u202e\u2028\u2066\ufe0f\u200d\U0001F525\U000e0001\xff\xc3B"
}

type hostileEngine struct{ fake }

func (h *hostileEngine) Checks(j job.Job, p *planner.Program, f fault.List) []Check {
	x := hostile()
	return []Check{{ID: x, Title: x, Figure: x, Limit: x, Why: x, Do: x, Verdict: planner.Warn, Feature: x}}
}

func (h *hostileEngine) Checklist(j job.Job, p *planner.Program) []Item {
	x := hostile()
	return []Item{{x, AtPlate, x, x, x, x}, {"b" + x, OnPerson, x, x, x, x}}
}

func (h *hostileEngine) List(string) ([]Entry, error) {
	return []Entry{{Name: hostile(), Dir: true}, {Name: hostile() + ".dxf", Kind: "drawing", Size: 1}}, errors.New(hostile())
}

func (h *hostileEngine) Lookup(j job.Job) (Preset, error) {
	p, err := h.fake.Lookup(j)
	p.Note = hostile()
	p.Process.Preset, p.Process.Source, p.Process.Gas = plain.Of(hostile()), plain.Of(hostile()), plain.Of(hostile())
	p.Process.State = job.State(hostile())
	return p, err
}

func (h *hostileEngine) Files(string, string, job.Job, *planner.Program) []Target {
	return []Target{{hostile(), hostile(), true}}
}

func (h *hostileEngine) Plan(ctx ctxt, j job.Job, l loopsOf) (*planner.Program, fault.List) {
	p, f := h.fake.Plan(ctx, j, l)
	x := hostile()
	if p != nil {
		p.Verdict.Findings = []proof.Finding{{Line: 3, Feature: x, Code: x, Text: x, Do: x}}
	}
	f.Warnf(fault.Where{File: x, Line: 1, Entity: x, Feature: "p1.h1"}, x, x, "%s", x)
	f.Warnf(fault.Where{File: x, Line: 1, Entity: x, Feature: x}, x, x, "%s", x)
	return p, f
}

// TestHostileTextNeverReachesTheScreen: every string that comes from outside
// holds every control rune; no frame does.
func TestHostileTextNeverReachesTheScreen(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		for _, size := range [][2]int{{80, 24}, {200, 60}} {
			d := start(t, size[0], size[1], func(s *Session) { s.Engine, s.ASCII = &hostileEngine{}, ascii })
			x := hostile()
			look := func(where string) {
				t.Helper()
				frame := d.frame()
				fits(t, frame, size[0], size[1])
				for _, r := range frame {
					if r != '\n' && (r < 0x20 || r >= 0x7f && r <= 0x9f || r == '\u202e' || r == '\u2028' || r == '\u2066' || r == 0xfe0f || r == 0x200d || r == 0x1f525 || r == 0xfffd) {
						t.Fatalf("%s: rune %U is on the screen:\n%q", where, r, frame)
					}
				}
			}
			d.stock()
			d.run(d.m.change(func(dr *Draft) {
				j := &dr.Job
				j.Name, dr.Operator = plain.Of(x), plain.Of(x)
				j.Drawings[0].Name = plain.Of(x)
				j.Drawings = append(j.Drawings, job.Drawing{File: "broken" + x, SHA256: x, Name: plain.Of(x), Layers: []job.Layer{{Name: plain.Of(x), Use: job.LayerUse(x)}}})
				j.Overrides = []job.Override{{Feature: "p1.h2", Note: plain.Of(x)}}
				j.Machine.Name, j.Machine.Notes = plain.Of(x), plain.Of(x)
				dr.Name, dr.Dir = x, "/"+x
			}))
			look("stock")
			for _, id := range []string{"drawing0", "drawing1", "machine", "add"} {
				d.at(id).keys("enter")
				look(id)
				for range 6 {
					d.keys("down")
					look(id)
				}
				d.keys("esc")
			}
			d.keys("t")
			look("told")
			d.keys("esc")
			d.run(d.m.change(func(dr *Draft) { dr.Job.Drawings = dr.Job.Drawings[:1] }))
			d.process()
			d.at("preset")
			look("process")
			d.keys("?")
			look("why")
			d.keys("esc")
			d.go_(featureStage)
			d.at("f:p1.h1")
			look("features")
			d.at("f:p1.h2").keys("enter")
			look("feature")
			d.keys("esc t")
			look("told")
			d.keys("esc")
			d.go_(checkStage)
			for range 8 {
				look("checks")
				d.keys("down")
			}
			d.run(d.m.change(func(dr *Draft) {
				for _, it := range d.m.res.items {
					dr.Job.Checks = append(dr.Job.Checks, job.Confirmation{ID: it.ID, By: plain.Of(x), At: x, RestsOn: it.RestsOn})
				}
			}))
			look("confirmed")
			d.go_(saveStage)
			for range 8 {
				look("save")
				d.keys("down")
			}
			d.send(saveDone{gen: d.m.d.Gen, paths: []string{"/" + x}})
			look("saved")
			d.send(saveDone{gen: d.m.d.Gen, err: errors.New(x)})
			look("not saved")
			d.send(crashed{what: x, why: x, note: x})
			look("crashed")
			d.send(openDone{path: x, faults: fault.List{{Severity: fault.Error, Where: fault.Where{File: x}, What: x, Do: x}}})
			look("broken job")
			d.send(foundDone{[]Found{{Path: x, Err: errors.New(x)}, {Path: "b" + x, Draft: &Draft{Job: job.Job{Name: plain.Of(x)}}}}})
			look("drafts")
			d.run(d.m.change(func(dr *Draft) { dr.Name = "" }))
			d.keys("ctrl+c")
			look("leave")
		}
	}
}

// TestCursorIsMarkedWithoutColour: in the profile without colour bold and
// reverse vanish too, so the row has a glyph.
func TestCursorIsMarkedWithoutColour(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		d := start(t, 80, 24, func(s *Session) { s.ASCII = ascii })
		mark := "▸"
		if ascii {
			mark = ">"
		}
		n := 0
		for _, l := range strings.Split(d.frame(), "\n") {
			if strings.HasPrefix(l, mark) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("ascii %v: %d rows are marked", ascii, n)
		}
	}
}

// TestTheFrameAlwaysSays: where I am, what blocks saving, the keys.
func TestTheFrameAlwaysSays(t *testing.T) {
	d := start(t, 80, 24, withFiles)
	walk(d, func(name string) {
		lines := strings.Split(d.frame(), "\n")
		road, door, keys := lines[1], lines[22], lines[23]
		for s := range stages {
			if want := fmt.Sprintf("%d %s", s+1, s); !strings.Contains(strings.ToLower(road), want) {
				t.Errorf("%s: the road does not show %q: %s", name, want, road)
			}
		}
		if !strings.Contains(road, strings.ToUpper(stage(d.m.d.Stage).String())) {
			t.Errorf("%s: the stage one is in is not marked: %s", name, road)
		}
		want := "SHUT"
		if d.m.shut() == "" {
			want = "OPEN"
			if d.m.d.Saved {
				want = "SAVED"
			}
		}
		if !strings.Contains(door, " "+want+" ") {
			t.Errorf("%s: the door does not say %s: %s", name, want, door)
		}
		if !strings.Contains(keys, "enter") && !strings.Contains(keys, "esc") && !strings.Contains(keys, "why") && !strings.Contains(keys, "back") {
			t.Errorf("%s: no keys: %s", name, keys)
		}
	})
}
