package proof_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// setOf writes one program for each group of cuts, each with its place in its
// head. before may put lines in front of a program's cuts.
func setOf(before []string, groups ...[]cutting) []*text {
	var out []*text
	for k, group := range groups {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.lines = slices.Insert(w.lines, 1, fmt.Sprintf("(Program %d of %d: hinge)", k+1, len(groups)))
		w.lines = append(w.lines, before...)
		for _, c := range group {
			w.cut(c)
		}
		w.footer()
		out = append(out, &text{w.lines})
	}
	return out
}

func (x *text) bytes() []byte { return []byte(strings.Join(x.lines, "\n") + "\n") }

// inSet is the input of the good job with the programs of a set.
func inSet(in proof.Input, set []*text) proof.Input {
	in.Text, in.Then = set[0].bytes(), nil
	for _, x := range set[1:] {
		in.Then = append(in.Then, x.bytes())
	}
	return in
}

// three parts the good job in three programs: by their cuts 2, 2 and 2.
func three() []*text {
	c := cuttings()
	return setOf(nil, c[:2], c[2:4], c[4:])
}

func TestGoodSetIsProved(t *testing.T) {
	set := three()
	r := wantGood(t, inSet(input(nil), set))
	if r.Programs != 3 || len(r.Cuts) != 6 {
		t.Fatal(show(r))
	}
	for i, c := range r.Cuts {
		if want := cuttings()[i].id; c.Feature != want || c.Program != i/2 || c.N != i+1 {
			t.Errorf("%+v", c)
		}
		x := set[c.Program]
		if from, to := x.section(c.Feature); c.First <= from || c.Last > to || x.lines[c.First-1] != "M3" || x.lines[c.Last-1] != "M5" {
			t.Errorf("lines of %+v", c)
		}
	}
	// Without the last of them the window and the outline are not cut.
	in := inSet(input(nil), set[:2])
	wantCodes(t, proof.Prove(in), "not-cut", "set-place")
}

// Damage to one program of a set is found in that program and on the line where
// the same damage is found in the whole: one mutant for each code and feature.
func TestMutantsOfASetAreFoundWhereTheyAre(t *testing.T) {
	told := map[string]bool{
		"probe p1.h2": true, // its height comes from the cut before, which is of the other program
		"order p1.h3": true, // that the first program cuts it heals it
	}
	for _, m := range mutants {
		if m.line == "M30" || told[m.code+" "+m.feature] {
			continue
		}
		whole := &text{good().lines}
		in := input(nil)
		m.spoil(whole, &in)
		in.Text = whole.bytes()
		f := caught(proof.Prove(in), whole, m.code, m.feature, m.line)
		from, to := whole.section("p1.h3")
		if f == nil || to == len(whole.lines) || f.Line <= from && f.Line > from-3 {
			continue
		}
		told[m.code+" "+m.feature] = true
		// The slow hole is cut by the first program, the rest by the second.
		first, second := setOf(nil, nil, nil)[0], &text{slices.Clone(whole.lines)}
		first.insert(len(first.lines)-2, whole.lines[from:to]...)
		second.lines = slices.Delete(second.lines, from, to)
		second.insert(1, "(program 2 of 2)")
		program, line := 1, f.Line+1
		switch {
		case f.Line > to:
			line -= to - from
		case f.Line > from:
			program, line = 0, f.Line-from+5
		}
		r := proof.Prove(inSet(in, []*text{first, second}))
		if !slices.ContainsFunc(r.Findings, func(g proof.Finding) bool {
			return g.Code == f.Code && g.Program == program && g.Line == line && (g.Feature == f.Feature || f.Feature == "")
		}) {
			t.Errorf("%s: wanted [%s] for %q in program %d, line %d\n%s", m.name, f.Code, f.Feature, program+1, line, show(r))
		}
	}
	if len(told) < 50 {
		t.Errorf("only %d mutants have their place in the set", len(told))
	}
}

// foundIn reports whether a finding has code and words, and stands on a line of
// a program, both counted from 1.
func foundIn(r proof.Result, code, words string, program, line int) bool {
	return slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
		return f.Code == code && strings.Contains(f.Text, words) && f.Program == program-1 && f.Line == line
	})
}

