package job

import "example.org/kerfwright/planner/plain"

// OutlinePoint is a corner of an offcut's edge and the segment that leaves
// it: mm, and bulge = tan(sweep/4), 0 for a straight one. The last segment
// goes back to the first corner.
type OutlinePoint struct{ X, Y, Bulge float64 }

// KeepOutKind says what lies where no part may lie.
type KeepOutKind string

const (
	// Clamp stands over the plate: nothing is cut, pierced or touched there, and
	// rapids pass over it at safe height only.
	Clamp KeepOutKind = "clamp"
	// BadSpot is metal that no part may have: a weld, a dent, a hole that is
	// not in the outline. Rapids pass over it freely.
	BadSpot KeepOutKind = "bad-spot"
)

// KeepOutKinds lists every KeepOutKind.
func KeepOutKinds() []KeepOutKind { return []KeepOutKind{Clamp, BadSpot} }

// KeepOut is a rectangle, or a disc if Diameter is over 0, that no part, lead,
// pierce or touch-off may meet. X and Y are its middle, mm from XY zero.
type KeepOut struct {
	Kind          KeepOutKind // "" is BadSpot
	Name          plain.Text
	X, Y          float64
	Width, Height float64 // mm, of a rectangle
	Diameter      float64 // mm, of a disc
	Angle         float64 // rad that the rectangle is turned about its middle
	Plate         int     // from 1, the only plate that has it; 0 is every plate
}

// Turning says which way round a part may lie.
type Turning string

const (
	TurnAny     Turning = "any"     // any angle
	TurnQuarter Turning = "quarter" // by 0, 90, 180 and 270 degrees
	TurnHalf    Turning = "half"    // by 0 and 180 degrees
	TurnFixed   Turning = "fixed"   // as drawn
)

// Turnings lists every Turning in the order in which it is offered.
func Turnings() []Turning { return []Turning{TurnAny, TurnQuarter, TurnHalf, TurnFixed} }

// Method says how parts are laid out where the job holds no places.
type Method string

const (
	// MethodRows: in rows from the lower left, by their boxes.
	MethodRows Method = "rows"
	// MethodNest: by their true shapes. The places found are written into the
	// job, so that it is planned again without searching again.
	MethodNest Method = "nest"
)

// Methods lists every Method in the order in which it is offered.
func Methods() []Method { return []Method{MethodRows, MethodNest} }
