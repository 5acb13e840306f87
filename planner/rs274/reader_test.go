package rs274_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/rs274"
	"pgregory.net/rapid"
)

// kinds lists what a program does, a word each; User and the like with their code.
func kinds(moves []rs274.Move) string {
	var all []string
	for _, m := range moves {
		all = append(all, strings.TrimSpace(m.Kind.String()+" "+m.Code))
	}
	return strings.Join(all, ", ")
}

// Each word makes its own move and no other, in the order of table 8.
func TestEachWordMakesItsMove(t *testing.T) {
	d := rs274.Dialect{Words: []rs274.Word{{Letter: 'M', Tenths: 640, Letters: "PX"}, {Letter: 'G', Tenths: 383, Letters: "Z"}}, SemicolonComments: true}
	for text, want := range map[string]string{
		"M3\nM4\nM5\n":        "spindle M3, spindle M4, spindle M5",
		"M6\n":                "tool M6",
		"M0\nM1\nM60\n":       "stop M0, stop M1, stop M60",
		"M7\nM8\nM9\nM48\n":   "",
		"T3 S0\n":             "",
		"G17 G40 G94\n":       "",
		"G80\n":               "",
		"G92 X1\nG92.2\n":     "offset G92, offset G92.2",
		"G92.3\n":             "offset G92.3",
		"G92.1\n":             "offset G92.1",
		"G4 P1 G92.1\n":       "dwell, offset G92.1",
		"G54\n":               "offset G54",
		"G10 L2 P1 X1\n":      "offset G10",
		"M64 P1\n":            "user word M64",
		"G38.3 Z1\n":          "user word G38.3",
		"M64 P1 G0 X1 M0\n":   "user word M64, rapid, stop M0",
		"G0 X1 (a) F5\n":      "comment, rapid",
		"G0 X1 ;note (b) X\n": "comment, rapid",
		"M3 G4 P1 G1 X1 F5\n": "spindle M3, dwell, feed",
	} {
		before := "G21\n"
		if strings.HasPrefix(text, "G92.3") { // it brings back what the program has set
			before = "G21 #5211=0 #5212=0 #5213=0\n"
		}
		if strings.HasSuffix(text, "F5\n") {
			before = "G21\nF5\n"
		}
		got := kinds(read(t, before+text+"M2\n", rs274.Options{Dialect: d}))
		if strings.TrimPrefix(", "+got, ", ") != strings.TrimPrefix(want+", end M2", ", ") {
			t.Errorf("%q: %s; want %s", text, got, want)
		}
	}
	if m := read(t, "%\nG21\n%\n", rs274.Options{}); kinds(m) != "end %" {
		t.Error(kinds(m))
	}
	if m := read(t, "%\n%\n", rs274.Options{}); kinds(m) != "end %" {
		t.Error(kinds(m))
	}
	c := only(read(t, "M64 P1 ;note (b)\nM2\n", rs274.Options{Dialect: d}), rs274.Comment)
	if len(c) != 1 || c[0].Text != "note (b)" || c[0].Message {
		t.Errorf("%+v", c)
	}
}

