package geom_test

import (
	"math"
	"math/big"
	"testing"

	"example.org/kerfwright/planner/geom"
	"pgregory.net/rapid"
)

// exactTurn is the determinant in rational numbers, where nothing is rounded.
func exactTurn(a, b, c geom.Point) geom.Turn {
	r := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	sub := func(x, y float64) *big.Rat { return new(big.Rat).Sub(r(x), r(y)) }
	l := new(big.Rat).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	return geom.Turn(l.Cmp(new(big.Rat).Mul(sub(a.Y, c.Y), sub(b.X, c.X))))
}

func TestOrientationIsExactNextToALine(t *testing.T) {
	// Points of a line through 0.5 + multiples of 2^-53 against a far pair:
	// the picture in Kettner et al. 2008, figure 2 (from memory).
	for i := range 64 {
		for j := range 64 {
			p := geom.Pt(0.5+float64(i)*0x1p-53, 0.5+float64(j)*0x1p-53)
			q, r := geom.Pt(12, 12), geom.Pt(24, 24)
			if got, want := geom.Orient(p, q, r), exactTurn(p, q, r); got != want {
				t.Fatalf("(%d, %d): %d, want %d", i, j, got, want)
			}
		}
	}
}

func TestOrientationKeepsItsIdentities(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		// Not under 1e-60: products of smaller ones underflow, as documented.
		co := rapid.Float64Range(-1e6, 1e6).Filter(func(v float64) bool { return v == 0 || math.Abs(v) > 1e-60 })
		a := geom.Pt(co.Draw(rt, "ax"), co.Draw(rt, "ay"))
		b := geom.Pt(co.Draw(rt, "bx"), co.Draw(rt, "by"))
		c := a.Lerp(b, rapid.Float64Range(-2, 3).Draw(rt, "t"))
		for range rapid.IntRange(0, 3).Draw(rt, "steps") {
			if c.Y != 0 {
				c.Y = math.Nextafter(c.Y, 1e7)
			}
		}
		o := geom.Orient(a, b, c)
		if o != exactTurn(a, b, c) || o != geom.Orient(b, c, a) || o != geom.Orient(c, a, b) || o != -geom.Orient(b, a, c) {
			rt.Fatalf("orientation %d of %v %v %v, exactly %d", o, a, b, c, exactTurn(a, b, c))
		}
		if geom.Orient(a, a, b) != geom.Straight {
			rt.Fatal("a, a, b is not straight")
		}
	})
}

func BenchmarkOrient(b *testing.B) {
	b.Run("clear", func(b *testing.B) {
		for i := range b.N {
			geom.Orient(geom.Pt(0, 0), geom.Pt(12, 13), geom.Pt(float64(i&7), 24))
		}
	})
	b.Run("on the line", func(b *testing.B) {
		for range b.N {
			geom.Orient(geom.Pt(0.1, 0.1), geom.Pt(12.3, 12.3), geom.Pt(24.7, 24.7))
		}
	})
}
