// Package drawing turns a drawing file into closed and open paths in mm. It
// reads, scales, fits, joins and mends, and lists everything that it joined,
// dropped or left. It never decides what a path is for: that is package
// feature's.
package drawing

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Loop is a path of the drawing in mm, arcs at most half a circle. Each
// vertex's Src is an index into Loops.Entities.
type Loop struct {
	Path  geom.Path
	Layer plain.Text
	Use   job.LayerUse
	Style int32 // into Loops.Styles: how its first segment is drawn
}

// Entity is a source entity, for messages.
type Entity struct {
	Type  string // such as "LWPOLYLINE"
	Layer plain.Text
	Line  int // in the file, from 1; 0 unknown
}

// LayerInfo is one layer of the drawing and what was guessed about it.
type LayerInfo struct {
	Name     plain.Text
	Entities int
	Hidden   bool         // off or frozen: its entities are left out
	Use      job.LayerUse // the guess, or the operator's word
	Why      string
}

// UnitSource says how the unit was found.
type UnitSource int

const (
	UnitAsked  UnitSource = iota // nobody has said: Units is Unknown, numbers are taken as mm
	UnitInFile                   // the file says
	UnitSaid                     // the operator said
)

// Loops is a drawing ready for package feature.
type Loops struct {
	Name     plain.Text
	Format   Format
	Units    unit.System // of the file's numbers
	UnitFrom UnitSource
	// MMPerUnit is what one number of the file was taken for, mm, without
	// Options.Scale; UnitName is that unit in words, such as "centimetres".
	MMPerUnit float64
	UnitName  string
	Guess     unit.System  // where UnitFrom is UnitAsked: what it most likely is
	Pages     int          // of a PDF
	Page      int          // the one read
	Closed    []Loop       // every closed loop, in a fixed order
	Open      []Loop       // chains left open, with Use LayerCut or LayerMark
	Points    []geom.Point // POINT entities on layers in use: centre marks
	Entities  []Entity
	Layers    []LayerInfo
	Box       geom.Box
	Styles    []Style    // what Loop.Style counts
	Report    fault.List // what was read over, joined, mended, dropped, left open
}

// Options says how to read. The zero value asks the file.
type Options struct {
	Name   plain.Text  // file name for messages
	Units  unit.System // Unknown asks the file
	Scale  float64     // 0 is 1
	Page   int         // of a PDF, from 1
	Layers []job.Layer // the operator's words
	Gap    float64     // mm, largest gap to close; 0 is geom.Gap
	Fit    float64     // mm, for curves that are neither lines nor arcs; 0 is geom.Fit
}