// What each modal word leaves in force, and what the program is then known to
// have said itself.
func TestModesStayInForce(t *testing.T) {
	end := func(text string, d rs274.Dialect) *rs274.Modal { // before M2 puts it back
		moves := read(t, text+"(here)\nM2\n", rs274.Options{Dialect: d})
		return only(moves, rs274.Comment)[0].Modal
	}
	path := rs274.Dialect{PathTolerance: true, ExactPath: true, ArcModes: true}
	const length = rs274.GroupUnits
	for text, ok := range map[string]func(m *rs274.Modal) bool{
		"":           func(m *rs274.Modal) bool { return m.Set == 0 && m.Motion == 800 && m.System == 1 && m.Path == 640 },
		"G17\n":      func(m *rs274.Modal) bool { return m.Plane == rs274.XY && m.Set == rs274.GroupPlane },
		"G18\n":      func(m *rs274.Modal) bool { return m.Plane == rs274.ZX && m.Set == rs274.GroupPlane },
		"G19\n":      func(m *rs274.Modal) bool { return m.Plane == rs274.YZ && m.Set == rs274.GroupPlane },
		"G20\n":      func(m *rs274.Modal) bool { return m.Units == rs274.Inches && m.Set == length },
		"G21\n":      func(m *rs274.Modal) bool { return m.Units == rs274.Millimetres && m.Set == length },
		"G40\n":      func(m *rs274.Modal) bool { return m.Set == rs274.GroupComp },
		"G49\n":      func(m *rs274.Modal) bool { return m.Set == 0 },
		"G91\n":      func(m *rs274.Modal) bool { return m.Incremental && m.Set == rs274.GroupDistance },
		"G91\nG17\n": func(m *rs274.Modal) bool { return m.Incremental && m.Set == rs274.GroupDistance|rs274.GroupPlane },
		"G91\nG90\n": func(m *rs274.Modal) bool { return !m.Incremental && m.Set == rs274.GroupDistance },
		"G93\n":      func(m *rs274.Modal) bool { return m.InverseTime && m.Set == rs274.GroupFeedMode },
		"G94\n":      func(m *rs274.Modal) bool { return !m.InverseTime && m.Set == rs274.GroupFeedMode },
		"G61\n":      func(m *rs274.Modal) bool { return m.Path == 610 && m.Set == rs274.GroupPath },
		"G61.1\n":    func(m *rs274.Modal) bool { return m.Path == 611 && m.Set == rs274.GroupPath },
		"G21\nG64 P0.5\n": func(m *rs274.Modal) bool {
			return m.Path == 640 && m.PathTolerance == 0.5 && m.Set == length|rs274.GroupPath
		},
		"G20\nG64 P0.5\n":                  func(m *rs274.Modal) bool { return m.PathTolerance == 12.7 },
		"G21\nG64 G4 P2\n":                 func(m *rs274.Modal) bool { return m.PathTolerance == 0 },
		"G21\nG4 P2\nG64\n":                func(m *rs274.Modal) bool { return m.PathTolerance == 0 },
		"G21\nG64 P1\nG61\n":               func(m *rs274.Modal) bool { return m.PathTolerance == 0 },
		"G90.1\n":                          func(m *rs274.Modal) bool { return m.AbsoluteCentres && m.Set == 0 },
		"G90.1\nG91.1\n":                   func(m *rs274.Modal) bool { return !m.AbsoluteCentres },
		"M3\n":                             func(m *rs274.Modal) bool { return m.Spindle == 3 },
		"M4\n":                             func(m *rs274.Modal) bool { return m.Spindle == 4 },
		"M3\nM5\n":                         func(m *rs274.Modal) bool { return m.Spindle == 0 },
		"M3\nM7\n":                         func(m *rs274.Modal) bool { return m.Spindle == 3 },
		"M3\nM6\n":                         func(m *rs274.Modal) bool { return m.Spindle == 0 }, // section 3.6.3
		"G21\nG0 X1\nG80\n":                func(m *rs274.Modal) bool { return m.Motion == 800 },
		"G21\nG10 L2 P6 X1 Y1 Z1\nG59\n":   func(m *rs274.Modal) bool { return m.System == 6 },
		"G21\nG10 L2 P7 X1 Y1 Z1\nG59.1\n": func(m *rs274.Modal) bool { return m.System == 7 },
		"G21\nG10 L2 P9 X1 Y1 Z1\nG59.3\n": func(m *rs274.Modal) bool { return m.System == 9 },
	} {
		if m := end(text, path); !ok(m) {
			t.Errorf("%q: %+v", text, m)
		}
	}
}

