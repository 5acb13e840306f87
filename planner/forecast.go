package planner

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/iso9013"
	"example.org/kerfwright/planner/job"
)

// Forecast is what the process can be expected to hold on one feature, by
// ISO 9013, against what is wanted of it.
type Forecast struct {
	Feature   string
	Range     int     // of perpendicularity, 1 to 5; 0 is not covered
	Spread    float64 // mm, u: how far from square the face may be
	Class     int     // tolerance class; 0 is not covered
	Deviation float64 // mm, plus or minus, of its size
	Size      float64 // mm, the size that was looked up
	Wanted    float64 // mm, plus or minus; 0: nothing is asked
	Held      bool    // Wanted is not under what can be expected
	Advice    string  // what to do if it is not held
	Square    string  // the side on which the face is square: "part" or "scrap"

	index int // into Tree.Features
}

// Ranges that plasma with air is expected to reach: 4, in small holes 5. Common
// practice, no source; a shop that has measured its cuts sets its own.
const (
	usualRange = 4
	holeRange  = 5
)

// SquareSide says which side of a feature's cut is the square one. The jet's
// swirl leaves it on the right of travel (common practice, no source), and
// outlines run so that that is the part; a profile whose swirl is the other
// way says so by Rules.Clockwise. A hole that is run against that has its
// bevel on the part.
func SquareSide(f feature.Feature) string {
	if f.Against {
		return "scrap"
	}
	return "part"
}

// Forecasts looks up every feature that is cut.
func Forecasts(j job.Job, t feature.Tree) []Forecast {
	var out []Forecast
	for i, f := range t.Features {
		if c, ok := ForecastOf(j, f); ok {
			c.index = i
			out = append(out, c)
		}
	}
	return out
}

func forecast(j job.Job, r job.Rules, f feature.Feature) Forecast {
	t := j.Stock.Thickness
	c := Forecast{Feature: f.ID, Wanted: f.Tolerance, Square: SquareSide(f), Size: f.Diameter}
	if c.Size == 0 {
		c.Size = max(f.Width, f.Height)
	}
	if f.Kind == feature.Slot {
		c.Size = f.Length
	}
	c.Range = r.CutRange
	if c.Range == 0 {
		c.Range = usualRange
		if f.Rule == feature.RuleSlow {
			c.Range = holeRange
		}
	}
	var ok bool
	if c.Spread, ok = iso9013.Spread(c.Range, t); !ok {
		c.Range = 0
	}
	c.Class = iso9013.PlasmaClass
	if c.Deviation, ok = iso9013.Deviation(c.Class, t, c.Size); !ok {
		c.Class = 0
	}
	c.Held = c.Wanted == 0 || c.Class > 0 && c.Range > 0 && c.Wanted >= max(c.Deviation, c.Spread)
	if c.Held || !f.Rule.Cuts() {
		if !f.Rule.Cuts() {
			c.Held = true // the drill holds it
		}
		return c
	}
	mm := j.Units.Length
	switch f.Kind {
	case feature.Hole:
		c.Advice = fmt.Sprintf("Drill it (rule drill), or cut it as a pilot and ream it to %s.", mm(f.Diameter))
		if under := f.Diameter - 2*max(c.Deviation, c.Spread); under > j.Process.Kerf && c.Class > 0 {
			c.Advice = fmt.Sprintf("Drill it (rule drill), or cut it to %s and ream it to %s.", mm(under), mm(f.Diameter))
		}
	case feature.Slot:
		c.Advice = "Mill it, or leave metal and dress it to size."
	default:
		c.Advice = "Machine the face that matters, or allow more."
	}
	return c
}

// forecastFaults warns of what the process cannot be expected to hold.
func forecastFaults(j job.Job, t feature.Tree) fault.List {
	var faults fault.List
	for _, c := range Forecasts(j, t) {
		if c.Held {
			continue
		}
		f := t.Features[c.index]
		at := fault.Where{Feature: c.Feature, Frame: fault.InDrawing, X: f.Center.X, Y: f.Center.Y}
		if c.Class == 0 || c.Range == 0 {
			faults.Warnf(at, "tolerance", c.Advice, "plus or minus %s is wanted; ISO 9013 promises nothing for its size in this plate", j.Units.Length(c.Wanted))
			continue
		}
		faults.Warnf(at, "tolerance", c.Advice, "plus or minus %s is wanted; plasma is expected to hold %s (ISO 9013 class %d), its face %s from square (range %d)",
			j.Units.Length(c.Wanted), j.Units.Length(c.Deviation), c.Class, j.Units.Length(c.Spread), c.Range)
	}
	return faults
}
