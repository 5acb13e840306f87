package proof_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// Every limit of the proof passes what is a little inside it and objects to
// what is a little outside: figures by hand from the limits' own statements.
// Damage done to the proof itself showed which of them nothing else held.
func TestEveryLimitLiesWhereItIsSaidToLie(t *testing.T) {
	type spoil = func(x *text, in *proof.Input)
	sub := func(id, prefix string, nth int, old, format string) func(v float64) spoil {
		return func(v float64) spoil {
			return func(x *text, in *proof.Input) { x.sub(id, prefix, nth, old, fmt.Sprintf(format, v)) }
		}
	}
	cut := func(id string, change func(c *cutting, v float64)) func(v float64) spoil {
		return func(v float64) spoil {
			return func(x *text, in *proof.Input) {
				c := cuttingOf(id)
				c.way = slices.Clone(c.way)
				change(&c, v)
				x.replace(id, c)
			}
		}
	}
	input := func(change func(in *proof.Input, v float64)) func(v float64) spoil {
		return func(v float64) spoil { return func(x *text, in *proof.Input) { change(in, v) } }
	}
	touched := func(reuse float64) func(v float64) spoil { // v mm beside the pierce of p1.h2
		return func(v float64) spoil {
			return func(x *text, in *proof.Input) {
				in.Machine.ProbeReuse = reuse
				i := x.find("p1.h2", "G0 X", 0)
				x.lines[i] = fmt.Sprintf("G0 X%.4f Y60", h2.X-v)
				x.insert(x.find("p1.h2", "G0 Z3.8", 0), "G0 Z25", "G0 X220 Y60")
			}
		}
	}
	for _, row := range []struct {
		name    string
		make    func(v float64) spoil
		in, out []float64
		code    string
	}{
		// 0.01 mm of a sensor, and half of the last of four decimals twice.
		{"pierce height", sub("p1.h1", "G0 Z3.8", 0, "3.8000", "%.4f"), []float64{3.791, 3.809}, []float64{3.788, 3.812}, "pierce-height"},
		{"cut height", sub("p1.h1", "G1 Z", 0, "1.5000", "%.4f"), []float64{1.491, 1.509}, []float64{1.488, 1.512}, "cut-height"},
		{"lift to cut height", func(v float64) spoil {
			return func(x *text, in *proof.Input) {
				for i := range in.Parts[0].Features {
					in.Parts[0].Features[i].PierceHeight = 1
				}
				for _, id := range []string{"p1.h1", "p1.h2", "p1.h3", "p1.c1", "p1.outline"} {
					x.sub(id, "G0 Z3.8", 0, "3.8", "1.0")
				}
				x.sub("p1.h1", "G1 Z", 0, "1.5000", fmt.Sprintf("%.4f", v))
			}
		}, []float64{1.491, 1.509}, []float64{1.488, 1.512}, "lit-lift"},
		// Half of the last of two decimals of a dwell.
		{"pierce delay", sub("p1.h1", "G4", 0, "0.400", "%.4f"), []float64{0.396, 0.404}, []float64{0.394, 0.406}, "pierce-delay"},
		// Half of a whole mm/min.
		{"feed", sub("p1.h1", "G1 X", 0, "2500.0", "%.2f"), []float64{2499.5, 2500.5}, []float64{2499.4, 2500.6}, "feed"},
		{"feed of a touch-off", sub("p1.h1", "G38.2", 0, "500.0", "%.2f"), []float64{600.5}, []float64{600.6}, "probe-feed"},
		{"feed of the machine", func(v float64) spoil {
			return func(x *text, in *proof.Input) { in.Machine.MaxFeed = v }
		}, []float64{2499.6}, []float64{2499.4}, "max-feed"},
		// The tolerance, beside the place and at the end of the shop's reach.
		{"touch-off at the pierce", touched(0), []float64{0.019}, []float64{0.021}, "no-touch-off"},
		{"touch-off within reach", touched(40), []float64{40.019}, []float64{40.021}, "no-touch-off"},
		// 1.5 kerfs of 1.5 mm, or half of the plate and half a kerf.
		{"room of a pierce in thin plate", func(v float64) spoil {
			return func(x *text, in *proof.Input) {
				in.Stock.Thickness = 1
				cut("p1.c1", func(c *cutting, v float64) { c.pierce = geom.Pt(135, win1.Y+v) })(v)(x, in)
			}
		}, []float64{2.24, 2.3}, []float64{2.22}, "pierce-clearance"},
		{"room of a pierce in thick plate", input(func(in *proof.Input, v float64) { in.Stock.Thickness = v }), []float64{6.5}, []float64{6.6}, "pierce-clearance"}, // 4 in the small hole
		// Half a millimetre against the direction, at the end of the window.
		{"overburn back over the cut", cut("p1.c1", func(c *cutting, v float64) { c.way[len(c.way)-1].to.X = 140 - v }), []float64{0.45}, []float64{0.55}, "direction"},
		// The kerf's outer edge at the outline lies 1.5 mm off the part, and may
		// lie 0.02 over the stock's.
		{"end of a plate with square corners", input(func(in *proof.Input, v float64) {
			in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(240+v, 220), 0)
		}), []float64{1.485}, []float64{1.475}, "off-plate"},
		{"end of a plate with round corners", input(func(in *proof.Input, v float64) {
			in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(240+v, 220), 15)
		}), []float64{1.485}, []float64{1.475}, "off-plate"},
		{"end of a round plate", input(func(in *proof.Input, v float64) {
			// The part's corner circle of 10 mm about (230, 170), from the middle (140, 110).
			in.Stock.Shapes[0] = geom.Circle(geom.Pt(140, 110), math.Hypot(90, 60)+10+v)
		}), []float64{1.485}, []float64{1.475}, "off-plate"},
		{"end of a plate with a notch", input(func(in *proof.Input, v float64) {
			in.Stock.Shapes[0] = geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 90), geom.Pt(240+v, 90), geom.Pt(240+v, 110), geom.Pt(300, 110), geom.Pt(300, 220), geom.Pt(0, 220))
		}), []float64{1.485}, []float64{1.475}, "off-plate"},
		// What a kerf may take from a part, and leave on it.
		{"gouge", cut("p1.h1", func(c *cutting, v float64) { *c = hole("", h1, 20+2*v, full, false) }), []float64{0.019}, []float64{0.021}, "gouge"},
		{"uncut", cut("p1.h1", func(c *cutting, v float64) { *c = hole("", h1, 20-2*v, full, false) }), []float64{0.019}, []float64{0.022}, "uncut"},
		// Z0 and the zero itself are both rounded.
		{"zero of a touch-off", sub("p1.h1", "G92", 0, "-1.2000", "%.4f"), []float64{-1.191, -1.209}, []float64{-1.188, -1.212}, "touch-off-zero"},
		{"safe height over what is loose", sub("p1.h1", "G0 Z25", 0, "25.0000", "%.4f"), []float64{24.991}, nil, ""},
		{"travel height", sub("p1.h1", "G0 Z25", 0, "25.0000", "%.4f"), []float64{11.991}, []float64{11.988}, "low-travel"},
		{"travel of the table", input(func(in *proof.Input, v float64) { in.Machine.TravelX = v }), []float64{240.8}, []float64{240.7}, "off-table"},
	} {
		for _, side := range []struct {
			values []float64
			found  bool
		}{{row.in, false}, {row.out, true}} {
			for _, v := range side.values {
				x := &text{good().lines}
				in := base()
				row.make(v)(x, &in)
				in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
				r := proof.Prove(in)
				if got := slices.Contains(codes(r), row.code); got != side.found || !side.found && len(r.Findings) > 0 {
					t.Errorf("%s, %g: wanted [%s] %v\n%s", row.name, v, row.code, side.found, show(r))
				}
			}
		}
	}
}