func TestWordsThatDoNotBelongTogetherAreRefused(t *testing.T) {
	none := rs274.Options{}
	for _, c := range []struct {
		text string
		line int
		code string
		word string
	}{
		{"G21\nG92.1 G92.2\nM2\n", 2, "axis-clash", "change offsets"},
		{"G21\nG10 L2 P1 X0 G92.1\nM2\n", 2, "axis-clash", "change offsets"},
		{"G21\nG10 L2 X1\nM2\n", 2, "not-followed", "G10 L2 P"},
		{"G21\nG10 L20 P1 X1\nM2\n", 2, "not-followed", "G10 L2 P"},
		{"G21\nG10 L2 P1 X1\nG10 P1 X1\nM2\n", 3, "not-followed", "G10 L2 P"},
		{"G21 G91\nG53 G0 X0\nM2\n", 2, "g53", "incremental"},
		{"G21\nG53 G91 G0 X0\nM2\n", 2, "g53", "incremental"},
		{"G21 F1\nG1 F5 X1\nG80\nX2\nM2\n", 4, "axis-word", "X"},
		{"G21\nG10 L2 P2 X1 Y1\nG55\nM2\n", 3, "system", "G55"},
		{"G21\nG10 L2 P2 X1 Z1\nG55\nM2\n", 3, "system", "G55"},
		{"G21\nG10 L2 P2 Y1 Z1\nG55\nM2\n", 3, "system", "G55"},
		{"G-1\nM2\n", 1, "unknown-word", "G-1"},
		{"G1000\nM2\n", 1, "unknown-word", "G1000"},
		{"G21\nG1.04 X1 F5\nM2\n", 2, "unknown-word", "G1.04"},
		{"M-1\nM2\n", 1, "unknown-word", "M-1"},
		{"M1000\nM2\n", 1, "unknown-word", "M1000"},
		{"M3.4\nM2\n", 1, "unknown-word", "M3.4"},
		{"G0 X\nM2\n", 1, "number", "X: the end of the line where"},
		{"G0 X$\nM2\n", 1, "number", `X: "$" where`},
		{"G0 $\nM2\n", 1, "character", `"$" is not in the language`},
		{"G0 ;\nM2\n", 1, "character", "; is not"},
		{"G0 /\nM2\n", 1, "character", "/ after"},
	} {
		refuses(t, c.text, none, c.line, c.code, c.word)
	}
	// A fault says no more than once, and does not come again on the next line.
	for text, want := range map[string]int{"S-5\nG21\nM2\n": 1, "T-1\nG21\nM2\n": 1, "T1.5\nG21\nM2\n": 1,
		"G21\n" + strings.Repeat(" ", 260) + "G0 X1 $\nM2\n": 1} {
		if moves, faults := rs274.Read([]byte(text), none); len(faults) != want || len(only(moves, rs274.Rapid)) > 0 {
			t.Errorf("%q: %v", text, faults)
		}
	}
	// A percent line after anything but blank ones closes nothing.
	for _, before := range []string{"G0 $\n", "G21\n", strings.Repeat("x", 300) + "\n"} {
		refuses(t, before+"%\nM2\n", none, 2, "percent", "without an opening")
	}
	if _, faults := rs274.Read([]byte("G21\n"), none); len(faults) != 1 || strings.Contains(faults[0].What, "percent") {
		t.Errorf("%v", faults)
	}
	if _, faults := rs274.Read([]byte("%\nG21\n"), none); len(faults) != 1 || !strings.Contains(faults[0].What, "second percent line, M2 or M30") {
		t.Errorf("%v", faults)
	}
}

