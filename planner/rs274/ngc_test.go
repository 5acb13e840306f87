package rs274_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/rs274"
	"github.com/BurntSushi/toml"
)

// ngc holds the figures of testdata/ngc.toml; sources stand beside each there.
type ngc struct {
	Order []struct {
		Step  int
		Codes []string
	}
	ModalGroup []struct {
		Kind  string
		Group int
		Codes []string
	} `toml:"modal_group"`
	Limit []struct {
		Name  string
		Value any
	}
	Letters []struct {
		Allowed    []string
		NotAllowed []string `toml:"not_allowed"`
	}
	Codes []struct {
		Kind  string
		Codes []string
	}
	Absent []struct{ Code string }
	Line   []struct {
		Text  string
		OK    bool
		Units string
		Start [3]float64
	}
	LongLine []struct {
		Length        int
		ByReport      bool `toml:"ok_by_report"`
		ByInterpreter bool `toml:"ok_by_interpreter"`
	} `toml:"long_line"`
	Arc []struct {
		Name, Units string
		Start, End  [2]float64
		I, J        float64
		Clockwise   bool
		Centre      [2]float64
		RStart      float64 `toml:"r_start"`
		OK          bool
		Sweep       float64 `toml:"sweep_deg"`
	}
	ArcRadius []struct {
		Name       string
		Start, End [2]float64
		R          float64
		Clockwise  bool
		Centre     [2]float64
		Sweep      float64 `toml:"sweep_deg"`
	} `toml:"arc_radius_format"`
	G92 []struct {
		CurrentX    float64 `toml:"current_x"`
		Word        string
		Offset      float64
		Then        string
		OffsetAfter float64 `toml:"offset_after"`
	}
	Rounding []struct {
		Units      string
		Start, End [2]float64
		I, J       float64
	} `toml:"rounding_counter_example"`
}

