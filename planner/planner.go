package planner

import (
	"context"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
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
	Text   []byte // the program
	Dry    []byte // the dry run
	Cuts   []Cut
	Rapids []geom.Path // torch up, in order, on the stock
	Plan   report.Plan
	Tree   feature.Tree
	Placed []Placed // every copy of every part, as it lies on the stock
}

// Placed is one copy of a part on the stock.
type Placed struct {
	Part  int // into Tree.Parts
	Copy  int // from 1
	Move  geom.Move
	Label string // "p1" or "p1#2"
}

// Cut is one pierce to one torch-off, on the stock, mm from XY zero.
type Cut struct {
	N       int // from 1, in order
	Placed  int // into Program.Placed
	Feature int // into Tree.Features
	Pierce  geom.Point
	Path    geom.Path // torch centre: lead-in, edge, overburn, lead-out
	LeadIn  int       // segments of Path that are lead-in
	Tail    int       // segments of Path that are overburn and lead-out
	Kerf    float64   // mm
	Feed    float64   // mm/min
	Clear   float64   // mm between the pierce and the nearest edge that stays
	Holds   []Hold
	Time    float64 // s with the arc on
	First   int     // line of the program, from 1
	Last    int
}

// Hold is a stretch of a cut's path, mm from the pierce, in which automatic
// height control must not act.
type Hold struct {
	From, To float64
	Why      string
}

// Read opens and reads every drawing of the job. A drawing that cannot be
// read leaves a nil entry and at least one Error.
func Read(ctx context.Context, j job.Job, src Sources) ([]*drawing.Loops, fault.List) {
	panic("planner: internal: not built yet")
}

// Features sorts the job's drawings into parts and features, with the rules
// and the operator's overrides applied.
func Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List) {
	panic("planner: internal: not built yet")
}

// Plan runs the whole pipe. The program is nil if any fault is an Error that
// leaves nothing to show; otherwise it is there to look at, and may be saved
// only if no fault is an Error. The same job gives the same bytes.
func Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*Program, fault.List) {
	panic("planner: internal: not built yet")
}