// A word of the dialect takes its own letters; the others stay the motion's.
func TestLettersOfAUserWordAreItsOwn(t *testing.T) {
	d := rs274.Dialect{Words: []rs274.Word{{Letter: 'M', Tenths: 640, Letters: "PQX"}, {Letter: 'M', Tenths: 650, Letters: "P"}}}
	moves := read(t, "G21\nG1 X1 Y1 Z1 F5\nM64 P2 Y5\nM65 P3\nM64 X7\nM2\n", rs274.Options{Dialect: d})
	u, f := only(moves, rs274.User), only(moves, rs274.Feed)
	if len(f) != 2 || f[1].To != (rs274.Vec{X: 1, Y: 5, Z: 1}) {
		t.Errorf("%+v", f)
	}
	if len(u) != 3 || fmt.Sprint(u[0].Args) != fmt.Sprint([]rs274.Arg{{Letter: 'P', Value: 2}}) || fmt.Sprint(u[2].Args) != fmt.Sprint([]rs274.Arg{{Letter: 'X', Value: 7}}) {
		t.Errorf("%+v", u)
	}
	if u[1].Known != rs274.AllAxes || u[2].Known != rs274.AllAxes || moves[len(moves)-1].Known != rs274.Y|rs274.Z {
		t.Errorf("known %b, %b, at the end %b", u[1].Known, u[2].Known, moves[len(moves)-1].Known)
	}
}

// Offsets, worked by hand from NISTIR 6556 3.5.5, 3.5.13 and 3.5.18: machine
// place = program place + origin of the system + G92 offset.
func TestOffsetsAddUp(t *testing.T) {
	at := func(units, text string) rs274.Vec { // the offset in force at the end
		moves := read(t, units+"\n"+text+"\n(here)\nM2\n", rs274.Options{})
		return only(moves, rs274.Comment)[0].Off
	}
	for _, c := range []struct {
		k     float64
		units string
	}{{1, "G21"}, {25.4, "G20"}} {
		for text, want := range map[string]rs274.Vec{
			"G10 L2 P2 X10 Y20 Z30\nG55":                                      {X: 10, Y: 20, Z: 30},
			"G10 L2 P2 X10 Y20 Z30\nG10 L2 P2 X1\nG55":                        {X: 1, Y: 20, Z: 30},
			"G10 L2 P2 X10 Y20 Z30\nG55\nG0 X1 Y1 Z1\nG92 X5":                 {X: 6, Y: 20, Z: 30},
			"G0 X1 Y2 Z3\nG92 X5 Z1":                                          {X: -4, Z: 2},
			"G0 X1 Y2 Z3\nG92 X5\nG0 X#5211 Y#5221\nG92.1":                    {},
			"G0 X1\nG92 X5\nG92.2":                                            {},
			"G0 X1\nG92 X5\nG92.2\nG92.3":                                     {X: -4},
			"G10 L2 P2 X10 Y20 Z30\nG10 L2 P1 X#5241 Y#5242 Z#5243":           {X: 10, Y: 20, Z: 30},
			"#5221=3 #5222=4 #5223=0\nG10 L2 P1 X#5221 Y[#5222*2] Z#5220":     {X: 3, Y: 8, Z: 1},
			"G10 L2 P2 X0 Y0 Z0\nG55\nG10 L2 P2 X#5220":                       {X: 2},
			"G0 X1 Y2\nG92 X5 Y5\nG10 L2 P2 X#5211 Y#5212 Z#5213\nG92.1\nG55": {X: -4, Y: -3},
		} {
			if strings.Contains(text, "#5221") && !strings.Contains(text, "#5221=") {
				text = "G10 L2 P1 X0 Y0\n" + text
			}
			got := at(c.units, text)
			if w := (rs274.Vec{X: want.X * c.k, Y: want.Y * c.k, Z: want.Z * c.k}); dist(got, w) > 1e-9 {
				t.Errorf("%s, %q: %v, want %v", c.units, text, got, w)
			}
		}
	}
	// What was written with G92 is where the torch is; the other axes stay.
	m := read(t, "G21\nG0 X1 Y2 Z3\nG92 X5\nG0 Z9\nM2\n", rs274.Options{})
	if r := only(m, rs274.Rapid); r[1].From != (rs274.Vec{X: 5, Y: 2, Z: 3}) {
		t.Errorf("%+v", r[1])
	}
	m = read(t, "G21\nG92 X5\n(here)\nM2\n", rs274.Options{})
	if c := only(m, rs274.Comment)[0]; c.Known != rs274.X {
		t.Errorf("known %b", c.Known)
	}
}

