package order

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
)

var tours = filepath.Join("..", "..", "..", "shared", "bench", "tours")

// bestKnown are the best values that lie beside the instances.
func bestKnown(t testing.TB) map[string]float64 {
	t.Helper()
	var b struct {
		Sop []struct {
			File string
			Best float64
		}
		Pcgtsp []struct {
			File    string
			Optimum float64
		}
	}
	if _, err := toml.DecodeFile(filepath.Join(tours, "optima.toml"), &b); err != nil {
		t.Skip("the published instances are not here:", err)
	}
	best := map[string]float64{}
	for _, s := range b.Sop {
		best[s.File] = s.Best
	}
	for _, s := range b.Pcgtsp {
		best[s.File] = s.Optimum
	}
	return best
}

// matrixModel makes a model of a matrix of costs between points, the sets of
// points that are one node each, and pairs of nodes (before, after).
func matrixModel(matrix [][]float64, sets [][]int, pairs [][2]int32) *model {
	n, np := len(sets), len(matrix)
	m := &model{n: n, np: int32(np), first: make([]int32, n+1), rank: make([]int32, n), matrix: make([]float64, (np+1)*(np+1))}
	var point []int // of the matrix, by point of the model
	for v, set := range sets {
		for _, p := range set {
			point = append(point, p)
			m.owner = append(m.owner, int32(v))
		}
		m.first[v+1] = int32(len(point))
	}
	m.owner = append(m.owner, int32(n))
	for p, a := range point {
		for q, b := range point {
			m.matrix[p*(np+1)+q] = matrix[a][b]
			if matrix[a][b] < 0 {
				m.matrix[p*(np+1)+q] = 1e7 // never to be gone
			}
		}
	}
	m.prec = packPrecedence(n, pairs)
	return m
}

// readInstance reads a sequential ordering problem or a generalised one.
func readInstance(t testing.TB, file string) *model {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(tours, file))
	if err != nil {
		t.Skip("the published instances are not here:", err)
	}
	head, body, _ := strings.Cut(string(text), "EDGE_WEIGHT_SECTION")
	var n int
	for _, line := range strings.Split(head, "\n") {
		if key, value, _ := strings.Cut(line, ":"); strings.TrimSpace(key) == "DIMENSION" {
			fmt.Sscan(value, &n)
		}
	}
	body, rest, _ := strings.Cut(body, "GTSP_SET_SECTION")
	words := strings.Fields(body)
	if strings.HasSuffix(file, ".sop") {
		words = words[1:]
	}
	matrix := make([][]float64, n)
	for i := range matrix {
		matrix[i] = make([]float64, n)
		for k := range matrix[i] {
			fmt.Sscan(words[i*n+k], &matrix[i][k])
		}
	}
	var sets [][]int
	var pairs [][2]int32
	if rest == "" {
		for i := range matrix {
			sets = append(sets, []int{i})
			for k := range matrix[i] {
				if matrix[i][k] == -1 {
					pairs = append(pairs, [2]int32{int32(k), int32(i)})
				}
			}
		}
	} else {
		setText, orderText, _ := strings.Cut(rest, "GTSP_SET_ORDERING")
		for _, line := range strings.Split(setText, "\n") {
			f := strings.Fields(line)
			if len(f) < 3 {
				continue
			}
			var set []int
			for _, w := range f[1 : len(f)-1] {
				var p int
				fmt.Sscan(w, &p)
				set = append(set, p-1)
			}
			sets = append(sets, set)
		}
		orderText, _, _ = strings.Cut(orderText, "START_GROUP")
		for _, line := range strings.Split(orderText, "\n") {
			f := strings.Fields(line)
			if len(f) < 3 || f[len(f)-1] != "-1" {
				continue
			}
			var a int
			fmt.Sscan(f[0], &a)
			for _, w := range f[1 : len(f)-1] {
				var b int
				fmt.Sscan(w, &b)
				pairs = append(pairs, [2]int32{int32(a - 1), int32(b - 1)})
			}
		}
		for v := 1; v < len(sets); v++ {
			pairs = append(pairs, [2]int32{0, int32(v)})
		}
	}
	m := matrixModel(matrix, sets, pairs)
	np := int(m.np)
	if rest != "" {
		// A closed tour: the way back to the one point of the first set counts
		// (the tours published with their costs show it).
		for p := range np {
			m.matrix[p*(np+1)+np] = m.matrix[p*(np+1)]
		}
	}
	return m
}

// TestTableOfSequences prints instance, best known, ours, gap and seconds.
// KERFWRIGHT_SOP is the number of seconds for each; kicks are set by a short
// run before.
func TestTableOfSequences(t *testing.T) {
	var seconds float64
	if fmt.Sscan(os.Getenv("KERFWRIGHT_SOP"), &seconds); seconds == 0 {
		t.Skip("the long table: set KERFWRIGHT_SOP to a number of seconds")
	}
	runtime.GOMAXPROCS(1)
	best := bestKnown(t)
	hit, all := 0, 0
	for _, glob := range []string{"sop/*.sop", "pcgtsp/*.pcglns"} {
		files, _ := filepath.Glob(filepath.Join(tours, glob))
		for _, f := range files {
			file := filepath.ToSlash(strings.TrimPrefix(f, tours+string(filepath.Separator)))
			if only := os.Getenv("KERFWRIGHT_ONLY"); only != "" && !strings.Contains(file, only) {
				continue
			}
			m := readInstance(t, file)
			start := cpu()
			const some = 1000
			m.solve(context.Background(), Options{Kicks: some, Seed: 1})
			kicks := int(some * max(1, seconds/(cpu()-start).Seconds()))
			start = cpu()
			p := m.solve(context.Background(), Options{Kicks: kicks, Seed: 1})
			if !m.kept(p.order) {
				t.Fatal(file, "breaks a precedence")
			}
			ours := m.total(p)
			fmt.Printf("%-22s %4d best %6.0f ours %6.0f  %5.2f %% %6.2f s %d kicks\n", file, m.n, best[file], ours, 100*(ours/best[file]-1), (cpu() - start).Seconds(), kicks)
			all++
			if ours <= best[file] {
				hit++
			}
		}
	}
	fmt.Println(hit, "of", all, "at the best known value")
}

func cpu() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