func base() proof.Input { return input(nil) }

// oneTab is the plain plate, kept in by one tab of 3 mm in the middle of its
// upper side: the torch starts and stops stop mm beside the tab's middle.
func oneTab(stop float64, from geom.Point) []byte {
	h := kerf / 2
	lo, hi := plateA.Sub(geom.Pt(h, h)), plateB.Add(geom.Pt(h, h))
	c := func(x, y float64) geom.Point { return geom.Pt(x, y) }
	return program(cutting{"p1.outline", from, []step{
		{to: c(150+stop, hi.Y)}, {to: c(plateB.X, hi.Y)}, {c(hi.X, plateB.Y), plateB, -1},
		{to: c(hi.X, plateA.Y)}, {c(plateB.X, lo.Y), c(plateB.X, plateA.Y), -1},
		{to: c(plateA.X, lo.Y)}, {c(lo.X, plateA.Y), plateA, -1},
		{to: c(lo.X, plateB.Y)}, {c(plateA.X, hi.Y), c(plateA.X, plateB.Y), -1},
		{to: c(150-stop, hi.Y)},
	}, full, false})
}

func TestTabIsHeldToItsWidth(t *testing.T) {
	prove := func(text []byte, tabs ...proof.Tab) proof.Result {
		f := feature("p1.outline", "outline", "outline", rounded(plateA, plateB, 0))
		f.Tabs = tabs
		return proof.Prove(single(text, f))
	}
	tab := proof.Tab{At: geom.Pt(150, 140), Width: 3}
	away := geom.Pt(160, 147)
	// Half a tab and half a kerf is 2.25; the tab may be 0.02 narrower on either
	// side. On a bend the way along the edge is longer: a twentieth is let pass,
	// and the kerf of a torch at 0.77 from the edge reaches 0.17 further.
	for stop, code := range map[float64]string{2.25: "", 2.235: "", 2.225: "tab", 2: "tab", 0.5: "tab", 2.54: "", 2.6: "uncut"} {
		r := prove(oneTab(stop, away), tab)
		if (code == "") != r.OK || code != "" && !slices.Contains(codes(r), code) {
			t.Errorf("stops %g beside it: %s", stop, show(r))
		}
	}
	narrow := prove(oneTab(2, away), tab)
	if !found(narrow, "tab", "a tab of 3 mm is cut to 2.5 mm") || narrow.Findings[0].Line != lineWith(oneTab(2, away), "M3") {
		t.Error(show(narrow))
	}
	wantCodes(t, prove(oneTab(2.25, away)), "uncut")
	wantCodes(t, prove(oneTab(2.25, away), tab, proof.Tab{At: geom.Pt(150, 80), Width: 3}), "tab")
	// A lead through the skeleton that holds the tab: over a kerf and a half out
	// from the edge it does not matter.
	wantCodes(t, prove(oneTab(2.25, geom.Pt(149, 146)), tab), "tab")
	high := strings.Replace(string(oneTab(2.25, geom.Pt(150, 150))), "G1 X152.2500 Y140.7500 F2500.0", "G1 X158 Y146 F2500.0\nG1 X152.2500 Y140.7500", 1)
	if r := prove([]byte(high), tab); !r.OK {
		t.Error(show(r))
	}
	low := strings.Replace(high, "X158 Y146", "X152 Y142.8", 1)
	wantCodes(t, prove([]byte(low), tab), "tab")
}

