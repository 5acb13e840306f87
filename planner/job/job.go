// Package job holds what a person decided: the job, its stock, drawings,
// process, machine and confirmations. Nothing here is computed, read or
// written. The wizard, the presets and the job file fill it; the planner
// reads it.
//
// Lengths are mm, feeds mm/min, angles rad. Where 0 can be meant, a value is
// an Opt; elsewhere 0 or "" means that nobody has said yet.
package job

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Opt is a number that may be unknown although 0 is a good value for it.
type Opt struct {
	Value float64
	Known bool
}

// Of returns a known number.
func Of(v float64) Opt { return Opt{v, true} }

// Job is one cutting job.
type Job struct {
	Name      plain.Text  // what the shop calls it; the first line of the program
	Units     unit.System // of the job file and the screen
	Stock     Stock
	Drawings  []Drawing
	Edits     []Edit // of what the drawings give, in order
	Layout    Layout
	Alignment Alignment // how the stock lies on the table
	Process   Process
	Mark      Marking
	Texts     []Text
	Rules     Rules
	Machine   Machine
	Overrides []Override
	Checks    []Confirmation
	Files     []FileSum // the programs of the last save; they never look at it
	Kept      []Kept    // copies of the drawings that it was made with
}

// Material is one of the sorts of metal that presets exist for.
type Material string

const (
	MildSteel Material = "mild-steel"
	Stainless Material = "stainless"
	Aluminium Material = "aluminium"
)

// Materials lists every Material in the order in which it is offered.
func Materials() []Material { return []Material{MildSteel, Stainless, Aluminium} }

// Surface is what covers the metal; it decides about cautions.
type Surface string

const (
	Bare       Surface = "bare"
	MillScale  Surface = "mill-scale"
	Galvanised Surface = "galvanised"
	Painted    Surface = "painted"
)

// Surfaces lists every Surface in the order in which it is offered.
func Surfaces() []Surface { return []Surface{Bare, MillScale, Galvanised, Painted} }

// Hold is the way in which the work is held.
type Hold string

const (
	// Plate: parts are cut out of a sheet; outlines are cut, last.
	Plate Hold = "plate"
	// Blank: a piece of the part's outside size sits in a fixture; its
	// outline locates it and is not cut.
	Blank Hold = "blank"
)

// Corner names a corner of the stock.
type Corner string

const (
	LowerLeft  Corner = "lower-left"
	LowerRight Corner = "lower-right"
	UpperLeft  Corner = "upper-left"
	UpperRight Corner = "upper-right"
)

// Corners lists every Corner.
func Corners() []Corner { return []Corner{LowerLeft, LowerRight, UpperLeft, UpperRight} }

// Stock is the metal on the table.
type Stock struct {
	Material  Material
	Surface   Surface
	Thickness float64 // mm
	Hold      Hold
	Width     float64 // mm along X
	Height    float64 // mm along Y
	Zero      Corner  // where XY zero of the program lies; "" is LowerLeft
	Under     Under   // what is under the plate
	Fixture   Fixture // for Blank

	// An offcut has an edge of its own, and Width and Height are 0 or the size of
	// its box: Shape where it was typed, else Outline, in axes whose box's corner
	// is put on the stock's. Holes in either are metal that is gone.
	Shape    *Shape
	Outline  [][]OutlinePoint // closed rings, outside and cut-outs in any order
	From     plain.Text       // where it came from: a remnant's name, a file
	KeepOuts []KeepOut
	Grain    Opt // rad from X, the way the sheet was rolled
	Sheets   int // how many such plates there are; 0 is 1
}

// Under says what catches sparks and fume below the plate.
type Under string

const (
	WaterTable Under = "water"
	DownDraft  Under = "downdraft"
	OpenBed    Under = "open"
)

// Unders lists every Under in the order in which it is offered.
func Unders() []Under { return []Under{WaterTable, DownDraft, OpenBed} }

// Fixture holds blanks. Each pocket gives where the blank's datum corner sits,
// mm from XY zero.
type Fixture struct {
	Datum     Corner
	Pockets   []geom.Point
	Count     int // pieces wanted in all; 0 is one for each pocket
	Done      int // of them cut already, in earlier runs
	Allowance Opt // mm by which a blank may differ from the drawing
}

