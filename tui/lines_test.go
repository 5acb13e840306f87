package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/presets"
)

// talk is the other end of the wizard line by line: it waits for a prompt,
// finds the number of a row by its text, and answers.
type talk struct {
	t    *testing.T
	in   *io.PipeWriter
	text chan string // what came up to each prompt
	all  strings.Builder
	now  string // since the last answer
	done chan struct{}
	out  Outcome
	err  error
}

func talkWith(t *testing.T, s Session) *talk {
	t.Helper()
	inR, inW := io.Pipe()
	outR, outW := io.Pipe()
	k := &talk{t: t, in: inW, text: make(chan string, 1000), done: make(chan struct{})}
	s.In, s.Out, s.Lines = inR, outW, true
	go func() {
		defer close(k.done)
		k.out, k.err = Run(context.Background(), s)
		outW.Close()
	}()
	go func() { // everything up to a prompt, which ends in "> " or "): "
		defer close(k.text)
		var got strings.Builder
		buf := make([]byte, 1<<16)
		for {
			n, err := outR.Read(buf)
			got.Write(buf[:n])
			if s := got.String(); s == "> " || strings.HasSuffix(s, "\n> ") || strings.HasSuffix(s, "): ") {
				k.text <- s
				got.Reset()
			}
			if err != nil {
				k.text <- got.String()
				return
			}
		}
	}()
	k.hear()
	return k
}

// hear waits for the next prompt.
func (k *talk) hear() {
	k.t.Helper()
	select {
	case k.now = <-k.text:
		k.all.WriteString(k.now)
	case <-time.After(60 * time.Second):
		k.t.Fatalf("no prompt; so far:\n%s", k.all.String())
	}
}

// type_ answers with a line.
func (k *talk) type_(line string) *talk {
	k.t.Helper()
	k.all.WriteString("«" + line + "»\n")
	if _, err := io.WriteString(k.in, line+"\n"); err != nil {
		k.t.Fatalf("%q: nobody listens: %v\n%s", line, err, k.all.String())
	}
	k.hear()
	return k
}

// row returns the number of the row that begins with a text, as it was told
// last.
func (k *talk) row(text string) string {
	k.t.Helper()
	re := regexp.MustCompile(`(?m)^(\d+)\. (?:[A-Za-z]+: )?` + regexp.QuoteMeta(text))
	all := re.FindAllStringSubmatch(k.all.String(), -1)
	if len(all) == 0 {
		k.t.Fatalf("no row %q was told:\n%s", text, k.all.String())
	}
	return all[len(all)-1][1]
}

func (k *talk) says(text string) {
	k.t.Helper()
	if !strings.Contains(strings.Join(strings.Fields(k.now), " "), text) {
		k.t.Fatalf("does not say %q:\n%s", text, k.all.String())
	}
}

// TestWholeRoadLineByLine: an empty job to saved and proved files, without one
// sign that moves a cursor.
func TestWholeRoadLineByLine(t *testing.T) {
	_, dir := shopFloor(t, 80, 24)
	k := talkWith(t, Session{Engine: RealEngine(), Dir: dir, StateDir: t.TempDir(), ASCII: true})
	k.says("Stage 1 of ")
	k.says("OPEN: name: unknown")
	k.type_(k.row("add a drawing"))
	k.type_(k.row("hinge-leaf.dxf"))
	k.type_("list")
	set := func(row, v string) { k.t.Helper(); k.type_(k.row(row) + " " + v) }
	set("name", "Gate hinge leaf")
	set("units", "+")
	set("material", "+")
	set("covered by", "+")
	// Asked for, with its range; refused, then taken.
	k.type_(k.row("thickness"))
	k.says("0.2 to 160 mm")
	k.type_("999")
	k.says("not taken:")
	k.says("too large")
	set("thickness", "6 mm")
	set("held as", "+")
	set("size along X", "600")
	set("size along Y", "300")
	set("under the plate", "+")
	k.type_(k.row("profile"))
	k.type_(k.row("plain-mm"))
	k.type_("list")
	set("sensor offset", "1.5")
	for range 5 {
		if k.type_("next"); strings.Contains(k.now, "process: ") {
			break
		}
	}
	set("current", "+")
	k.type_(k.row("preset"))
	k.type_("next")
	set("operator", "J. Berg")
	for range 60 {
		k.type_("n")
		m := regexp.MustCompile(`next open is (\d+)\. OPEN: `).FindStringSubmatch(k.now)
		if m == nil {
			break
		}
		k.type_(m[1])
	}
	k.type_("next")
	k.type_("list")
	if !strings.Contains(k.all.String(), "OPEN all is decided") {
		t.Fatalf("the door stays shut:\n%s", k.all.String())
	}
	k.type_(k.row("file name") + " leaf")
	k.type_("list")
	k.type_(k.row("SAVE"))
	k.says("saved: 3 files")
	k.type_("plate")
	k.says("cut 1 at 0:00.0: ")
	io.WriteString(k.in, "quit\n")
	<-k.done
	if k.err != nil || len(k.out.Saved) != 3 {
		t.Fatalf("%v %+v\n%s", k.err, k.out, k.all.String())
	}
	for _, r := range k.all.String() {
		if r != '\n' && (r < 0x20 || r > 0x7e) && r != '«' && r != '»' {
			t.Fatalf("%q is told", r)
		}
	}
	j, faults := RealEngine().Open(filepath.Join(dir, "leaf.toml"))
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	loops, _ := planner.Read(context.Background(), j, presets.DrawingsIn(dir))
	text, err := os.ReadFile(filepath.Join(dir, "leaf.nc"))
	if err != nil {
		t.Fatal(err)
	}
	if v, faults := planner.Prove(context.Background(), j, loops, text, false); !v.OK || faults.Bad() {
		t.Error(faults.Err())
	}
}

