package tui

import (
	"context"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
)

// Engine is all that the wizard asks of the rest of the program. Everything
// that knows geometry, a process or a rule of the trade lies behind it. Its
// methods are called side by side and must not keep the jobs they are given.
// Methods without a context answer from memory at once. A context that is
// handed in may be watched: through package progress whatever works under it
// tells how far it has come and what it would keep if it ended now, and may
// ask whether that is enough (long.go).
type Engine interface {
	formEngine
	runEngine
	shopEngine
	sinceEngine

	// Read reads the job's drawings, whose names are relative to dir.
	Read(ctx context.Context, j job.Job, dir string) ([]*drawing.Loops, fault.List)
	// Features sorts what was read into parts and features.
	Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List)
	// Ready says what the job lacks before it can be planned.
	Ready(j job.Job) fault.List
	// Plan makes the program and proves it; nil if there is nothing to show.
	Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*planner.Program, fault.List)
	// Checks computes the checks of a planned and proved job.
	Checks(j job.Job, p *planner.Program, faults fault.List) []Check
	// Checklist lists what a person has to confirm before cutting.
	Checklist(j job.Job, p *planner.Program) []Item

	// Amps lists the currents for which there is a preset.
	Amps(m job.Material, thickness float64) []float64
	// Lookup returns the preset for the job's material, thickness and current.
	Lookup(j job.Job) (Preset, error)
	// Plausible judges the job's process against physics; known is false
	// while figures are missing.
	Plausible(j job.Job) (c Check, known bool)
	// Machines lists the machine profiles.
	Machines() []job.Machine

	// List lists a folder for the file chooser.
	List(dir string) ([]Entry, error)
	// Open reads a job file; name is as the user wrote it.
	Open(path string) (j job.Job, faults fault.List)
	// Notes says what was wrong with the shop's own presets and profiles.
	Notes() fault.List
	// Files names the files that a save would write into dir, and says which
	// of them are there already. p is nil while there is no plan.
	Files(dir, name string, j job.Job, p *planner.Program) []Target
	// Save writes all of them or none, and returns their paths, and what is to
	// be known of what was written.
	Save(ctx context.Context, dir, name string, j job.Job, loops []*drawing.Loops, p *planner.Program) ([]string, fault.List, error)
}

// Preset is what the presets hold for a material, a thickness and a current.
type Preset struct {
	Process job.Process
	Note    string     // such as "between 5 mm and 8 mm"
	Beside  []Neighbor // the rows it lies between, thinner first; one if it is a row itself
}

// Neighbor is one row of the presets.
type Neighbor struct {
	Thickness float64 // mm
	Process   job.Process
}

// Check is one computed check.
type Check = planner.Check

// Station is where a person stands to confirm something.
type Station int

const (
	AtPlate Station = iota
	AtTorch
	AtSupply
	AtPC
	OnPerson
)

func (s Station) String() string {
	return [...]string{"at the plate", "at the torch", "at the supply", "at the PC", "on you and whoever is near"}[s]
}

// Item is one line of the pre-cut checklist. RestsOn is the digest of all in
// the job that it rests on: if that changes, it has to be confirmed again.
type Item struct {
	ID      string
	Station Station
	Text    string // what holds once it is confirmed
	Figure  string // a computed figure, such as a shade or a distance
	Why     string
	RestsOn string
}

// Entry is one line of the file chooser.
type Entry struct {
	Name string // raw; shown cleaned
	Dir  bool
	Kind string // "drawing", "job" or "" for what cannot be opened
	Size int64
}

// Target is a file that a save would write.
type Target struct {
	Name   string
	What   string // such as "program"
	Exists bool
}
