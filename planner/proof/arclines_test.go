package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// manyLines gives every arc of the good program the lines of a profile that
// has several: they light, say what is wanted, wait, and put out.
func manyLines() (*text, proof.Input) {
	var lines []string
	for _, l := range good().lines {
		switch {
		case l == "M3":
			lines = append(lines, "(torch at 3.8 mm, wait 0.40 s)", "M3 S45", "(arc of 45 A)")
		case l == "M5" && len(lines) > 5:
			lines = append(lines, "M5", "(gas runs on)", "G4 P0.2")
		default:
			lines = append(lines, l)
		}
	}
	in := input(nil)
	in.Amps = 45
	in.Form.Lines.ArcOn = []string{"(torch at {pierce_height} mm, wait {pierce_delay} s)", "M3 S{amps}", "", "(arc of {amps} A)", "G4 P{pierce_delay}"}
	in.Form.Lines.ArcOff = []string{"M5", "(gas runs on)", "G4 P0.2"}
	return &text{lines}, in
}

func TestArcLinesOfSeveralLinesAreReadInFull(t *testing.T) {
	x, in := manyLines()
	in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
	if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 || len(r.Cuts) != 6 {
		t.Fatal(show(r))
	}
	// Blanks, case, line numbers and comments between mean nothing.
	x.sub("p1.h1", "M3", 0, "M3 S45", " n20 m3s45 (lit)")
	x.insert(x.find("p1.h1", "(arc of", 0), "")
	in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
	if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 {
		t.Error(show(r))
	}
}