func lineWith(text []byte, line string) int {
	return slices.Index(strings.Split(string(text), "\n"), line) + 1
}

// A slug that the job wants cut across: one run inside it, much shorter than
// its edge, before the edge is cut.
func TestSlugIsCutAcrossOnceAndFirst(t *testing.T) {
	across := func(pierce, to geom.Point) cutting { return cutting{"p1.c1", pierce, []step{{to: to}}, full, false} }
	prove := func(split bool, cuts ...cutting) proof.Result {
		f := feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0))
		f.Split = split
		plate := feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10))
		in := single(program(append(cuts, cuttingOf("p1.outline"))...), f, plate)
		in.Machine.ProbeReuse = 0
		return proof.Prove(in)
	}
	middle, edge := geom.Pt(140, 110), geom.Pt(140, 139.25)
	ok := func(r proof.Result) bool {
		return r.OK && len(r.Findings) == 0 && len(r.Cuts) == 3 && r.Cuts[0].Feature == "p1.c1"
	}
	for _, c := range []struct {
		name  string
		split bool
		cuts  []cutting
		code  string
	}{
		{"as wanted", true, []cutting{across(middle, edge), window("p1.c1", win1, win2)}, ""},
		{"to where the edge begins", true, []cutting{across(geom.Pt(140, 112), geom.Pt(140, 80.75)), window("p1.c1", win1, win2)}, ""},
		{"a hair into the part", true, []cutting{across(middle, geom.Pt(140, 139.265)), window("p1.c1", win1, win2)}, ""},
		{"more than a hair into the part", true, []cutting{across(middle, geom.Pt(140, 139.275)), window("p1.c1", win1, win2)}, "gouge"},
		{"not wanted", false, []cutting{across(middle, edge), window("p1.c1", win1, win2)}, "stray-cut"},
		{"twice", true, []cutting{across(middle, edge), across(geom.Pt(120, 110), geom.Pt(120, 139.25)), window("p1.c1", win1, win2)}, "stray-cut"},
		{"after the edge", true, []cutting{window("p1.c1", win1, win2), across(middle, edge)}, "stray-cut"},
		{"into the part", true, []cutting{across(middle, geom.Pt(140, 141)), window("p1.c1", win1, win2)}, "gouge"},
		{"pierced outside", true, []cutting{across(geom.Pt(140, 145), edge), window("p1.c1", win1, win2)}, "gouge"},
	} {
		r := prove(c.split, c.cuts...)
		if c.code == "" && !ok(r) || c.code != "" && (r.OK || !slices.Contains(codes(r), c.code)) {
			t.Errorf("%s: wanted [%s] %s", c.name, c.code, show(r))
		}
	}
	// A zigzag as long as half the edge is no cut across: the edge is 280 mm.
	long := cutting{"p1.c1", geom.Pt(105, 110), []step{{to: geom.Pt(175, 112)}, {to: geom.Pt(105, 114)}}, full, false}
	short := cutting{"p1.c1", geom.Pt(105, 110), []step{{to: geom.Pt(173, 112)}, {to: geom.Pt(105, 114)}}, full, false}
	if r := prove(true, short, window("p1.c1", win1, win2)); !r.OK {
		t.Error(show(r))
	}
	wantCodes(t, prove(true, long, window("p1.c1", win1, win2)), "stray-cut")
	// Half its kerf is swept against the parts, and its heights and feed are
	// the slug's.
	x := &text{strings.Split(strings.TrimSpace(string(program(across(middle, edge), window("p1.c1", win1, win2), cuttingOf("p1.outline")))), "\n")}
	for _, m := range []struct{ prefix, old, new, code string }{
		{"G0 Z3.8", "3.8", "2.8", "pierce-height"}, {"G4", "0.400", "0.2", "pierce-delay"}, {"G1 Z", "1.5", "2", "cut-height"}, {"G1 X140", "F2500", "F2000", "feed"},
	} {
		y := &text{slices.Clone(x.lines)}
		y.sub("p1.c1", m.prefix, 0, m.old, m.new)
		f := feature("p1.c1", "cut-out", "inside", rounded(win1, win2, 0))
		f.Split = true
		in := single([]byte(strings.Join(y.lines, "\n")+"\n"), f, feature("p1.outline", "outline", "outline", rounded(p1a, p1b, 10)))
		wantCodes(t, proof.Prove(in), m.code)
	}
}