// Each program says which of how many it is, within its first forty lines.
func TestProgramOfASetMustSayItsPlace(t *testing.T) {
	for _, c := range []struct {
		says string
		down int // lines in front of it
		ok   bool
	}{
		{"(Program 2 of 3: hinge)", 0, true},
		{"(program  2 of 3)", 1, true},
		{"N20 ( PROGRAM 2 of 3: )", 1, true},
		{"(Program 2 of 3)", 39, true},
		{"(Program 2 of 3)", 40, false},
		{"(Program 1 of 3: hinge)", 0, false},
		{"(Program 3 of 3)", 5, false},
		{"(Program 2 of 4)", 0, false},
		{"(Program 2 of 31)", 0, false},
		{"(Program 21 of 3)", 0, false},
		{"(Program 2 of 3 of them)", 0, false},
		{"(hinge)", 0, false},
	} {
		set := three()
		set[1].lines = slices.Delete(set[1].lines, 0, 2)
		set[1].insert(0, append(slices.Repeat([]string{"(gate hinge)"}, c.down), c.says)...)
		r := proof.Prove(inSet(input(nil), set))
		if c.ok {
			wantCodes(t, r)
			continue
		}
		line, words := c.down+1, "is not program 2 of 3 by its own words: "+c.says
		if c.down >= 40 || c.says == "(hinge)" {
			line, words = 1, "program 2 of 3 does not say in its head which it is"
		}
		if r.OK || !foundIn(r, "set-place", words, 2, line) {
			t.Errorf("%q: %s", c.says, show(r))
		}
	}
	short := three()
	short[2].lines = []string{"M30"}
	if r := proof.Prove(inSet(input(nil), short)); !foundIn(r, "set-place", "program 3 of 3 does not say", 3, 1) {
		t.Error(show(r))
	}
}

// A finding at the very end of one program is of that program, not of the next,
// and one of no line of an empty text is of that text.
func TestFindingAtTheEndOfAProgramIsOfThatProgram(t *testing.T) {
	for k, id := range []string{"p1.h2", "p2.outline", "p1.outline"} {
		set := three()
		x := set[k]
		x.drop(id, "M5", 0)
		x.drop(id, "G0 Z25", 0)
		x.drop("", "G0 X0 Y0", 0)
		r := proof.Prove(inSet(input(nil), set))
		if !foundIn(r, "lit-end", "", k+1, len(x.lines)) {
			t.Error(show(r))
		}
		x.lines = x.lines[:len(x.lines)-1] // its end is missing: it is judged by its last line
		r = proof.Prove(inSet(input(nil), set))
		if !foundIn(r, "lit-end", "", k+1, len(x.lines)) || !foundIn(r, "no-end", "", k+1, len(x.lines)) {
			t.Error(show(r))
		}
		x.lines = append(x.lines, "M30")
		x.insert(0, "%") // a text between percent lines needs no other end
		x.lines[len(x.lines)-1] = "%"
		r = proof.Prove(inSet(input(nil), set))
		if !foundIn(r, "lit-end", "", k+1, len(x.lines)) || found(r, "no-end", "") {
			t.Error(show(r))
		}
	}
	last := three()
	from, to := last[2].section("p1.outline")
	last[2].lines = slices.Delete(last[2].lines, from, to)
	if r := proof.Prove(inSet(input(nil), last)); !foundIn(r, "not-cut", "is not cut", 3, len(last[2].lines)) {
		t.Error(show(r))
	}
	last[2].insert(0, "%")
	last[2].lines[len(last[2].lines)-1] = "%"
	if r := proof.Prove(inSet(input(nil), last)); !foundIn(r, "not-cut", "is not cut", 3, len(last[2].lines)) {
		t.Error(show(r))
	}
	last[2].lines = last[2].lines[:len(last[2].lines)-1]
	if r := proof.Prove(inSet(input(nil), last)); !foundIn(r, "not-cut", "is not cut", 3, len(last[2].lines)) {
		t.Error(show(r))
	}
	in := inSet(input(nil), three()[:2])
	in.Then = append(in.Then, nil)
	if r := proof.Prove(in); !foundIn(r, "no-end", "", 3, 1) {
		t.Error(show(r))
	}
	// Height that is held at the end of one program is told there.
	for k, id := range []string{"p1.h2", "p1.h3", "p1.outline"} {
		set := three()
		i := set[k].find(id, "G0 Z25", 0)
		set[k].insert(i, "(height hold on)")
		if id == "p1.h3" {
			i = set[k].find("p2.outline", "G0 Z25", 0)
			set[k].insert(i, "(height hold on)")
		}
		if r := proof.Prove(inSet(input(nil), set)); !foundIn(r, "hold-end", "", k+1, i+1) {
			t.Error(show(r))
		}
	}
}