// TestEveryRowOfEveryViewIsTold: what the full screen shows is told here too,
// whoever adds it: each row's label on the walk past all stages and pages.
func TestEveryRowOfEveryViewIsTold(t *testing.T) {
	d := start(t, 80, 24, withFiles)
	walk(d, func(name string) {
		l := liner{m: d.m}
		ids, texts := l.numbered()
		v := d.m.top().list(d.m)
		at := 0
		for i := range v.n {
			r := v.at(i)
			if r.more {
				continue
			}
			if r.live() != (ids[at] != "") {
				t.Fatalf("%s: row %q has no number, or has one", name, r.id)
			}
			if r.plain == nil && !strings.Contains(texts[at], r.label) {
				t.Errorf("%s: %q is not told: %q", name, r.label, texts[at])
			}
			if w := stateWords[r.state]; !strings.HasPrefix(texts[at], w) {
				t.Errorf("%s: its state is not told: %q", name, texts[at])
			}
			at++
		}
		if at != len(texts) {
			t.Errorf("%s: %d rows are told, there are %d", name, len(texts), at)
		}
	})
}

// TestInputThatEndsKeepsTheDraft: a line that dropped.
func TestInputThatEndsKeepsTheDraft(t *testing.T) {
	state := t.TempDir()
	k := talkWith(t, Session{Engine: &fake{}, Dir: "/shop", StateDir: state, ASCII: true})
	k.type_(k.row("name") + " gate leaf")
	k.says("1. name: gate leaf")
	k.in.Close()
	<-k.done
	d, _, err := readKept(k.out.Draft)
	if k.err != nil || err != nil || d.Job.Name.String() != "gate leaf" {
		t.Fatalf("%v %v %+v", k.err, err, d)
	}
	again := talkWith(t, Session{Engine: &fake{}, Dir: "/shop", StateDir: state, ASCII: true})
	again.says("gate leaf 0 drawings")
	again.type_("1")
	again.says("draft taken up")
}

// TestUndoAndWrongWordsLineByLine.
func TestUndoAndWrongWordsLineByLine(t *testing.T) {
	k := talkWith(t, Session{Engine: &fake{}, Dir: "/shop", StateDir: t.TempDir(), ASCII: true})
	k.type_("1 gate")
	k.type_("undo")
	k.says("1. OPEN: name: unknown")
	k.type_("redo")
	k.says("1. name: gate")
	for typed, says := range map[string]string{"77": "there is no row 77", "frobnicate": "not understood", "Z": "means nothing here", "x y": "row's number is wanted",
		"? 1": "What the shop calls the job", "?": "A number acts on that row", "": "Stage 1 of "} {
		k.type_(typed)
		k.says(says)
	}
	k.type_("2")
	k.says("units")
	k.type_("back")
	k.type_("quit")
	k.says("leave, keep the draft")
}

// TestCancelledTalkKeepsTheDraft: a signal ends it as it ends the full screen.
func TestCancelledTalkKeepsTheDraft(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	in, w := io.Pipe()
	defer w.Close()
	done := make(chan error, 1)
	var out Outcome
	go func() {
		var err error
		out, err = Run(ctx, Session{In: in, Out: io.Discard, Lines: true, Engine: &fake{}, Dir: "/shop", StateDir: t.TempDir()})
		done <- err
	}()
	fmt.Fprintln(w, "1 gate leaf")
	fmt.Fprintln(w, "where") // is read only once the name is taken
	fmt.Fprintln(w, "where")
	cancel()
	if err := <-done; !errors.Is(err, context.Canceled) || out.Draft == "" {
		t.Errorf("%v %+v", err, out)
	}
}
