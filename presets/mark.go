package presets

import (
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// MarkStart is a starting process for marks: a low current and a feed at which
// no metal that a table cuts is cut through. limit is the machine's highest
// feed, mm/min; 0 is unknown. All figures are common practice, no source.
func MarkStart(limit float64) job.Marking {
	m := job.Marking{
		Preset: plain.Of("marking"), Feed: 5000, Amps: 12, Height: 2.5, Width: 0.8, State: job.Starting,
		Source: plain.Of("middle of what is usual for marking; common practice, no source"),
	}
	if limit > 0 {
		m.Feed = min(m.Feed, limit)
	}
	return m
}