func figures(t *testing.T) ngc {
	t.Helper()
	var f ngc
	if _, err := toml.DecodeFile("testdata/ngc.toml", &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFiguresAgreeWithTheSharedReference(t *testing.T) {
	shared := filepath.Join("..", "..", "..", "shared", "reference", "ngc.toml")
	if _, err := os.Stat(shared); err != nil {
		t.Skip("the shared reference is not here: ", err)
	}
	ours, theirs := figures(t), ngc{}
	if _, err := toml.DecodeFile(shared, &theirs); err != nil {
		t.Fatal(err)
	}
	for i := range ours.ArcRadius { // figures are compared; the names of these arcs are our own
		ours.ArcRadius[i].Name = ""
	}
	for i := range theirs.ArcRadius {
		theirs.ArcRadius[i].Name = ""
	}
	if fmt.Sprint(ours) != fmt.Sprint(theirs) {
		t.Error("testdata/ngc.toml is not what the reference says now")
	}
}

func units(name string) rs274.Units {
	if name == "inch" {
		return rs274.Inches
	}
	return rs274.Millimetres
}

// one reads a single line, closed by an M2.
func one(line string, u rs274.Units, start rs274.Vec, d rs274.Dialect) ([]rs274.Move, fault.List) {
	return rs274.Read([]byte(line+"\nM2\n"), rs274.Options{Units: u, Start: start, Dialect: d})
}

func TestEveryLineWithAVerdictGetsThatVerdict(t *testing.T) {
	lines := figures(t).Line
	if len(lines) != 53 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, l := range lines {
		_, faults := one(l.Text, units(l.Units), rs274.Vec{X: l.Start[0], Y: l.Start[1], Z: l.Start[2]}, rs274.Dialect{})
		if faults.Bad() == l.OK {
			t.Errorf("%q: wanted ok = %v, got %v", l.Text, l.OK, faults)
		}
		for _, f := range faults {
			if f.Line != 1 || f.Do == "" || f.Code == "" {
				t.Errorf("%q: fault without line, code or advice: %+v", l.Text, f)
			}
		}
	}
}

// The refused lines among them, and the rule that each must be refused by.
func TestRefusedLinesAreRefusedForTheirOwnReason(t *testing.T) {
	why := map[string]string{
		"N000009 G21": "line-number", "N100000 G21": "line-number", "G21 N10": "line-number", "G1 X1 F100 (a (b) c)": "comment-nested",
		"G1 X1 F100 (open": "comment-open", "G1 X1 F100 ; note": "character", "G0 G1 X1": "modal-group", "G17 G18": "modal-group", "G20 G21": "modal-group",
		"M3 M5": "modal-group", "M0 M3 M6 M7 M48": "m-words", "G0 X1 X2": "repeated", "F100 F200": "repeated", "G1 G92 X1 F100": "axis-clash",
		"G92": "axis-word", "G80 X1": "axis-word", "G0": "axis-word", "G4 P-1": "dwell", "G4": "dwell", "G2 X10 Y0 F100": "arc", "G2 I5 F100": "axis-word",
		"G2 X0 Y0 R5 F100": "arc", "G2 X10 Y0 I5 R5 F100": "arc", "G2 X10 Y0 I5 K1 F100": "arc", "G38.2 Z-0.2 F100": "probe", "G38.2 F100": "axis-word",
		"G90.1": "unknown-word", "G91.1": "unknown-word", "G64 P0.1": "stray-word", "M64 P1": "unknown-word", "O100": "letter", "E1": "letter",
		"G53 G2 X1 Y0 I0.5 F100": "g53", "S-1": "speed", "T-1": "integer", "F-1": "feed",
	}
	for _, l := range figures(t).Line {
		if l.OK {
			continue
		}
		_, faults := one(l.Text, units(l.Units), rs274.Vec{X: l.Start[0], Y: l.Start[1], Z: l.Start[2]}, rs274.Dialect{})
		if len(faults) != 1 || faults[0].Code != why[l.Text] {
			t.Errorf("%q: wanted [%s], got %v", l.Text, why[l.Text], faults)
		}
	}
}

// Values that the lines above are said to have.
func TestValuesOfTheVerdictLines(t *testing.T) {
	for line, want := range map[string]rs274.Vec{
		"g0x +0. 12 34y 7":                 {X: 0.1234, Y: 7},
		"G0 X[2.0 / 3 * 1.5 - 5.5 / 11.0]": {X: 0.5},
		"G0 X[FIX[-2.8]]":                  {X: -3},
		"G0 X[FUP[-2.8]]":                  {X: -2},
	} {
		moves, faults := one(line, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.Bad() || moves[0].Kind != rs274.Rapid || dist(moves[0].To, want) > 1e-12 {
			t.Errorf("%q: %v, want %v; %v", line, moves[0].To, want, faults)
		}
	}
}

func dist(a, b rs274.Vec) float64 {
	d := a.Sub(b)
	return math.Sqrt(d.X*d.X + d.Y*d.Y + d.Z*d.Z)
}

func TestLineLengthLimits(t *testing.T) {
	for _, l := range figures(t).LongLine {
		text := "(" + strings.Repeat("x", l.Length-2) + ")"
		_, faults := one(text, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.Bad() == l.ByReport {
			t.Errorf("length %d: error %v, the report allows it: %v", l.Length, faults.Bad(), l.ByReport)
		}
		if l.ByReport && (len(faults) == 0) != l.ByInterpreter {
			t.Errorf("length %d: warned %v, the interpreter takes it: %v", l.Length, faults, l.ByInterpreter)
		}
	}
}

func TestArcsOfTheReport(t *testing.T) {
	for _, a := range figures(t).Arc {
		word := "G3"
		if a.Clockwise {
			word = "G2"
		}
		k := 1.0
		if a.Units == "inch" {
			k = 25.4
		}
		line := fmt.Sprintf("%s X%v Y%v I%v J%v F100", word, a.End[0], a.End[1], a.I, a.J)
		moves, faults := one(line, units(a.Units), rs274.Vec{X: a.Start[0] * k, Y: a.Start[1] * k}, rs274.Dialect{})
		if faults.Bad() != !a.OK {
			t.Errorf("%s: ok = %v: %v", a.Name, a.OK, faults)
			continue
		}
		if !a.OK {
			if !strings.Contains(faults.Err().Error(), "radius is") || faults[0].Code != "arc-radius" {
				t.Errorf("%s: %v does not name the radii", a.Name, faults)
			}
			continue
		}
		m := moves[0]
		if m.Kind != rs274.Arc || math.Hypot(m.Center.X-a.Centre[0]*k, m.Center.Y-a.Centre[1]*k) > 1e-9 {
			t.Errorf("%s: centre %v, want %v", a.Name, m.Center, a.Centre)
		}
		if d := m.Sweep*180/math.Pi - a.Sweep; math.Abs(d) > 1e-8 {
			t.Errorf("%s: sweep %.10g, want %.10g degrees", a.Name, m.Sweep*180/math.Pi, a.Sweep)
		}
	}
}

func TestArcsGivenByRadius(t *testing.T) {
	for _, a := range figures(t).ArcRadius {
		word := "G3"
		if a.Clockwise {
			word = "G2"
		}
		line := fmt.Sprintf("%s X%v Y%v R%v F100", word, a.End[0], a.End[1], a.R)
		moves, faults := one(line, rs274.Millimetres, rs274.Vec{X: a.Start[0], Y: a.Start[1]}, rs274.Dialect{})
		if faults.Bad() {
			t.Fatalf("%s: %v", a.Name, faults)
		}
		m := moves[0]
		if math.Hypot(m.Center.X-a.Centre[0], m.Center.Y-a.Centre[1]) > 1e-9 {
			t.Errorf("%s: centre %v, want %v", a.Name, m.Center, a.Centre)
		}
		if a.Sweep != 0 && math.Abs(m.Sweep*180/math.Pi-a.Sweep) > 1e-8 {
			t.Errorf("%s: sweep %g, want %g", a.Name, m.Sweep*180/math.Pi, a.Sweep)
		}
	}
}

func TestArcRoundedToThreeDecimalsBreaksTheRadiusRule(t *testing.T) {
	for _, a := range figures(t).Rounding {
		line := fmt.Sprintf("G3 X%v Y%v I%v J%v F100", a.End[0], a.End[1], a.I, a.J)
		if _, faults := one(line, units(a.Units), rs274.Vec{X: a.Start[0], Y: a.Start[1]}, rs274.Dialect{}); !faults.Bad() {
			t.Errorf("%s passed", line)
		}
	}
}

func TestG92OfTheReport(t *testing.T) {
	for _, g := range figures(t).G92 {
		text := fmt.Sprintf("G21\nG0 X%v\n%s\n%s\nM2\n", g.CurrentX, g.Word, g.Then)
		moves, faults := rs274.Read([]byte(text), rs274.Options{})
		if faults.Bad() {
			t.Fatal(faults)
		}
		// After each G92 the next move shows the offset: the second G92, then the end.
		var got []float64
		for _, m := range moves {
			if m.Kind == rs274.Offset {
				got = append(got, m.Off.X)
			}
		}
		if want := []float64{g.Offset, g.OffsetAfter}; !slices.Equal(got, want) {
			t.Errorf("offsets %v, want %v", got, want)
		}
	}
}

// A code of every group is refused beside every other code of it, and taken
// alone (tables 4, 5 and 7); codes that need more than themselves get it.
func TestModalGroupsExcludeOneAnother(t *testing.T) {
	args := map[string]string{"G0": "X1", "G1": "X1 F9", "G2": "X1 I.5 F9", "G3": "X1 I.5 F9", "G38.2": "Z-9 F9", "G4": "P1", "G53": "G0 X1", "G92": "X1", "G10": "L2 P1 X1"}
	notFollowed := []string{"G28", "G30", "G41", "G42", "G43", "G81", "G82", "G83", "G84", "G85", "G86", "G87", "G88", "G89"}
	own := []string{"G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"}
	for _, g := range figures(t).ModalGroup {
		for _, a := range g.Codes {
			line := a + " " + args[a]
			if a == "G92.3" {
				line = "#5211=0 #5212=0 #5213=0 " + line
			}
			_, faults := one(line, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
			switch {
			case slices.Contains(notFollowed, a):
				if !faults.Bad() || faults[0].Code != "not-followed" || !strings.Contains(faults[0].What, a) {
					t.Errorf("%s: %v", a, faults)
				}
			case slices.Contains(own, a):
				if !faults.Bad() || faults[0].Code != "system" || !strings.Contains(faults[0].What, a) {
					t.Errorf("%s: %v", a, faults)
				}
			case faults.Bad():
				t.Errorf("%s alone is refused: %v", line, faults)
			}
			for _, b := range g.Codes {
				if g.Kind == "G" && g.Group == 0 {
					continue
				}
				_, faults := one(a+" "+b, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
				if want := "modal-group"; !faults.Bad() || a != b && faults[0].Code != want || a == b && faults[0].Code != "repeated" {
					t.Errorf("%s %s: want %s, got %v", a, b, want, faults)
				}
			}
		}
	}
}

func TestCodesAndLettersBeyondTheTablesAreRefused(t *testing.T) {
	f := figures(t)
	for _, c := range f.Codes {
		for n := range 1000 {
			code := fmt.Sprintf("%s%v", c.Kind, float64(n)/10)
			if c.Kind == "M" {
				code = fmt.Sprintf("M%d", n)
			}
			_, faults := one(code, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
			unknown := faults.Bad() && faults[0].Code == "unknown-word"
			if want := !slices.Contains(c.Codes, code); unknown != want {
				t.Errorf("%s: unknown %v, want %v: %v", code, unknown, want, faults)
			}
		}
	}
	for _, l := range f.Letters[0].NotAllowed {
		if _, faults := one(l+"1", rs274.Millimetres, rs274.Vec{}, rs274.Dialect{}); !faults.Bad() {
			t.Errorf("%s is taken", l)
		}
	}
	for _, l := range f.Letters[0].Allowed {
		_, faults := one(l+"1", rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.Bad() && faults[0].Code == "letter" {
			t.Errorf("%s is called no letter of the language: %v", l, faults)
		}
	}
	for _, a := range f.Absent {
		text := a.Code
		if len(text) == 1 && text != ";" {
			text += "1"
		}
		if text == "G64 P" {
			text = "G64 P1"
		}
		if _, faults := one(text, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{}); !faults.Bad() {
			t.Errorf("%s is taken although the standard has it not", text)
		}
	}
}

// Whatever order the words of a line are written in, they are done in that of
// table 8.
func TestLineIsDoneInTheOrderOfTable8(t *testing.T) {
	step := func(code string) int {
		for _, o := range figures(t).Order {
			if slices.Contains(o.Codes, code) {
				return o.Step
			}
		}
		t.Fatalf("no step for %s", code)
		return 0
	}
	words := []string{"M0", "X1", "G1", "(c)", "F100", "M3", "G54", "M6", "G4", "P1"}
	type done struct {
		kind rs274.Kind
		step int
	}
	want := []done{{rs274.Comment, step("()")}, {rs274.Tool, step("M6")}, {rs274.Spindle, step("M3")}, {rs274.Dwell, step("G4")},
		{rs274.Offset, step("G54")}, {rs274.Feed, step("G1")}, {rs274.Stop, step("M0")}}
	for i := 1; i < len(want); i++ {
		if want[i-1].step >= want[i].step {
			t.Fatalf("the figures are out of order: %v", want)
		}
	}
	for turn := range words {
		line := strings.Join(append(slices.Clone(words[turn:]), words[:turn]...), " ")
		moves, faults := one(line, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.Bad() {
			t.Fatalf("%s: %v", line, faults)
		}
		var got []rs274.Kind
		for _, m := range moves[:len(moves)-1] {
			got = append(got, m.Kind)
		}
		for i, w := range want {
			if i >= len(got) || got[i] != w.kind {
				t.Fatalf("%s: done in the order %v", line, got)
			}
		}
	}
}
