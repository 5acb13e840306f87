package planner

import (
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// Pieces returns how many blanks a job wants in all, 0 if it cuts a plate.
// job.Stock.Fixture.Done of them are cut already.
func Pieces(j job.Job) int {
	if j.Stock.Hold != job.Blank {
		return 0
	}
	quantity := 0
	if len(j.Drawings) > 0 {
		quantity = j.Drawings[0].Quantity
	}
	return layout.Pieces(j.Stock.Fixture, quantity)
}
