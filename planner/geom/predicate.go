package geom

import "math"

// Turn says on which side of a directed line a point lies.
type Turn int8

const (
	Right    Turn = -1
	Straight Turn = 0
	Left     Turn = 1
)

// orientBound is the factor of |l|+|r| above which the sign of l-r, computed
// in doubles, is certain: (3+16u)u with u = 2^-53 (Shewchuk 1997, constant A
// of orient2d).
const orientBound = (3 + 16*0x1p-53) * 0x1p-53

// Orient returns Left if a, b, c turn counter-clockwise, Right if clockwise,
// Straight if they lie on one line, exactly. Products of coordinates must
// neither overflow nor fall under 1e-290; plates do not.
//
//	(1) Orient(a,b,c) = Orient(b,c,a) = Orient(c,a,b)
//	(2) Orient(a,b,c) = -Orient(b,a,c)
//	(3) Orient(a,a,b) = Straight
func Orient(a, b, c Point) Turn {
	l := float64((a.X - c.X) * (b.Y - c.Y))
	r := float64((a.Y - c.Y) * (b.X - c.X))
	det := l - r
	if bound := orientBound * (math.Abs(l) + math.Abs(r)); det > bound {
		return Left
	} else if det < -bound {
		return Right
	}
	return orientExact(a, b, c)
}

// orientExact sums the products of the exact differences without rounding.
func orientExact(a, b, c Point) Turn {
	ax, axe := twoDiff(a.X, c.X)
	by, bye := twoDiff(b.Y, c.Y)
	ay, aye := twoDiff(a.Y, c.Y)
	bx, bxe := twoDiff(b.X, c.X)
	var sum expansion
	for _, m := range [2]float64{by, bye} {
		sum.addProduct(axe, m)
		sum.addProduct(ax, m)
	}
	for _, m := range [2]float64{bx, bxe} {
		sum.addProduct(-aye, m)
		sum.addProduct(-ay, m)
	}
	return sum.sign()
}

// expansion is a sum of doubles that do not overlap, least first (Shewchuk
// 1997): its sign is that of its last part.
type expansion struct {
	n int
	v [16]float64
}

func (e *expansion) add(x float64) {
	out := 0
	for i := range e.n {
		hi, lo := twoSum(x, e.v[i])
		if lo != 0 {
			e.v[out] = lo
			out++
		}
		x = hi
	}
	if x != 0 {
		e.v[out] = x
		out++
	}
	e.n = out
}

func (e *expansion) addProduct(x, y float64) {
	p := float64(x * y)
	e.add(math.FMA(x, y, -p))
	e.add(p)
}

func (e *expansion) sign() Turn {
	switch {
	case e.n == 0:
		return Straight
	case e.v[e.n-1] > 0:
		return Left
	}
	return Right
}

func twoSum(a, b float64) (sum, err float64) {
	sum = a + b
	bb := sum - a
	return sum, (a - (sum - bb)) + (b - bb)
}

func twoDiff(a, b float64) (diff, err float64) { return twoSum(a, -b) }