// An incremental move from an unknown place ends in one.
func TestIncrementalMovesMakeNoPlaceKnown(t *testing.T) {
	c := only(read(t, "G21\nG91 G0 X1 Y1\n(a)\nG90 X1\n(b)\nM2\n", rs274.Options{}), rs274.Comment)
	if c[0].Known != 0 || c[1].Known != rs274.X {
		t.Errorf("%b %b", c[0].Known, c[1].Known)
	}
}

// After a line that is refused the next is read as if it had been done: the
// same feed, the same motion, from the same place.
func TestARefusedLineIsPassedOver(t *testing.T) {
	for _, c := range []struct {
		text string
		kind rs274.Kind
		from rs274.Vec
		feed float64
	}{
		{"G21\nF100\nG1 F100 X1\nG41 F0 X2\nX3\nM2\n", rs274.Feed, rs274.Vec{X: 2}, 100},
		{"G21\nG1 F100 X1\nG41 F200 X2\nX3\nM2\n", rs274.Feed, rs274.Vec{X: 2}, 200},
		{"G21\nG1 F100 X1\nG41 G0 X5\nX6\nM2\n", rs274.Rapid, rs274.Vec{X: 5}, 0},
		{"G21\nG0 X1\nG41 G1 F50 X5\nX6\nM2\n", rs274.Feed, rs274.Vec{X: 5}, 50},
		{"G21\nG0 X1 Y8\nG91\nG41 X5\nX6\nM2\n", rs274.Rapid, rs274.Vec{X: 1, Y: 8}, 0},
		{"G21\nG0 X1 Y8\nG41 X5 G92\nX6\nM2\n", rs274.Rapid, rs274.Vec{X: 1, Y: 8}, 0},
		{"G20\nG0 X1 Y8\nG41 X5\nX6\nM2\n", rs274.Rapid, rs274.Vec{X: 127, Y: 203.2}, 0},
	} {
		moves, faults := rs274.Read([]byte(c.text), rs274.Options{})
		all := only(moves, rs274.Rapid, rs274.Feed)
		if len(faults) != 1 || len(all) == 0 {
			t.Errorf("%q: %v", c.text, faults)
			continue
		}
		if m := all[len(all)-1]; m.Kind != c.kind || dist(m.From, c.from) > 1e-9 || m.Feed != c.feed {
			t.Errorf("%q: %+v", c.text, m)
		}
	}
	// In unknown units nobody knows where.
	moves, faults := rs274.Read([]byte("G41 X5\n(here)\nM2\n"), rs274.Options{})
	if c := only(moves, rs274.Comment)[0]; len(faults) != 1 || c.From != (rs274.Vec{}) || c.Known != 0 {
		t.Errorf("%+v, %v", c, faults)
	}
}

func TestDistancesOfProbesAreMeasuredInSpace(t *testing.T) {
	o := rs274.Options{Probe: func(*rs274.Move) (float64, bool) { return 0.25, true }}
	p := only(read(t, "G21\nG0 X4 Y8 Z12\nG38.2 X0 Y0 Z0 F5\nM2\n", o), rs274.Probe)[0]
	if dist(p.To, rs274.Vec{X: 3, Y: 6, Z: 9}) > 1e-12 {
		t.Errorf("%v", p.To)
	}
	read(t, "G21\nG38.2 Z-0.254 F5\nM2\n", o) // just far enough
	refuses(t, "G21\nG38.2 Z-0.253 F5\nM2\n", o, 2, "probe", "0.253")
	// 3, 4, 12 make 13; half a minute for them is 26 a minute.
	f := only(read(t, "G21 G93\nG1 X3 Y4 Z12 F2\nM2\n", rs274.Options{}), rs274.Feed)[0]
	if math.Abs(f.Feed-26) > 1e-12 {
		t.Error(f.Feed)
	}
}

