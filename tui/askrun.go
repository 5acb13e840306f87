package tui

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/presets"
)

// runEngine is what is asked about the running of a job: its cost, the pieces
// that are made, and how it goes on where a cut was lost.
type runEngine interface {
	// Prices is what the shop pays; whatever it does not know stays unknown.
	Prices() (cost.Prices, fault.List)
	// SavePrices keeps them for every job to come.
	SavePrices(cost.Prices) error
	// Cost tells what a planned job takes and costs, one thing a row.
	Cost(j job.Job, p *planner.Program, prices cost.Prices) []report.Row
	// Recount writes into the saved job name in dir how many of its pieces
	// are made, and leaves all else in it as it is.
	Recount(dir, name string, j job.Job) error
	// TakeUp makes and proves the program that goes on where from says. The
	// program that lies saved beside the job must be that of whole.
	TakeUp(ctx context.Context, dir, name string, j job.Job, whole *planner.Program, from planner.From) (*planner.Program, fault.List)
	// SaveTakenUp writes such a program and its dry run, both or none.
	SaveTakenUp(ctx context.Context, dir, name string, j job.Job, p *planner.Program, from planner.From) ([]string, error)
}

// shopStore is the shop's own store.
func shopStore() (presets.Store, error) {
	root, err := presets.UserFolder(os.Getenv)
	if err != nil {
		return presets.Store{}, err
	}
	return presets.OpenStore(root), nil
}

func (e *real) Prices() (cost.Prices, fault.List) {
	s, err := shopStore()
	if err != nil {
		return cost.Prices{}, nil // told by RealEngine
	}
	return s.Prices()
}

func (e *real) SavePrices(p cost.Prices) error {
	s, err := shopStore()
	if err != nil {
		return fmt.Errorf("save the prices: %w", err)
	}
	_, err = s.SavePrices(p)
	return err
}

func (e *real) Cost(j job.Job, p *planner.Program, prices cost.Prices) []report.Row {
	return planner.CostReport(planner.Cost(j, p, prices), prices).Lines()
}

func (e *real) Recount(dir, name string, j job.Job) error {
	file := name + ".toml"
	text, err := presets.ReadFile(filepath.Join(dir, file), jobfile.MaxJob)
	if err != nil {
		return fmt.Errorf("count the pieces: %w", err)
	}
	old, faults := jobfile.Decode(file, text)
	if faults.Bad() {
		return fmt.Errorf("count the pieces: %w", faults.Err())
	}
	old.Stock.Fixture.Done = j.Stock.Fixture.Done
	text, faults = jobfile.Recount(text, old)
	if faults.Bad() {
		return fmt.Errorf("count the pieces: %w", faults.Err())
	}
	return bundle.Replace(presets.Folder(dir), []bundle.Entry{{Name: file, Data: text}})
}

// maxProgram is the largest program that is read back, in bytes.
const maxProgram = 256 << 20

func (e *real) TakeUp(ctx context.Context, dir, name string, j job.Job, whole *planner.Program, from planner.From) (*planner.Program, fault.List) {
	outputs, err := planner.Outputs(j, name, "", []*planner.Program{whole})
	if err != nil {
		return nil, fault.From(err, fault.Where{})
	}
	for _, o := range outputs {
		if o.Dry {
			continue
		}
		text, err := presets.ReadFile(filepath.Join(dir, o.Name), maxProgram)
		switch {
		case errors.Is(err, fs.ErrNotExist): // cut from a copy elsewhere
		case err != nil:
			return nil, fault.From(fmt.Errorf("open the program: %w", err), fault.Where{})
		case !bytes.Equal(text, o.Text):
			var faults fault.List
			faults.Errorf(fault.Where{File: plain.Clean(o.Name)}, "resume", "Put back the job as it was when the program was saved.",
				"is not what this job plans now, so that its cuts and lines do not count here")
			return nil, faults
		}
	}
	p, faults := planner.TakeUp(j, whole, from)
	if ctx.Err() != nil {
		return nil, nil
	}
	return p, faults
}

func (e *real) SaveTakenUp(ctx context.Context, dir, name string, j job.Job, p *planner.Program, from planner.From) ([]string, error) {
	if !p.Verdict.OK || !p.DryVerdict.OK {
		return nil, errors.New("the proof does not pass")
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	outputs, err := planner.Outputs(j, name, from.Tag(), []*planner.Program{p})
	if err != nil {
		return nil, err
	}
	var entries []bundle.Entry
	var paths []string
	for _, o := range outputs {
		entries = append(entries, bundle.Entry{Name: o.Name, Data: o.Text})
		paths = append(paths, filepath.Join(dir, o.Name))
	}
	if err := bundle.Replace(presets.Folder(dir), entries); err != nil {
		return nil, err
	}
	return paths, nil
}
