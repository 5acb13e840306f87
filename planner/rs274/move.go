package rs274

// Kind is what one Move makes the machine do.
type Kind uint8

const (
	Rapid   Kind = iota // G0
	Feed                // G1
	Arc                 // G2, G3
	Probe               // G38.2: ends where the probe tripped
	Dwell               // G4
	Spindle             // M3, M4, M5: Modal.Spindle says which
	Stop                // M0, M1, M60: waits for the operator
	Tool                // M6
	Offset              // G10, G54.., G92..: coordinates change, nothing moves
	User                // a word of the dialect
	Comment             // the last comment of a line
	End                 // M2, M30 or the closing percent line
)

func (k Kind) String() string {
	return [...]string{"rapid", "feed", "arc", "probe", "dwell", "spindle", "stop", "tool", "offset", "user word", "comment", "end"}[k]
}

// Vec is a place or a shift, mm.
type Vec struct{ X, Y, Z float64 }

// Add returns v + w.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub returns v - w.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

func (v *Vec) axis(i int) *float64 {
	switch i {
	case 0:
		return &v.X
	case 1:
		return &v.Y
	}
	return &v.Z
}

// Axes is a set of X, Y and Z.
type Axes uint8

const (
	X Axes = 1 << iota
	Y
	Z
	AllAxes = X | Y | Z
)

// Plane is the plane in which arcs lie.
type Plane uint8

const (
	XY Plane = iota // G17
	ZX              // G18
	YZ              // G19
)

// Units of length of the program.
type Units uint8

const (
	UnitsUnknown Units = iota
	Inches             // G20
	Millimetres        // G21
)

func (u Units) String() string {
	return [...]string{"unknown units", "G20 (inches)", "G21 (millimetres)"}[u]
}

// mmPerInch from the definition of the yard (1959): 0.9144 m is 36 inches.
const mmPerInch = 914.4 / 36

func (u Units) mm() float64 {
	if u == Inches {
		return mmPerInch
	}
	return 1
}

// Group is a set of modal groups that a program has set for itself.
type Group uint16

const (
	GroupPlane Group = 1 << iota
	GroupDistance
	GroupFeedMode
	GroupUnits
	GroupComp
	GroupPath
)

// Modal is what stays in force from line to line. A Modal handed out is never
// changed afterwards.
type Modal struct {
	Set             Group // what the program itself has set so far
	Motion          int   // code times ten: 0, 10, 20, 30, 382; 800 is none
	Plane           Plane
	Units           Units
	Incremental     bool // G91
	InverseTime     bool // G93
	AbsoluteCentres bool // G90.1, of a dialect
	System          int  // 1 is G54 ... 9 is G59.3
	Path            int  // 610, 611 or 640
	PathTolerance   float64
	Spindle         int // 0 off, 3 clockwise, 4 the other way
}

// Arg is one argument of a dialect's word, as written.
type Arg struct {
	Letter byte
	Value  float64
}

// Move is one thing that the text makes the machine do. From and To are in the
// coordinates that the program uses at the time; adding Off gives machine
// coordinates. What does not move has To equal to From.
type Move struct {
	Line    int // from 1
	Kind    Kind
	From    Vec
	To      Vec
	Off     Vec
	Known   Axes    // axes of From that the program itself has fixed
	Given   Axes    // axis words of the line
	Machine bool    // G53: From and To are machine coordinates, Off is zero
	Feed    float64 // mm/min along the path; of Feed, Arc and Probe
	Center  Vec     // of an Arc, in its plane
	Sweep   float64 // of an Arc, rad, positive counter-clockwise seen from the plane's third axis
	Seconds float64 // of a Dwell
	Code    string  // of User, Offset, Stop, Tool, Spindle and End: the word
	Args    []Arg   // of User
	Text    string  // of a Comment
	Message bool    // the Comment is shown to the operator
	Modal   *Modal  // in force while this is done
}
