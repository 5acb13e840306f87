package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// The good program of these tests is written here from closed forms: circles,
// rectangles and their offsets, with no help from the package that writes
// programs. The job: a hinge plate for a farm gate, with two bolt holes, a
// slow hole and a window out of which a latch plate is cut, on 6 mm plate.

const (
	kerf      = 1.5
	full      = 2500.0 // mm/min
	slow      = 1500.0
	sensor    = 1.2
	pierceH   = 3.8
	cutH      = 1.5
	delay     = 0.4
	safe      = 25.0
	travel    = 12.0
	thickness = 6.0
)

// writer builds a program line by line.
type writer struct {
	lines []string
	k     float64 // units of the program in one mm
	dec   int
	dry   bool
}

func (w *writer) put(format string, args ...any) {
	w.lines = append(w.lines, fmt.Sprintf(format, args...))
}

func (w *writer) n(v float64) string { return fmt.Sprintf("%.*f", w.dec, v*w.k) }

func (w *writer) xy(p geom.Point) string { return "X" + w.n(p.X) + " Y" + w.n(p.Y) }

func (w *writer) f(feed float64) string { return fmt.Sprintf("F%.*f", w.dec-3, feed*w.k) }

// step is one move of a cut: a line, or an arc about a centre.
type step struct {
	to     geom.Point
	centre geom.Point
	turn   int // 0 a line, 1 counter-clockwise, -1 clockwise
}

// cutting is one cut: pierce, way, feed, and whether height is held.
type cutting struct {
	id     string
	pierce geom.Point
	way    []step
	feed   float64
	hold   bool
}

func (w *writer) header() {
	w.put("(gate hinge, 6 mm mild steel)")
	if w.k == 1 {
		w.put("G21 G90 G17 G40 G94 G64")
	} else {
		w.put("G20 G90 G17 G40 G94 G64")
	}
	w.put("M5")
	w.put("G0 Z%s", w.n(safe))
}

func (w *writer) hold(on bool) {
	if on {
		w.put("(height hold on)")
	} else {
		w.put("(height hold off)")
	}
}

func (w *writer) cut(c cutting) {
	w.put("(%s)", c.id)
	w.put("G0 %s", w.xy(c.pierce))
	if !w.dry {
		w.put("G0 Z%s", w.n(travel))
		w.put("G38.2 Z%s %s", w.n(-15), w.f(500))
		w.put("G92 Z%s", w.n(-sensor))
		w.put("G0 Z%s", w.n(pierceH))
	}
	if c.hold {
		w.hold(true)
	}
	if !w.dry {
		w.put("M3")
		w.put("G4 P%.3f", delay)
		w.put("G1 Z%s %s", w.n(cutH), w.f(1000))
	}
	at := c.pierce
	for i, s := range c.way {
		feed := ""
		if i == 0 {
			feed = " " + w.f(c.feed)
		}
		switch s.turn {
		case 0:
			w.put("G1 %s%s", w.xy(s.to), feed)
		case 1:
			w.put("G3 %s I%s J%s%s", w.xy(s.to), w.n(s.centre.X-at.X), w.n(s.centre.Y-at.Y), feed)
		default:
			w.put("G2 %s I%s J%s%s", w.xy(s.to), w.n(s.centre.X-at.X), w.n(s.centre.Y-at.Y), feed)
		}
		at = s.to
	}
	if !w.dry {
		w.put("M5")
	}
	if c.hold {
		w.hold(false)
	}
	if !w.dry {
		w.put("G0 Z%s", w.n(safe))
	}
}

func (w *writer) footer() {
	w.put("G0 X0 Y0")
	w.put("M30")
}

func (w *writer) text() []byte { return []byte(strings.Join(w.lines, "\n") + "\n") }

// hole cuts a circle from its middle, counter-clockwise, with an overburn.
func hole(id string, c geom.Point, d, feed float64, hold bool) cutting {
	r := d/2 - kerf/2
	over := 4 / r
	return cutting{id, c, []step{
		{to: c.Add(geom.Pt(r, 0))},
		{c.Add(geom.Pt(-r, 0)), c, 1},
		{c.Add(geom.Pt(r, 0)), c, 1},
		{geom.Polar(c, r, over), c, 1},
	}, feed, hold}
}

