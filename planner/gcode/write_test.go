package gcode_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

func machine() job.Machine {
	return job.Machine{
		Name: plain.Of("bench"), MaxFeed: 10000, RapidXY: 15000, RapidZ: 3000, SafeZ: 40, TravelZ: 15, Reach: 100,
		TopZ: job.Of(0), ProbeFeed: 800, ProbeSearch: 25, SensorOffset: job.Of(4.2),
		Program: job.Program{
			Units: unit.MM, Arcs: job.ArcsFromStart,
			TouchOff:   []string{"G38.2 Z{probe_z} F{probe_feed}", "(the switch trips {sensor_offset} after contact)", "G92 Z{minus_sensor_offset}"},
			ArcOn:      []string{"M3"},
			ArcOff:     []string{"M5"},
			ControlOn:  []string{"(height hold off)"},
			ControlOff: []string{"(height hold on)"},
			Pause:      []string{"M0"},
		},
	}
}

func input() gcode.Input {
	circle := geom.Circle(geom.Pt(50, 50), 9.25)
	path := geom.FromSegs(append([]geom.Seg{geom.Line(geom.Pt(50, 50), circle.Start())}, circle.Segs()...), false)
	return gcode.Input{Machine: machine(), Name: "hinge leaf", Stock: "mild-steel 6 mm", Origin: "lower-left corner", Process: "45 A",
		Fit: 0.01, Frame: path.Box(), Cuts: []gcode.Cut{{Label: "p1.h1 hole", Path: path, Holds: []gcode.Span{{From: 0, To: 12}}, Feed: 1200,
			PierceHeight: 3.8, CutHeight: 1.5, PierceDelay: 0.4, TouchOff: true, Lift: 15}}}
}

func write(t rapid.TB, in gcode.Input) []string {
	text, lines, err := gcode.Write(in)
	if err != nil {
		t.Fatal(err)
	}
	out := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	for i, l := range lines {
		if l.First < 1 || l.Last > len(out) || !strings.HasPrefix(out[l.First-1], "(cut ") {
			t.Fatalf("cut %d is said to stand at %v", i, l)
		}
	}
	return out
}

func index(t *testing.T, lines []string, want string, from int) int {
	t.Helper()
	for i := from; i < len(lines); i++ {
		if strings.HasPrefix(lines[i], want) {
			return i
		}
	}
	t.Fatalf("no line %q after %d in\n%s", want, from+1, strings.Join(lines, "\n"))
	return -1
}

func TestACutGoesDownLightsWaitsCutsAndPutsOutBeforeItRises(t *testing.T) {
	lines := write(t, input())
	at := index(t, lines, "(cut 1 of 1: p1.h1 hole)", 0)
	for _, want := range []string{"G0 X50.0 Y50.0", "G38.2 Z-10.0 F800", "(the switch trips 4.2 after contact)", "G92 Z-4.2", "G0 Z3.8", "M3", "G4 P0.4", "G1 Z1.5 F1200",
		"G1 X59.25 Y50.0", "G3 X", "(height hold off)", "G3 X", "M5", "G0 Z15.0", "M5", "G53 G0 Z0.0", "(height hold off)", "M2"} {
		at = index(t, lines, want, at+1)
	}
}

func TestModesAreSetBeforeAnythingMoves(t *testing.T) {
	lines := write(t, input())
	modes := index(t, lines, "G17 G21 G40 G49 G80 G90 G94", 0)
	if m5, lift := index(t, lines, "M5", 0), index(t, lines, "G53 G0 Z", 0); m5 < modes || lift < m5 || index(t, lines, "G0 X", 0) < lift {
		t.Errorf("modes %d, torch out %d, torch up %d", modes, m5, lift)
	}
}

