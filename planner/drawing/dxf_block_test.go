package drawing_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// block writes a BLOCK.
func (d *dxfText) block(name string, flags int, base geom.Point, draw func()) *dxfText {
	d.to = &d.blocks
	d.put(0, "BLOCK", 8, "0", 2, name, 70, flags, 10, base.X, 20, base.Y, 30, 0.0)
	draw()
	d.put(0, "ENDBLK")
	d.to = &d.body
	return d
}

func centres(l *drawing.Loops) []geom.Point {
	var out []geom.Point
	for _, c := range l.Closed {
		out = append(out, c.Path.Box().Center())
	}
	return out
}

func hasCentre(l *drawing.Loops, p geom.Point) bool {
	for _, c := range centres(l) {
		if c.Dist(p) < 1e-6 {
			return true
		}
	}
	return false
}

// Figures by the rule: subtract the base, scale, turn, move (DXF reference,
// INSERT); computed apart.
func TestInsertPutsBlocksInPlace(t *testing.T) {
	for _, c := range []struct {
		name string
		base geom.Point
		at   geom.Point
		sx   float64
		sy   float64
		deg  float64
		want geom.Point
	}{
		{"mirrored and turned", geom.Pt(0, 0), geom.Pt(10, 20), 2, -2, 90, geom.Pt(12, 24)}, // (2,1) -> (4,-2) -> (2,4)
		{"base point", geom.Pt(1, 1), geom.Pt(10, 20), 1, 1, 0, geom.Pt(11, 20)},
		{"turned by 30 degrees", geom.Pt(-3, 1), geom.Pt(0, 0), 1, 1, 30, geom.Pt(4.33012701892, 2.5)},
		{"mirrored, 45 degrees", geom.Pt(1, 0), geom.Pt(100, 50), -1, 1, 45, geom.Pt(98.5857864376, 50)},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF().mm()
			d.block("HOLE", 0, c.base, func() { d.circle(geom.Pt(2, 1), 0.5) })
			d.entity("INSERT", 2, "HOLE", 10, c.at.X, 20, c.at.Y, 41, c.sx, 42, c.sy, 50, c.deg)
			l := mustRead(t, d.bytes(), drawing.Options{})
			if len(l.Closed) != 1 || !hasCentre(l, c.want) {
				t.Fatalf("%v, want %v", centres(l), c.want)
			}
			nearly(t, "radius", l.Closed[0].Path.Seg(0).Radius(), 0.5*math.Abs(c.sx), 1e-9)
		})
	}
}

// An array of 2 columns and 3 rows, turned by 90 degrees and mirrored by an
// outer block: columns run up, rows to the right. Spacing is turned, not scaled.
func TestArraysTurnWithTheirInsert(t *testing.T) {
	d := newDXF().mm()
	d.block("HOLE", 0, geom.Pt(0, 0), func() { d.circle(geom.Pt(0, 0), 2) })
	d.block("ROWS", 0, geom.Pt(0, 0), func() {
		d.entity("INSERT", 2, "HOLE", 10, 10.0, 20, 20.0, 41, 0.5, 42, 0.5, 43, 0.0, 50, 90.0, 70, 2, 71, 3, 44, 15.0, 45, 7.0)
	})
	d.entity("INSERT", 2, "ROWS", 10, 0.0, 20, 0.0, 41, -1.0)
	l := mustRead(t, d.bytes(), drawing.Options{})
	if len(l.Closed) != 6 {
		t.Fatalf("%d holes", len(l.Closed))
	}
	for col := range 2 {
		for row := range 3 {
			// Turned by 90 degrees: (15 col, 7 row) -> (-7 row, 15 col); mirrored: x changes sign.
			if want := geom.Pt(-(10 - 7*float64(row)), 20+15*float64(col)); !hasCentre(l, want) {
				t.Errorf("no hole at %v: %v", want, centres(l))
			}
		}
	}
	nearly(t, "radius", l.Closed[0].Path.Seg(0).Radius(), 1, 1e-9)
}

