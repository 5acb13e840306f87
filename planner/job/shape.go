package job

import (
	"math"
	"slices"
)

// ShapeKind is a part that can be typed in instead of drawn.
type ShapeKind string

const (
	ShapeRectangle ShapeKind = "rectangle"
	ShapeDisc      ShapeKind = "disc"
	ShapeRing      ShapeKind = "ring"
	ShapeFlange    ShapeKind = "flange"
	ShapeSlotted   ShapeKind = "slotted-plate"
	ShapeGrid      ShapeKind = "hole-grid"
	ShapeGusset    ShapeKind = "gusset"
	ShapeAngle     ShapeKind = "l-plate" // flat, in the form of an L
	ShapeFork      ShapeKind = "u-plate" // flat, in the form of a U
	ShapeFoldL     ShapeKind = "l-fold"  // blank that is folded once to an L
	ShapeFoldU     ShapeKind = "u-fold"  // blank that is folded twice to a U
	ShapeStrip     ShapeKind = "strip"
	ShapePolygon   ShapeKind = "polygon"
)

// ShapeKinds lists every ShapeKind in the order in which it is offered.
func ShapeKinds() []ShapeKind {
	return []ShapeKind{ShapeRectangle, ShapeDisc, ShapeRing, ShapeFlange, ShapeSlotted, ShapeGrid, ShapeGusset,
		ShapeAngle, ShapeFork, ShapeFoldL, ShapeFoldU, ShapeStrip, ShapePolygon}
}

// Shape is a part given by a few numbers. Its lower left corner lies at the
// drawing's zero (round and many-sided parts: their box's corner).
type Shape struct {
	Kind   ShapeKind
	Values []ShapeValue // at most one for each parameter of the kind; a missing one is 0
	Holes  []ShapeHole  // added, in the shape's own axes
	Slots  []ShapeSlot
}

// ShapeValue is one parameter's value: mm, rad or a count, as its field says.
type ShapeValue struct {
	Field Field
	Value float64
}

// ShapeHole is an added round hole, mm.
type ShapeHole struct{ X, Y, Diameter float64 }

// ShapeSlot is an added slot with round ends: its middle, its overall length
// and its width in mm, and the turn of its length from the X axis in rad.
type ShapeSlot struct{ X, Y, Length, Width, Angle float64 }

// Value returns a parameter, 0 if nobody has said.
func (s Shape) Value(f Field) float64 {
	for _, v := range s.Values {
		if v.Field == f {
			return v.Value
		}
	}
	return 0
}

// With returns a copy of s with one parameter changed; s itself stays.
func (s Shape) With(f Field, v float64) Shape {
	s = s.Clone()
	for i := range s.Values {
		if s.Values[i].Field == f {
			s.Values[i].Value = v
			return s
		}
	}
	s.Values = append(s.Values, ShapeValue{f, v})
	return s
}

// Clone returns a copy that shares nothing with s.
func (s Shape) Clone() Shape {
	s.Values, s.Holes, s.Slots = slices.Clone(s.Values), slices.Clone(s.Holes), slices.Clone(s.Slots)
	return s
}

