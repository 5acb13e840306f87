package drawing_test

import (
	"context"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// seeds adds every shared drawing with one of the endings.
func seeds(f *testing.F, endings ...string) {
	for _, e := range endings {
		names, _ := filepath.Glob(filepath.Join("..", "..", "testdata", "*"+e))
		for _, n := range names {
			data, err := os.ReadFile(n)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
}

// hold reads anything and holds the result to what the package promises: no
// panic, no hang, faults that say something, and valid geometry.
func hold(t *testing.T, data []byte) (*drawing.Loops, fault.List) {
	start := time.Now()
	l, faults := drawing.Read(context.Background(), data, drawing.Options{Name: plain.Of("fuzz")})
	if d := time.Since(start); d > 10*time.Second { // a hang, not a matter of speed
		t.Errorf("took %v", d)
	}
	if l == nil && !faults.Bad() {
		t.Fatal("nothing read and no error")
	}
	for _, f := range faults {
		if f.What == "" || f.Code == "" || !plain.IsClean(f.Error()) {
			t.Fatalf("a fault that says nothing, or is not clean: %q", f.Error())
		}
		if f.Severity == fault.Error && f.Do == "" {
			t.Fatalf("an error without advice: %q", f.Error())
		}
	}
	if l == nil {
		return nil, faults
	}
	for _, c := range l.Closed {
		checkLoop(t, c.Path)
	}
	for _, c := range l.Open {
		if c.Path.Closed || len(c.Path.V) < 2 {
			t.Fatalf("an open line with %d vertices", len(c.Path.V))
		}
	}
	for _, c := range append(append([]drawing.Loop{}, l.Closed...), l.Open...) {
		for _, v := range c.Path.V {
			if !v.P.Finite() || math.IsNaN(v.Bulge) || math.Abs(v.Bulge) > 1 || v.P.Sub(geom.Point{}).Len() > 2e6 || int(v.Src) >= len(l.Entities) {
				t.Fatalf("vertex %v", v)
			}
		}
	}
	return l, faults
}

func FuzzDXF(f *testing.F) {
	seeds(f, ".dxf")
	f.Add([]byte("  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n  8\n0\n 10\n0\n 20\n0\n 11\n5\n 21\n0\n  0\nENDSEC\n  0\nEOF\n"))
	f.Add([]byte("0\r\nSPLINE\r\n70\r\n1\r\n71\r\n3\r\n40\r\n0\r\n40\r\n0\r\n10\r\n1\r\n20\r\n2\r\n"))
	f.Add([]byte("0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nA\n0\nINSERT\n2\nA\n0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nA\n70\n9\n71\n9\n0\nENDSEC\n0\nEOF\n"))
	small := hostileFiles(1500)
	for _, name := range slices.Sorted(maps.Keys(small)) {
		if data := small[name]; len(data) < 10_000 {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data) })
}

// FuzzBinaryDXF puts the sentinel before what it is given.
func FuzzBinaryDXF(f *testing.F) {
	const sentinel = "\x41\x75\x74\x6f\x43\x41\x44 Binary DXF\r\n\x1a\x00"
	names, _ := filepath.Glob(filepath.Join("testdata", "binary", "*.dxf"))
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data[len(sentinel):])
	}
	f.Add([]byte("\x00SECTION\x00\x02ENTITIES\x00\x00LINE\x00\x0a\x00\x00\x00\x00\x00\x00\x00\x40\x00ENDSEC\x00\x00EOF\x00"))
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, append([]byte(sentinel), data...)) })
}
