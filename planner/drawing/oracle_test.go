package drawing_test

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// oracleScript has ezdxf (Debian: python3-ezdxf) make random drawings, save
// them in one of the forms that DXF has, read them back and flatten them.
const oracleScript = `
import sys, math, random, json, ezdxf
from ezdxf.math import Matrix44, Vec3

out, first, last = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
only = sys.argv[4] if len(sys.argv) > 4 else ""

def fill(space, rnd, r12, blocks):
    def p(): return (round(rnd.uniform(-200, 200), 6), round(rnd.uniform(-200, 200), 6))
    def ext():
        k = rnd.random()
        return {"extrusion": (0, 0, -1)} if k < 0.35 else {}
    for _ in range(rnd.randint(3, 8)):
        k = only or rnd.choice("line arc circle lw poly ellipse spline rational closed solid insert array bulge2 trace mline".split())
        if k == "line": space.add_line(p(), p(), dxfattribs=ext())
        elif k == "arc": space.add_arc(p(), rnd.uniform(1, 80), rnd.uniform(-400, 400), rnd.uniform(-400, 400), dxfattribs=ext())
        elif k == "circle": space.add_circle(p(), rnd.uniform(1, 80), dxfattribs=ext())
        elif k in ("lw", "poly", "bulge2"):
            pts = [p() + (rnd.choice([0, 0, rnd.uniform(-1.5, 1.5)]),) for _ in range(2 if k == "bulge2" else rnd.randint(3, 7))]
            if k == "bulge2": pts = [pts[0][:2] + (rnd.choice([1, -1]),), pts[1][:2] + (rnd.choice([1, -1]),)]
            closed = k == "bulge2" or rnd.random() < 0.5
            if k == "poly" or r12: space.add_polyline2d(pts, format="xyb", close=closed, dxfattribs=ext())
            else: space.add_lwpolyline(pts, format="xyb", close=closed, dxfattribs=ext())
        elif k == "ellipse" and not r12:
            a = rnd.uniform(0, 6.283)
            t0 = rnd.uniform(0, 6)
            full = rnd.random() < 0.4
            l = rnd.uniform(5, 90)
            space.add_ellipse(p(), (l*math.cos(a), l*math.sin(a)), rnd.choice([1, rnd.uniform(0.05, 1)]),
                0 if full else t0, math.tau if full else t0 + rnd.uniform(0.1, 6), dxfattribs=ext())
        elif k == "spline" and not r12:
            space.add_open_spline([Vec3(p()) for _ in range(rnd.randint(4, 9))], degree=rnd.randint(2, 3))
        elif k == "rational" and not r12:
            n = rnd.randint(4, 7)
            space.add_rational_spline([Vec3(p()) for _ in range(n)], [rnd.uniform(0.3, 3) for _ in range(n)])
        elif k == "closed" and not r12:
            space.add_spline().set_closed([Vec3(p()) for _ in range(rnd.randint(4, 8))], degree=rnd.randint(2, 3))
        elif k == "mline" and not r12:
            space.add_mline([p() for _ in range(rnd.randint(3, 5))], close=rnd.random() < 0.4)
        elif k in ("solid", "trace"):
            q = [p() for _ in range(rnd.choice([3, 4]))]
            (space.add_solid if k == "solid" else space.add_trace)(q, dxfattribs=ext())
        elif k in ("insert", "array") and blocks:
            a = {"rotation": rnd.choice([0, 90, 30, rnd.uniform(-200, 400)])}
            s = rnd.choice([1, 0.5, 2])
            m = rnd.choice([(s, s), (s, s), (-s, s), (s, -s), (s, 0.7*s)])
            a.update(xscale=m[0], yscale=m[1], zscale=rnd.choice([1, s, 0.001]))
            a.update(ext())
            if k == "array":
                a.update(column_count=rnd.randint(1, 3), row_count=rnd.randint(1, 3), column_spacing=rnd.uniform(-100, 100), row_spacing=rnd.uniform(-100, 100))
            space.add_blockref(rnd.choice(blocks), p(), dxfattribs=a)

# ezdxf's paths stand for arcs by cubics, which is out by 2.7e-4 of the radius,
# and its exploded blocks lose signs under mirrors: ask the entities themselves,
# and move their points by the matrices of the blocks around them.
def points(e, m):
    k = e.dxftype()
    if k == "INSERT":
        for one in e.multi_insert() if e.mcount > 1 else [e]:
            for sub in e.block():
                yield from points(sub, one.matrix44() * m)
        return
    if k in ("LWPOLYLINE", "POLYLINE", "MLINE"):
        for s in e.virtual_entities():
            yield from points(s, m)
        return
    if k == "LINE": pts = [e.dxf.start, e.dxf.end]
    elif k in ("ARC", "CIRCLE"): pts = e.flattening(0.0002)
    elif k in ("ELLIPSE", "SPLINE"): pts = e.flattening(0.0002, 16)
    else: pts = e.wcs_vertices(close=True)
    yield list(m.transform_vertices(pts))

for seed in range(first, last):
    rnd = random.Random(seed)
    version = rnd.choice(["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
    doc = ezdxf.new(version, units=4)
    blocks = []
    for i in range(rnd.randint(1, 3)):
        b = doc.blocks.new("PART%d" % i, base_point=(rnd.uniform(-20, 20), rnd.uniform(-20, 20)))
        fill(b, rnd, version == "R12", list(blocks))
        blocks.append(b.name)
    fill(doc.modelspace(), rnd, version == "R12", blocks)
    name = "%s/%d.dxf" % (out, seed)
    doc.saveas(name, fmt=rnd.choice(["asc", "bin"]))
    if rnd.random() < 0.3:
        raw = open(name, "rb").read()
        if not raw.startswith(bytes.fromhex("4175746f434144")):
            open(name, "wb").write(raw.replace(b"\r\n", b"\n").replace(b"\n", rnd.choice([b"\r", b"\r\n"])))
    lines = [[(v.x, v.y) for v in pts] for e in doc.modelspace() for pts in points(e, Matrix44())]
    json.dump({"version": version, "lines": lines}, open("%s/%d.json" % (out, seed), "w"))
`

