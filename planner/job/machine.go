package job

import (
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// ArcForm says how a controller takes arc centres.
type ArcForm string

const (
	// ArcsFromStart writes I and J from the arc's start (NISTIR 6556 3.5.3.2).
	ArcsFromStart ArcForm = "from-start"
	// ArcsAbsolute writes I and J as coordinates; beyond the standard.
	ArcsAbsolute ArcForm = "absolute"
	// ArcsNone writes chords within the job's tolerance.
	ArcsNone ArcForm = "none"
)

// Machine is a machine profile: what the table can do and how its controller
// wants to be told. A job carries the whole profile, so that a job opened
// again gives the same program whatever became of the profile since.
type Machine struct {
	Name  plain.Text
	Notes plain.Text

	TravelX, TravelY float64 // mm of the cutting area; the stock lies within
	MaxFeed          float64 // mm/min, in the plane
	RapidXY, RapidZ  float64 // mm/min
	AccelXY, AccelZ  float64 // mm/s2
	CornerDeviation  float64 // mm that a corner may be cut short, for time only
	MaxAmps          float64 // A of the supply; 0 is unknown

	SafeZ        float64 // mm over the plate for rapids over loosened parts
	TravelZ      float64 // mm over the plate for other rapids
	TopZ         Opt     // mm, machine coordinate of the raised torch (G53)
	Reach        float64 // mm from the raised torch down to the plate at most: how far the first touch-off may search
	ProbeFeed    float64 // mm/min
	ProbeSearch  float64 // mm that a touch-off may go down from TravelZ before it fails
	SensorOffset Opt     // mm of travel between contact and the sensor's trip

	Program Program
}

// Program says how a controller's text is written.
type Program struct {
	Units       unit.System // MM writes G21, Inch G20
	Decimals    int         // of coordinates; 0 is 4 in mm, 5 in inch
	Arcs        ArcForm
	LineNumbers bool
	LineEnd     string // "lf" or "crlf"
	Extension   string // of the program file; "" is "nc"

	// What the controller can take; 0 is no limit.
	MaxLines   int // lines of one program
	MaxBytes   int // bytes of one program
	NameLength int // signs of a program's name before the dot

	// Arcs that the controller can take; 0 is no limit. Others are written as
	// chords, or as several arcs one after the other.
	MinRadius, MaxRadius float64 // mm
	MaxSweep             float64 // rad of one arc

	// Templates, one G-code line per element. A word in braces is a field;
	// which fields a template may use is in package gcode.
	Header     []string // once, before anything moves
	Footer     []string // once, after the torch is off and raised
	TouchOff   []string // down to the plate, and Z set from it
	ArcOn      []string
	ArcOff     []string
	ControlOn  []string // automatic height control allowed to act
	ControlOff []string // held
	Pause      []string // between blanks, and where the operator must act
}
