// Package proof reads a written program back and compares what it would cut
// with the parts that are wanted. Text, parts, stock and the machine's limits
// come in; findings go out, each with the line and the feature. It never sees
// the plan that the text was written from, and never mends anything.
//
// Lengths are mm, feeds mm/min, times s. Places are on the stock: XY zero of
// the program, X right, Y up; heights are over the top of the plate.
package proof

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
	"example.org/kerfwright/planner/unit"
)

// Input is all that Prove looks at.
type Input struct {
	File string // name of the program, for the faults
	Text []byte
	Dry  bool // the text is the dry run
	// Then are the programs that are run after it, in order: only all of them
	// together cut what is wanted. Each is complete in itself, and says in its
	// head which of how many it is.
	Then  [][]byte
	Parts []Part
	Stock Stock

	// Which parts of which drawings some of Parts are meant to be; the proof finds
	// them in the drawing by itself.
	Drawings [][]Line
	Meant    []Meant

	Machine   Machine
	Form      Form
	Holds     HoldPlan
	Turn      Turn
	Tolerance float64 // mm that an edge may be off; 0 is geom.Proof
	Done      *Done   // nil: nothing is cut before the program starts
	Lie       *Lie    // how the stock lies on the table; nil: as drawn
	Edits     []Edit  // made on Drawn, in order; none: Parts are as drawn
	Drawn     []DrawnPart
	Shared    bool // edges one kerf apart may be parted by one cut

	// HoldBelow is the part of the programmed feed under which height must be
	// held. Over 0 the proof works out for itself where holds are needed; 0
	// leaves all but the marked ones unchecked.
	HoldBelow float64
	// HoldNear is the metal, mm, between the walls of a cut and of an earlier
	// cut under which height must be held beside it; 0 is not checked.
	HoldNear float64
	// Amps is what the arc-on lines must say where they name a current; 0 is
	// not checked.
	Amps float64
}

// Turn says which way round outlines are cut; inside features run the other way.
type Turn int

const (
	OutlineClockwise Turn = iota
	OutlineCounterClockwise
)

// HoldPlan says what the program's height-hold lines must do.
type HoldPlan int

const (
	// HoldsUnchecked: the job says nothing of height control.
	HoldsUnchecked HoldPlan = iota
	// HoldsAsMarked: held where Feature.Hold and Feature.Holds say so, free
	// at the start and the end of the program.
	HoldsAsMarked
	// HoldsThroughout: held from before the first arc to the end.
	HoldsThroughout
)

// Part is one copy of a part as it lies on the stock.
type Part struct {
	Label    string // "p1" or "p1#2"
	Features []Feature
	// Of is the DrawnPart that it is a copy of and Place how that lies on the
	// stock: looked at if there are edits; "" is of no drawing.
	Of    string
	Place geom.Move
	Ride  *Ride // of a text that goes along with the edits of a part
	// Load counts the times the stock is renewed, from 0: blanks that sit in
	// one pocket one after the other have different loads. The program must
	// stop between loads.
	Load int
	// Blank is an index into Stock.Shapes; the program must stop between
	// blanks. Not looked at for a plate.
	Blank int
}

// Feature is one path of a part and how it is to be cut.
type Feature struct {
	ID   string // as findings name it; unlike for every copy
	Kind string // "outline", "hole", "slot", "cut-out", "mark"
	// Rule is "outline", "inside", "slow-hole", "mark", "trim", "drill", "leave"
	// or "locate"; only the first five are cut.
	Rule string
	Pop  bool // of "drill": its centre is marked by a pulse of the arc
	// Loop is the wanted edge on the stock, closed in either direction; a
	// mark may be open.
	Loop  geom.Path
	Of    string  // DrawnFeature.ID
	Taper float64 // mm by which Loop is wider than the hole that is drawn

	Kerf         float64 // mm, full width
	Feed         float64 // mm/min along the edge
	LeadFeed     float64 // mm/min on leads; 0 is Feed
	PierceHeight float64 // mm
	CutHeight    float64 // mm
	PierceDelay  float64 // s; of a Pop the length of the pulse
	Amps         float64 // A, where it is not Input.Amps; 0 is that

	Against bool // runs the other way round than its kind does
	Split   bool // its slug is cut across first
	Tabs    []Tab
	Corner  Corner

	Web    float64 // mm of metal between the kerf of a trim and any other
	OnEdge bool    // a trim begins on the plate's edge, touched off beside it

	Hold  bool   // height held from the first move to the arc's end
	Holds []Span // stretches held; nil leaves them unchecked
}

// Tab is a bridge over the kerf that keeps a part in its plate.
type Tab struct {
	At    geom.Point // its middle, on the wanted edge
	Width float64    // mm along the edge
}

