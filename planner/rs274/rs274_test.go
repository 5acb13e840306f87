package rs274_test

import (
	"fmt"
	"go/parser"
	"go/token"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/rs274"
	"pgregory.net/rapid"
)

// The reader may share nothing with the writer: of the module it sees fault only.
func TestReaderImportsFaultOnly(t *testing.T) {
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		seen++
		tree, err := parser.ParseFile(token.NewFileSet(), f.Name(), nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range tree.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			if strings.Contains(path, ".") && path != "example.org/kerfwright/planner/fault" {
				t.Errorf("%s imports %s", f.Name(), path)
			}
		}
	}
	if seen < 5 {
		t.Fatalf("only %d files looked at", seen)
	}
}

func read(t *testing.T, text string, o rs274.Options) []rs274.Move {
	t.Helper()
	moves, faults := rs274.Read([]byte(text), o)
	if faults.Bad() {
		t.Fatalf("%v\n%s", faults, text)
	}
	return moves
}

func refuses(t *testing.T, text string, o rs274.Options, line int, code, word string) {
	t.Helper()
	_, faults := rs274.Read([]byte(text), o)
	for _, f := range faults.At(fault.Error) {
		if f.Line == line && f.Code == code && strings.Contains(f.What, word) {
			return
		}
	}
	t.Errorf("wanted a fault %q with %q in line %d of\n%s\ngot %v", code, word, line, text, faults)
}

func only(moves []rs274.Move, k ...rs274.Kind) (out []rs274.Move) {
	for _, m := range moves {
		for _, want := range k {
			if m.Kind == want {
				out = append(out, m)
			}
		}
	}
	return
}

func TestMotionAndFeedStayInForce(t *testing.T) {
	moves := read(t, "G21 G90\nG1 X10 F600\nY20\nG0 X0\nY0\nM2\n", rs274.Options{})
	got := only(moves, rs274.Feed, rs274.Rapid)
	if len(got) != 4 || got[1].Kind != rs274.Feed || got[1].To != (rs274.Vec{X: 10, Y: 20}) || got[1].Feed != 600 ||
		got[3].Kind != rs274.Rapid || got[3].From != (rs274.Vec{Y: 20}) || got[3].Line != 5 {
		t.Errorf("%+v", got)
	}
}

// 1 in is 25.4 mm exactly (international yard and pound agreement, 1959).
func TestInchesComeOutAsMillimetres(t *testing.T) {
	m := only(read(t, "G20\nG1 X1 Y-2 Z.5 F100\nG21 F10\nG1 F10 X0\nM2\n", rs274.Options{}), rs274.Feed)
	if dist(m[0].To, rs274.Vec{X: 25.4, Y: -50.8, Z: 12.7}) > 1e-13 || math.Abs(m[0].Feed-2540) > 1e-9 {
		t.Errorf("%+v", m[0])
	}
	if m[1].From != m[0].To || m[1].Feed != 10 {
		t.Errorf("after G21: %+v", m[1])
	}
}

func TestIncrementalMovesAddUp(t *testing.T) {
	m := only(read(t, "G21\nG0 X10 Y10\nG91\nX1\nX1 Y-3\nG90 X0\nM2\n", rs274.Options{}), rs274.Rapid)
	if m[2].To != (rs274.Vec{X: 12, Y: 7}) || m[3].To != (rs274.Vec{X: 0, Y: 7}) {
		t.Errorf("%+v", m)
	}
	// G90 on the line acts before its motion (table 8, steps 17 and 20).
	if m[2].Modal.Incremental != true || m[3].Modal.Incremental {
		t.Error("distance mode")
	}
}