func TestDryRunIsNeverLitAndTracesTheFrameFirst(t *testing.T) {
	in := input()
	in.Dry = true
	lines := write(t, in)
	for _, l := range lines {
		if strings.HasPrefix(l, "M3") || strings.HasPrefix(l, "G4") {
			t.Errorf("dry run has %q", l)
		}
	}
	frame := index(t, lines, "(the rectangle", 0)
	first := index(t, lines, "(cut 1", 0)
	if first-frame != 6 {
		t.Errorf("trace of %d moves", first-frame-1)
	}
	index(t, lines, "(height hold off)", first)
}

// NISTIR 6556 3.3.4: a comment may not hold a parenthesis.
func TestNamesCannotBreakOutOfAComment(t *testing.T) {
	for _, evil := range []string{"a) M3 (", "x\nM3", "x\r\nM3 S1", "(MSG, hello", "MSG, hello", "m s g,x", "%", "; M3", "\x1b[2J", "\u202eM3", strings.Repeat("long ", 100), "naïve Ø12 ½ ×"} {
		in := input()
		in.Name, in.Stock, in.Process, in.Origin = evil, evil, evil, evil
		in.Cuts[0].Label, in.Cuts[0].Pause, in.Notes = evil, evil, []string{evil}
		in.Machine.Program.Header = []string{"(job {name} on {stock})"}
		text, _, err := gcode.Write(in)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range strings.Split(string(text), "\n") {
			bare := regexp.MustCompile(`\([^()]*\)`).ReplaceAllString(l, "")
			if strings.ContainsAny(bare, "()") || len(l) > 255 {
				t.Errorf("%q: line %d %q", evil, i+1, l)
			}
			if strings.Contains(bare, "M3") && strings.TrimSpace(l) != "M3" {
				t.Errorf("%q lights the torch: %q", evil, l)
			}
			for _, r := range l {
				if r < 0x20 || r > 0x7e {
					t.Errorf("%q: rune %q in line %d", evil, r, i+1)
				}
			}
			if m := regexp.MustCompile(`(?i)\(\s*m\s*s\s*g\s*,`).FindString(l); m != "" {
				t.Errorf("%q sends a message: %q", evil, l)
			}
		}
	}
}

var arc = regexp.MustCompile(`^G([23]) X(\S+) Y(\S+) I(\S+) J(\S+)`)

// NISTIR 6556 3.5.3.2: the radii to start and end may differ by 0.002 mm or
// 0.0002 inch.
func TestRoundedArcsKeepTheStandardsTolerance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := input()
		allowed := 0.002
		if rapid.Bool().Draw(rt, "inch") {
			in.Machine.Program.Units, allowed = unit.Inch, 0.0002
		}
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		p := geom.Path{V: []geom.Vertex{{P: geom.Pt(num("x", -2000, 2000), num("y", -2000, 2000))}}}
		for range 4 {
			last := &p.V[len(p.V)-1]
			last.Bulge = num("bulge", -1, 1)
			p.V = append(p.V, geom.Vertex{P: last.P.Add(geom.Polar(geom.Point{}, num("len", 0.02, 90), num("dir", 0, 6.28)))})
		}
		in.Cuts[0].Path, in.Cuts[0].Holds = p, nil
		scale := in.Machine.Program.Units.Scale()
		x, y, n := math.NaN(), math.NaN(), 0
		for _, l := range write(rt, in) {
			if m := regexp.MustCompile(`^G[01] X(\S+) Y(\S+)`).FindStringSubmatch(l); m != nil {
				x, _ = strconv.ParseFloat(m[1], 64)
				y, _ = strconv.ParseFloat(m[2], 64)
			}
			if m := arc.FindStringSubmatch(l); m != nil {
				var v [5]float64
				for i := range 4 {
					v[i], _ = strconv.ParseFloat(m[i+2], 64)
				}
				cx, cy := x+v[2], y+v[3]
				if d := math.Abs(math.Hypot(v[2], v[3]) - math.Hypot(v[0]-cx, v[1]-cy)); d > allowed {
					rt.Fatalf("%s: radii differ by %g", l, d)
				}
				if v[0] == x && v[1] == y {
					rt.Fatalf("%s: an arc became a full circle", l)
				}
				x, y = v[0], v[1]
				n++
			}
		}
		if end := geom.Pt(x*scale, y*scale); end.Dist(p.End()) > 1e-3 {
			rt.Fatalf("ends at %v, not %v (%d arcs)", end, p.End(), n)
		}
	})
}

