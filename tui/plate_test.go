package tui

import (
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// TestBrailleDots: the bits are those of Unicode chapter 21.1, Braille
// Patterns (dots 1 2 3 7 down the left, 4 5 6 8 down the right).
func TestBrailleDots(t *testing.T) {
	for _, c := range []struct {
		x, y int
		want rune
	}{{0, 0, '⠁'}, {0, 1, '⠂'}, {0, 2, '⠄'}, {0, 3, '⡀'}, {1, 0, '⠈'}, {1, 1, '⠐'}, {1, 2, '⠠'}, {1, 3, '⢀'}} {
		r := &raster{w: 1, h: 1, cell: make([]rasterCell, 1), lines: new(int)}
		r.plot(c.x, c.y, markPart, dirFlat)
		if got := r.cell[0].sign(pictureBraille); got != c.want {
			t.Errorf("dot %d,%d: %c, want %c", c.x, c.y, got, c.want)
		}
	}
}

// TestPictureOfASquare: drawn by hand.
func TestPictureOfASquare(t *testing.T) {
	sq := geom.Polygon(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10))
	draw := func(ascii bool) string {
		r := newRaster(10, 5, sq.Box(), 1, sq.Box().Center())
		r.draw(&stroke{path: sq, box: sq.Box()}, markPart)
		var b strings.Builder
		for y := range r.h {
			for x := range r.w {
				b.WriteRune(r.cell[y*r.w+x].sign(map[bool]picture{true: pictureASCII}[ascii]))
			}
			b.WriteByte('\n')
		}
		return b.String()
	}
	want := "" +
		"⡏⠉⠉⠉⠉⠉⠉⠉⠉⢹\n" +
		"⡇        ⢸\n" +
		"⡇        ⢸\n" +
		"⡇        ⢸\n" +
		"⣇⣀⣀⣀⣀⣀⣀⣀⣀⣸\n"
	if got := draw(false); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	wantASCII := "" +
		"+--------+\n" +
		"|        |\n" +
		"|        |\n" +
		"|        |\n" +
		"+--------+\n"
	if got := draw(true); got != wantASCII {
		t.Errorf("got\n%swant\n%s", got, wantASCII)
	}
}

// TestAllOfItIsSeen: shown whole, every point of the box lies on the field,
// and the scale is the same along X and Y, since a cell is two by four dots.
func TestAllOfItIsSeen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(4, 200).Draw(t, "w"), rapid.IntRange(2, 100).Draw(t, "h")
		box := geom.EmptyBox().Add(geom.Pt(rapid.Float64Range(-1e4, 1e4).Draw(t, "x"), rapid.Float64Range(-1e4, 1e4).Draw(t, "y")))
		box = box.Add(geom.Pt(box.Min.X+rapid.Float64Range(0, 1e4).Draw(t, "bw"), box.Min.Y+rapid.Float64Range(0, 1e4).Draw(t, "bh")))
		r := newRaster(w, h, box, 1, box.Center())
		for _, p := range []geom.Point{box.Min, box.Max, box.Center(), geom.Pt(box.Min.X, box.Max.Y)} {
			if _, _, ok := r.at(p); !ok {
				t.Fatalf("%v is off the field", p)
			}
		}
		if !(r.k > 0) || math.IsInf(r.k, 0) {
			t.Fatalf("scale %v", r.k)
		}
	})
}

// TestLinesHaveNoGaps: however steep, a line touches a dot next to the last.
func TestLinesHaveNoGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		box := geom.Box{Max: geom.Pt(100, 100)}
		r := newRaster(40, 20, box, 1, box.Center())
		p := func(n string) geom.Point {
			return geom.Pt(rapid.Float64Range(0, 100).Draw(t, n+"x"), rapid.Float64Range(0, 100).Draw(t, n+"y"))
		}
		a, b := p("a"), p("b")
		s := stroke{path: geom.FromSegs([]geom.Seg{geom.Line(a, b)}, false), box: geom.EmptyBox().Add(a).Add(b)}
		r.draw(&s, markPart)
		on := func(x, y int) bool {
			return x >= 0 && y >= 0 && x < 80 && y < 80 && r.cell[y/4*r.w+x/2].dots&braille[x&1][y&3] != 0
		}
		n := 0
		for x := range 80 {
			for y := range 80 {
				if on(x, y) {
					n++
				}
			}
		}
		x0, y0 := r.dot(a)
		x1, y1 := r.dot(b)
		if least := int(max(math.Abs(x1-x0), math.Abs(y1-y0))) - 1; n < least {
			t.Fatalf("%d dots for a line over %d", n, least)
		}
	})
}

// TestClipIsTheSameLine: what is cut off lies outside, what stays inside.
func TestClipIsTheSameLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(n string) float64 { return rapid.Float64Range(-300, 400).Draw(t, n) }
		x0, y0, x1, y1 := f("x0"), f("y0"), f("x1"), f("y1")
		const w, h = 100, 60
		t0, t1, ok := clip(x0, y0, x1, y1, w, h)
		for i := range 101 {
			u := float64(i) / 100
			x, y := x0+u*(x1-x0), y0+u*(y1-y0)
			const hair = 1e-9 // rounding of the products above, at most 700 x 2^-52 each
			in := x > hair && x < w-hair && y > hair && y < h-hair
			out := x < -hair || x > w+hair || y < -hair || y > h+hair
			kept := ok && u >= t0-hair && u <= t1+hair
			if in && !kept {
				t.Fatalf("%v,%v was cut off", x, y)
			}
			if out && ok && u > t0+hair && u < t1-hair {
				t.Fatalf("%v,%v was kept", x, y)
			}
		}
	})
}