// Quarter circles in each plane; the centre and sense follow from the right
// hand rule about the plane's third axis (NISTIR 6556 3.5.3, 2.1.2.11).
func TestArcsInEveryPlane(t *testing.T) {
	for _, c := range []struct {
		line           string
		to, centre     rs274.Vec
		sweep, dirPart float64
	}{
		{"G17 G3 X-10 Y10 I-10 F60", rs274.Vec{X: -10, Y: 10}, rs274.Vec{X: -10}, math.Pi / 2, 1},
		{"G18 G3 Z-10 X10 K-10 F60", rs274.Vec{Z: -10, X: 10}, rs274.Vec{Z: -10}, math.Pi / 2, 1},
		{"G19 G3 Y-10 Z10 J-10 F60", rs274.Vec{Y: -10, Z: 10}, rs274.Vec{Y: -10}, math.Pi / 2, 1},
		{"G18 G2 Z-10 X10 K-10 F60", rs274.Vec{Z: -10, X: 10}, rs274.Vec{Z: -10}, -3 * math.Pi / 2, 1},
		{"G17 G2 X0 Y0 J5 F60", rs274.Vec{}, rs274.Vec{Y: 5}, -2 * math.Pi, 1},
	} {
		m := only(read(t, "G21\n"+c.line+"\nM2\n", rs274.Options{}), rs274.Arc)[0]
		if dist(m.To, c.to) > 1e-12 || dist(m.Center, c.centre) > 1e-12 || math.Abs(m.Sweep-c.sweep) > 1e-12 {
			t.Errorf("%s: %+v", c.line, m)
		}
	}
}

func TestAbsoluteCentresOnlyByDialect(t *testing.T) {
	d := rs274.Dialect{ArcModes: true}
	m := only(read(t, "G21 G90.1\nG0 X7 Y7\nG2 X10 Y16 I10 J11 F100\nG91.1\nG0 X7 Y7\nG2 X10 Y16 I3 J4\nM2\n", rs274.Options{Dialect: d}), rs274.Arc)
	if m[0].Center != m[1].Center || math.Abs(m[0].Sweep-m[1].Sweep) > 1e-12 {
		t.Errorf("%+v", m)
	}
	d = rs274.Dialect{AbsoluteCentres: true}
	m = only(read(t, "G21\nG0 X7 Y7\nG2 X10 Y16 I10 J11 F100\nM2\n", rs274.Options{Dialect: d}), rs274.Arc)
	if m[0].Center != (rs274.Vec{X: 10, Y: 11}) {
		t.Errorf("%+v", m)
	}
}

// F2.0 in inverse time mode means half a minute for the move (3.5.19); on a
// helix the length is along the helix (2.1.2.6).
func TestInverseTimeFeed(t *testing.T) {
	m := only(read(t, "G21 G93\nG1 X100 F2\nG3 X100 Y0 Z30 I-10 F2\nM2\n", rs274.Options{}), rs274.Feed, rs274.Arc)
	if math.Abs(m[0].Feed-200) > 1e-9 || math.Abs(m[1].Feed-2*math.Hypot(2*math.Pi*10, 30)) > 1e-9 {
		t.Errorf("%g %g", m[0].Feed, m[1].Feed)
	}
	refuses(t, "G21 G93\nG1 X100 F2\nX0\nM2\n", rs274.Options{}, 3, "feed", "inverse time")
}

func TestWhatDependsOnTheMachineIsRefused(t *testing.T) {
	none := rs274.Options{}
	refuses(t, "G90\nG0 X1\nM2\n", none, 2, "units", "G20 or G21")
	refuses(t, "G21\nG1 X1\nM2\n", none, 2, "feed", "without a feed")
	refuses(t, "G21 F100\nG1 X1\nM2\n", none, 2, "feed-units", "F100")
	refuses(t, "G20\nF10\nG21\nG1 X1\nM2\n", none, 4, "feed-units", "F10")
	refuses(t, "G21\nG55\nM2\n", none, 2, "system", "G55")
	refuses(t, "G21\nG28\nM2\n", none, 2, "not-followed", "G28")
	refuses(t, "G21\nG41 D1\nM2\n", none, 2, "not-followed", "G41")
	refuses(t, "G21\nG0 X#5\nM2\n", none, 2, "parameter", "#5")
	refuses(t, "G21\nG0 A5\nM2\n", none, 2, "rotary", "A")
	refuses(t, "G21\nG92.3\nM2\n", none, 2, "parameter", "#5211")
}

