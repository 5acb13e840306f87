// Package geom is the plane geometry of cut paths: points, line and arc
// segments, open and closed paths, their measures, intersections, offsets,
// inscribed circles and an index. Lengths are mm, angles rad. It knows nothing
// of plates, features or torches and reports no faults of a person's making.
//
// What is exact: Orient, and with it Winding for points off the path. What is
// within rounding: distances, lengths, areas. What is certified: MaxDist and
// Hausdorff give bounds, Inscribed is within its precision, and every offset
// has passed a check against its source (offset.go says of what).
//
// Valid input: finite coordinates up to 1e6 mm, segments longer than Same,
// |Bulge| <= 1 (at most half a circle; SplitArcs makes any path so).
package geom

import "math"

// Point is a place in the plane, mm.
type Point struct{ X, Y float64 }

// Pt is shorthand for Point{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

func (p Point) Add(q Point) Point     { return Point{p.X + q.X, p.Y + q.Y} }
func (p Point) Sub(q Point) Point     { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) Mul(k float64) Point   { return Point{p.X * k, p.Y * k} }
func (p Point) Dot(q Point) float64   { return float64(p.X*q.X) + float64(p.Y*q.Y) }
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }
func (p Point) Len() float64          { return math.Sqrt(p.Dot(p)) } // coordinates are far from over- and underflow
func (p Point) Dist(q Point) float64  { return p.Sub(q).Len() }
func (p Point) Left() Point           { return Point{-p.Y, p.X} }
func (p Point) Angle() float64        { return math.Atan2(p.Y, p.X) }
func (p Point) Finite() bool          { return finite(p.X) && finite(p.Y) }
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + t*(q.X-p.X), p.Y + t*(q.Y-p.Y)}
}

// Unit returns the vector of length 1 in p's direction; the zero vector stays.
func (p Point) Unit() Point {
	l := p.Len()
	if l == 0 {
		return p
	}
	return Point{p.X / l, p.Y / l}
}

// Near reports whether p and q are one point, within Same.
func (p Point) Near(q Point) bool { return p.Dist(q) <= Same }

// Polar returns c + r(cos a, sin a).
func Polar(c Point, r, a float64) Point {
	s, k := math.Sincos(a)
	return Point{c.X + r*k, c.Y + r*s}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Box is an axis-parallel rectangle; the zero value of EmptyBox holds nothing.
type Box struct{ Min, Max Point }

// EmptyBox returns the box that contains no point and grows with Add.
func EmptyBox() Box {
	return Box{Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}}
}

func (b Box) Empty() bool     { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }
func (b Box) Width() float64  { return max(0, b.Max.X-b.Min.X) }
func (b Box) Height() float64 { return max(0, b.Max.Y-b.Min.Y) }
func (b Box) Center() Point   { return b.Min.Lerp(b.Max, 0.5) }

// Add returns the least box that holds b and p.
func (b Box) Add(p Point) Box {
	return Box{Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y)}, Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y)}}
}

// Union returns the least box that holds both.
func (b Box) Union(c Box) Box {
	if c.Empty() {
		return b
	}
	return b.Add(c.Min).Add(c.Max)
}

// Grow returns b with every side moved outwards by d.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps reports whether the closed boxes share a point.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Contains reports whether p lies in the closed box.
func (b Box) Contains(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Encloses reports whether c lies in the closed box b.
func (b Box) Encloses(c Box) bool { return b.Contains(c.Min) && b.Contains(c.Max) }

// Dist returns the distance from p to the box, 0 inside.
func (b Box) Dist(p Point) float64 {
	dx := max(b.Min.X-p.X, 0, p.X-b.Max.X)
	dy := max(b.Min.Y-p.Y, 0, p.Y-b.Max.Y)
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}
