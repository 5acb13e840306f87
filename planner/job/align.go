package job

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// AlignBy says what was found on the table to align the program by.
type AlignBy string

const (
	// AlignEdges: points along one edge of the stock, and on the next.
	AlignEdges AlignBy = "edges"
	// AlignHoles: located holes, or other features, of a part that is there.
	AlignHoles AlignBy = "holes"
)

// AlignBys lists every AlignBy.
func AlignBys() []AlignBy { return []AlignBy{AlignEdges, AlignHoles} }

// Edge names a side of the stock as the job draws it.
type Edge string

const (
	EdgeBottom Edge = "bottom"
	EdgeLeft   Edge = "left"
	EdgeTop    Edge = "top"
	EdgeRight  Edge = "right"
)

// Edges lists every Edge.
func Edges() []Edge { return []Edge{EdgeBottom, EdgeLeft, EdgeTop, EdgeRight} }

// Along reports whether the edge runs along X.
func (e Edge) Along() bool { return e == EdgeBottom || e == EdgeTop }

// AlignMost is the turn, rad, and AlignApart the error of a distance, mm, over
// which the operator is asked again: more is a slip of the key sooner than a
// plate that lies so. Common practice, no source.
const (
	AlignMost  = 3 * math.Pi / 180
	AlignApart = 1.0
)

// Alignment is how the stock lies on the table, as the operator read it off
// the position readout and typed it. The whole program is turned and shifted
// to suit. Nothing typed is no alignment.
type Alignment struct {
	By     AlignBy
	Edge   Edge         // along which Points lie; "" is EdgeBottom
	Points []geom.Point // two or more on Edge, as read
	Next   []geom.Point // none, or some on the edge that meets Edge at the stock's zero corner
	Holes  []Located    // two or more
	Most   float64      // rad, turn that asks again; 0 is AlignMost
	Sure   bool         // asked again, the operator said yes
}

// Located is a feature whose centre was found on the table.
type Located struct {
	Feature string     // id, such as "p1.h1" or, of a copy, "p1#2.h1"
	At      geom.Point // its centre, as read
}

// Given reports whether anything was typed.
func (a Alignment) Given() bool {
	switch a.By {
	case AlignEdges:
		return len(a.Points)+len(a.Next) > 0
	case AlignHoles:
		return len(a.Holes) > 0
	}
	return false
}

// Limit is the turn, rad, over which the operator is asked again.
func (a Alignment) Limit() float64 {
	if a.Most > 0 {
		return a.Most
	}
	return AlignMost
}