func TestHoldsSwitchWhereTheyBegin(t *testing.T) {
	in := input()
	in.Cuts[0].Path = geom.Path{V: []geom.Vertex{{P: geom.Pt(0, 0)}, {P: geom.Pt(100, 0)}, {P: geom.Pt(100, 50)}}}
	in.Cuts[0].Holds = []gcode.Span{{From: 0, To: 10}, {From: 90, To: 112}, {From: 140, To: 150}}
	var got []string
	on := false
	for _, l := range write(t, in) {
		if strings.HasPrefix(l, "M3") {
			on = true
		}
		if on && (strings.HasPrefix(l, "G1 X") || strings.HasPrefix(l, "(height")) {
			got = append(got, l)
		}
		if strings.HasPrefix(l, "M5") && on {
			break
		}
	}
	want := []string{"G1 X10.0 Y0.0", "(height hold off)", "G1 X90.0 Y0.0", "(height hold on)", "G1 X100.0 Y0.0", "G1 X100.0 Y12.0", "(height hold off)", "G1 X100.0 Y40.0", "(height hold on)", "G1 X100.0 Y50.0"}
	if strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

func TestSameJobSameBytes(t *testing.T) {
	a, _, _ := gcode.Write(input())
	b, _, _ := gcode.Write(input())
	if string(a) != string(b) {
		t.Error("two programs of one job differ")
	}
}

func TestBadTemplatesAreRefused(t *testing.T) {
	for code, change := range map[string]func(*job.Program){
		"template-field":     func(p *job.Program) { p.ArcOn = []string{"M3 S{voltage}"} },
		"template-line":      func(p *job.Program) { p.Header = []string{"(open"} },
		"template-arc-on":    func(p *job.Program) { p.ArcOn = []string{"(M3)"} },
		"template-arc-off":   func(p *job.Program) { p.ArcOff = nil },
		"template-arc-order": func(p *job.Program) { p.ArcOn, p.ArcOff = p.ArcOff, p.ArcOn },
		"template-lights":    func(p *job.Program) { p.Footer = []string{"m 3"} },
		"template-touch-off": func(p *job.Program) { p.TouchOff = []string{"(by hand)"} },
	} {
		m := machine()
		change(&m.Program)
		faults := gcode.Check(m)
		found := false
		for _, f := range faults {
			found = found || f.Code == code
		}
		if !found {
			t.Errorf("%s not found in %v", code, faults)
		}
		in := input()
		in.Machine = m
		if text, _, err := gcode.Write(in); err == nil {
			t.Errorf("%s: written all the same, %d bytes", code, len(text))
		}
	}
	if faults := gcode.Check(machine()); len(faults) > 0 {
		t.Errorf("a good profile: %v", faults)
	}
}

func TestSampleShowsEveryTemplateOrWhyThereIsNone(t *testing.T) {
	m := machine()
	m.Program.Header = []string{"(our header)"}
	text := strings.Join(gcode.Sample(m), "\n")
	for _, want := range []string{"sample, not for cutting", "(our header)", "G38.2", "M3", "M5", "(height hold on)", "M0", "G3"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	m.Program.ArcOff = nil
	if got := gcode.Sample(m); len(got) != 2 || !strings.Contains(got[1], "nothing puts the torch out") {
		t.Errorf("%q", got)
	}
	if got := gcode.Sample(job.Machine{}); len(got) < 3 {
		t.Errorf("%q", got)
	}
}