// window cuts a sharp rectangle from inside, counter-clockwise.
func window(id string, a, b geom.Point) cutting {
	h := kerf / 2
	a, b = a.Add(geom.Pt(h, h)), b.Sub(geom.Pt(h, h))
	m := (a.X + b.X) / 2
	return cutting{id, geom.Pt(m-5, a.Y+6), []step{
		{to: geom.Pt(m, a.Y)}, {to: geom.Pt(b.X, a.Y)}, {to: b}, {to: geom.Pt(a.X, b.Y)}, {to: a}, {to: geom.Pt(m, a.Y)}, {to: geom.Pt(m+4, a.Y)},
	}, full, false}
}

// frame cuts a rectangle with rounded corners (r may be 0) from outside, clockwise.
func frame(id string, a, b geom.Point, r float64) cutting {
	h := kerf / 2
	R := r + h
	m := (a.X + b.X) / 2
	bot, top, left, right := a.Y-h, b.Y+h, a.X-h, b.X+h
	c := func(x, y float64) geom.Point { return geom.Pt(x, y) }
	return cutting{id, geom.Pt(m+5, bot-5), []step{
		{to: c(m, bot)},
		{to: c(left+R, bot)}, {c(left, bot+R), c(left+R, bot+R), -1},
		{to: c(left, top-R)}, {c(left+R, top), c(left+R, top-R), -1},
		{to: c(right-R, top)}, {c(right, top-R), c(right-R, top-R), -1},
		{to: c(right, bot+R)}, {c(right-R, bot), c(right-R, bot+R), -1},
		{to: c(m, bot)},
	}, full, false}
}

func rounded(a, b geom.Point, r float64) geom.Path {
	if r == 0 {
		return geom.Polygon(a, geom.Pt(b.X, a.Y), b, geom.Pt(a.X, b.Y))
	}
	q := math.Tan(math.Pi / 8)
	v := func(x, y, bulge float64) geom.Vertex { return geom.Vertex{P: geom.Pt(x, y), Bulge: bulge} }
	return geom.Path{Closed: true, V: []geom.Vertex{
		v(a.X+r, a.Y, 0), v(b.X-r, a.Y, q), v(b.X, a.Y+r, 0), v(b.X, b.Y-r, q), v(b.X-r, b.Y, 0), v(a.X+r, b.Y, q), v(a.X, b.Y-r, 0), v(a.X, a.Y+r, q)}}
}

func feature(id, kind, rule string, loop geom.Path) proof.Feature {
	f := proof.Feature{ID: id, Kind: kind, Rule: rule, Loop: loop, Kerf: kerf, Feed: full, PierceHeight: pierceH, CutHeight: cutH, PierceDelay: delay}
	if rule == "slow-hole" {
		f.Feed, f.Hold = slow, true
	}
	return f
}

var (
	p1a, p1b   = geom.Pt(40, 40), geom.Pt(240, 180)
	win1, win2 = geom.Pt(100, 80), geom.Pt(180, 140)
	p2a, p2b   = geom.Pt(125, 100), geom.Pt(155, 120)
	h1, h2, h3 = geom.Pt(60, 60), geom.Pt(220, 60), geom.Pt(60, 160)
)

func cuttings() []cutting {
	return []cutting{
		hole("p1.h1", h1, 20, full, false),
		hole("p1.h2", h2, 20, full, false),
		hole("p1.h3", h3, 8, slow, true),
		frame("p2.outline", p2a, p2b, 0),
		window("p1.c1", win1, win2),
		frame("p1.outline", p1a, p1b, 10),
	}
}

func parts() []proof.Part {
	return []proof.Part{
		{Label: "p1", Features: []proof.Feature{
			feature("p1.h1", "hole", "inside", geom.Circle(h1, 10)),
			feature("p1.h2", "hole", "inside", geom.Circle(h2, 10).Reverse()), // either direction will do
			feature("p1.h3", "hole", "slow-hole", geom.Circle(h3, 4)),
			feature("p1.d1", "hole", "drill", geom.Circle(geom.Pt(220, 160), 2)),
			feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0)),
			feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)),
		}},
		{Label: "p2", Features: []proof.Feature{feature("p2.outline", "outline", "outline", rounded(p2a, p2b, 0))}},
	}
}

func input(text []byte) proof.Input {
	return proof.Input{
		File: "hinge.nc", Text: text, Parts: parts(),
		Stock:   proof.Stock{Shapes: []geom.Path{rounded(geom.Pt(0, 0), geom.Pt(300, 220), 0)}, Thickness: thickness},
		Machine: proof.Machine{TravelX: 1250, TravelY: 1250, MaxFeed: 6000, SafeZ: safe, TravelZ: travel, Probes: true, ProbeFeed: 600, SensorOffset: sensor},
		Form: proof.Form{Units: unit.MM, Lines: proof.Lines{
			TouchOff: []string{"G38.2 Z{search} F{feed}", "G92 Z{zero}"}, ArcOn: []string{"M3", "G4 P{delay}"}, ArcOff: []string{"M5"},
			HoldOn: []string{"(height hold on)"}, HoldOff: []string{"(height hold off)"}, Pause: []string{"M0"},
		}},
		Holds: proof.HoldsAsMarked,
	}
}