func TestEveryMutantOfTheArcLinesIsCaught(t *testing.T) {
	for _, m := range []struct {
		name  string
		spoil func(x *text, in *proof.Input)
		code  string
		line  string
	}{
		{"first line missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "(torch", 0) }, "arc-on-lines", ""},
		{"line behind missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "(arc of", 0) }, "arc-on-lines", "G4"},
		{"last line missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "G4", 0) }, "arc-on-lines", "G1 Z"},
		{"another order", func(x *text, in *proof.Input) {
			i := x.find("p1.h2", "(arc of", 0)
			x.lines[i], x.lines[i+1] = x.lines[i+1], x.lines[i]
		}, "arc-on-lines", "G4"},
		{"another current", func(x *text, in *proof.Input) { x.sub("p1.h2", "M3", 0, "S45", "S60") }, "arc-on-lines", "M3 S60"},
		{"another current in a comment", func(x *text, in *proof.Input) { x.sub("p1.h2", "(arc", 0, "45", "85") }, "arc-on-lines", "(arc of 85"},
		{"another delay in a comment", func(x *text, in *proof.Input) { x.sub("p1.h2", "(torch", 0, "0.40", "0.90") }, "arc-on-lines", "(torch"},
		{"another height", func(x *text, in *proof.Input) { x.sub("p1.h2", "(torch", 0, "3.8", "3.0") }, "arc-on-lines", "(torch"},
		{"field left empty", func(x *text, in *proof.Input) { x.sub("p1.h2", "(arc", 0, "45", "") }, "arc-on-lines", "(arc of"},
		{"field not filled", func(x *text, in *proof.Input) { x.sub("p1.h2", "(arc", 0, "45", "{amps}") }, "arc-on-lines", "(arc of {"},
		{"word added", func(x *text, in *proof.Input) { x.sub("p1.h2", "M3", 0, "S45", "S45 T1") }, "arc-on-lines", "M3"},
		{"line behind the end missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "(gas", 0) }, "arc-off-lines", "G4"},
		{"wait behind the end missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "G4", 1) }, "arc-off-lines", "G0 Z"},
		{"wait behind the end shorter", func(x *text, in *proof.Input) { x.sub("p1.h2", "G4", 1, "0.2", "0.1") }, "arc-off-lines", "G4 P0.1"},
	} {
		x, in := manyLines()
		m.spoil(x, &in)
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		r := proof.Prove(in)
		if f := caught(r, x, m.code, "p1.h2", m.line); r.OK || f == nil || f.Do == "" {
			t.Errorf("%s: wanted [%s] in a line %q\n%s", m.name, m.code, m.line, show(r))
		}
		if slices.ContainsFunc(r.Findings, func(f proof.Finding) bool { return f.Feature != "p1.h2" }) {
			t.Errorf("%s: another feature is named too\n%s", m.name, show(r))
		}
	}
}

// A torch that an output lights: the line that works is found among others,
// and what stands before and behind it is asked for all the same.
func TestArcLinesOfAnOutputAreReadInFull(t *testing.T) {
	write := func() (*text, proof.Input) {
		var lines []string
		for _, l := range good().lines {
			switch {
			case l == "M3":
				lines = append(lines, "(torch at 3.8 mm)", "M64 P1", "(lit)")
			case l == "M5" && len(lines) > 5:
				lines = append(lines, "(arc out)", "M65 P1")
			case l == "M5":
				lines = append(lines, "M65 P1")
			default:
				lines = append(lines, l)
			}
		}
		in := input(nil)
		in.Form.Lines.ArcOn = []string{"(torch at {pierce_height} mm)", "M64 P1", "(lit)", "G4 P{pierce_delay}"}
		in.Form.Lines.ArcOff = []string{"(arc out)", "M65 P1"}
		return &text{lines}, in
	}
	for name, c := range map[string]struct {
		spoil func(x *text)
		code  string
	}{
		"as written":          {func(x *text) {}, ""},
		"height missing":      {func(x *text) { x.drop("p1.h2", "(torch", 0) }, "arc-on-lines"},
		"another height":      {func(x *text) { x.sub("p1.h2", "(torch", 0, "3.8", "4.8") }, "arc-on-lines"},
		"word behind":         {func(x *text) { x.drop("p1.h2", "(lit)", 0) }, "arc-on-lines"},
		"word before the end": {func(x *text) { x.drop("p1.h2", "(arc out)", 0) }, "arc-off-lines"},
	} {
		x, in := write()
		c.spoil(x)
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		r := proof.Prove(in)
		if c.code == "" && (!r.OK || len(r.Cuts) != 6) || c.code != "" && (r.OK || caught(r, x, c.code, "p1.h2", "") == nil) {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// A height stands in the lines of an inch program in inches.
func TestArcLinesOfAnInchProgramNameInches(t *testing.T) {
	for height, ok := range map[string]bool{"0.1496": true, "3.8": false, "0.25": false} {
		w := &writer{k: 1 / 25.4, dec: 5}
		w.header()
		for _, c := range cuttings() {
			w.cut(c)
		}
		w.footer()
		var lines []string
		for _, l := range w.lines {
			if l == "M3" {
				lines = append(lines, "(torch at "+height+")")
			}
			lines = append(lines, l)
		}
		in := input([]byte(strings.Join(lines, "\n") + "\n"))
		in.Form.Units = unit.Inch
		in.Form.Lines.ArcOn = []string{"(torch at {pierce_height})", "M3", "G4 P{delay}"}
		if r := proof.Prove(in); r.OK != ok {
			t.Errorf("%s in: %s", height, show(r))
		}
	}
}

// A feature of a current of its own, such as a mark, is lit at that.
func TestArcLinesNameTheCurrentOfTheFeature(t *testing.T) {
	for amps, code := range map[string]string{"S45": "arc-on-lines", "S20": ""} {
		x, in := manyLines()
		in.Parts[0].Features[1].Amps = 20
		id := in.Parts[0].Features[1].ID
		x.sub(id, "M3", 0, "S45", amps)
		if amps == "S20" {
			x.sub(id, "(arc", 0, "45", "20")
		}
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		if r := proof.Prove(in); r.OK != (code == "") || !r.OK && caught(r, x, code, id, "") == nil {
			t.Errorf("%s: %s", amps, show(r))
		}
	}
}

// What is told names the line of the profile that is missing, and stands where
// the arc is lit.
func TestMissingArcLineIsNamed(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(x *text, in *proof.Input)
		line  string // "": the last of the program
		words string
	}{
		{"the first", func(x *text, in *proof.Input) { x.drop("p1.h2", "(torch", 0) }, "G0 Z3.8", "line 1 of the arc-on lines must stand here: \"(torch at"},
		{"the third", func(x *text, in *proof.Input) { x.drop("p1.h2", "(arc of", 0) }, "G4", "line 3 of the arc-on lines must stand here: \"(arc of"},
		{"the last of the program", func(x *text, in *proof.Input) {
			x.lines = x.lines[:x.find("p1.outline", "(gas", 0)+1]
		}, "", "line 3 of the arc-off lines is missing: \"G4 P0.2\""},
		{"before the program's first line", func(x *text, in *proof.Input) {
			x.lines = append([]string{"", "M3 S45", "(arc of 45 A)"}, x.lines...)
		}, "M3", "line 1 of the arc-on lines is missing: \"(torch at"},
		{"a field of no number", func(x *text, in *proof.Input) {
			in.Form.Lines.ArcOn[0] = "(torch at {height})"
			for i, l := range x.lines {
				if strings.HasPrefix(l, "(torch") {
					x.lines[i] = "(torch at {height})"
				}
			}
		}, "(torch", "the field {height} of the arc-on lines was not filled"},
	} {
		x, in := manyLines()
		c.spoil(x, &in)
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		r := proof.Prove(in)
		if !slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
			return strings.Contains(f.Text, c.words) && (c.line == "" && f.Line == len(x.lines) || c.line != "" && strings.HasPrefix(x.lines[f.Line-1], c.line))
		}) {
			t.Errorf("%s: wanted %q\n%s", c.name, c.words, show(r))
		}
	}
}

// A program may begin with the arc-on lines: nothing of them is missing then.
func TestArcLinesMayBeTheFirstOfAProgram(t *testing.T) {
	x, in := manyLines()
	at := x.find("p1.h1", "(torch", 0)
	for _, before := range [][]string{nil, {""}, {"", ""}} {
		in.Text = []byte(strings.Join(append(before, x.lines[at:]...), "\n") + "\n")
		if r := proof.Prove(in); slices.Contains(codes(r), "arc-on-lines") || !slices.Contains(codes(r), "place-unknown") {
			t.Errorf("%d empty lines before: %s", len(before), show(r))
		}
	}
}

// Where the spindle word lights the torch, an output before it is only one of
// the lines.
func TestOutputBeforeTheSpindleWordIsAnArcLine(t *testing.T) {
	write := func(out string) proof.Input {
		var lines []string
		for _, l := range good().lines {
			if l == "M3" {
				lines = append(lines, out)
			}
			lines = append(lines, l)
		}
		in := input([]byte(strings.Join(lines, "\n") + "\n"))
		in.Form.Lines.ArcOn = []string{"M64 P1", "M3", "G4 P{pierce_delay}"}
		in.Form.Lines.Header = []string{"M65 P1"}
		return in
	}
	wantGood(t, write("M64 P1"))
	wantCodes(t, proof.Prove(write("M65 P1")), "arc-on-lines")
}