// One program of a set in other units is enough: nothing is compared.
func TestProgramOfASetInOtherUnitsIsToldSoAndNoMore(t *testing.T) {
	for k := range 3 {
		set := three()
		i := set[k].find("", "G21", 0)
		set[k].lines[i] = strings.Replace(set[k].lines[i], "G21", "G20", 1)
		r := proof.Prove(inSet(input(nil), set))
		if r.OK || !found(r, "units", "") || found(r, "uncut", "") || found(r, "not-cut", "") {
			t.Error(show(r))
		}
	}
}

// Somebody starts each program of a set: that is a stop in which the next blank
// is laid in, and after which the plate may lie otherwise.
func TestStartOfAProgramOfASetIsAStop(t *testing.T) {
	a, b := geom.Pt(80, 60), geom.Pt(200, 60)
	write := func(at ...geom.Point) (out []*text) {
		var groups [][]cutting
		for i, c := range at {
			groups = append(groups, []cutting{hole(fmt.Sprintf("p1#%d.h1", i+1), c, 20, full, false)})
		}
		return setOf(nil, groups...)
	}
	wantGood(t, inSet(blanks(nil, 0, 0), write(a, b)))
	r := wantGood(t, inSet(blanks(nil, 0, 1, 2, 3), write(a, a, a, a)))
	for i, c := range r.Cuts {
		if c.Feature != fmt.Sprintf("p1#%d.h1", i+1) {
			t.Errorf("cut %d: %s", i+1, c.Feature)
		}
	}
	// Two of four in one program, without a stop between them; and with one.
	two := setOf(nil, []cutting{hole("p1#1.h1", a, 20, full, false), hole("p1#2.h1", a, 20, full, false)}, []cutting{hole("p1#3.h1", a, 20, full, false), hole("p1#4.h1", a, 20, full, false)})
	wantCodes(t, proof.Prove(inSet(blanks(nil, 0, 1, 2, 3), two)), "cut-twice", "not-cut")
	for k := range two {
		two[k].insert(two[k].find(fmt.Sprintf("p1#%d.h1", 2*k+2), "G0 X", 0), "M0")
	}
	wantGood(t, inSet(blanks(nil, 0, 1, 2, 3), two))
	// A touch-off of the program before serves no cut of the next.
	in := input(nil)
	in.Machine.ProbeReuse = 500
	set := three()
	set[1].drop("p1.h3", "G38.2", 0)
	set[1].drop("p1.h3", "G92", 0)
	if r := proof.Prove(inSet(in, set)); r.OK || !found(r, "no-touch-off", "without any touch-off before") {
		t.Error(show(r))
	}
	// That of an earlier cut in the same program does, where the job says so.
	set = three()
	set[1].drop("p2.outline", "G38.2", 0)
	set[1].drop("p2.outline", "G92", 0)
	wantGood(t, inSet(in, set))
	in.Machine.ProbeReuse = 10
	line := set[1].find("p1.h3", "G38.2", 0) + 1
	if r := proof.Prove(inSet(in, set)); !found(r, "no-touch-off", fmt.Sprintf("the last touch-off (line %d) is", line)) {
		t.Error(show(r))
	}
}

// A run is named by its program and the line there, where there are several.
func TestRunIsNamedByItsProgram(t *testing.T) {
	c := cuttings()
	swapped := setOf(nil, c[:2], []cutting{c[2], c[5]}, []cutting{c[3], c[4]})
	line := swapped[1].find("p1.outline", "M3", 0) + 1
	if r := proof.Prove(inSet(input(nil), swapped)); !found(r, "order", fmt.Sprintf("is cut after p1.outline (line %d of program 2)", line)) {
		t.Error(show(r))
	}
	x := &text{good().lines}
	x.swapped("p1.h3", "p1.outline")
	line = x.find("p1.outline", "M3", 0) + 1
	if r := proof.Prove(input(x.bytes())); !found(r, "order", fmt.Sprintf("is cut after p1.outline (line %d)", line)) {
		t.Error(show(r))
	}
	in := goesOn(lineOf("p1.outline", "M5", 0)+1, program(c[3]))
	if r := proof.Prove(in); !found(r, "order", "is cut after p1.c1 (made before this program)") {
		t.Error(show(r))
	}
}

