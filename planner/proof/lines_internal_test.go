package proof

import (
	"reflect"
	"testing"
)

func TestPlainLineLeavesOutWhatMeansNothing(t *testing.T) {
	for line, want := range map[string]string{
		"g0 x1 z-2": "G0X1Z-2", "N19 G0 X9": "G0X9", "n5\tg1": "G1", "N10(5)": "(5)", "N10 7": "",
		"(a  b)": "(A B)", "( a )": "(A)", "(a(b  c)": "(A(B C)", "(a) G0  X1": "(A)G0X1", "(a b) N5": "(A B)N5", "M3\r": "M3", "(N1 a)": "(N1 A)", "": "",
	} {
		if got := plainLine([]byte(line)); got != want {
			t.Errorf("%q is %q, want %q", line, got, want)
		}
	}
}

// A field outside a comment stands for a number, inside for any text.
func TestPatternsMatchWithTheirFieldsFilled(t *testing.T) {
	for _, c := range []struct {
		template, line string
		want           []string // nil: no match
	}{
		{"M3", "m3", []string{}},
		{"M3", "M3 S1", nil},
		{"M3", "M30", nil},
		{"G4 P{d}", "G4 P0.5", []string{"0.5"}},
		{"G4 P{d}", "G4 P", nil},
		{"G4 P{d}", "G4 P[1+2]", nil},
		{"G4 P{d}", "N7 g4p-2", []string{"-2"}},
		{"G4 P{d} M3", "G4 P1 M3", []string{"1"}},
		{"G4 P{d} M3", "G4 P1 M4", nil},
		{"G4 P{d} M3", "G4 P1", nil},
		{"X{a} Y{b}", "X1 Y2", []string{"1", "2"}},
		{"X{a} Y{b}", "X1", nil},
		{"X{a} Y{b}", "XY1", nil},
		{"{x}G0", "1 G0", []string{"1"}},
		{"{x}G0", "G0", nil},
		{"(amps {a}) S{b}", "(amps  45 or so) S3", []string{"45 OR SO", "3"}},
		{"(amps {a}) S{b}", "(amps ) S3", nil}, // the blank before the field is gone too
		{"(amps:{a}) S{b}", "(amps:) S3", []string{"", "3"}},
		{"(amps {a}) S{b}", "(amps 45) SX", nil},
		{"M3 S{a} (note {b})", "M3 S1 (note what is said)", []string{"1", "WHAT IS SAID"}},
		{"M3 S{a} (note {b})", "M3 SX (note 1)", nil},
		{"(a {b} c {d}) X{e}", "(a one c two) X3", []string{"ONE", "TWO", "3"}},
		{"M3 {", "M3 {", []string{}},
	} {
		p := compile(c.template)
		got, ok := p.values(plainLine([]byte(c.line)))
		if ok != (c.want != nil) || ok && len(got)+len(c.want) > 0 && !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q of %q: %q %v, want %q", c.line, c.template, got, ok, c.want)
		}
		if ok != p.matches(plainLine([]byte(c.line))) {
			t.Errorf("%q of %q: two answers", c.line, c.template)
		}
	}
}

func TestTemplateStandsWhereAllItsLinesDo(t *testing.T) {
	at := func(lines []string, text string, n int) bool {
		return newTemplate(lines).at(splitLines([]byte(text)), n)
	}
	two := []string{"M64 P{out}", "", "G4 P1"}
	for _, c := range []struct {
		text string
		n    int
		want bool
	}{
		{"M64 P0\nG4 P1\n", 0, true},
		{"M64 P0\n \t\r\n\nG4 P1\n", 0, true},
		{" m64 p0\n\tg4 p1\n", 0, true},
		{"N10 M64 P0\nn20 G4 P1", 0, true},
		{"G21\nM64 P0\nG4 P1\n", 1, true},
		{"G21\nM64 P0\nG4 P1\n", 0, false},
		{"M64 P0\nG4 P2\n", 0, false},
		{"M64 P0\n", 0, false},
		{"M64 P0\n\n", 0, false},
		{"M64 P0", 1, false},
		{"/M64 P0\nG4 P1\n", 0, false},
		{"M65 P0\nG4 P1\n", 0, false},
	} {
		if at(two, c.text, c.n) != c.want {
			t.Errorf("%q from line %d: want %v", c.text, c.n, c.want)
		}
	}
	if at(nil, "M3\n", 0) || at([]string{"", " "}, "M3\n", 0) {
		t.Error("a template of no lines stands somewhere")
	}
	if !at([]string{"(arc on)"}, "(Arc  on)\n", 0) || !at([]string{"/M64"}, "/m64\n", 0) || !at([]string{"{n}"}, "5\n", 0) {
		t.Error("comment, slashed line or number")
	}
}

// The line of a template that does its work holds the spindle's word, or is the
// first with a code that is no dwell.
func TestWorkerOfATemplate(t *testing.T) {
	for _, c := range []struct {
		lines   []string
		word    string
		p       pattern
		spindle bool
	}{
		{[]string{"M3"}, "M3", nil, true},
		{[]string{"M64 P1", "S1 M3"}, "M3", nil, true},
		{[]string{"M3S1"}, "M3", nil, true},
		{[]string{"M3#1=2"}, "M3", nil, true},
		{[]string{"M30"}, "M3", pattern{"M30"}, false},
		{[]string{"M39"}, "M3", pattern{"M39"}, false},
		{[]string{"(M3)"}, "M3", nil, false},
		{[]string{"M64 P1 (M3)"}, "M3", pattern{"M64P1(M3)"}, false},
		{[]string{"M64 P1 M6"}, "M6", nil, true},
		{[]string{"M64 P1 M66"}, "M6", pattern{"M64P1M66"}, false},
		{[]string{"M64 P{a}", "M65 P1"}, "M3", pattern{"M64P", ""}, false},
		{[]string{"G4 P1", "F100", "M65 P1"}, "M3", pattern{"M65P1"}, false},
		{[]string{"G4 P1"}, "M3", nil, false},
		{nil, "M3", nil, false},
	} {
		if p, spindle := worker(c.lines, c.word); spindle != c.spindle || !spindle && !reflect.DeepEqual(p, c.p) {
			t.Errorf("%q: %q %v, want %q %v", c.lines, p, spindle, c.p, c.spindle)
		}
	}
}

func TestLinesOfATextAreCountedAsTheReaderDoes(t *testing.T) {
	for text, want := range map[string]int{"": 0, "a": 1, "a\n": 1, "a\n\n": 2, "\n": 1, "a\nb": 2} {
		if got := len(splitLines([]byte(text))); got != want {
			t.Errorf("%q has %d lines, want %d", text, got, want)
		}
	}
}