// Corner says what may be done at sharp corners of an outline besides going
// round them.
type Corner struct {
	Turn  float64 // rad of turn from which a corner is sharp
	Loop  float64 // mm, radius of a loop outside it; 0 is none
	Feed  float64 // mm/min beside it; 0 is the feature's feed
	Reach float64 // mm before and behind it that Feed is allowed for
}

// Span is a stretch of a cut, mm along the lit path from the pierce.
type Span struct{ From, To float64 }

// Stock is the metal. A plate has one shape; blanks have one each.
type Stock struct {
	Shapes    []geom.Path // closed, on the table
	Voids     []Void      // where there is no metal for parts
	Blank     bool        // pieces in a fixture, outlines are not cut
	Thickness float64     // mm
}

// Machine is what the table can do and what the shop asks of it.
type Machine struct {
	TravelX, TravelY float64  // mm; 0 is not checked
	Table            geom.Box // where the torch may go; the zero Box is not checked
	MaxFeed          float64  // mm/min; 0 is not checked
	AccelXY          float64  // mm/s2; 0 leaves times and the true feed unknown
	CornerDeviation  float64  // mm that a corner may be cut short; 0 is a stop at each
	SafeZ            float64  // mm over the plate for rapids over loosened pieces
	TravelZ          float64  // mm over the plate for other rapids
	TopZ             float64  // mm, machine coordinate of the raised torch (G53)
	HasTop           bool     // TopZ is known
	Reach            float64  // mm that the plate is taken to lie under the raised torch before the first touch-off; 0 is not checked

	Probes       bool    // a touch-off is demanded before every arc
	ProbeReuse   float64 // mm: within it the last touch-off serves again
	ProbeFeed    float64 // mm/min, highest; 0 is not checked
	SensorOffset float64 // mm of travel between contact and the sensor's trip
}

// Form is how the program must be written.
type Form struct {
	Units    unit.System
	Decimals int           // of coordinates; 0 is 4 in mm, 5 in inch
	Dialect  rs274.Dialect // beyond what Lines need
	Takes    Takes
	Lines    Lines
}

// Takes is what the controller can take; 0 is no limit.
type Takes struct {
	Lines, Bytes         int // of one program
	NoArcs               bool
	MinRadius, MaxRadius float64 // mm
	MaxSweep             float64 // rad of one arc
	Decimals             int     // of a place
}

// Lines are the machine profile's templates, one line an element. A word in
// braces stands for any number, in a comment for any text. Words beyond the
// standard are allowed in a program only as they stand here.
type Lines struct {
	Header, Footer []string
	TouchOff       []string
	ArcOn, ArcOff  []string
	HoldOn         []string // automatic height control must not act from here
	HoldOff        []string // it may act again
	Pause          []string
}

// Result is the verdict on one program.
type Result struct {
	Programs   int     // that were read
	OK         bool    // no finding is an error
	WorstGouge float64 // mm by which the kerf reaches into a part; 0 if nowhere
	Uncut      float64 // mm by which the kerf misses a wanted edge; 0 if nowhere
	Time       float64 // s along all lit paths at the true feed; 0 if it is not known
	Findings   []Finding
	Cuts       []Cut
}

// Finding is one thing that the proof objects to. Line counts from 1; 0 says
// that no line has it.
type Finding struct {
	Program  int // from 0, of those of a set: Input.Text and then Input.Then
	Line     int
	Feature  string // "" if it is about no feature
	Severity fault.Severity
	Code     string
	Text     string // with the value and its limit
	Do       string
	At       *geom.Point // on the stock
}

// Cut is one stretch with the torch lit, in the order of the program. In a
// dry run it is one run of feed moves.
type Cut struct {
	N         int // from 1
	Program   int // from 0, as in Finding
	Part      string
	Feature   string // "" if it follows no feature
	Kind      string
	Rule      string
	First     int // line that lights the torch
	Last      int // line that puts it out
	Pierce    geom.Point
	Clearance float64 // mm from the pierce to the nearest edge that stays; negative in a part
	Length    float64 // mm of lit path
	Time      float64 // s along it at the true feed, without the pierce delay
	Slow      []Span  // where the true feed is under Input.HoldBelow
}

// Faults returns the findings as faults of the program, in order. Programs of a
// set are named by their numbers.
func (r Result) Faults(file string) fault.List {
	var out fault.List
	for _, f := range r.Findings {
		at := fault.Where{File: file, Line: f.Line, Feature: f.Feature}
		if r.Programs > 1 {
			at.File = fmt.Sprintf("%s %d", file, f.Program+1)
		}
		if f.At != nil {
			at.Frame, at.X, at.Y = fault.OnStock, f.At.X, f.At.Y
		}
		out.Add(fault.Fault{Severity: f.Severity, Where: at, Code: f.Code, What: f.Text, Do: f.Do})
	}
	return out
}