// Parameters of shapes. One name means one thing in every kind that has it.
const (
	ShapeWidth        Field = "drawings.shape.width"
	ShapeHeight       Field = "drawings.shape.height"
	ShapeLength       Field = "drawings.shape.length"
	ShapeDiameter     Field = "drawings.shape.diameter"
	ShapeBore         Field = "drawings.shape.bore"
	ShapeCornerRadius Field = "drawings.shape.corner_radius"
	ShapeChamfer      Field = "drawings.shape.chamfer"
	ShapeBoltCircle   Field = "drawings.shape.bolt_circle"
	ShapeBoltCount    Field = "drawings.shape.bolt_count"
	ShapeBoltHole     Field = "drawings.shape.bolt_hole"
	ShapeBoltAngle    Field = "drawings.shape.bolt_angle"
	ShapeAcross       Field = "drawings.shape.across"
	ShapeUp           Field = "drawings.shape.up"
	ShapePitchX       Field = "drawings.shape.pitch_x"
	ShapePitchY       Field = "drawings.shape.pitch_y"
	ShapeHoleDiameter Field = "drawings.shape.hole"
	ShapeSlotLength   Field = "drawings.shape.slot_length"
	ShapeSlotWidth    Field = "drawings.shape.slot_width"
	ShapeSlotAngle    Field = "drawings.shape.slot_angle"
	ShapeCornerCut    Field = "drawings.shape.corner_cut"
	ShapeToe          Field = "drawings.shape.toe"
	ShapeArm          Field = "drawings.shape.arm"
	ShapeFoot         Field = "drawings.shape.foot"
	ShapeInsideRadius Field = "drawings.shape.inside_radius"
	ShapeLegA         Field = "drawings.shape.leg_a"
	ShapeLegB         Field = "drawings.shape.leg_b"
	ShapeBase         Field = "drawings.shape.base"
	ShapeFoldStock    Field = "drawings.shape.fold_stock"
	ShapeFoldRadius   Field = "drawings.shape.fold_radius"
	ShapeNeutral      Field = "drawings.shape.neutral"
	ShapeFoldMarks    Field = "drawings.shape.fold_marks"
	ShapeEnd          Field = "drawings.shape.end"
	ShapeSides        Field = "drawings.shape.sides"
	ShapeFlats        Field = "drawings.shape.flats"

	ShapeX Field = "drawings.shape.x" // of an added hole or slot
	ShapeY Field = "drawings.shape.y"
	ShapeD Field = "drawings.shape.holes.diameter"
	ShapeL Field = "drawings.shape.slots.length"
	ShapeW Field = "drawings.shape.slots.width"
	ShapeA Field = "drawings.shape.slots.angle"
)

// ShapeParam is one row of the form of a shape.
type ShapeParam struct {
	Field   Field
	Label   string  // for a person
	Default float64 // what a form begins with
	Need    bool    // it must be over 0; otherwise 0 means none
}

// Range is what the parameter may hold when it is not 0.
func (p ShapeParam) Range() Range { return p.Field.Range() }

// ShapeParams lists the parameters of a kind in the order of its form, nil
// for an unknown kind. The defaults make a part that can be cut: a start to
// change, not advice.
func ShapeParams(k ShapeKind) []ShapeParam {
	need := func(f Field, label string, def float64) ShapeParam { return ShapeParam{f, label, def, true} }
	may := func(f Field, label string, def float64) ShapeParam { return ShapeParam{f, label, def, false} }
	plate := []ShapeParam{
		need(ShapeWidth, "width", 200), need(ShapeHeight, "height", 100),
		may(ShapeCornerRadius, "corner radius", 0), may(ShapeChamfer, "corner chamfer", 0),
	}
	fold := []ShapeParam{
		need(ShapeWidth, "width along the fold", 50), need(ShapeFoldStock, "thickness", 3),
		need(ShapeFoldRadius, "inside radius of the fold", 3), need(ShapeNeutral, "neutral line, part of the thickness", 0.4),
		may(ShapeFoldMarks, "mark the fold's middle (1 yes)", 0),
	}
	switch k {
	case ShapeRectangle:
		return plate
	case ShapeDisc:
		return []ShapeParam{need(ShapeDiameter, "diameter", 100)}
	case ShapeRing:
		return []ShapeParam{need(ShapeDiameter, "outside diameter", 100), need(ShapeBore, "bore", 60)}
	case ShapeFlange:
		return []ShapeParam{
			need(ShapeDiameter, "outside diameter", 150), may(ShapeBore, "bore", 60),
			need(ShapeBoltCircle, "bolt circle diameter", 110), need(ShapeBoltCount, "bolt holes", 4),
			need(ShapeBoltHole, "bolt hole diameter", 14), may(ShapeBoltAngle, "angle of the first hole", math.Pi/4),
		}
	case ShapeSlotted:
		return append(plate,
			need(ShapeAcross, "slots across", 3), need(ShapeUp, "slots up", 1),
			need(ShapeSlotLength, "slot length overall", 40), need(ShapeSlotWidth, "slot width", 12),
			may(ShapeSlotAngle, "slot angle", 0),
			may(ShapePitchX, "pitch across", 60), may(ShapePitchY, "pitch up", 0))
	case ShapeGrid:
		return append(plate,
			need(ShapeAcross, "holes across", 4), need(ShapeUp, "holes up", 2),
			need(ShapeHoleDiameter, "hole diameter", 14),
			may(ShapePitchX, "pitch across", 45), may(ShapePitchY, "pitch up", 50))
	case ShapeGusset:
		return []ShapeParam{
			need(ShapeWidth, "leg along X", 100), need(ShapeHeight, "leg along Y", 100),
			may(ShapeCornerCut, "cut at the right angle", 15), may(ShapeToe, "blunt toes", 10),
		}
	case ShapeAngle, ShapeFork:
		return []ShapeParam{
			need(ShapeWidth, "width overall", 120), need(ShapeHeight, "height overall", 100),
			need(ShapeArm, "width of an upright", 30), need(ShapeFoot, "height of the foot", 30),
			may(ShapeInsideRadius, "inside corner radius", 5),
		}
	case ShapeFoldL:
		return append([]ShapeParam{need(ShapeLegA, "first leg, outside", 60), need(ShapeLegB, "second leg, outside", 40)}, fold...)
	case ShapeFoldU:
		return append([]ShapeParam{need(ShapeLegA, "first leg, outside", 40), need(ShapeBase, "base, outside", 80),
			need(ShapeLegB, "second leg, outside", 40)}, fold...)
	case ShapeStrip:
		return []ShapeParam{
			need(ShapeLength, "length", 200), need(ShapeWidth, "width", 40), may(ShapeCornerRadius, "corner radius", 0),
			need(ShapeHoleDiameter, "hole diameter", 14), need(ShapeEnd, "hole from the end", 25),
		}
	case ShapePolygon:
		return []ShapeParam{need(ShapeSides, "sides", 6), need(ShapeFlats, "inscribed circle (across flats if even)", 100), may(ShapeBore, "bore", 0)}
	}
	return nil
}

