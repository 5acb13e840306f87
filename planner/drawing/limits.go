package drawing

// limits bound what a file can make a reader do. Each error names the one
// that was passed. They are far above what a plasma table can cut.
type limits struct {
	items          int     // entities in use, blocks worked in
	vertices       int     // of all entities
	numbers        int     // control points, knots and weights of all curves
	layers         int     //
	styles         int     //
	types          int     // names of entity types; more share the first
	notes          int     // kinds of note told apart
	nesting        int     // blocks, groups or forms within one another
	copied         int     // entities made by blocks, symbols or forms
	copiedVertices int     // vertices of those, curves counted by what fitting them costs
	coordinate     float64 // largest number in a drawing, drawing units
}

var defaultLimits = limits{
	items:          8_000_000,
	vertices:       16_000_000,
	numbers:        32_000_000,
	layers:         10_000,
	styles:         10_000,
	types:          1000,
	notes:          100,
	nesting:        32,
	copied:         250_000,
	copiedVertices: 2_000_000,
	coordinate:     1e12,
}

// A file that says what it draws takes 5 bytes or more for a vertex. Arrays,
// blocks, forms and pressed content make more of it; 200,000 is more
// than the fullest plate has.
const (
	fewVertices = 200_000
	vertexBytes = 4
)

// maxBulge is the bulge of an arc that lacks 4e-6 rad of a full turn; beyond,
// the centre has no digits left.
const maxBulge = 1e6

// maxDegree of a spline; CAD programs write up to 11 (from memory).
const maxDegree = 25
