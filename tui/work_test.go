package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
)

// collect runs commands to their messages, without handing those over.
func collect(cmds []tea.Cmd) []tea.Msg {
	var out []tea.Msg
	for _, c := range cmds {
		if c == nil {
			continue
		}
		switch msg := c().(type) {
		case nil:
		case tea.BatchMsg:
			out = append(out, collect(msg)...)
		default:
			out = append(out, msg)
		}
	}
	return out
}

// TestUpdateNeverReadsOrPlans: all of it is left to commands.
func TestUpdateNeverReadsOrPlans(t *testing.T) {
	d := start(t, 80, 24)
	d.quiet = true
	d.stock()
	d.process()
	for _, call := range []string{"read", "features", "plan", "open", "list", "save"} {
		if n := d.eng.count(call); n != 0 {
			t.Errorf("%s was called %d times inside Update", call, n)
		}
	}
	// Opened: what changed since is looked for by a command too.
	d.m.opening = opening{was: d.m.d.Job, no: 1, pending: true}
	d.m.res.busy = ""
	cmd := d.m.hold()
	if d.eng.count("since") != 0 || cmd == nil {
		t.Fatal("looked for inside Update, or not at all")
	}
	d.eng.since = []Since{{ID: "preset", What: "preset", State: Changed, Text: "other figures", stage: processStage, row: "preset"}}
	late := cmd()
	d.m.opening.no = 2
	d.send(late)
	if len(d.m.opening.list) != 0 {
		t.Error("what was found of another job is shown")
	}
	d.m.opening.no = 1
	d.send(late)
	if len(d.m.opening.list) != 1 {
		t.Error("what was found is not shown")
	}
}

// TestResultsOfOlderWorkAreDropped: commands end in any order.
func TestResultsOfOlderWorkAreDropped(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(stockStage)
	d.quiet = true
	d.at("stock.thickness").keys("8 enter")
	first := d.later
	d.later = nil
	d.keys("5 enter")
	second := d.later
	d.quiet = false
	for _, msg := range collect(second) { // the newer one ends first
		d.send(msg)
	}
	if f := d.m.res.tree.Features[d.m.featureIndex("p1.h3")]; f.Ratio != 2 {
		t.Fatalf("ratio %v of a 10 mm hole in 5 mm", f.Ratio)
	}
	for _, msg := range collect(first) {
		d.send(msg)
	}
	if f := d.m.res.tree.Features[d.m.featureIndex("p1.h3")]; f.Ratio != 2 {
		t.Errorf("older work came through: ratio %v", f.Ratio)
	}
}

// TestOlderPlanIsCancelled: a plan that nobody waits for any more is told to end.
func TestOlderPlanIsCancelled(t *testing.T) {
	e := &fake{gate: make(chan struct{})}
	d := start(t, 80, 24, func(s *Session) { s.Engine = e })
	d.quiet = true
	d.stock()
	d.process()
	var msgs []tea.Msg
	for _, msg := range collect(d.later) {
		if r, ok := msg.(readDone); ok && r.gen == d.m.workGen {
			msgs = append(msgs, msg)
		}
	}
	d.later = nil
	for _, msg := range msgs {
		d.send(msg)
	}
	if d.m.res.busy != "planning" {
		t.Fatalf("busy: %q", d.m.res.busy)
	}
	d.shows("planning")
	planning := d.later
	done := make(chan []tea.Msg)
	go func() { done <- collect(planning) }()
	d.later = nil
	d.set("rules.overburn", "5") // ends the context
	<-done                       // would wait for the gate otherwise
	if e.count("plan cancelled") != 1 {
		t.Errorf("%v", e.calls)
	}
}

