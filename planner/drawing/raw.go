package drawing

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Format is what a file was found to be, by its content.
type Format string

const (
	FormatDXF       Format = "DXF"
	FormatBinaryDXF Format = "binary DXF"
	FormatSVG       Format = "SVG"
	FormatPDF       Format = "PDF"
)

// Raw is a drawing as its file holds it: curves in drawing units, blocks and
// transforms already worked in, nothing joined and nothing mended. It does not
// change after Parse, so that Loops can be asked again with other options.
type Raw struct {
	Name    plain.Text
	Format  Format
	Version string // such as "AC1015 (2000)"; "" unknown
	Pages   int    // of a PDF; 0 otherwise
	Page    int    // the page read, from 1; 0 otherwise
	Unit    FileUnit
	Layers  []RawLayer
	Styles  []Style

	size   int // of the file, bytes
	types  []string
	items  []item
	verts  []rawVertex
	curves []rawCurve
	nums   []float64
	notes  []note
}

// FileUnit is what a file says of its unit of length.
type FileUnit struct {
	MM     float64     // mm in one drawing unit; 0: the file does not say
	System unit.System // MM for metric units, Inch for feet, mils and the like
	Name   string      // such as "metres"
	Source string      // where it says so, such as "$INSUNITS 6"
	Hint   unit.System // a likely unit when MM is 0
	Why    string      // reason for Hint
	Doubt  string      // why MM may be wrong all the same, a clause; "" for no doubt
}

// RawLayer is a layer as the file holds it. An SVG or PDF reader uses groups
// or optional content in their place, or one layer for all.
type RawLayer struct {
	Name   plain.Text
	Hidden bool   // off or frozen: left out unless the operator wants it
	NoPlot bool   // drawn but never printed
	Style  int32  // default style of its entities
	Locked bool   // nothing follows from it
	Found  bool   // the file declares it, instead of only using it
	Why    string // of Hidden: "off", "frozen"

	Guess    job.LayerUse // what its content looks like, "" if it says nothing
	GuessWhy string       // a clause
}

// Style is how an entity is drawn. It decides nothing but helps a person, and
// the guess of a layer's use, to tell a part from its dimensions.
type Style struct {
	Color  uint32  // 0xRRGGBB
	Weight float32 // mm of line weight; 0 unknown or thinnest
	Dash   bool    // not a continuous line
	Center bool    // a centre line by the name of its line type
	Filled bool    // an area without a stroke
}

// item is one entity: a run of vertices, or a single one that is a point.
type item struct {
	first, n int32 // into Raw.verts
	typ      uint16
	closed   bool
	hidden   bool // the entity itself is invisible
	layer    int32
	style    int32
	line     int32 // in the file, from 1; 0 unknown
}

// rawVertex is a vertex and the segment that leaves it: a line, an arc by
// bulge (of any size), or, if Src is not 0, Src-1 of Raw.curves, which
// must begin here and end at the next vertex.
//
// It is a vertex of a path in drawing units, whose Src counts curves: where
// nobody will ask the Raw again, it becomes one in mm without a copy.
type rawVertex = geom.Vertex

type curveKind uint8

const (
	// curveEllipse: centre, major and minor half axes as vectors, first and
	// last parameter; the point at t is centre + major cos t + minor sin t.
	curveEllipse curveKind = iota
	// curveBezier: degree+1 points.
	curveBezier
	// curveSpline: n control points, n+degree+1 knots, and n weights if rational.
	curveSpline
)

// rawCurve is a smooth curve; its numbers are Raw.nums[first:first+len].
type rawCurve struct {
	first    int32
	n        int32 // control points
	degree   uint8
	kind     curveKind
	rational bool
}

// length returns how many numbers the curve takes.
func (c rawCurve) length() int {
	switch c.kind {
	case curveEllipse:
		return 8
	case curveBezier:
		return 2 * int(c.n)
	}
	k := 2*int(c.n) + int(c.n) + int(c.degree) + 1
	if c.rational {
		k += int(c.n)
	}
	return k
}

// note is something met while reading, said once for all entities of one type
// and layer that it is true of. Places are in drawing units.
type note struct {
	sev    fault.Severity
	code   string
	typ    string
	layer  int32 // -1: none; the note is dropped to a Note if its layer is left out
	what   string
	do     string
	count  int
	places [notePlaces]place
}

// notePlaces is how many places a grouped line names.
const notePlaces = 3

type place struct {
	line int
	p    geom.Point
	at   bool // p is known
}