// Any arc, given by its centre, by R or by an absolute centre, in any plane and
// unit, is the same arc; its length is that of the helix.
func TestAnyArcIsTheSameHoweverItIsWritten(t *testing.T) {
	planes := []struct {
		word          string
		a, b, c       byte
		i, j          byte
		put           func(u, v, w float64) rs274.Vec
		first, second func(rs274.Vec) float64
	}{
		{"G17", 'X', 'Y', 'Z', 'I', 'J', func(u, v, w float64) rs274.Vec { return rs274.Vec{X: u, Y: v, Z: w} }, func(p rs274.Vec) float64 { return p.X }, func(p rs274.Vec) float64 { return p.Y }},
		{"G18", 'Z', 'X', 'Y', 'K', 'I', func(u, v, w float64) rs274.Vec { return rs274.Vec{Z: u, X: v, Y: w} }, func(p rs274.Vec) float64 { return p.Z }, func(p rs274.Vec) float64 { return p.X }},
		{"G19", 'Y', 'Z', 'X', 'J', 'K', func(u, v, w float64) rs274.Vec { return rs274.Vec{Y: u, Z: v, X: w} }, func(p rs274.Vec) float64 { return p.Y }, func(p rs274.Vec) float64 { return p.Z }},
	}
	d := rs274.Dialect{ArcModes: true}
	rapid.Check(t, func(rt *rapid.T) {
		p := planes[rapid.IntRange(0, 2).Draw(rt, "plane")]
		inch := rapid.Bool().Draw(rt, "inch")
		k, unit := 1.0, "G21"
		if inch {
			k, unit = 25.4, "G20"
		}
		cu, cv := rapid.Float64Range(-50, 50).Draw(rt, "cu"), rapid.Float64Range(-50, 50).Draw(rt, "cv")
		radius, from := rapid.Float64Range(1, 40).Draw(rt, "r"), rapid.Float64Range(-3, 3).Draw(rt, "from")
		sweep := rapid.Float64Range(0.2, 6.0).Draw(rt, "sweep")
		w0, w1 := rapid.Float64Range(-9, 9).Draw(rt, "w0"), rapid.Float64Range(-9, 9).Draw(rt, "w1")
		word := "G3"
		if rapid.Bool().Draw(rt, "clockwise") {
			sweep, word = -sweep, "G2"
		}
		u0, v0 := cu+radius*math.Cos(from), cv+radius*math.Sin(from)
		u1, v1 := cu+radius*math.Cos(from+sweep), cv+radius*math.Sin(from+sweep)
		n := func(v float64) string { return fmt.Sprintf("%.12f", v) }
		r := radius
		if math.Abs(sweep) > math.Pi {
			r = -radius
		}
		end := fmt.Sprintf("%c%s%c%s%c%s F2", p.a, n(u1), p.b, n(v1), p.c, n(w1))
		start := fmt.Sprintf("%s G93 %s\nG0 %c%s%c%s%c%s\n", unit, p.word, p.a, n(u0), p.b, n(v0), p.c, n(w0))
		ways := []string{
			fmt.Sprintf("%s %s%c%s%c%s", word, end, p.i, n(cu-u0), p.j, n(cv-v0)),
			fmt.Sprintf("G90.1 %s %s%c%s%c%s", word, end, p.i, n(cu), p.j, n(cv)),
		}
		if a := math.Abs(sweep); math.Abs(a-math.Pi) > 0.05 { // there R says it badly
			ways = append(ways, fmt.Sprintf("%s %sR%s", word, end, n(r)))
		}
		for _, way := range ways {
			moves, faults := rs274.Read([]byte(start+way+"\nM2\n"), rs274.Options{Dialect: d})
			if faults.Bad() {
				rt.Fatalf("%s%s: %v", start, way, faults)
			}
			m := only(moves, rs274.Arc)[0]
			if dist(m.To, p.put(u1*k, v1*k, w1*k)) > 1e-6 || math.Abs(p.first(m.Center)-cu*k) > 1e-6*k || math.Abs(p.second(m.Center)-cv*k) > 1e-6*k || math.Abs(m.Sweep-sweep) > 1e-6 {
				rt.Fatalf("%s%s: %+v, want centre %g %g, sweep %g", start, way, m, cu*k, cv*k, sweep)
			}
			if want := 2 * k * math.Hypot(radius*sweep, w1-w0); math.Abs(m.Feed-want) > 1e-5*want {
				rt.Fatalf("%s%s: feed %g, want %g", start, way, m.Feed, want)
			}
		}
	})
}

