package drawing

import (
	"encoding/json"
	"os"
	"os/exec"
	"testing"

	"example.org/kerfwright/planner/geom"
)

// TestColourIndexesAreWhatEzdxfHas compares them with an independent table, all
// but the two darkest pale shades of each hue, in which tables differ.
func TestColourIndexesAreWhatEzdxfHas(t *testing.T) {
	python := os.Getenv("KERFWRIGHT_PYTHON")
	if python == "" {
		python = "/usr/bin/python3"
	}
	out, err := exec.Command(python, "-c", "import json\nfrom ezdxf import colors\nprint(json.dumps(list(colors.DXF_DEFAULT_COLORS)))").Output()
	if err != nil {
		t.Skipf("%s has no ezdxf (Debian: python3-ezdxf): %v", python, err)
	}
	var want []int32
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	for i := 1; i <= 255; i++ {
		if k := i % 10; i >= 10 && i < 250 && (k == 7 || k == 9) {
			continue
		}
		got := aciColor(i)
		for shift := 0; shift <= 16; shift += 8 { // within one step of rounding
			if d := (got >> shift & 0xff) - (want[i] >> shift & 0xff); d < -1 || d > 1 {
				t.Errorf("colour %d is %06x, want %06x", i, got, want[i])
				break
			}
		}
	}
}

// Figures of the arbitrary axis algorithm, worked apart from its definition in
// the DXF reference.
func TestArbitraryAxes(t *testing.T) {
	for _, c := range []struct{ n, ax, ay, ocs, wcs point3 }{
		{point3{0, 0, 1}, point3{1, 0, 0}, point3{0, 1, 0}, point3{10, 5, 2}, point3{10, 5, 2}},
		{point3{0, 0, -1}, point3{-1, 0, 0}, point3{0, 1, 0}, point3{10, 5, 2}, point3{-10, 5, -2}},
		{point3{1, 0, 0}, point3{0, 1, 0}, point3{0, 0, 1}, point3{10, 5, 2}, point3{2, 10, 5}},
		{point3{0, 1, 0}, point3{-1, 0, 0}, point3{0, 0, 1}, point3{10, 5, 2}, point3{-10, 2, 5}},
		{point3{-1, 0, 0}, point3{0, -1, 0}, point3{0, 0, 1}, point3{10, 5, 2}, point3{-2, -10, 5}},
		{point3{0.6, 0, 0.8}, point3{0, 1, 0}, point3{-0.8, 0, 0.6}, point3{10, 5, 2}, point3{-2.8, 10, 4.6}},
		{point3{0, -0.6, 0.8}, point3{1, 0, 0}, point3{0, 0.8, 0.6}, point3{10, 5, 2}, point3{10, 2.8, 4.6}},
		{point3{0.57735026919, 0.57735026919, 0.57735026919}, point3{-0.707106781187, 0.707106781187, 0}, point3{-0.408248290464, -0.408248290464, 0.816496580928},
			point3{10, 5, 2}, point3{-7.95760872581, 6.18452689793, 5.23718344302}},
		{point3{0.015, 0, 0.999887493671}, point3{0.999887493671, 0, -0.015}, point3{0, 1, 0}, point3{10, 5, 2}, point3{10.0288749367, 5, 1.84977498734}},
		{point3{0.016, 0, 0.999871991807}, point3{0, 1, 0}, point3{-0.999871991807, 0, 0.016}, point3{10, 5, 2}, point3{-4.96735995903, 10, 2.07974398361}},
		{point3{0, 0, -7}, point3{-1, 0, 0}, point3{0, 1, 0}, point3{10, 5, 2}, point3{-10, 5, -2}},
	} {
		ax, ay, n, ok := arbitraryAxis(c.n)
		var wcs point3
		for i := range wcs {
			wcs[i] = c.ocs[0]*ax[i] + c.ocs[1]*ay[i] + c.ocs[2]*n[i]
		}
		if !ok || ax.dist(c.ax) > 1e-9 || ay.dist(c.ay) > 1e-9 || wcs.dist(c.wcs) > 1e-9 {
			t.Errorf("%v: %v %v, point %v, want %v", c.n, ax, ay, wcs, c.wcs)
		}
	}
	if _, _, _, ok := arbitraryAxis(point3{}); ok {
		t.Error("no direction has axes")
	}
}

func (p point3) dist(q point3) float64 {
	return geom.Pt(p.flat().Dist(q.flat()), p[2]-q[2]).Len()
}
