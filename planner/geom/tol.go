package geom

// Every tolerance of the tree, in mm unless said. The chain
// Flat < Meet < Same < Join < Fit < Proof < Gap is held by a test.
const (
	// Flat is the sagitta under which an arc is a line. A tenth of Same: what
	// is dropped cannot move a point that two segments share.
	Flat = 1e-7

	// Meet is the distance under which two contacts of moved segments are one
	// corner of an offset. A quarter of Same, so that a corner where a few
	// contacts were merged is still within Same of each of its curves.
	Meet = 2.5e-7

	// Same is the distance under which two points are one. Ten thousand times
	// the spacing of doubles at 1 m (1.1e-13 x 1000), a thousandth of Join.
	Same = 1e-6

	// Join is the gap that a reader closes without asking: a thousandth of a
	// millimetre is what CAD programs round to when they write three decimals.
	Join = 1e-3

	// Fit is the default distance allowed between a spline, an ellipse or a
	// Bézier and the arcs that stand for it (a job's `tolerance`).
	Fit = 0.01

	// Proof is what a written program may differ from the part it cuts: Fit,
	// plus 0.0028 for the rounding of a program with three decimals, plus room.
	Proof = 0.02

	// Gap is the largest gap in a drawing that is closed by itself, and told.
	// Larger ones need the operator's word. A thirtieth of a narrow kerf.
	Gap = 0.05

	// Eps is the relative spacing of doubles, for bounds on rounding.
	Eps = 0x1p-52

	// Angle, in rad, is the turn under which two directions are one: over a
	// chord of 1 m it moves the end by Same x 1000 = Join.
	Angle = 1e-6
)