// drySet is the dry run of the good job in two programs, each with its
// rectangle and its touch-off: the first hole, whose kerf's middle runs 9.25
// about 60, 60, and the rest.
func drySet() []*text {
	var out []*text
	for k, group := range [][]cutting{cuttings()[:1], cuttings()[1:]} {
		w := &writer{k: 1, dec: 4, dry: true}
		w.header()
		w.lines = slices.Insert(w.lines, 1, fmt.Sprintf("(Program %d of 2)", k+1))
		a, b := geom.Pt(50.75, 50.75), geom.Pt(69.25, 69.25)
		if k == 1 {
			a, b = p1a.Sub(geom.Pt(kerf/2, kerf/2+5)), p1b.Add(geom.Pt(kerf/2, kerf/2))
		}
		w.put("G0 %s", w.xy(a))
		for _, word := range []string{"X" + w.n(b.X) + " F2500", "Y" + w.n(b.Y), "X" + w.n(a.X), "Y" + w.n(a.Y)} {
			w.put("G1 %s", word)
		}
		w.put("G38.2 Z%s %s", w.n(-15), w.f(500))
		w.put("G92 Z%s", w.n(-sensor))
		w.put("G0 Z%s", w.n(safe))
		for _, c := range group {
			w.cut(c)
		}
		w.footer()
		out = append(out, &text{w.lines})
	}
	return out
}

func TestDryRunOfASetIsProvedProgramByProgram(t *testing.T) {
	dry := func() proof.Input { in := input(nil); in.Dry = true; return in }
	if r := wantGood(t, inSet(dry(), drySet())); len(r.Cuts) != 6 || r.Cuts[0].Program != 0 || r.Cuts[1].Program != 1 {
		t.Error(show(r))
	}
	for _, c := range []struct {
		name, code string
		spoil      func(x *text) (line int)
	}{
		{"the rectangle too small", "dry-trace", func(x *text) int {
			i := x.find("", "G0 X", 0)
			x.lines[i] = "G0 X60 Y60"
			x.lines[i+3] = "G1 X60"
			x.lines[i+4] = "G1 Y60"
			return i + 2
		}},
		{"no rectangle", "dry-trace", func(x *text) int {
			i := x.find("", "G0 X", 0)
			x.lines = slices.Delete(x.lines, i, i+5)
			return x.find("", "G0 X", 0) + 1
		}},
		{"no touch-off", "dry-height", func(x *text) int {
			x.drop("", "G38.2", 0)
			x.drop("", "G92", 0)
			return slices.IndexFunc(x.lines[x.find("", "(p1", 0):], func(l string) bool { return strings.HasPrefix(l, "G1") }) + x.find("", "(p1", 0) + 1
		}},
		{"touched off beside the plate", "touch-off-void", func(x *text) int {
			i := x.find("", "G38.2", 0)
			x.insert(i, "G0 X-5 Y30")
			return i + 2
		}},
	} {
		for k := range 2 {
			set := drySet()
			line := c.spoil(set[k])
			if r := proof.Prove(inSet(dry(), set)); !foundIn(r, c.code, "", k+1, line) {
				t.Errorf("%s, program %d, line %d: %s", c.name, k+1, line, show(r))
			}
		}
	}
	// The first program has cut its hole when the second is walked through.
	set := drySet()
	i := set[1].find("", "G38.2", 0)
	set[1].insert(i, "G0 X69.25 Y60")
	if r := proof.Prove(inSet(dry(), set)); !foundIn(r, "touch-off-void", "p1.h1", 2, i+2) {
		t.Error(show(r))
	}
	set = drySet()
	set[0].insert(set[0].find("", "G38.2", 0), "G0 X69.25 Y60")
	wantGood(t, inSet(dry(), set))
}

// A pop belongs to the dry run that goes there: the rectangle of another
// program of the set need not hold it, that of its own must.
func TestPopIsTracedByTheDryRunThatShowsIt(t *testing.T) {
	for shown := range 2 {
		set := drySet()
		x := set[shown]
		x.insert(x.find("", "G0 X0 Y0", 0), "G0 X220 Y160")
		in := inSet(input(nil), set)
		in.Dry = true
		in.Parts[0].Features[3].Pop = true
		r := proof.Prove(in)
		if shown == 1 {
			if !r.OK {
				t.Error(show(r))
			}
			continue
		}
		i := x.find("", "G0 X", 0) // the first program's rectangle lies about its hole
		if !foundIn(r, "dry-trace", "220, 160", 1, i+2) {
			t.Error(show(r))
		}
	}
}
