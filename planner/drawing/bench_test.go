package drawing_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"runtime/debug"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
)

// bigDXF writes about that many bytes of brackets as a CAD would: loose lines
// and arcs with handles and markers, round holes, a slot, and one polyline in
// five parts.
func bigDXF(size int) []byte {
	d := newDXF()
	r := rand.New(rand.NewPCG(5, 5))
	q := geom.BulgeOf(math.Pi / 2)
	for i := 0; d.body.Len() < size*6/10; i++ {
		o := geom.Pt(float64(i%300)*130, float64(i/300)*90)
		at := func(x, y float64) geom.Point { return o.Add(geom.Pt(x, y)) }
		outline := geom.Path{Closed: true, V: []geom.Vertex{{P: at(8, 0)}, {P: at(112, 0), Bulge: q}, {P: at(120, 8)}, {P: at(120, 72), Bulge: q},
			{P: at(112, 80)}, {P: at(8, 80), Bulge: q}, {P: at(0, 72)}, {P: at(0, 8), Bulge: q}}}
		slot := geom.Path{Closed: true, V: []geom.Vertex{{P: at(40, 30)}, {P: at(80, 30), Bulge: 1}, {P: at(80, 50)}, {P: at(40, 50), Bulge: 1}}}
		if i%5 == 0 {
			d.path(outline).path(slot)
		} else {
			for _, p := range []geom.Path{outline, slot} {
				for _, s := range p.Segs() {
					if r.IntN(2) == 0 {
						s = s.Reverse()
					}
					d.seg(s, false)
				}
			}
		}
		for _, c := range []geom.Point{at(15, 15), at(105, 15), at(15, 65), at(105, 65)} {
			d.circle(c, 5.5)
		}
	}
	return r2000(d, 4, leafLayers[0])
}

// minimalDXF is the leanest text that a drawing can be: R12 lines.
func minimalDXF(size int) []byte {
	var b bytes.Buffer
	b.WriteString("0\nSECTION\n2\nENTITIES\n")
	for i := 0; b.Len() < size; i++ {
		x, y := i%1000*12, i/1000*12
		for _, s := range [4][4]int{{0, 0, 10, 0}, {10, 0, 10, 10}, {10, 10, 0, 10}, {0, 10, 0, 0}} {
			fmt.Fprintf(&b, "0\nLINE\n8\n0\n10\n%d.5\n20\n%d.5\n11\n%d.5\n21\n%d.5\n", x+s[0], y+s[1], x+s[2], y+s[3])
		}
	}
	b.WriteString("0\nENDSEC\n0\nEOF\n")
	return b.Bytes()
}

func BenchmarkReadDXF(b *testing.B) {
	data := bigDXF(50 << 20)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		l, faults := drawing.Read(context.Background(), data, drawing.Options{})
		if l == nil || faults.Bad() {
			b.Fatal(faults.Err())
		}
	}
}

func BenchmarkParseDXF(b *testing.B) {
	data := bigDXF(50 << 20)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if r, faults := drawing.Parse(context.Background(), data, drawing.Options{}.Name, 0); r == nil {
			b.Fatal(faults.Err())
		}
	}
}

func BenchmarkReadLeanDXF(b *testing.B) {
	data := minimalDXF(10 << 20)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if l, faults := drawing.Read(context.Background(), data, drawing.Options{}); l == nil {
			b.Fatal(faults.Err())
		}
	}
}

// peak returns how many bytes reading takes at most beyond the file itself:
// with a collector that runs at every few per cent of growth, the heap in use
// is what is alive.
func peak(data []byte) uint64 {
	defer debug.SetGCPercent(debug.SetGCPercent(5))
	runtime.GC()
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	done := make(chan uint64)
	stop := make(chan struct{})
	go func() {
		most := uint64(0)
		for {
			select {
			case <-stop:
				done <- most
				return
			default:
			}
			runtime.ReadMemStats(&now)
			most = max(most, now.HeapInuse)
		}
	}()
	l, _ := drawing.Read(context.Background(), data, drawing.Options{})
	close(stop)
	most := <-done
	runtime.KeepAlive(l)
	return most - min(most, before.HeapInuse)
}

// TestMemoryStaysUnderSixTimesTheFile: valid files, lean and rich.
func TestMemoryStaysUnderSixTimesTheFile(t *testing.T) {
	if testing.Short() {
		t.Skip("large files")
	}
	for name, data := range map[string][]byte{"rich": bigDXF(8 << 20), "lean": minimalDXF(8 << 20)} {
		got := float64(peak(data)) / float64(len(data))
		t.Logf("%s: %.2f times the file of %d bytes", name, got, len(data))
		if got > 6 {
			t.Errorf("%s: %.2f times the file", name, got)
		}
	}
}