func TestUnevenScaleMakesEllipses(t *testing.T) {
	d := newDXF().mm()
	d.block("HOLE", 0, geom.Pt(0, 0), func() { d.circle(geom.Pt(0, 0), 10) })
	d.entity("INSERT", 2, "HOLE", 10, 50.0, 20, 50.0, 41, 5.0, 42, 3.0, 50, 20.0)
	l := mustRead(t, d.bytes(), drawing.Options{})
	p := l.Closed[0].Path
	nearly(t, "area, half axes 50 and 30", p.Area(), 1500*math.Pi, 255.27*geom.Fit)
	nearly(t, "perimeter, by the elliptic integral", p.Length(), 255.2699886, 0.01)
}

func TestBlocksThatGoWrongAreNamed(t *testing.T) {
	for _, c := range []struct {
		name, code, want string
		sev              fault.Severity
		draw             func(d *dxfText)
	}{
		{"missing", "block-missing", "does not hold", fault.Warning, func(d *dxfText) { d.entity("INSERT", 2, "GONE", 10, 0.0, 20, 0.0) }},
		{"external", "xref", `"hinge.dwg"`, fault.Warning, func(d *dxfText) {
			d.to = &d.blocks
			d.put(0, "BLOCK", 2, "X", 70, 4, 10, 0.0, 20, 0.0, 1, "hinge.dwg", 0, "ENDBLK")
			d.to = &d.body
			d.entity("INSERT", 2, "X", 10, 0.0, 20, 0.0)
		}},
		{"itself", "block-cycle", "A > A", fault.Error, func(d *dxfText) {
			d.block("A", 0, geom.Pt(0, 0), func() { d.entity("INSERT", 2, "a", 10, 0.0, 20, 0.0) })
			d.entity("INSERT", 2, "A", 10, 0.0, 20, 0.0)
		}},
		{"round about", "block-cycle", "B > C > B", fault.Error, func(d *dxfText) {
			d.block("B", 0, geom.Pt(0, 0), func() { d.entity("INSERT", 2, "C", 10, 0.0, 20, 0.0) })
			d.block("C", 0, geom.Pt(0, 0), func() { d.entity("INSERT", 2, "B", 10, 0.0, 20, 0.0) })
			d.block("A", 0, geom.Pt(0, 0), func() { d.entity("INSERT", 2, "B", 10, 0.0, 20, 0.0) })
			d.entity("INSERT", 2, "A", 10, 0.0, 20, 0.0)
		}},
		{"no width", "block-scale", "scale 0", fault.Warning, func(d *dxfText) {
			d.block("A", 0, geom.Pt(0, 0), func() { d.circle(geom.Pt(0, 0), 5) })
			d.entity("INSERT", 2, "A", 10, 0.0, 20, 0.0, 41, 0.0)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := plate("0", "0")
			c.draw(d)
			l, faults := read(t, d.bytes(), drawing.Options{})
			f := find(t, faults, c.code)
			if f.Severity != c.sev || !strings.Contains(f.Error(), c.want) || f.Line == 0 || f.Do == "" || len(l.Closed) != 2 {
				t.Errorf("%v: %v", f.Severity, f.Error())
			}
		})
	}
}

func TestDimensionBlocksAreNotDrawn(t *testing.T) {
	d := plate("0", "0")
	d.block("*D1", 1, geom.Pt(0, 0), func() { d.line(geom.Pt(0, 0), geom.Pt(500, 500)) })
	d.entity("DIMENSION", 2, "*D1", 10, 0.0, 20, 0.0)
	wantPlate(t, d.bytes())
}

func TestNotesInBlocksAreCountedForEachInsert(t *testing.T) {
	d := plate("0", "0")
	d.block("TITLE", 0, geom.Pt(0, 0), func() {
		for range 5 {
			d.entity("TEXT", 10, 1.0, 20, 1.0)
		}
	})
	d.entity("INSERT", 2, "TITLE", 10, 100.0, 20, 0.0).entity("INSERT", 2, "TITLE", 10, 200.0, 20, 0.0)
	f := find(t, wantPlate(t, d.bytes()).Report, "text")
	if !strings.Contains(f.What, "10 times") || f.X != 101 {
		t.Errorf("%v", f.Error())
	}
}