// Drawing is one file with parts, and how it is to be read, or a typed shape.
type Drawing struct {
	File     string      // path as opened, relative to the job file's folder
	SHA256   string      // of the file when the job was saved, hex; "" takes the file as it is
	Name     plain.Text  // of the part; "" is the file's base name
	Units    unit.System // what the operator said; Unknown keeps the file's own
	Scale    float64     // true size over drawn size; 0 is 1
	Page     int         // of a PDF, from 1; 0 is 1
	Part     int         // from 1, the one of the drawing's parts that is meant; 0 is all, as they lie
	Layers   []Layer     // only those that the operator changed
	Gap      float64     // mm, largest gap to close; 0 is geom.Gap
	Quantity int         // copies wanted; 0 is 1
	Shape    *Shape      // a typed part instead of a file; it is not changed in place
	Turns    Turning     // which way round it may lie; "" is TurnAny
	Grain    Opt         // rad in the drawing, to lie along the stock's grain; unknown does not matter
	Flip     bool        // it may be turned over
}

// Layer is the operator's word on one layer of a drawing.
type Layer struct {
	Name plain.Text
	Use  LayerUse
}

// LayerUse says what a layer is for.
type LayerUse string

const (
	LayerCut    LayerUse = "cut"
	LayerMark   LayerUse = "mark"
	LayerIgnore LayerUse = "ignore"
)

// Layout says how parts lie on the stock.
type Layout struct {
	Margin float64 // mm kept free along the stock's edge; 0 is the rule's own
	Gap    float64 // mm between parts; 0 is the rule's own
	Places []Place // set by hand or by a nest; empty lets the planner lay out
	Method Method  // how to lay out; "" is MethodRows
	Seed   int64   // of the nest; 0 is 1
	Rounds int     // of the nest: its budget; 0 is the nest's own
	Plate  int     // from 1, the plate that is planned, proved and shown; 0 is 1

	// Share lets one cut part two straight edges that lie one kerf apart, and
	// rows lay parts so.
	Share     bool
	ShareFrom float64 // mm that edges must lie side by side for that; 0 is ShareFromRule

	// Trim is a last cut that parts what is left of the plate from the used
	// piece; TrimX and TrimY are where the torch runs, mm from XY zero. Unknown
	// is just past the parts.
	Trim         Trimming
	TrimX, TrimY Opt
	TrimStart    TrimStart
}

// Trimming says along which lines the plate is trimmed.
type Trimming string

const (
	TrimNone   Trimming = ""
	TrimX      Trimming = "x"      // one line at an X, along Y
	TrimY      Trimming = "y"      // one line at a Y, along X
	TrimCorner Trimming = "corner" // two lines, that cut off a corner
)

// Trimmings lists every Trimming but TrimNone.
func Trimmings() []Trimming { return []Trimming{TrimX, TrimY, TrimCorner} }

// TrimStart says how the trim begins.
type TrimStart string

const (
	TrimPierced TrimStart = ""     // by a pierce in the skeleton
	TrimOnEdge  TrimStart = "edge" // on the plate's edge
)

// TrimStarts lists every TrimStart but TrimPierced.
func TrimStarts() []TrimStart { return []TrimStart{TrimOnEdge} }

// ShareFromRule is the least length, mm, over which edges are shared: on a
// shorter one there is nothing to save. Common practice, no source.
const ShareFromRule = 25.0

// On returns the job as it is on plate n, counted from 1.
func (j Job) On(plate int) Job {
	j.Layout.Plate = plate
	return j
}

// Place is one copy of a drawing on the stock: turned about the drawing's own
// zero, then shifted. Angle in rad.
type Place struct {
	Drawing int // index into Job.Drawings
	X, Y    float64
	Angle   float64
	Mirror  bool
	Plate   int  // from 1; 0 is 1
	Lock    bool // a nest leaves it where it is
}

// State is how far the shop trusts a preset.
type State string

const (
	// Starting: derived, never cut with on this machine.
	Starting State = "starting value, prove with a test cut"
	Tried    State = "tried"
	Proved   State = "proved on this machine"
)

