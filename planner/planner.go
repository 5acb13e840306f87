package planner

import (
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
)

// Sources hands the planner the bytes of a drawing by the name that the job
// uses for it.
type Sources interface {
	Drawing(name string) ([]byte, error)
}

// Program is a planned job: the text for the machine, and what a person or a
// script wants to know of it.
type Program struct {
	Text   []byte // the program, or the first of those that Files lists
	Dry    []byte // its dry run
	Cuts   []Cut
	Rapids []geom.Path // torch up, in order, on the stock
	Plan   report.Plan
	Tree   feature.Tree
	Placed []Placed // every copy of every part, as it lies on the stock
	Raised int      // rapids that go at safe height over loosened pieces
	Round  int      // rapids that go round them
	// ExtraTime is what both take more than straight ways at travel height, s.
	ExtraTime float64
	// TouchOffsSaved counts the cuts for which an earlier touch-off serves.
	TouchOffsSaved    int
	TouchOffTimeSaved float64     // s
	Park              *geom.Point // where the torch goes after the last cut; nil: it stays
	Rest              cost.Times  // what belongs to no cut
	Before            int         // cuts of the job that this program leaves out, since they are made
	TakenUp           bool        // it goes on where an earlier run was left

	Shared []geom.Path // edges that one cut parts, along the torch's way

	Lie *Lie // how the stock lies on the table; nil: as drawn

	Plate, Plates int // from 1, which one of how many; a fixture is one plate

	loops []*drawing.Loops // of the job's drawings, for the proof

	files    []File // where the controller does not take it whole
	set      int    // which one of a set it is, from 1; 0: it is whole
	sets     int    // of how many
	dryFirst int    // line of the dry run that its first cut begins with
	dryLast  []int  // lines that its cuts end with
	total    int    // cuts of the job, if not Before and Cuts

	trim  *trim  // how the plate is trimmed; nil: not
	done  []Cut  // those
	begun bool   // the first of Cuts was begun before
	start string // what must be so before the program is run

	Verdict, DryVerdict proof.Result
}

// Placed is one copy of a part on the stock.
type Placed struct {
	Part   int // into Tree.Parts
	Copy   int // from 1
	Move   geom.Move
	Label  string  // "p1" or "p1#2"
	Blank  int     // from 1 in this run; 0 on a plate
	Piece  int     // from 1 over all runs of the job; 0 on a plate
	Pieces int     // wanted in all; 0 on a plate
	Pocket int     // from 1; 0 on a plate
	Inside *Inside // the cut-out of another copy that it lies in; nil: it lies on the plate
}

// Cut is one pierce to one torch-off, on the stock, mm from XY zero.
type Cut struct {
	N        int    // from 1, in order
	Label    string // of the feature in this copy: "p1.h3" or "p1#2.h3"
	Placed   int    // into Program.Placed
	Feature  int    // into Tree.Features
	Pierce   geom.Point
	Path     geom.Path // torch centre: lead-in, edge, overburn, lead-out
	LeadIn   int       // segments of Path that are lead-in
	Tail     int       // segments of Path that are overburn and lead-out
	Kerf     float64   // mm
	Feed     float64   // mm/min
	Clear    float64   // mm between the pierce and the nearest edge that stays
	Holds    []Hold
	Time     float64     // s along the path
	TouchOff bool        // the plate is found again before this cut
	Pause    bool        // the program waits before this cut
	Lift     float64     // mm over the plate for the rapid that follows
	Rapid    Rapid       // how the torch comes to this cut
	Extra    float64     // s that it takes more than straight at travel height
	Touch    *geom.Point // where the plate is touched, if not at the pierce
	Times    cost.Times
	Program  int // into Program.Files
	First    int // line of that program, from 1
	Last     int

	Feeds []float64 // mm/min of each segment of Path; nil is Feed
	Pop   bool      // a pulse that marks a centre: Path is a single point
	Delay float64   // s between lighting the arc and moving, or of the pulse
	Frees geom.Path // what lies inside is loose once this is cut; empty: nothing

	task   task       // what it was planned from
	lit    int        // line of the program that lights the torch
	way    int        // of the task
	region *geom.Path // what it loosens, if not what Path goes round
	along  []mark     // where the lines of the program stand on Path
}

// mark says where on a cut's path, mm from the pierce, the torch is before a
// line of the program.
type mark struct {
	line int
	at   float64
}

// Hold is a stretch of a cut's path, mm from the pierce, in which automatic
// height control must not act.
type Hold struct {
	From, To float64
	Why      string
}