func TestArcsAtTheLimits(t *testing.T) {
	o := rs274.Options{Dialect: rs274.Dialect{ArcModes: true}}
	m := only(read(t, "G21\nG0 X3 Y7\nG3 X3 Y7 I2 J5 F5\nG2 I2 J5 X3 Y7\nM2\n", rs274.Options{Units: rs274.Millimetres}), rs274.Arc)
	if m[0].Sweep != 2*math.Pi || m[1].Sweep != -2*math.Pi {
		t.Errorf("%g %g", m[0].Sweep, m[1].Sweep)
	}
	// R may be short by half the tolerance: the ends are rounded.
	read(t, "G21\nG2 X10.001 Y0 R5 F5\nM2\n", o)
	refuses(t, "G21\nG2 F5 X10.1 Y0 R5\nM2\n", o, 2, "arc-radius", "cannot span 10.1000 mm")
	refuses(t, "G21\nG2 F5 X10 Y0 R0\nM2\n", o, 2, "arc", "radius 0")
	refuses(t, "G21\nG0 X1 Y1\nG2 F5 X5 Y0 I0 J0\nM2\n", o, 3, "arc", "radius 0")
	refuses(t, "G21\nG0 X1 Y1\nG2 F5 X5 Y0 I4 J-1\nM2\n", o, 3, "arc", "radius 0")
	refuses(t, "G21\nG90.1 G2 F5 X10 Y0 I5\nM2\n", o, 2, "arc", "needs I and J")
	refuses(t, "G21\nG90.1 G2 F5 X10 Y0 J5\nM2\n", o, 2, "arc", "needs I and J")
	refuses(t, "G21\nG2 F5 X10.01 Y0 I5\nM2\n", o, 2, "arc-radius", "5.0000 mm at the start and 5.0100 mm at the end, 0.0100 mm apart, at most 0.002 mm")
	refuses(t, "G20\nG2 F5 X1.001 Y0 I0.5\nM2\n", o, 2, "arc-radius", "at most 0.00508 mm")
}

func TestLongNumbersAreReadToTheLastDigit(t *testing.T) {
	for text, want := range map[string]float64{
		"0.00000000000000000000001": 1e-23, "1.00000000000000000000000000001": 1, "0000000000000000000000000001.5": 1.5,
		"9007199254740993": 9007199254740992, "900719925474098.9": 900719925474098.9, "123456789.123456789123456789": 123456789.123456789123456789,
		"[1 or 0]": 1, "[0 xor 1]": 1, "[2 and 3]": 1, "[0 or 0]": 0, "[1 and 0]": 0,
	} {
		moves, faults := one("G0 X"+text, rs274.Millimetres, rs274.Vec{}, rs274.Dialect{})
		if faults.At(fault.Error) != nil || moves[0].To.X != want {
			t.Errorf("%s: %v, want %v; %v", text, moves[0].To.X, want, faults)
		}
	}
}
