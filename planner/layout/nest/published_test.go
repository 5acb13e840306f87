package nest

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	sf "github.com/peterstace/simplefeatures/geom"

	"example.org/kerfwright/planner/geom"
)

// The sets are those of ESICUP, the lengths the records in the data of the
// paper arXiv 2509.13329, both as best.toml says beside each.
var published = filepath.Join("..", "..", "..", "..", "shared", "bench", "nesting")

type instance struct {
	Name   string  `json:"name"`
	Height float64 `json:"strip_height"`
	Items  []struct {
		ID        int          `json:"id"`
		Quantity  int          `json:"quantity"`
		Rotations []float64    `json:"rotations"`
		Polygon   [][2]float64 `json:"polygon"`
	} `json:"items"`
}

func readInstance(t testing.TB, name string) (Problem, float64) {
	data, err := os.ReadFile(filepath.Join(published, name+".json"))
	if err != nil {
		t.Skip("no published sets beside the repository: ", err)
	}
	var in instance
	if err := json.Unmarshal(data, &in); err != nil {
		t.Fatal(err)
	}
	p := Problem{Height: in.Height, Seed: 1}
	area := 0.0
	for _, it := range in.Items {
		k := Kind{Count: it.Quantity}
		var ring []geom.Point
		for _, q := range it.Polygon {
			ring = append(ring, geom.Pt(q[0], q[1]))
		}
		k.Rings = [][]geom.Point{ring}
		for _, r := range it.Rotations {
			k.Angles = append(k.Angles, r*math.Pi/180)
		}
		area += math.Abs(ringArea(ring)) * float64(it.Quantity)
		p.Kinds = append(p.Kinds, k)
	}
	return p, area
}

type record struct {
	Name    string  `toml:"name"`
	Density float64 `toml:"density"`
	Height  float64 `toml:"height_layout"` // of the strip that the record lies in, where it is not the set's own
}

func records(t testing.TB) []record {
	data, err := os.ReadFile(filepath.Join(published, "best.toml"))
	if err != nil {
		t.Skip("no published sets beside the repository: ", err)
	}
	var all struct {
		Instance []record `toml:"instance"`
	}
	if err := toml.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	return all.Instance
}

// TestPublishedSets prints the table of densities. KERFWRIGHT_NEST names sets,
// or says all: KERFWRIGHT_NEST=swim,dagli go test -run Published -v. The budget
// is worked out from a short run, so that it takes about KERFWRIGHT_NEST_S
// seconds (60) on two cores; the layout at 10 s is that of a run of a sixth.
func TestPublishedSets(t *testing.T) {
	want := os.Getenv("KERFWRIGHT_NEST")
	if want == "" {
		t.Skip("set KERFWRIGHT_NEST to run the published sets, one minute each")
	}
	seconds := 60.0
	if s := os.Getenv("KERFWRIGHT_NEST_S"); s != "" {
		fmt.Sscan(s, &seconds)
	}
	good, n := 0, 0
	for _, rec := range records(t) {
		if rec.Density == 0 || want != "all" && !strings.Contains(","+want+",", ","+rec.Name+",") {
			continue
		}
		p, area := readInstance(t, rec.Name)
		if rec.Height > 0 { // a ten-thousandth higher: like is compared with like
			p.Height = rec.Height
		}
		density := func(r Result) float64 { return 100 * area / (p.Height * r.Length) }
		// How fast is it here? Two runs, so that what comes once falls out.
		p.Rounds = 500
		begun := spent()
		Pack(context.Background(), p)
		one := spent() - begun
		p.Rounds = 2500
		begun = spent()
		Pack(context.Background(), p)
		rate := workers * 2000 / max(0.05, spent()-begun-one)
		once := max(0, one-workers*500/rate)
		var r Result
		line := fmt.Sprintf("%-9s best %6.2f", rec.Name, rec.Density)
		last := 0.0
		for _, part := range []float64{seconds / 6, seconds} {
			p.Rounds = max(1, int(rate*(part-once/workers)))
			begun = spent()
			r = Pack(context.Background(), p)
			checkPlaces(t, p, r)
			last = density(r)
			line += fmt.Sprintf("  %.0f s: %6.2f (%.1f s, %d rounds)", part, last, (spent()-begun)/workers, p.Rounds)
		}
		short := rec.Density - last
		n++
		if short <= 3 {
			good++
		}
		fmt.Printf("%s  short %5.2f\n", line, short)
	}
	fmt.Printf("%d of %d within 3 points, %d cores\n", good, n, runtime.GOMAXPROCS(0))
}

// spent is the processor time of this process, s: others may share the cores.
func spent() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return float64(time.Now().UnixNano()) / 1e9
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// checkPlaces counts the copies and looks for overlap of the shapes as given,
// by an independent library (github.com/peterstace/simplefeatures): what
// touches may share a sliver as wide as the search's tolerance.
func checkPlaces(t testing.TB, p Problem, r Result) {
	t.Helper()
	var placed []sf.Geometry
	var boxes []geom.Box
	count := make([]int, len(p.Kinds))
	sum := 0.0
	for _, pl := range r.Places {
		count[pl.Kind]++
		g := newRegion(p.Kinds[pl.Kind].Rings).turned(pl.Flip, pl.Angle)
		var b strings.Builder
		for i, ring := range g.rings { // the outside comes first in these tests
			b.WriteString([]string{"POLYGON(", ","}[min(i, 1)] + "(")
			for i := range len(ring) + 1 {
				q := ring[i%len(ring)].Add(pl.At)
				fmt.Fprintf(&b, "%s%.9f %.9f", []string{"", ","}[min(i, 1)], q.X, q.Y)
			}
			b.WriteString(")")
		}
		w, err := sf.UnmarshalWKT(b.String() + ")")
		if err != nil {
			t.Fatal(err)
		}
		placed = append(placed, w)
		boxes = append(boxes, geom.Box{Min: g.box.Min.Add(pl.At), Max: g.box.Max.Add(pl.At)})
		sum += w.Area()
	}
	for k, kind := range p.Kinds {
		if count[k]+r.Left[k] != kind.Count {
			t.Errorf("kind %d: %d placed and %d left of %d", k, count[k], r.Left[k], kind.Count)
		}
	}
	if sum > r.Length*p.Height {
		t.Errorf("parts of %g mm2 in a strip of %g", sum, r.Length*p.Height)
	}
	tol := 1e-6 * p.Height
	for i, a := range placed {
		if b := boxes[i]; b.Min.X < -tol || b.Min.Y < -tol || b.Max.Y > p.Height+tol || b.Max.X > r.Length+tol {
			t.Errorf("place %d at %v is outside the strip of %g", i, b, r.Length)
		}
		for k, b := range placed[:i] {
			if !boxes[i].Overlaps(boxes[k]) {
				continue
			}
			x, err := sf.Intersection(a, b)
			if err != nil {
				t.Fatal(err)
			}
			if x.Area() > tol*(boxes[i].Width()+boxes[i].Height()) {
				t.Errorf("places %d and %d overlap by %g mm2", i, k, x.Area())
			}
		}
	}
}
