// Package feature sorts the closed paths of a drawing into parts and their
// features, makes the edits of the job on them, and says for each which rule
// of the trade applies and why. Nothing else moves a path.
package feature

import (
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Kind is what a closed or open path is.
type Kind string

const (
	Outline Kind = "outline" // a part's outside
	Hole    Kind = "hole"    // a full circle inside a part
	Slot    Kind = "slot"    // two equal half circles joined by parallel lines
	CutOut  Kind = "cut-out" // any other closed path inside a part
	Mark    Kind = "mark"    // not cut through
	Trim    Kind = "trim"    // a line across the plate, not of a part
)

// Rule is how a feature is treated.
type Rule string

const (
	RuleOutline Rule = "outline"   // cut outside the line, last
	RuleInside  Rule = "inside"    // cut inside the line at full feed
	RuleSlow    Rule = "slow-hole" // cut inside the line slowly, height held
	RuleDrill   Rule = "drill"     // not cut: drilled, centre popped if the job says so
	RuleMark    Rule = "mark"      // traced with the mark process
	RuleTrim    Rule = "trim"      // cut through along the line, after all parts
	RuleLocate  Rule = "locate"    // a blank's outline: not cut
	RuleLeave   Rule = "leave"     // left out by the operator
	RuleRefuse  Rule = "refuse"    // an error until the operator decides
)

// Cuts reports whether the rule cuts through the plate.
func (r Rule) Cuts() bool { return r == RuleOutline || r == RuleInside || r == RuleSlow }

// Feature is one path of a part. Loop is counter-clockwise if closed.
type Feature struct {
	ID       string // "p1.outline", "p1.h2", "p1.s1", "p1.c1", "p1.m1"
	Part     int    // index into Tree.Parts
	Kind     Kind
	Rule     Rule
	Why      string // the reason for the rule, with its figures
	Loop     geom.Path
	From     int     // into the drawing's Closed, or Open if Loop is open; -1 is none of it
	Area     float64 // mm2 inside the loop
	Width    float64 // mm along X
	Height   float64 // mm along Y
	Diameter float64 // mm of a hole; width across the flats of a slot; 0 otherwise
	Length   float64 // mm overall of a slot; 0 otherwise
	Ratio    float64 // Diameter over thickness; 0 without one
	Center   geom.Point
	Start    *geom.Point // wanted start, from the operator
	Changed  bool        // the operator changed kind, rule or start

	Feed      float64      // part of the feed
	Delay     job.Opt      // s, its own pierce delay; unknown is the process's
	Hold      bool         // height held for the whole cut
	Overburn  float64      // mm past the start
	Spiral    bool         // entered from its middle in half a turn
	Against   bool         // runs the other way round than its kind does
	Pop       bool         // of RuleDrill: the centre is marked by a pulse of the arc
	Taper     float64      // mm by which the preset's table changes its diameter
	Critical  []geom.Point // faces to keep the start away from
	Tolerance float64      // mm, plus or minus, wanted of its size; 0 is none
	Tabs      int          // of an outline: bridges that keep the part in
	TabAt     []geom.Point // their middles on the edge, set by whoever plans the cuts

	Edited bool         // an edit changed it, or its part
	Added  bool         // an edit added it
	Oval   bool         // a hole or a slot that a correction made a little oval
	moved  *geom.Affine // from the drawing to where edits put it; nil: as drawn
}

// Wanted is the edge that is to come out: the Loop, or for a hole that the
// preset's table changes the circle that the table says.
func (f Feature) Wanted() geom.Path {
	if f.Taper == 0 || f.Diameter+f.Taper <= 0 || !f.Rule.Cuts() {
		return f.Loop
	}
	if f.Oval {
		k := (f.Diameter + f.Taper) / f.Diameter
		m := geom.Stretch(f.Center, k, k)
		out := geom.Path{Closed: true, V: slices.Clone(f.Loop.V)}
		for i := range out.V {
			out.V[i].P = m.Apply(out.V[i].P)
		}
		return out
	}
	return geom.Circle(f.Center, (f.Diameter+f.Taper)/2)
}

// Part is an outline and what lies in it.
type Part struct {
	ID       string // "p1"
	Name     plain.Text
	Drawing  int     // index into the job's drawings
	Features []int   // into Tree.Features: inside features first, the outline last
	Outline  int     // into Tree.Features; -1 if the part has none
	In       int     // feature (a cut-out of another part) in which it lies, or -1
	NetArea  float64 // mm2 of metal
	Text     bool    // strokes of a text: no outline
	Copy     int     // of a text: the only copy of the drawing that has it, from 1; 0 is every copy
	Ride     *Ride   // of a text that goes along with the edits of a part
}

// Ride is a text as the job says it, before the edits of the part that it lies
// on.
type Ride struct {
	On     string // Part.ID
	Middle geom.Point
	Angle  float64     // rad
	Said   []geom.Path // its strokes, in the order of its features
}

// Tree is every part of a job, each drawing once, in the drawings' own axes.
type Tree struct {
	Parts    []Part
	Features []Feature

	Drawn   []Drawn // parts before the edits, in the order of Parts; nil if the job has none
	Done    []Done  // what each of the job's edits did
	steps   []step
	deleted map[string]int // features, by the number of the edit
}