// NewShape returns a shape with every parameter at its default.
func NewShape(k ShapeKind) Shape {
	s := Shape{Kind: k}
	for _, p := range ShapeParams(k) {
		if p.Default != 0 {
			s.Values = append(s.Values, ShapeValue{p.Field, p.Default})
		}
	}
	return s
}

// shapeRanges holds the range of every parameter. All limits are common
// practice, no source, unless the reason says more.
func shapeRanges() map[Field]Range {
	size := Range{Length, 1, maxTable, "smaller cannot be held, and no table is longer than 50 m"}
	inner := Range{Length, 0.1, maxTable, "finer is finer than any plasma kerf, and no table is longer than 50 m"}
	count := Range{Count, 1, 1000, "at least one, and over 1000 is a slip of the key"}
	turn := Range{Angle, -2 * math.Pi, 2 * math.Pi, "a full turn is enough"}
	at := Range{Length, -maxTable, maxTable, "nothing lies further from zero than the longest table"}
	return map[Field]Range{
		ShapeWidth: size, ShapeHeight: size, ShapeLength: size, ShapeDiameter: size, ShapeFlats: size,
		ShapeLegA: size, ShapeLegB: size, ShapeBase: size, ShapeArm: size, ShapeFoot: size,
		ShapeBoltCircle: size, ShapeEnd: size,
		ShapeBore: inner, ShapeBoltHole: inner, ShapeHoleDiameter: inner, ShapeSlotLength: inner, ShapeSlotWidth: inner,
		ShapeD: inner, ShapeL: inner, ShapeW: inner,
		ShapeCornerRadius: inner, ShapeChamfer: inner, ShapeCornerCut: inner, ShapeToe: inner, ShapeInsideRadius: inner,
		ShapePitchX: inner, ShapePitchY: inner,
		ShapeBoltCount: count, ShapeAcross: count, ShapeUp: count,
		ShapeBoltAngle: turn, ShapeSlotAngle: turn, ShapeA: turn,
		ShapeSides:      {Count, 3, 360, "fewer sides enclose nothing, more are a disc"},
		ShapeFoldStock:  {Length, 0.2, maxPlasma, "thinner is foil, thicker is beyond plasma cutting"},
		ShapeFoldRadius: {Length, 0.05, 1000, "a fold has a radius, small as it may be"},
		ShapeNeutral:    {Pure, 0.25, 0.5, "the line that keeps its length lies between a quarter and half of the thickness from the inside"},
		ShapeFoldMarks:  {Count, 0, 1, "0 no, 1 yes"},
		ShapeX:          at, ShapeY: at,
	}
}