// Off hides what is on the layer, frozen hides blocks inserted on it too.
func TestHiddenLayersAreLeftOut(t *testing.T) {
	d := newDXF().mm()
	d.to = &d.tables
	d.put(0, "TABLE", 2, "LAYER", 0, "LAYER", 2, "OFF", 70, 0, 62, -3, 0, "LAYER", 2, "FROZEN", 70, 1, 62, 3, 0, "LAYER", 2, "NOPLOT", 70, 0, 62, 3, 290, 0, 0, "ENDTAB")
	d.to = &d.body
	d.block("B", 0, geom.Pt(0, 0), func() {
		d.circle(geom.Pt(0, 0), 3) // on layer 0: takes the INSERT's
		d.layer = "SHOWN"
		d.circle(geom.Pt(20, 0), 3)
		d.layer = "0"
	})
	d.circle(geom.Pt(-50, 0), 5)
	for _, name := range []string{"OFF", "FROZEN", "NOPLOT"} {
		d.layer = name
		d.circle(geom.Pt(100, 100), 5)
	}
	d.layer = "OFF"
	d.entity("INSERT", 2, "B", 10, 0.0, 20, 0.0)
	d.layer = "FROZEN"
	d.entity("INSERT", 2, "B", 10, 0.0, 20, 50.0)
	d.layer = "0"
	d.entity("CIRCLE", 60, 1, 10, 0.0, 20, -100.0, 40, 3.0) // invisible by itself
	data := d.bytes()
	l := mustRead(t, data, drawing.Options{})
	if len(l.Closed) != 2 || !hasCentre(l, geom.Pt(-50, 0)) || !hasCentre(l, geom.Pt(20, 0)) {
		t.Errorf("%v", centres(l))
	}
	for _, i := range l.Layers {
		switch i.Name.String() {
		case "OFF", "FROZEN":
			if !i.Hidden || i.Use != job.LayerIgnore || !strings.Contains(i.Why, strings.ToLower(i.Name.String())) {
				t.Errorf("%+v", i)
			}
		case "NOPLOT":
			if i.Hidden || i.Use != job.LayerIgnore || !strings.Contains(i.Why, "printed") {
				t.Errorf("%+v", i)
			}
		}
	}
	l = mustRead(t, data, drawing.Options{Layers: []job.Layer{{Name: plain.Of("off"), Use: job.LayerCut}, {Name: plain.Of("NOPLOT"), Use: job.LayerMark}}})
	if len(l.Closed) != 5 || !hasCentre(l, geom.Pt(0, 0)) {
		t.Errorf("with the operator's word: %v", centres(l))
	}
	for _, c := range l.Closed {
		if (c.Layer.String() == "NOPLOT") != (c.Use == job.LayerMark) {
			t.Errorf("%v on %v", c.Use, c.Layer)
		}
	}
}

func TestLayerUseIsGuessedFromNameAndContent(t *testing.T) {
	d := plate("OUTLINE", "HOLES")
	d.to = &d.tables
	d.put(0, "TABLE", 2, "LTYPE", 0, "LTYPE", 2, "CENTER2", 73, 4, 0, "ENDTAB")
	d.to = &d.body
	for name, groups := range map[string][]any{"A-DIM": nil, "Bemassung": nil, "ETCH": nil, "bend_lines": nil, "Achse": {6, "CENTER2"}, "HELP": {6, "HIDDEN"}, "DIMPLE": nil, "Title": nil} {
		d.layer = name
		d.entity("LINE", append(groups, 10, 10.0, 20, 10.0, 11, 12.0, 21, 10.0)...)
	}
	l := wantPlateAnd(t, d.bytes())
	want := map[string]job.LayerUse{"OUTLINE": job.LayerCut, "HOLES": job.LayerCut, "A-DIM": job.LayerIgnore, "Bemassung": job.LayerIgnore, "ETCH": job.LayerMark,
		"bend_lines": job.LayerMark, "Achse": job.LayerIgnore, "HELP": job.LayerIgnore, "DIMPLE": job.LayerCut, "Title": job.LayerIgnore}
	for _, i := range l.Layers {
		if i.Use != want[i.Name.String()] || i.Why == "" {
			t.Errorf("%v: %v, want %v (%s)", i.Name, i.Use, want[i.Name.String()], i.Why)
		}
		delete(want, i.Name.String())
	}
	if len(want) > 0 {
		t.Errorf("not listed: %v", want)
	}
	if f := find(t, l.Report, "layer"); f.Severity != fault.Note || f.Entity == "" {
		t.Errorf("%v", f.Error())
	}
}

func wantPlateAnd(t *testing.T, data []byte) *drawing.Loops {
	t.Helper()
	return mustRead(t, data, drawing.Options{})
}
