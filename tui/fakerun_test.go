package tui

import (
	"context"
	"path/filepath"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
)

func (f *fake) Prices() (cost.Prices, fault.List) {
	return cost.Prices{Currency: plain.Of("EUR"), MildSteel: job.Of(1.4), Set: job.Of(28), LifeStarts: job.Of(250)}, nil
}

func (f *fake) SavePrices(p cost.Prices) error {
	f.note("save prices")
	f.mu.Lock()
	defer f.mu.Unlock()
	f.prices = p
	return nil
}

func (f *fake) Cost(j job.Job, p *planner.Program, prices cost.Prices) []report.Row {
	return planner.CostReport(planner.Cost(j, p, prices), prices).Lines()
}

func (f *fake) Recount(dir, name string, j job.Job) error {
	f.note("recount")
	return nil
}

func (f *fake) TakeUp(ctx context.Context, dir, name string, j job.Job, whole *planner.Program, from planner.From) (*planner.Program, fault.List) {
	f.note("take up")
	p := *whole
	k := max(0, from.Cut-1)
	p.Cuts, p.Before = p.Cuts[k:], k
	return &p, nil
}

func (f *fake) SaveTakenUp(ctx context.Context, dir, name string, j job.Job, p *planner.Program, from planner.From) ([]string, error) {
	f.note("save taken up")
	return []string{filepath.Join(dir, name+from.Tag()+".nc"), filepath.Join(dir, name+from.Tag()+"-dry.nc")}, nil
}

func (f *fake) Since(was job.Job, loops []*drawing.Loops, p *planner.Program) []Since {
	f.note("since")
	return f.since
}

func (f *fake) Moved([]*drawing.Loops) (planner.Moves, bool) { return planner.Moves{}, false }