// The words of the three ways in which an old touch-off does not serve.
func TestOldTouchOffIsRefusedByItsReason(t *testing.T) {
	x := &text{good().lines}
	x.insert(x.find("p1.h1", "G1 Z", 0), "M5", "M3", "G4 P0.4")
	if r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n"))); !found(r, "no-touch-off", "was used by a cut before, the job allows no second use") {
		t.Error(show(r))
	}
	a, b := geom.Pt(80, 60), geom.Pt(200, 60)
	w := &writer{k: 1, dec: 4}
	w.header()
	w.cut(hole("p1#1.h1", a, 20, full, false))
	w.put("M0")
	n := len(w.lines)
	w.cut(hole("p1#2.h1", b, 20, full, false))
	w.footer()
	for i := n; i < len(w.lines); i++ {
		if strings.HasPrefix(w.lines[i], "G38.2") {
			w.lines = slices.Delete(w.lines, i, i+2)
			break
		}
	}
	in := blanks(w.text(), 0, 0)
	in.Machine.ProbeReuse = 500
	if r := proof.Prove(in); !found(r, "no-touch-off", "was on another blank") {
		t.Error(show(r))
	}
	in.Machine.ProbeReuse = 100
	if r := proof.Prove(in); !found(r, "no-touch-off", "120 mm away, the job lets one serve within 100 mm") {
		t.Error(show(r))
	}
	in.Machine.Probes = false
	if r := proof.Prove(in); !r.OK {
		t.Error(show(r))
	}
}

// What is not cut is measured all the same: from where its edge begins to the
// nearest kerf.
func TestWhatIsNotCutIsMeasuredByTheNearestKerf(t *testing.T) {
	x := &text{good().lines}
	f, e := x.section("p1.h2")
	x.lines = slices.Delete(x.lines, f, e)
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	want := math.Inf(1)
	q := geom.Circle(h2, 10).V[0].P
	for _, c := range cuttings() {
		if c.id != "p1.h2" {
			want = min(want, least(q, along(c, 0.05))-kerf/2)
		}
	}
	if math.Abs(r.Uncut-want) > 0.01 {
		t.Errorf("%g away, want %g", r.Uncut, want)
	}
	in := input(good().text())
	in.Parts[1].Features = append(in.Parts[1].Features, feature("p2.m1", "mark", "mark", geom.Path{V: []geom.Vertex{{P: geom.Pt(130, 110)}, {P: geom.Pt(150, 110)}}}))
	if r := proof.Prove(in); !found(r, "not-cut", "is not marked") || r.Uncut > 0.01 {
		t.Error(show(r))
	}
}