// TestPanicInWorkBecomesAMessage: a broken promise of ours in a command would
// print its trace into the screen and be lost with it.
func TestPanicInWorkBecomesAMessage(t *testing.T) {
	for _, call := range []string{"read", "features", "plan", "list", "open", "save"} {
		t.Run(call, func(t *testing.T) {
			e := &fake{jobs: map[string]job.Job{}}
			d := start(t, 80, 24, func(s *Session) { s.Engine = e })
			switch call {
			case "save":
				d.stock()
				d.process()
				d.confirmAll()
				d.go_(saveStage)
				e.panics = call
				d.at("save").keys("enter")
			case "open":
				e.panics = call
				d.run(d.m.open("/shop/hinge.toml"))
			case "list":
				e.panics = call
				d.at("add").keys("enter")
			default:
				e.panics = call
				d.stock()
				d.process()
				d.keys("t")
			}
			d.shows("a fault of this program")
			note, err := os.ReadFile(filepath.Join(d.m.stateDir, "crash.txt"))
			if err != nil || !strings.Contains(string(note), "a broken promise") || !strings.Contains(string(note), "fake_test.go") {
				t.Errorf("the note does not say what happened: %v\n%s", err, note)
			}
			if d.m.shut() == "" && call != "save" { // a save may be tried again
				t.Error("saving is open after a fault")
			}
			// The wizard goes on.
			e.panics = ""
			d.keys("esc")
			d.go_(stockStage)
			d.set("stock.thickness", "5")
			if d.m.res.busy != "" {
				t.Errorf("still busy: %s", d.m.res.busy)
			}
		})
	}
}

// TestPlanNeedsAllThatItRestsOn: with something unknown the planner is not
// asked, and what is shown is the drawing.
func TestPlanNeedsAllThatItRestsOn(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	if d.eng.count("plan") != 0 || d.m.res.scene == nil || d.m.res.scene.planned {
		t.Errorf("planned %d times", d.eng.count("plan"))
	}
	d.shows("as drawn")
	d.process()
	d.shows("plate, 5 cuts")
	d.set("process.kerf", "")
	if d.m.res.prog != nil || d.m.res.scene.planned {
		t.Error("an old plan stands although the kerf is unknown")
	}
}

// TestEveryEditIsPlannedOnce.
func TestEveryEditIsPlannedOnce(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	n, r := d.eng.count("plan"), d.eng.count("read")
	d.set("rules.overburn", "5")
	if got := d.eng.count("plan"); got != n+1 {
		t.Errorf("planned %d times for one edit", got-n)
	}
	if got := d.eng.count("read"); got != r {
		t.Errorf("drawings were read again for an overburn")
	}
	d.go_(saveStage)
	d.set("name", "other")
	if got := d.eng.count("plan"); got != n+1 {
		t.Error("a file name made a new plan")
	}
	d.confirmAll()
	if got := d.eng.count("plan"); got != n+1 {
		t.Error("confirmations made a new plan")
	}
}

// TestPublicContractWithMain holds what cmd relies on.
func TestPublicContractWithMain(t *testing.T) {
	env := func(kv ...string) func(string) string {
		return func(k string) string {
			for i := 0; i < len(kv); i += 2 {
				if kv[i] == k {
					return kv[i+1]
				}
			}
			return ""
		}
	}
	for _, c := range []struct {
		name string
		env  func(string) string
		want bool
	}{
		{"nothing set", env(), true}, // POSIX: the C locale
		{"UTF-8", env("LANG", "de_DE.UTF-8"), false},
		{"utf8", env("LANG", "en_US.utf8"), false},
		{"Latin-1", env("LANG", "de_DE.ISO-8859-1"), true},
		{"LC_ALL first", env("LANG", "en_US.UTF-8", "LC_ALL", "C"), true},
		{"LC_CTYPE before LANG", env("LANG", "C", "LC_CTYPE", "C.UTF-8"), false},
	} {
		if got := WantsASCII(c.env); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	for term, bad := range map[string]bool{"": true, "dumb": true, "xterm": false, "linux": false, "screen-256color": false} {
		if got := Terminal(env("TERM", term)) != nil; got != bad {
			t.Errorf("TERM=%q refused: %v", term, got)
		}
	}
	out := Outcome{Saved: []string{"/shop/leaf.toml"}, Draft: "/state/draft-01.json"}
	if l := out.Lines(); len(l) != 2 || !strings.Contains(l[0], "saved /shop/leaf.toml") || !strings.Contains(l[1], "draft") {
		t.Errorf("%q", l)
	}
	var _ *planner.Program
}
