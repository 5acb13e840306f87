package geom

import "testing"

// What makes a Hilbert curve: cells that follow on share an edge, and an
// aligned square is one stretch of it.
func TestHilbertStepsAreOneCell(t *testing.T) {
	const n = 64
	at := make([][2]int, n*n)
	seen := make([]bool, n*n)
	for x := range n {
		for y := range n {
			d := hilbert(uint32(x), uint32(y))
			if d >= n*n || seen[d] {
				t.Fatalf("cell %d, %d is number %d", x, y, d)
			}
			seen[d], at[d] = true, [2]int{x, y}
		}
	}
	for d := 1; d < n*n; d++ {
		dx, dy := at[d][0]-at[d-1][0], at[d][1]-at[d-1][1]
		if dx*dx+dy*dy != 1 {
			t.Fatalf("from %v to %v", at[d-1], at[d])
		}
	}
}