func TestParametersTakeEffectAfterTheirLine(t *testing.T) {
	// The report's example of section 3.3.3: #3=6 G1 X#3 uses the old value.
	m := only(read(t, "G21 #3=15\n#3=6 G0 X#3\nG0 X#3\nG0 Y[#3+#[1+2]]\nM2\n", rs274.Options{}), rs274.Rapid)
	if m[0].To.X != 15 || m[1].To.X != 6 || m[2].To.Y != 12 {
		t.Errorf("%+v", m)
	}
	refuses(t, "G21\n#5400=1\nM2\n", rs274.Options{}, 2, "integer", "5399")
	refuses(t, "G21\n#0=1\nM2\n", rs274.Options{}, 2, "integer", "1 to 5399")
}

// Ranks: ** first, then * / MOD, then the rest, each from the left (3.3.2.3).
func TestExpressions(t *testing.T) {
	for text, want := range map[string]float64{
		"[1+2*3]":                 7,
		"[2*3**2]":                18,
		"[2**3**2]":               64,
		"[10-4-3]":                3,
		"[7 MOD 4]":               3,
		"[-7 mod 4]":              1,
		"[1 or 0 and 0]":          0,
		"[1 XOR 1]":               0,
		"[2 - -3]":                5,
		"[[1+2]*[3-1]]":           6,
		"sin[30]":                 0.5,
		"cos[60]":                 0.5,
		"TAN[45]":                 1,
		"ATAN[1]/[-1]":            135,
		"asin[0.5]":               30,
		"acos[-1]":                180,
		"sqrt[16]":                4,
		"exp[0]":                  1,
		"ln[exp[2]]":              2,
		"abs[-3]":                 3,
		"round[2.5]":              3,
		"fix[2.8]":                2,
		"fup[2.2]":                3,
		"[1.0e0]":                 math.NaN(),
		"[1+]":                    math.NaN(),
		"[1":                      math.NaN(),
		"[1/0]":                   math.NaN(),
		"sqrt[-1]":                math.NaN(),
		"[1 eq 1]":                math.NaN(),
		"foo[1]":                  math.NaN(),
		"atan[1]":                 math.NaN(),
		"--1":                     math.NaN(),
		"1.2.3":                   math.NaN(),
		".":                       math.NaN(),
		"":                        math.NaN(),
		"+":                       math.NaN(),
		"99999999999999999999999": 99999999999999999999999,
		"0.1234567890123456789":   0.1234567890123456789,
	} {
		moves, faults := one("G0 X"+text, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		switch {
		case math.IsNaN(want) != faults.Bad():
			t.Errorf("%s: %v", text, faults)
		case !faults.Bad() && math.Abs(moves[0].To.X-want) > 1e-12*max(1, want):
			t.Errorf("%s is %g, want %g", text, moves[0].To.X, want)
		}
	}
}

func TestProbeStopsWhereItTrips(t *testing.T) {
	o := rs274.Options{Probe: func(m *rs274.Move) (float64, bool) { return 0.25, m.To.Z > -100 }}
	// The trip point is in #5063 in the program's own units; G92 then makes it
	// the plate's top.
	moves := read(t, "G20\nG0 Z1\nG38.2 Z-1 F10\n#1=#5063\nG92 Z-0.05\nG0 Z#1\nG0 Z0\nM2\n", o)
	p := only(moves, rs274.Probe)[0]
	if math.Abs(p.To.Z-12.7) > 1e-12 {
		t.Errorf("tripped at %v", p.To)
	}
	r := only(moves, rs274.Rapid)
	if math.Abs(r[1].To.Z-12.7) > 1e-12 || math.Abs(r[1].From.Z+1.27) > 1e-12 {
		t.Errorf("after G92: %+v", r[1])
	}
	if got := r[2].To.Add(r[2].Off).Z; math.Abs(got-13.97) > 1e-12 {
		t.Errorf("machine Z of the plate is %g, want 12.7 + 1.27", got)
	}
	refuses(t, "G21\nG0 Z10\nG38.2 Z-200 F10\nM2\n", o, 3, "probe", "before the probe trips")
	refuses(t, "G21 G93\nG38.2 Z-20 F10\nM2\n", o, 2, "probe", "inverse time")
}

func TestG53GoesByMachineCoordinates(t *testing.T) {
	r := only(read(t, "G21\nG92 X100 Z50\nG53 G0 Z-5\nG0 X0\nM2\n", rs274.Options{}), rs274.Rapid)
	if !r[0].Machine || r[0].To.Z != -5 || r[0].Off != (rs274.Vec{}) {
		t.Errorf("%+v", r[0])
	}
	if r[1].From.Z != 45 || r[1].To.Add(r[1].Off).X != -100 {
		t.Errorf("%+v", r[1])
	}
}

func TestG92FamilyKeepsAndDropsOffsets(t *testing.T) {
	r := only(read(t, "G21\nG0 X4\nG92 X7\nG92.2\nG0 X4\nG92.3\nG0 X4\nG92.1\nG92.3\nG0 X4\nM2\n", rs274.Options{}), rs274.Rapid)
	for i, want := range []float64{4, 4, 1, 4} { // machine X: offset -3 is in force only after G92.3
		if got := r[i].To.Add(r[i].Off).X; got != want {
			t.Errorf("move %d ends at machine X%g, want %g", i, got, want)
		}
	}
}

func TestCoordinateSystemSetByTheProgramIsFollowed(t *testing.T) {
	r := only(read(t, "G21\nG10 L2 P2 X100 Y50 Z0\nG55\nG0 X1 Y1\nG54\nG0 X1 Y1\nM2\n", rs274.Options{}), rs274.Rapid)
	if got := r[0].To.Add(r[0].Off); got != (rs274.Vec{X: 101, Y: 51}) {
		t.Errorf("G55: %v", got)
	}
	if r[1].From != (rs274.Vec{X: 101, Y: 51}) {
		t.Errorf("back in G54 at %v", r[1].From)
	}
}

func TestEndPutsTheModesBack(t *testing.T) {
	moves := read(t, "G21 G91 G18 G93\nM3 S5\nG92 X5\nM30\nG0 X1 this is not read\n", rs274.Options{})
	end := moves[len(moves)-1]
	m := end.Modal
	if end.Kind != rs274.End || end.Code != "M30" || m.Spindle != 0 || m.Incremental || m.InverseTime || m.Plane != rs274.XY || m.Motion != 10 || end.Off != (rs274.Vec{}) {
		t.Errorf("%+v %+v", end, m)
	}
}

func TestPercentLines(t *testing.T) {
	read(t, "%\nG21\n%\n(not read ((\n", rs274.Options{})
	read(t, "\n \t\n%\r\nG21\r\n % \r\n", rs274.Options{})
	refuses(t, "%\nG21\n", rs274.Options{}, 2, "no-end", "second percent")
	refuses(t, "G21\n", rs274.Options{}, 1, "no-end", "M2 or M30")
	refuses(t, "G21\n%\nM2\n", rs274.Options{}, 2, "percent", "without an opening")
	refuses(t, "G21 %\nM2\n", rs274.Options{}, 1, "percent", "among other words")
	refuses(t, "", rs274.Options{}, 0, "no-end", "M2")
}

func TestSlashedLinesAreReadOrSkipped(t *testing.T) {
	text := "G21\n/G0 X1\nM2\n"
	if n := len(only(read(t, text, rs274.Options{}), rs274.Rapid)); n != 1 {
		t.Errorf("%d moves with the switch off", n)
	}
	if n := len(only(read(t, text, rs274.Options{Dialect: rs274.Dialect{DeleteSlashed: true}}), rs274.Rapid)); n != 0 {
		t.Errorf("%d moves with the switch on", n)
	}
	refuses(t, "G21\nG0 /X1\nM2\n", rs274.Options{}, 2, "character", "/")
}

func TestCommentsAndMessages(t *testing.T) {
	c := only(read(t, "(one) G21 (two)\n( m S g ,  look out )\nM2\n", rs274.Options{}), rs274.Comment)
	if len(c) != 2 || c[0].Text != "two" || c[0].Message || c[1].Text != "look out" || !c[1].Message {
		t.Errorf("%+v", c)
	}
	refuses(t, "(a\x1b[2J)\nM2\n", rs274.Options{}, 1, "character", `\x1b`)
}

func TestDialectLearnsFromTemplateLines(t *testing.T) {
	var d rs274.Dialect
	err := d.Learn("M64 P{output}", "M66 P3 L3 Q{wait}", "G64 P0.1", "M3 S1 (amps {amps})", "G38.3 Z{search} F{feed}", "; arc {n}", "M5 P2", "G90.1", "M64 Q1")
	if err != nil {
		t.Fatal(err)
	}
	moves := read(t, "G21 G90\nM64 P0 ; out\nM66 P3 L3 Q2\nG64 P0.25\nG0 Z9\nG38.3 Z-5 F100\nM5 P2\nM2\n", rs274.Options{Dialect: d})
	u := only(moves, rs274.User)
	if len(u) != 3 || u[0].Code != "M64" || u[0].Args[0] != (rs274.Arg{Letter: 'P'}) || len(u[1].Args) != 3 || u[2].Code != "G38.3" {
		t.Errorf("%+v", u)
	}
	end := moves[len(moves)-1]
	if end.Modal.PathTolerance != 0.25 || end.Known&rs274.Z != 0 {
		t.Errorf("path tolerance %g, known axes %b after a probing word that the reader does not follow", end.Modal.PathTolerance, end.Known)
	}
	refuses(t, "G21\nM65 P0\nM2\n", rs274.Options{Dialect: d}, 2, "unknown-word", "M65")
	refuses(t, "G21\nM64 R0\nM2\n", rs274.Options{Dialect: d}, 2, "stray-word", "R")
	refuses(t, "G21\nM3 P2\nM2\n", rs274.Options{Dialect: d}, 2, "stray-word", "P")
	if err := d.Learn("M64 P{", "M1 $"); err == nil || !strings.Contains(err.Error(), "template line") {
		t.Errorf("unreadable template: %v", err)
	}
}

func TestRubbishStopsAfterAHundredLines(t *testing.T) {
	_, faults := rs274.Read([]byte(strings.Repeat("\x00\n", 1000)), rs274.Options{File: "x.nc"})
	if len(faults) != 101 || faults[100].Code != "too-many" || !strings.HasPrefix(faults[0].Error(), "x.nc:1: ") {
		t.Errorf("%d faults, last %v", len(faults), faults[len(faults)-1])
	}
}

// One bad line must not make the good ones after it look bad.
func TestLinesAfterABadOneAreReadFromTheRightPlace(t *testing.T) {
	text := "G21 G90\nG0 X0 Y0\nG41 G1 X10 Y0 F100\nY0\nG3 X10 Y10.01 J5\nG3 X10 Y0.01 J-5\nM2\n"
	moves, faults := rs274.Read([]byte(text), rs274.Options{})
	if len(faults) != 2 || faults[0].Code != "not-followed" || faults[1].Code != "arc-radius" || faults[1].Line != 5 {
		t.Fatalf("%v", faults)
	}
	arcs := only(moves, rs274.Arc)
	if len(arcs) != 2 || arcs[0].From != (rs274.Vec{X: 10}) || arcs[1].From != (rs274.Vec{X: 10, Y: 10.01}) {
		t.Errorf("%+v", arcs)
	}
}

func TestMoveSaysWhatItsLineGave(t *testing.T) {
	m := only(read(t, "G21\nG0 X1\nG0 Z2\nG0 X3 Y4\nM2\n", rs274.Options{}), rs274.Rapid)
	for i, want := range []struct{ given, known rs274.Axes }{{rs274.X, 0}, {rs274.Z, rs274.X}, {rs274.X | rs274.Y, rs274.X | rs274.Z}} {
		if m[i].Given != want.given || m[i].Known != want.known {
			t.Errorf("move %d: given %b, known %b", i, m[i].Given, m[i].Known)
		}
	}
}

// A number written with fixed decimals is read back as the double that the
// digits name, blanks or not.
func TestNumbersAreReadBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		decimals := rapid.IntRange(0, 12).Draw(rt, "decimals")
		v := rapid.Float64Range(-1e6, 1e6).Draw(rt, "v")
		text := strconv.FormatFloat(v, 'f', decimals, 64)
		want, _ := strconv.ParseFloat(text, 64)
		var spaced strings.Builder
		for i := range len(text) {
			if rapid.IntRange(0, 3).Draw(rt, "blank") == 0 {
				spaced.WriteString(" \t"[:1+i%2])
			}
			spaced.WriteByte(text[i])
		}
		moves, faults := one(fmt.Sprintf("G0 X%s Y+%s", spaced.String(), strings.TrimPrefix(text, "-")), rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.Bad() {
			rt.Fatal(faults)
		}
		if moves[0].To.X != want || moves[0].To.Y != math.Abs(want) {
			rt.Fatalf("%q read as %v, want %v", spaced.String(), moves[0].To.X, want)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, l := range []string{"%\nG21 G90 G17 G40 G94\nG0 X1 Y2\nM3 S1\nG4 P.5\nG2 X0 Y0 I5 F100\nM5\n%\n", "#1=#[2+#3]", "G0X[[[[1]]]]", "N00001/(a)(b)G1",
		"G38.2 Z-1 F1\nG92 Z-1\n", "G2 X1 R-.5 F9", "G10 L2 P9 X1", "M64 P1", "G0 X99999999999999999999999999999999999", "G92.3", ";", "/"} {
		f.Add([]byte(l))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		lines := 0
		o := rs274.Options{Units: rs274.Inches, Dialect: rs274.Dialect{ArcModes: true, SemicolonComments: true, PathTolerance: true, Words: []rs274.Word{{Letter: 'M', Tenths: 640, Letters: "PQX"}}},
			Probe: func(*rs274.Move) (float64, bool) { return 0.5, true }, Line: func(int, []byte) { lines++ }}
		faults := rs274.Run(text, o, func(m *rs274.Move) {
			if m.Line != lines || m.Modal == nil {
				t.Fatalf("%+v in line %d", m, lines)
			}
			_ = m.Kind.String()
		})
		for _, f := range faults {
			if f.Line > lines || f.What == "" || f.Do == "" {
				t.Fatalf("%+v", f)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	var text strings.Builder
	text.WriteString("G21 G90 G17 G40 G94\n")
	for i := range 20000 {
		x := float64(i%200) * 10
		y := float64(i/200) * 10
		fmt.Fprintf(&text, "G0 X%.4f Y%.4f\nG38.2 Z-10 F500\nG92 Z-1.2\nG0 Z3.8\nM3\nG4 P0.4\nG1 Z1.5 F2000\nG1 X%.4f Y%.4f F2500\nG3 X%.4f Y%.4f I-2.5 J0\nG3 X%.4f Y%.4f I-2.5 J0\nM5\nG0 Z20\n",
			x, y, x+2.5, y, x+2.5, y, x-2.5+2.5, y+2.5)
	}
	text.WriteString("M2\n")
	data := []byte(text.String())
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		n := 0
		if f := rs274.Run(data, rs274.Options{}, func(*rs274.Move) { n++ }); f.Bad() {
			b.Fatal(f[0])
		}
	}
}
