package job

import (
	"math"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// EditKind is what an edit does to a part or to a feature.
type EditKind string

const (
	// Of a part, about the middle of its box.
	EditTurn    EditKind = "turn"    // counter-clockwise by Angle
	EditMirror  EditKind = "mirror"  // left for right: the other hand
	EditScale   EditKind = "scale"   // by Factor
	EditCorrect EditKind = "correct" // so that what was measured on a cut part comes out as drawn

	// Of a feature.
	EditDiameter EditKind = "diameter" // of a hole, about its centre
	EditLength   EditKind = "length"   // of a slot overall, about its middle
	EditMove     EditKind = "move"     // by X, Y
	EditDelete   EditKind = "delete"
	EditAdd      EditKind = "add" // a hole or a slot with its middle at X, Y
)

// EditKinds lists every EditKind.
func EditKinds() []EditKind {
	return []EditKind{EditTurn, EditMirror, EditScale, EditCorrect, EditDiameter, EditLength, EditMove, EditDelete, EditAdd}
}

// OfPart reports whether the edit changes a whole part.
func (k EditKind) OfPart() bool {
	return k == EditTurn || k == EditMirror || k == EditScale || k == EditCorrect
}

// MaxEdits is how many edits a job may have. Common practice, no source: who
// has more makes another drawing.
const MaxEdits = 1000

// CorrectMost is how far a measured size may be off, as a part of it, to be
// corrected: more is a slip of the key or the wrong part. Common practice, no
// source.
const CorrectMost = 0.1

// Edit is one change to what a drawing gave, made at the controller. Edits
// are done in their order, each on what those before it left, in the
// drawing's own axes; the drawing's file is never changed.
type Edit struct {
	Do     EditKind
	On     string  // part ("p1") or feature ("p1.h2"); of an add the id that it gets ("p1.a1")
	Angle  float64 // rad: of a turn; of an added slot, its length from X
	Factor float64 // of a scale

	// Of a correct, along either axis: a size as drawn and the same as measured
	// on a part that was cut. 0 leaves that axis as it is.
	DrawnX, MeasuredX float64
	DrawnY, MeasuredY float64

	Diameter float64 // mm
	Length   float64 // mm overall
	Width    float64 // mm, of an added slot
	X, Y     float64 // mm: of a move the way, of an add the place
	Sure     bool    // of a mirror: asked twice, the operator said yes twice
	Note     plain.Text
}

// Part is the id of the part that the edit is on.
func (e Edit) Part() string {
	part, _, _ := strings.Cut(e.On, ".")
	return part
}

// Factors are what a correct stretches X and Y by.
func (e Edit) Factors() (x, y float64) {
	x, y = 1, 1
	if e.DrawnX > 0 && e.MeasuredX > 0 {
		x = e.DrawnX / e.MeasuredX
	}
	if e.DrawnY > 0 && e.MeasuredY > 0 {
		y = e.DrawnY / e.MeasuredY
	}
	return x, y
}

// Far reports whether a size was measured too far from the one drawn to be
// corrected.
func Far(drawn, measured float64) bool { return math.Abs(measured-drawn) > CorrectMost*drawn }

// Numbers that an edit holds.
const (
	EditAngle   Field = "edits.angle"
	EditFactor  Field = "edits.factor"
	EditSize    Field = "edits.drawn"
	EditBore    Field = "edits.diameter"
	EditOverall Field = "edits.length"
	EditAcross  Field = "edits.width"
	EditAt      Field = "edits.x"
)

func editRanges() map[Field]Range {
	inner := Range{Length, 0.1, maxTable, "finer is finer than any plasma kerf, and no table is longer than 50 m"}
	return map[Field]Range{
		EditAngle:   {Angle, -2 * math.Pi, 2 * math.Pi, "a full turn is enough"},
		EditFactor:  {Pure, 0.01, 100, "true size over drawn size; further off it is another drawing"},
		EditSize:    {Length, 1, maxTable, "measure a long way: on a short one a slip of the calliper is too large a part"},
		EditBore:    inner,
		EditOverall: inner,
		EditAcross:  inner,
		EditAt:      {Length, -maxTable, maxTable, "nothing lies further from zero than the longest table"},
	}
}
