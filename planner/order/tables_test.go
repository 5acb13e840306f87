package order_test

import (
	"bufio"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/order"
	"github.com/BurntSushi/toml"
)

var tours = filepath.Join("..", "..", "..", "shared", "bench", "tours")

// best is the file of best values that lies beside the instances.
type best struct {
	Tour []struct {
		Name, File string
		Nodes      int
		Optimum    float64
	}
	Sop []struct {
		Name, File string
		Best       float64
	}
	Pcgtsp []struct {
		Name, File string
		Optimum    float64
	}
}

func readBest(t testing.TB) best {
	t.Helper()
	var b best
	if _, err := toml.DecodeFile(filepath.Join(tours, "optima.toml"), &b); err != nil {
		t.Skip("the published instances are not here:", err)
	}
	return b
}

func readTour(t testing.TB, file string) []geom.Point {
	t.Helper()
	f, err := os.Open(filepath.Join(tours, file))
	if err != nil {
		t.Skip("the published instances are not here:", err)
	}
	defer f.Close()
	var at []geom.Point
	for in := bufio.NewScanner(f); in.Scan(); {
		var id int
		var p geom.Point
		if n, _ := fmt.Sscan(in.Text(), &id, &p.X, &p.Y); n == 3 {
			at = append(at, p)
		}
	}
	return at
}

// closed makes a closed tour through points a problem: out from the first
// and back to it.
func closed(at []geom.Point) order.Problem {
	p := order.Problem{Start: &at[0], End: &at[0]}
	for _, q := range at[1:] {
		p.Nodes = append(p.Nodes, order.Node{Starts: []geom.Point{q}})
	}
	return p
}

// rounded returns the length of the closed tour with every edge rounded to
// the nearest whole number, as TSPLIB's EUC_2D asks.
func rounded(at []geom.Point, r order.Result) float64 {
	sum, last := 0.0, at[0]
	for _, v := range r.Order {
		sum += math.Floor(last.Dist(at[v+1]) + 0.5)
		last = at[v+1]
	}
	return sum + math.Floor(last.Dist(at[0])+0.5)
}

// TestTableOfTours prints instance, optimum, ours, gap, seconds and bound.
// Kicks are given by KERFWRIGHT_KICKS, a list such as "1000,100000".
func TestTableOfTours(t *testing.T) {
	list := os.Getenv("KERFWRIGHT_KICKS")
	if list == "" {
		t.Skip("the long table: set KERFWRIGHT_KICKS=1000,100000 or the like")
	}
	only := os.Getenv("KERFWRIGHT_ONLY")
	runtime.GOMAXPROCS(1)
	for _, in := range readBest(t).Tour {
		if only != "" && !strings.Contains(only, in.Name) {
			continue
		}
		at := readTour(t, in.File)
		line := fmt.Sprintf("%-9s %5d %7.0f", in.Name, in.Nodes, in.Optimum)
		for _, k := range strings.Split(list, ",") {
			var kicks int
			fmt.Sscan(k, &kicks)
			start := cpu()
			r, err := order.Solve(context.Background(), closed(at), order.Options{Kicks: kicks, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			took := cpu() - start
			ours := rounded(at, r)
			line += fmt.Sprintf(" | %6.2f %% %5.2f s %5.2f %% under", 100*(ours/in.Optimum-1), took.Seconds(), 100*(1-r.Bound/in.Optimum))
		}
		fmt.Println(line)
	}
}

// cpu returns the processor time used so far: other work on the machine does
// not count.
func cpu() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