// oracle runs the script, or skips the test where it cannot.
func oracle(t *testing.T, script string, args ...string) {
	t.Helper()
	python := os.Getenv("KERFWRIGHT_PYTHON")
	if python == "" {
		python = "/usr/bin/python3"
	}
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		t.Skipf("%s has no ezdxf, an independent DXF reader (Debian: python3-ezdxf): %v", python, err)
	}
	cmd := exec.Command(python, append([]string{"-c", script}, args...)...)
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("ezdxf: %v\n%s", err, text)
	}
}

type oracleAnswer struct {
	Version string         `json:"version"`
	Lines   [][][2]float64 `json:"lines"`
}

// away returns the largest distance from points along some paths to others; of
// many points it takes some thousands, spread evenly.
func away(from []geom.Path, to *geom.SegIndex) (worst float64, at geom.Point) {
	var pts []geom.Point
	for _, p := range from {
		pts = append(pts, p.Flatten(0.001)...)
	}
	for i := 0; i < len(pts); i += 1 + len(pts)/4000 {
		if d := to.Dist(pts[i]); d > worst {
			worst, at = d, pts[i]
		}
	}
	return
}

func allPaths(l *drawing.Loops) []geom.Path {
	var out []geom.Path
	for _, c := range l.Closed {
		out = append(out, c.Path)
	}
	for _, c := range l.Open {
		out = append(out, c.Path)
	}
	return out
}

// TestDXFMeansWhatEzdxfReads holds what each entity means to an independent
// reader (splines by points alone are left out: DXF does not say how they end).
// It compares every curve both ways: points of each
// reading lie on the other within the tolerance for curves plus ezdxf's own.
func TestDXFMeansWhatEzdxfReads(t *testing.T) {
	dir := t.TempDir()
	// KERFWRIGHT_ORACLE asks for more files, KERFWRIGHT_ORACLE_ONLY for one kind
	// of entity.
	files := 10
	if n, err := strconv.Atoi(os.Getenv("KERFWRIGHT_ORACLE")); err == nil {
		files = n
	}
	oracle(t, oracleScript, dir, "0", strconv.Itoa(files), os.Getenv("KERFWRIGHT_ORACLE_ONLY"))
	seen := map[string]int{}
	for i := range files {
		base := filepath.Join(dir, strconv.Itoa(i))
		data, err := os.ReadFile(base + ".dxf")
		if err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(base + ".json")
		if err != nil {
			t.Fatal(err)
		}
		var want oracleAnswer
		if err := json.Unmarshal(text, &want); err != nil {
			t.Fatal(err)
		}
		seen[want.Version]++
		if len(want.Lines) == 0 {
			continue
		}
		l, faults := drawing.Read(context.Background(), data, drawing.Options{Name: plain.Of(strconv.Itoa(i) + ".dxf"), Gap: 1e-4})
		if faults.Bad() {
			t.Errorf("file %d (%s): %v", i, want.Version, faults.Err())
			continue
		}
		var theirs []geom.Path
		for _, pts := range want.Lines {
			p := geom.Path{}
			for _, q := range pts {
				p.V = append(p.V, geom.Vertex{P: geom.Pt(q[0], q[1])})
			}
			theirs = append(theirs, p)
		}
		const most = geom.Fit + 0.001 + geom.Join
		ours := allPaths(l)
		if d, at := away(theirs, geom.IndexPaths(ours...)); d > most {
			t.Errorf("file %d (%s): ezdxf draws a point %v, %g mm from ours", i, want.Version, at, d)
		}
		if d, at := away(ours, geom.IndexPaths(theirs...)); d > most {
			t.Errorf("file %d (%s): we draw a point %v, %g mm from ezdxf's", i, want.Version, at, d)
		}
	}
	t.Log(seen)
}