func TestTicksAreRoundFigures(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		cells  int
		apart  float64
		u      unit.System
		want   string
	}{
		{0, 500, 50, 8, unit.MM, "0 100 200 300 400 500"},
		{0, 1250, 110, 8, unit.MM, "0 100 200 300 400 500 600 700 800 900 1000 1100 1200"},
		{-30, 130, 12, 3, unit.MM, "0 50 100"},
		{0, 254, 50, 8, unit.Inch, "0 2 4 6 8 10"},
		{0, 5, 50, 8, unit.MM, "0 1 2 3 4 5"},
		{0, 0.5, 50, 8, unit.MM, "0 0.1 0.2 0.3 0.4 0.5"},
	} {
		var got []string
		for _, tk := range ticks(c.lo, c.hi, c.cells, c.apart, c.u) {
			got = append(got, tk.text)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v to %v %s: %s, want %s", c.lo, c.hi, c.u, s, c.want)
		}
	}
}

// TestAimedFeatureIsSeenWithoutColour: it is drawn thicker, its number stands
// in brackets, and both rulers point at it.
func TestAimedFeatureIsSeenWithoutColour(t *testing.T) {
	d := start(t, 120, 40)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.h2")
	d.shows("[2]")
	frame := d.frame()
	if strings.Count(frame, "▸") != 2 || strings.Count(frame, "▾") != 2 { // row and ruler; torch and ruler
		t.Errorf("pointers are missing:\n%s", frame)
	}
	before := frame
	d.keys("down")
	d.shows("[3]")
	if d.frame() == before {
		t.Error("the plate does not follow the cursor")
	}
}

// TestPlateIsKeptUntilItChanges: keys that change nothing on the plate leave
// its lines as they are, the very same strings.
func TestPlateIsKeptUntilItChanges(t *testing.T) {
	d := start(t, 120, 40)
	d.stock()
	d.process()
	d.frame()
	key := d.m.plate.key
	lines := &d.m.plate.lines[0]
	d.keys("down down up enter 5 esc ? esc")
	d.frame()
	if d.m.plate.key != key || &d.m.plate.lines[0] != lines {
		t.Error("the plate was drawn again for nothing")
	}
	d.keys("+")
	d.frame()
	if d.m.plate.key == key {
		t.Error("nearer shows the same picture")
	}
	d.keys("f")
	d.frame()
	if d.m.plate.key != key {
		t.Error("the whole plate is another picture than before")
	}
}

func TestNearerShowsTheFeatureUnderTheCursor(t *testing.T) {
	d := start(t, 120, 40)
	d.stock()
	d.process()
	d.go_(featureStage)
	d.at("f:p1.h1").keys("+ + + +")
	d.shows("16x")
	d.frame()
	r := d.m.plate.base
	c, _ := d.m.res.scene.center(d.m.featureIndex("p1.h1"))
	if x, y, ok := r.at(c); !ok || x != r.w/2 || (y != r.h/2 && y != r.h/2-1) {
		t.Errorf("its middle is at cell %d,%d of %d,%d", x, y, r.w, r.h)
	}
	d.keys("+ + + + + + +")
	d.shows("256x")
	if before := d.frame(); true {
		d.keys("+")
		if d.frame() != before {
			t.Error("nearer than nearest changes the frame")
		}
	}
}

// TestPlateLinesHaveTheirWidth: colour and tags add no cells.
func TestPlateLinesHaveTheirWidth(t *testing.T) {
	d := start(t, 200, 60, func(s *Session) { s.NoColor = false })
	d.stock()
	d.process()
	d.go_(featureStage)
	for _, size := range [][2]int{{20, 8}, {33, 15}, {119, 50}, {5, 3}} {
		for _, l := range d.m.plateLines(size[0], size[1]) {
			if n := ansi.StringWidth(l); n != size[0] {
				t.Errorf("%v: %d cells: %q", size, n, l)
			}
		}
	}
}

// TestHeldStretchesAreAGlyphAndALayer: they show without colour, and the same
// key takes them off and lays them on.
func TestHeldStretchesAreAGlyphAndALayer(t *testing.T) {
	for sign, ascii := range map[string]bool{"≈": false, "~": true} {
		d := start(t, 200, 60, func(s *Session) { s.ASCII = ascii })
		d.stock()
		before := d.frame()
		d.keys(",") // nothing is planned: no holds, no effect
		if d.frame() != before {
			t.Error("the key does something without a plan")
		}
		d.process()
		d.go_(featureStage)
		plate := func() string { return strings.Join(d.m.plateLines(120, 40), "\n") }
		with := plate()
		if !strings.Contains(with, sign) {
			t.Errorf("no %s:\n%s", sign, with)
		}
		d.shows(", held " + heldShare(d.m.res.prog.Plan.HoldShare))
		d.keys(",")
		if strings.Contains(plate(), sign) {
			t.Errorf("still %s:\n%s", sign, plate())
		}
		d.keys(",")
		if plate() != with {
			t.Error("the key does not bring them back")
		}
	}
}
