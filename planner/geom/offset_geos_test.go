package geom_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.org/kerfwright/planner/geom"
)

// geosScript buffers polygons by the C library GEOS, called straight, and
// prints the processor time that it takes: making each from its bytes and
// buffering it with round joins. A file of records comes in: the distance, the
// length, the polygon as well-known binary.
const geosScript = `
import ctypes, ctypes.util, struct, sys, time
name = ctypes.util.find_library("geos_c")
if not name:
    print("missing"); sys.exit()
g = ctypes.CDLL(name)
p = ctypes.c_void_p
g.GEOS_init_r.restype = p
g.GEOSGeomFromWKB_buf_r.restype, g.GEOSGeomFromWKB_buf_r.argtypes = p, [p, ctypes.c_char_p, ctypes.c_size_t]
g.GEOSBuffer_r.restype, g.GEOSBuffer_r.argtypes = p, [p, p, ctypes.c_double, ctypes.c_int]
g.GEOSGeom_destroy_r.argtypes = [p, p]
g.GEOSArea_r.argtypes = [p, p, ctypes.POINTER(ctypes.c_double)]
h = g.GEOS_init_r()
data, at, all = open(sys.argv[1], "rb").read(), 0, []
while at < len(data):
    d, n = struct.unpack_from("<dI", data, at)
    all.append((d, data[at + 12:at + 12 + n], n)); at += 12 + n
out, start = [], time.process_time()
for d, wkb, n in all:
    a = g.GEOSGeomFromWKB_buf_r(h, wkb, n)
    out.append(g.GEOSBuffer_r(h, a, d, 7))
    g.GEOSGeom_destroy_r(h, a)
took, area, one = time.process_time() - start, 0.0, ctypes.c_double()
for b in out:
    g.GEOSArea_r(h, b, ctypes.byref(one)); area += one.value
print(took, area)
`

// BenchmarkOffsetAgainstGEOS offsets the contours of 1,000 plates and has GEOS
// buffer the same, flattened at 0.005 mm, in one run: by processor time, so that
// other work on the machine counts for neither. It needs Python and the shared
// library of GEOS and skips without them.
func BenchmarkOffsetAgainstGEOS(b *testing.B) {
	python, err := exec.LookPath("python3")
	if err != nil {
		b.Skip("no Python to call GEOS from:", err)
	}
	outlines, inside := plates(1000)
	var file bytes.Buffer
	put := func(p geom.Path, d float64) {
		pts := p.Flatten(0.005)
		pts = append(pts, pts[0])
		var wkb bytes.Buffer
		wkb.WriteByte(1) // little end first; a polygon of one ring
		for _, v := range []uint32{3, 1, uint32(len(pts))} {
			binary.Write(&wkb, binary.LittleEndian, v)
		}
		for _, q := range pts {
			binary.Write(&wkb, binary.LittleEndian, [2]float64{q.X, q.Y})
		}
		binary.Write(&file, binary.LittleEndian, d)
		binary.Write(&file, binary.LittleEndian, uint32(wkb.Len()))
		file.Write(wkb.Bytes())
	}
	for _, p := range outlines {
		put(p, 0.75)
	}
	for _, p := range inside {
		put(p, -0.75)
	}
	name := filepath.Join(b.TempDir(), "polygons")
	if err := os.WriteFile(name, file.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	n := float64(len(outlines) + len(inside))
	ours, theirs := 0.0, 0.0
	for range b.N {
		text, err := exec.Command(python, "-c", geosScript, name).Output()
		if err != nil || strings.TrimSpace(string(text)) == "missing" {
			b.Skip("no GEOS to compare with:", err)
		}
		var took, want, area float64
		if _, err := fmt.Sscan(string(text), &took, &want); err != nil {
			b.Fatal(err)
		}
		start := processorTime()
		for k, all := range [2][]geom.Path{outlines, inside} {
			for _, p := range all {
				r, err := geom.Offset(p, 0.75-1.5*float64(k))
				if err != nil || len(r) != 1 {
					b.Fatal(r, err)
				}
				area += r[0].Area()
			}
		}
		ours, theirs = ours+(processorTime()-start).Seconds(), theirs+took
		// Both did the same work: chords lie 0.005 mm off the arcs at most.
		if off := area/want - 1; off < -1e-3 || off > 1e-3 {
			b.Fatalf("areas %g and %g mm2", area, want)
		}
	}
	b.ReportMetric(1e6*ours/n/float64(b.N), "us/contour")
	b.ReportMetric(1e6*theirs/n/float64(b.N), "geos-us/contour")
	b.ReportMetric(ours/theirs, "of-geos")
}

func processorTime() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