func good() *writer {
	w := &writer{k: 1, dec: 4}
	w.header()
	for _, c := range cuttings() {
		w.cut(c)
	}
	w.footer()
	return w
}

func goodDry() *writer {
	w := &writer{k: 1, dec: 4, dry: true}
	w.header()
	h := kerf / 2
	a, b := p1a.Sub(geom.Pt(h, h)), p1b.Add(geom.Pt(h, h))
	a.Y -= 5 // the outline's lead
	w.put("G0 %s", w.xy(a))
	w.put("G1 X%s %s", w.n(b.X), w.f(full))
	w.put("G1 Y%s", w.n(b.Y))
	w.put("G1 X%s", w.n(a.X))
	w.put("G1 Y%s", w.n(a.Y))
	w.put("G38.2 Z%s %s", w.n(-15), w.f(500))
	w.put("G92 Z%s", w.n(-sensor))
	w.put("G0 Z%s", w.n(safe))
	for _, c := range cuttings() {
		w.cut(c)
	}
	w.footer()
	return w
}

func show(r proof.Result) string {
	var b strings.Builder
	fmt.Fprintf(&b, "ok %v, gouge %g, uncut %g, %d cuts\n", r.OK, r.WorstGouge, r.Uncut, len(r.Cuts))
	for i, f := range r.Findings {
		if i == 12 {
			fmt.Fprintf(&b, "... %d findings\n", len(r.Findings))
			break
		}
		fmt.Fprintf(&b, "  %v line %d %s [%s] %s\n", f.Severity, f.Line, f.Feature, f.Code, f.Text)
	}
	return b.String()
}

func TestGoodProgramIsProved(t *testing.T) {
	r := proof.Prove(input(good().text()))
	if !r.OK || len(r.Findings) > 0 {
		t.Fatal(show(r))
	}
	// Four decimals move a point by up to 0.00007 mm; the rest is exact.
	if r.WorstGouge > 0.0003 || r.Uncut > 0.0003+0.001 {
		t.Error(show(r))
	}
	var ids []string
	for i, c := range r.Cuts {
		ids = append(ids, c.Feature)
		want := cuttings()[i]
		if c.N != i+1 || c.Pierce.Dist(want.pierce) > 1e-4 || c.Part != c.Feature[:2] || c.First >= c.Last || c.Rule == "" || c.Kind == "" {
			t.Errorf("%+v", c)
		}
		if line := good().lines[c.First-1]; line != "M3" {
			t.Errorf("cut %d begins with %q", c.N, line)
		}
		if line := good().lines[c.Last-1]; line != "M5" {
			t.Errorf("cut %d ends with %q", c.N, line)
		}
	}
	if got := strings.Join(ids, " "); got != "p1.h1 p1.h2 p1.h3 p2.outline p1.c1 p1.outline" {
		t.Error(got)
	}
	// By hand: a pierce in the middle of a 20 mm hole is 10 from its edge.
	if math.Abs(r.Cuts[0].Clearance-10) > 1e-9 || math.Abs(r.Cuts[2].Clearance-4) > 1e-9 {
		t.Errorf("clearance %g, %g", r.Cuts[0].Clearance, r.Cuts[2].Clearance)
	}
}

func TestGoodDryRunIsProved(t *testing.T) {
	in := input(goodDry().text())
	in.Dry = true
	if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 || len(r.Cuts) != 6 {
		t.Fatal(show(r))
	}
}

func TestGoodProgramInInchesIsProved(t *testing.T) {
	w := &writer{k: 1 / 25.4, dec: 5}
	w.header()
	for _, c := range cuttings() {
		w.cut(c)
	}
	w.footer()
	in := input(w.text())
	in.Form.Units = unit.Inch
	if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 {
		t.Fatal(show(r))
	}
}

func TestFindingsBecomeFaults(t *testing.T) {
	r := proof.Result{Findings: []proof.Finding{{Line: 12, Feature: "p1.h1", Severity: fault.Error, Code: "uncut", Text: "the kerf stays 1 mm away", Do: "Plan again."}}}
	if got := r.Faults("hinge.nc")[0].Error(); got != "hinge.nc:12: p1.h1: the kerf stays 1 mm away. Plan again." {
		t.Error(got)
	}
}
