package drawing_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// corpus lists public drawings by people who had nothing to do with this
// project. Loops, area (in the file's own unit, outers minus holes plus
// islands) and open chains were counted apart, on curves flattened to 0.0005
// mm; that is good to about 0.01 % in area.
var corpus = []struct {
	file  string
	loops int
	area  float64
	open  int
	from  drawing.UnitSource
	scale float64 // mm in a drawing unit
}{
	{"motor_mount_inch.dxf", 10, 15.1157, 0, drawing.UnitInFile, unit.MMPerInch},
	{"case_top.dxf", 3, 15701.7356, 0, drawing.UnitInFile, 1},
	{"robot_kit_r12.dxf", 98, 32884.6937, 0, drawing.UnitAsked, 1},
	{"robot_platform_r12.dxf", 19, 8456.2031, 0, drawing.UnitAsked, 1},
	{"keyboard_plate.dxf", 56, 10933.7076, 0, drawing.UnitAsked, 1},
	{"printer_panel_scripted.dxf", 23, 30277.6697, 0, drawing.UnitAsked, 1},
	{"scroll_splines_inch.dxf", 16, 1.7137, 0, drawing.UnitInFile, unit.MMPerInch},
	{"arrayed_holes.dxf", 15, 7.1343, 0, drawing.UnitInFile, unit.MMPerInch},
	{"front_panel_dims_r12.dxf", 15, 54858.7787, 0, drawing.UnitAsked, 1},
	{"loose_edges.dxf", 8, 9698.2661, 2, drawing.UnitAsked, 1},
	{"synth_panel_layout.dxf", 30, 2882.2066, 22, drawing.UnitInFile, 1},
}

func corpusFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "corpus", name))
	if err != nil {
		t.Skipf("the corpus of public drawings is not here: %v", err)
	}
	return data
}

// inside returns a point well inside a loop: the middle of the widest stretch
// that a level line through the middle of its box cuts out of it.
func inside(p geom.Path) geom.Point {
	pts := p.Flatten(0.001)
	b := p.Box()
	y := b.Min.Y + 0.4999*b.Height()
	var xs []float64
	for i, a := range pts {
		c := pts[(i+1)%len(pts)]
		if (a.Y <= y) != (c.Y <= y) {
			xs = append(xs, a.X+(y-a.Y)/(c.Y-a.Y)*(c.X-a.X))
		}
	}
	slices.Sort(xs)
	best, at := 0.0, p.Start()
	for i := 0; i+1 < len(xs); i += 2 {
		if w := xs[i+1] - xs[i]; w > best {
			best, at = w, geom.Pt((xs[i]+xs[i+1])/2, y)
		}
	}
	return at
}

// evenOdd is outers minus holes plus islands: a loop lies in each larger one
// that holds a point inside it.
func evenOdd(loops []drawing.Loop) float64 {
	sum := 0.0
	for i, l := range loops {
		p := inside(l.Path)
		depth := 0
		for k, m := range loops {
			if b := m.Path.Area(); k != i && (b > l.Path.Area() || b == l.Path.Area() && k < i) && m.Path.Winding(p) != 0 {
				depth++
			}
		}
		a := math.Abs(l.Path.Area())
		if depth%2 == 1 {
			a = -a
		}
		sum += a
	}
	return sum
}

func TestCorpusGivesItsLoopsAndAreas(t *testing.T) {
	for _, c := range corpus {
		t.Run(c.file, func(t *testing.T) {
			l, faults := drawing.Read(context.Background(), corpusFile(t, c.file), drawing.Options{Name: plain.Of(c.file)})
			for _, f := range faults {
				t.Log(f.Severity, f.Code, f.Error())
			}
			if l == nil {
				t.Fatal("nothing read")
			}
			if len(l.Closed) != c.loops || len(l.Open) != c.open {
				t.Errorf("%d loops, %d open, want %d, %d", len(l.Closed), len(l.Open), c.loops, c.open)
			}
			want := c.area * c.scale * c.scale
			if got := evenOdd(l.Closed); math.Abs(got-want) > 0.001*want {
				t.Errorf("area %.4f, want %.4f (%+.4f %%)", got, want, 100*(got/want-1))
			} else {
				t.Logf("area %.4f, want %.4f (%+.4f %%)", got, want, 100*(got/want-1))
			}
			if got, ok := l.EvenOdd(); !ok || math.Abs(got-want) > 0.001*want {
				t.Errorf("even-odd area %.4f, want %.4f (%+.4f %%)", got, want, 100*(got/want-1))
			}
			if l.UnitFrom != c.from || l.MMPerUnit != c.scale {
				t.Errorf("unit from %v, %g mm; want %v, %g", l.UnitFrom, l.MMPerUnit, c.from, c.scale)
			}
			for _, m := range l.Closed {
				checkLoop(t, m.Path)
			}
		})
	}
}

// checkLoop holds a loop to what the package promises.
func checkLoop(t testing.TB, p geom.Path) {
	t.Helper()
	if !p.Closed || p.Area() < -geom.Same*p.Length() { // two eyes that meet in a point have no direction
		t.Errorf("a loop that is open or clockwise: %v", p.Area())
	}
	for i := range p.NumSegs() {
		s := p.Seg(i)
		if !s.A.Finite() || math.Abs(s.Bulge) > 1 || s.A.Near(s.B) {
			t.Errorf("segment %d: %v", i, s)
		}
	}
}
