package rs274_test

import (
	"reflect"
	"testing"

	"example.org/kerfwright/planner/rs274"
)

// What a line of a profile's template adds to the standard: each letter goes
// to the code that NISTIR 6556 gives it to, else to the further word beside it.
func TestEachLetterOfATemplateGoesToItsCode(t *testing.T) {
	word := func(letter byte, tenths int, letters string) rs274.Word {
		return rs274.Word{Letter: letter, Tenths: tenths, Letters: letters}
	}
	words := func(w ...rs274.Word) rs274.Dialect { return rs274.Dialect{Words: w} }
	for _, c := range []struct {
		lines []string
		want  rs274.Dialect
	}{
		{[]string{"G0 X1 Y2 Z3"}, rs274.Dialect{}},
		{[]string{"M3 X1"}, rs274.Dialect{}},
		{[]string{"G2 X1 Y1 I1 J1", "G3 X1 R5"}, rs274.Dialect{}},
		{[]string{"G10 L2 P1 X0"}, rs274.Dialect{}},
		{[]string{"G4 P1"}, rs274.Dialect{}},
		{[]string{"G64 P0.1"}, rs274.Dialect{PathTolerance: true}},
		{[]string{"G64 Q1"}, words(word('G', 640, "Q"))},
		{[]string{"G61"}, rs274.Dialect{ExactPath: true}},
		{[]string{"G61.1"}, rs274.Dialect{ExactPath: true}},
		{[]string{"G90.1"}, rs274.Dialect{ArcModes: true}},
		{[]string{"G91.1"}, rs274.Dialect{ArcModes: true}},
		{[]string{"M90.1"}, words(word('M', 901, ""))},
		{[]string{"M5 P2"}, words(word('M', 50, "P"))},
		{[]string{"M67 K1"}, words(word('M', 670, "K"))},
		{[]string{"M66 I1"}, words(word('M', 660, "I"))},
		{[]string{"G2 X1 I1 M66 Q3"}, words(word('M', 660, "Q"))},
		{[]string{"G0 X1 M64"}, words(word('M', 640, ""))},
		{[]string{"G38.3 Z1 F100"}, words(word('G', 383, "Z"))},
		{[]string{"M64 G64 P1"}, words(word('M', 640, "P"))},
		{[]string{"G10 L2 P1 X1 M64 Q1"}, words(word('M', 640, "Q"))},
		{[]string{"M64 P1", "M64 Q1", "M64 P2 Q2"}, words(word('M', 640, "PQ"))},
		{[]string{"G33.1 K1", "M33.1 P1"}, words(word('G', 331, "K"), word('M', 331, "P"))},
		{[]string{"/M64 P1"}, words(word('M', 640, "P"))},
		{[]string{"#1=5 M64 P#1"}, words(word('M', 640, "P"))},
		{[]string{"{x}", "N10 M64 P{y} T1 S2 (note)"}, words(word('M', 640, "P"))},
		{[]string{"M64 P1 ; Q2"}, rs274.Dialect{SemicolonComments: true, Words: []rs274.Word{word('M', 640, "P")}}},
		{[]string{"M64 P1 %"}, words(word('M', 640, "P"))},
	} {
		var d rs274.Dialect
		if c.lines[0] == "{x}" { // a number alone is nothing
			if err := d.Learn(c.lines[0]); err == nil {
				t.Error("a number without a letter is learned")
			}
			c.lines = c.lines[1:]
		}
		if err := d.Learn(c.lines...); err != nil || !reflect.DeepEqual(d, c.want) {
			t.Errorf("%q: %+v, %v; want %+v", c.lines, d, err, c.want)
		}
	}
	for _, line := range []string{"M64\x00 P1", "M64 P", "M1 $", "M64 (", "M1000000 P1", "#=1"} {
		var d rs274.Dialect
		if err := d.Learn(line); err == nil {
			t.Errorf("%q is learned: %+v", line, d)
		}
	}
}

func TestFieldsOfATemplateStandForNumbers(t *testing.T) {
	for line, want := range map[string]string{"{x}": "1", "M64 P{output}": "M64 P1", "X{a}Y{b} Z": "X1Y1 Z", "M64 P{": "M64 P{", "a } b": "a } b", "": ""} {
		if got := rs274.WithoutFields(line); got != want {
			t.Errorf("%q becomes %q, want %q", line, got, want)
		}
	}
}