// Process is one way to cut: a preset's values as this job uses them.
type Process struct {
	Preset       plain.Text // name of the preset it came from
	Amps         float64    // A
	Feed         float64    // mm/min
	Kerf         float64    // mm, full width
	PierceHeight float64    // mm
	CutHeight    float64    // mm
	PierceDelay  Opt        // s
	Volts        float64    // V, arc voltage at cut height
	Gas          plain.Text // such as "air"
	Pressure     Opt        // bar at the torch's supply
	GasFlow      Opt        // L/min
	State        State
	Source       plain.Text   // where the figures came from
	Taper        []TaperPoint // change of hole diameters, in rising ratio; empty is none
}

// Rounded returns the process with figures that a person in the given units
// would write: thousandths of an inch and tenths of an inch per minute, or
// hundredths of a mm and whole mm/min. A preset is no more exact than that.
func (p Process) Rounded(in unit.System) Process {
	step := func(v float64, metric, inch int) float64 { // decimals of each
		n := metric
		if in == unit.Inch {
			n = inch
		}
		// By its decimals, as the job file will read it.
		if mm, err := in.ReadMM(unit.Number(in.FromMM(v), n)); err == nil {
			return mm
		}
		return v
	}
	p.Feed = step(p.Feed, 0, 1)
	p.Kerf = step(p.Kerf, 2, 3)
	p.PierceHeight = step(p.PierceHeight, 2, 3)
	p.CutHeight = step(p.CutHeight, 2, 3)
	return p
}

// DrillAction says what becomes of a hole that is too small to cut.
type DrillAction string

const (
	// DrillLeave leaves the hole out and lists it for the drill.
	DrillLeave DrillAction = "leave"
	// DrillPop marks its centre with a short pulse of the arc.
	DrillPop DrillAction = "pop"
	// DrillRefuse makes it an error.
	DrillRefuse DrillAction = "refuse"
)

// HeightControl says how automatic height control is used in this job.
type HeightControl string

const (
	// ControlWithHolds: on, and held where it must not act.
	ControlWithHolds HeightControl = "holds"
	// ControlOff: off for the whole job; touch-off alone sets the height.
	ControlOff HeightControl = "off"
)

// Rules are the trade's rules as this job applies them. A zero value means
// the default, which DefaultRules names.
type Rules struct {
	DrillUnder   float64 // x thickness: a hole no wider is not cut
	SlowUnder    float64 // x thickness: a hole under it is cut slowly
	SlowDiameter float64 // mm: on thick plate a hole under it is cut slowly
	ThickFrom    float64 // mm: what thick plate is
	SlowFeed     float64 // part of the feed for slow holes
	Drill        DrillAction
	Overburn     float64 // mm past the start on closed inside cuts
	LeadOut      float64 // mm; 0 is none
	MaxLead      float64 // mm, longest lead wanted
	Control      HeightControl
	HoldBelow    float64 // part of the programmed feed under which height is held
	ProbeReuse   float64 // mm: within it the last touch-off is used again
	Tolerance    float64 // mm, curve fit
	ProofWithin  float64 // mm, proof tolerance
	Clockwise    Turn    // which way outlines run
	SearchKicks  int     // budget of the order search; 0 is the search's own
	OrderSeed    int64

	Grouping     Grouping // which cuts stay together; "" is GroupNone
	SmallFirst   float64  // mm: parts so near the plate's edge are cut from small to large; 0 is off
	HeatCuts     int      // heat spread: how many of the last cuts to keep away from; 0 is off
	HeatDistance float64  // mm to keep from each of them
	Begin, End   Corner   // where the torch comes from and is parked after the last cut; "" is anywhere

	// Care beyond the usual: off at 0, save where a default is named.
	Holes       []HoleRule // bands that come before the rules for every hole
	PopPulse    float64    // s the arc burns to mark a centre
	EntryFeed   float64    // part of the feed on the lead-in
	CornerLoop  float64    // mm, radius of a loop outside sharp corners of an outline
	CornerFeed  float64    // part of the feed beside sharp corners of an outline
	TabUnder    float64    // mm: parts whose shorter side is under it are kept in by tabs
	TabCount    int        // tabs of such a part; 0 is 2
	TabWidth    float64    // x thickness; 0 is 0.5
	SplitSlugs  float64    // mm: slugs wider than it are cut across first, so that they fall
	CutRange    int        // ISO 9013 range expected of the cut, 1 to 5; 0 is by rule
	CornerTurn  float64    // rad of turn from which a corner is sharp
	CornerReach float64    // mm before and behind a corner that CornerFeed holds for
	HoldLeast   float64    // mm, shortest stretch held
}

