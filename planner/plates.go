package planner

import (
	"context"
	"fmt"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/progress"
)

// Plates plans every plate of a job, each with its own program and proof, the
// first at index 0. What several plates have in common is told once. A plate
// that cannot be planned ends the list there: its faults say why.
func Plates(ctx context.Context, j job.Job, loops []*drawing.Loops) ([]*Program, fault.List) {
	first, faults := Plan(ctx, j.On(1), loops)
	if first == nil {
		return nil, faults
	}
	more, others := OtherPlates(ctx, j, loops, first)
	seen := map[string]bool{}
	for _, f := range faults {
		seen[f.Error()] = true
	}
	for _, f := range others {
		if !seen[f.Error()] {
			seen[f.Error()] = true
			faults.Add(f)
		}
	}
	return append([]*Program{first}, more...), faults
}

// OtherPlates plans the plates of a job but the first, which is planned.
func OtherPlates(ctx context.Context, j job.Job, loops []*drawing.Loops, first *Program) (out []*Program, faults fault.List) {
	for n := 2; n <= first.Plates; n++ {
		sub := progress.Part(ctx, fmt.Sprintf("plate %d of %d", n, first.Plates))
		p, more := Plan(sub, j.On(n), loops)
		faults = append(faults, more...)
		if p == nil {
			if !more.Bad() && ctx.Err() == nil {
				faults.Errorf(fault.Where{Entity: fmt.Sprintf("plate %d", n)}, "plate", "Plan it alone to see more.", "nothing of it can be cut")
			}
			return out, faults
		}
		out = append(out, p)
	}
	return out, faults
}
