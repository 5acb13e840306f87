package presets

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Neighbours are the presets that a process was made from: one, if the
// thickness has its own, or the two that it lies between.
type Neighbours struct {
	Thinner, Thicker Preset
	Exact            bool // both are the same preset
}

// Text says which they are: "3.18 mm" or "between 3.18 mm and 5.00 mm".
func (n Neighbours) Text(in unit.System) string {
	if n.Exact {
		return in.Length(n.Thinner.Thickness)
	}
	return "between " + in.Length(n.Thinner.Thickness) + " and " + in.Length(n.Thicker.Thickness)
}

// NoPreset says why there is no preset for a cut, and what there is.
type NoPreset struct {
	Material  job.Material
	Thickness float64   // mm, asked for
	Amps      float64   // A, asked for
	From, To  float64   // mm that the presets at this current span; 0 if there are none
	Others    []float64 // A: currents whose presets reach the thickness
}

func (e *NoPreset) Error() string { return e.Text(unit.MM) }

// Text is Error in the units given.
func (e *NoPreset) Text(in unit.System) string {
	amps := unit.Number(e.Amps, 1) + " A"
	text := fmt.Sprintf("no preset for %s of %s at %s", in.Length(e.Thickness), e.Material, amps)
	if e.To > 0 {
		text += fmt.Sprintf(": those at %s reach from %s to %s", amps, in.Length(e.From), in.Length(e.To))
	}
	if len(e.Others) == 0 {
		return text + ". No other current has one either: enter your own figures"
	}
	names := make([]string, len(e.Others))
	for i, a := range e.Others {
		names[i] = unit.Number(a, 1) + " A"
	}
	return text + ". There is one at " + strings.Join(names, ", ")
}

// sameThickness: two thicknesses in mm are one within the distance under
// which two points are.
func sameThickness(a, b float64) bool { return math.Abs(a-b) <= geom.Same }

// Lookup returns the process for a cut. Between two presets of the same
// material and current, feed is interpolated in the logarithms (feed goes
// about as a power of thickness), the rest on a straight line: every figure
// lies between its two neighbours. Beyond them there is no answer, but a
// *NoPreset. A figure that either neighbour does not know stays unknown.
func (l *Library) Lookup(m job.Material, thickness, amps float64) (job.Process, Neighbours, error) {
	rows := l.row(m, amps)
	for i, p := range rows {
		if sameThickness(p.Thickness, thickness) {
			return p.Process, Neighbours{p, p, true}, nil
		}
		if i > 0 && rows[i-1].Thickness < thickness && thickness < p.Thickness {
			n := Neighbours{Thinner: rows[i-1], Thicker: p}
			return between(n, thickness), n, nil
		}
	}
	none := &NoPreset{Material: m, Thickness: thickness, Amps: amps, Others: l.Amps(m, thickness)}
	if len(rows) > 0 {
		none.From, none.To = rows[0].Thickness, rows[len(rows)-1].Thickness
	}
	return job.Process{}, Neighbours{}, none
}

// row returns the presets of one material and current, thinnest first.
func (l *Library) row(m job.Material, amps float64) []Preset {
	var rows []Preset
	for _, p := range l.presets {
		if p.Material == m && p.Process.Amps == amps {
			rows = append(rows, p)
		}
	}
	return rows
}

// Amps returns the currents in A whose presets reach a thickness in mm of a
// material, least first.
func (l *Library) Amps(m job.Material, thickness float64) []float64 {
	var all []float64
	for _, p := range l.Processes(m) {
		if slices.Contains(all, p.Process.Amps) {
			continue
		}
		rows := l.row(m, p.Process.Amps)
		first, last := rows[0].Thickness, rows[len(rows)-1].Thickness
		if first < thickness && thickness < last || sameThickness(first, thickness) || sameThickness(last, thickness) {
			all = append(all, p.Process.Amps)
		}
	}
	return all
}

// between makes the process for a thickness that lies between two presets.
func between(n Neighbours, thickness float64) job.Process {
	a, b := n.Thinner, n.Thicker
	t := (thickness - a.Thickness) / (b.Thickness - a.Thickness)
	line := func(x, y float64) float64 {
		if x == 0 || y == 0 {
			return 0 // unknown
		}
		return figure(x+t*(y-x), 0.01, x, y)
	}
	opt := func(x, y job.Opt) job.Opt {
		if !x.Known || !y.Known {
			return job.Opt{}
		}
		return job.Of(figure(x.Value+t*(y.Value-x.Value), 0.01, x.Value, y.Value))
	}
	p := job.Process{
		Amps:         a.Process.Amps,
		Kerf:         line(a.Process.Kerf, b.Process.Kerf),
		PierceHeight: line(a.Process.PierceHeight, b.Process.PierceHeight),
		CutHeight:    line(a.Process.CutHeight, b.Process.CutHeight),
		PierceDelay:  opt(a.Process.PierceDelay, b.Process.PierceDelay),
		Volts:        line(a.Process.Volts, b.Process.Volts),
		Pressure:     opt(a.Process.Pressure, b.Process.Pressure),
		GasFlow:      opt(a.Process.GasFlow, b.Process.GasFlow),
		State:        job.Starting, // this thickness itself was never cut
	}
	if x, y := a.Process.Feed, b.Process.Feed; x > 0 && y > 0 {
		p.Feed = figure(logLog(a.Thickness, x, b.Thickness, y, thickness), 1, x, y)
	}
	if a.Process.Gas == b.Process.Gas {
		p.Gas = a.Process.Gas
	}
	p.Preset = plain.Of(Preset{Material: a.Material, Thickness: thickness, Process: p}.Name())
	p.Source = plain.Of(fmt.Sprintf("interpolated between the presets for %s and %s mm: feed on a power of thickness, the rest on a straight line",
		unit.Shortest(a.Thickness), unit.Shortest(b.Thickness)))
	return p
}

// figure rounds v to a step, since no digit beyond it means anything, and
// keeps it between x and y.
func figure(v, step, x, y float64) float64 {
	// Over the step's reciprocal, a whole number, the result is the float64
	// nearest to the decimal that a person would write.
	per := math.Round(1 / step)
	return min(max(math.Round(v*per)/per, min(x, y)), max(x, y))
}