// Grouping says which cuts are kept together in the order.
type Grouping string

const (
	// GroupNone: whatever is quickest.
	GroupNone Grouping = "quickest"
	// GroupPart: a part is finished before the next is begun.
	GroupPart Grouping = "part"
	// GroupHoles: all inside features first, then all outlines.
	GroupHoles Grouping = "holes-first"
)

// Turn says which way round outlines are cut; inside features run the other way.
type Turn string

const (
	OutlineClockwise        Turn = "clockwise"
	OutlineCounterClockwise Turn = "counter-clockwise"
)

// DefaultRules returns the rules that hold unless a job says otherwise. All
// but the tolerances and the seed are common practice, no source.
func DefaultRules() Rules {
	return Rules{
		DrillUnder: 1, SlowUnder: 2, SlowDiameter: 32, ThickFrom: 12, SlowFeed: 0.6,
		Drill: DrillLeave, Overburn: 4, MaxLead: 8, Control: ControlWithHolds, HoldBelow: 0.85,
		Tolerance: geom.Fit, ProofWithin: geom.Proof, Clockwise: OutlineClockwise, OrderSeed: 1,
		PopPulse: 0.2, TabCount: 2, TabWidth: 0.5, CornerTurn: math.Pi / 3, CornerReach: 5, HoldLeast: 3,
	}
}

// WithDefaults fills every zero value from DefaultRules. LeadOut and
// ProbeReuse stay 0, which means none, SearchKicks 0 is the search's own.
func (r Rules) WithDefaults() Rules {
	d := DefaultRules()
	fill := func(v *float64, def float64) {
		if *v == 0 {
			*v = def
		}
	}
	fill(&r.DrillUnder, d.DrillUnder)
	fill(&r.SlowUnder, d.SlowUnder)
	fill(&r.SlowDiameter, d.SlowDiameter)
	fill(&r.ThickFrom, d.ThickFrom)
	fill(&r.SlowFeed, d.SlowFeed)
	fill(&r.Overburn, d.Overburn)
	fill(&r.MaxLead, d.MaxLead)
	fill(&r.HoldBelow, d.HoldBelow)
	fill(&r.Tolerance, d.Tolerance)
	fill(&r.ProofWithin, d.ProofWithin)
	fill(&r.PopPulse, d.PopPulse)
	fill(&r.TabWidth, d.TabWidth)
	fill(&r.CornerTurn, d.CornerTurn)
	fill(&r.CornerReach, d.CornerReach)
	fill(&r.HoldLeast, d.HoldLeast)
	if r.TabCount == 0 {
		r.TabCount = d.TabCount
	}
	if r.Drill == "" {
		r.Drill = d.Drill
	}
	if r.Control == "" {
		r.Control = d.Control
	}
	if r.Clockwise == "" {
		r.Clockwise = d.Clockwise
	}
	if r.OrderSeed == 0 {
		r.OrderSeed = d.OrderSeed
	}
	return r
}

// Override is the operator's word on one feature. Empty fields keep what the
// rules say.
type Override struct {
	Feature string      // id, such as "p1.h3"
	Kind    string      // a feature.Kind's name
	Rule    string      // a feature.Rule's name; "leave" leaves the feature out
	Start   *geom.Point // wanted start on the edge, in the drawing's own mm
	Note    plain.Text

	Critical  []geom.Point // faces to keep the start away from, one point on each, in the drawing's own mm
	Tolerance float64      // mm, plus or minus, wanted of its size; 0 is none
	Tabs      Opt          // tabs that keep an outline in; 0 is none
	Feed      float64      // part of the job's feed; 0 is the rule's
	Delay     Opt          // s, pierce delay of this feature alone
}

// Confirmation is one line of the pre-cut checklist, confirmed by a person.
// RestsOn is the digest of what was confirmed; a changed job has another, and
// the confirmation no longer holds.
type Confirmation struct {
	ID      string // of the check
	By      plain.Text
	At      string // RFC 3339, local time with offset
	RestsOn string // hex
}
