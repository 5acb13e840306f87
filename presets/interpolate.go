package presets

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
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
		p := n.Thinner
		if p.From > 0 && p.To > p.From {
			return fmt.Sprintf("%s, holds from %s to %s", in.Length(p.Thickness), in.Length(p.From), in.Length(p.To))
		}
		return in.Length(p.Thickness)
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

// Lookup returns the process for a cut: that of the preset for the thickness,
// else of one that holds over a range with the thickness in it. Between two
// presets of the same material and current, each figure is taken from a
// monotone curve through all presets of the row that know it, feed over
// thickness in the logarithms (feed goes about as a power of thickness): every
// figure lies between its two neighbours. Beyond them there is no answer, but
// a *NoPreset. A figure that either neighbour does not know stays unknown.
func (l *Library) Lookup(m job.Material, thickness, amps float64) (job.Process, Neighbours, error) {
	rows := l.row(m, amps)
	for _, p := range rows {
		if sameThickness(p.Thickness, thickness) {
			return p.Process, Neighbours{p, p, true}, nil
		}
	}
	// Of several that hold there, the nearest one; the thinner of two alike.
	best := -1
	for i, p := range rows {
		if p.Holds(thickness) && (best < 0 || math.Abs(p.Thickness-thickness) < math.Abs(rows[best].Thickness-thickness)) {
			best = i
		}
	}
	if best >= 0 {
		return rows[best].Process, Neighbours{rows[best], rows[best], true}, nil
	}
	for i, p := range rows {
		if i > 0 && rows[i-1].Thickness < thickness && thickness < p.Thickness {
			n := Neighbours{rows[i-1], p, false}
			return between(rows, n, thickness), n, nil
		}
	}
	none := &NoPreset{Material: m, Thickness: thickness, Amps: amps, Others: l.Amps(m, thickness)}
	if len(rows) > 0 {
		none.From, none.To = rows[0].Thickness, rows[len(rows)-1].Thickness
	}
	return job.Process{}, Neighbours{}, none
}

// row returns the presets of one material and current that are not retired,
// thinnest first.
func (l *Library) row(m job.Material, amps float64) []Preset {
	var rows []Preset
	for _, p := range l.presets {
		if p.Material == m && p.Process.Amps == amps && !p.Retired {
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
		if len(rows) == 0 {
			continue
		}
		first, last := rows[0].Thickness, rows[len(rows)-1].Thickness
		if first < thickness && thickness < last || slices.ContainsFunc(rows, func(p Preset) bool { return p.Holds(thickness) }) {
			all = append(all, p.Process.Amps)
		}
	}
	return all
}

// between makes the process for a thickness that lies between two presets of
// a row.
func between(rows []Preset, n Neighbours, thickness float64) job.Process {
	a, b := n.Thinner, n.Thicker
	curve := func(at func(job.Process) (float64, bool), step float64, log bool) job.Opt {
		x, knownX := at(a.Process)
		y, knownY := at(b.Process)
		if !knownX || !knownY {
			return job.Opt{}
		}
		bend, back := func(v float64) float64 { return v }, func(v float64) float64 { return v }
		if log {
			bend, back = math.Log, math.Exp
		}
		var t, v []float64
		for _, p := range rows {
			if f, known := at(p.Process); known {
				t, v = append(t, bend(p.Thickness)), append(v, bend(f))
			}
		}
		c, ok := learn.Through(t, v)
		if !ok {
			panic("presets: internal: a row whose thicknesses do not rise")
		}
		return job.Of(figure(back(c.At(bend(thickness))), step, x, y))
	}
	plainly := func(at func(job.Process) float64) float64 {
		return curve(func(p job.Process) (float64, bool) { v := at(p); return v, v != 0 }, 0.01, false).Value
	}
	opt := func(at func(job.Process) job.Opt) job.Opt {
		return curve(func(p job.Process) (float64, bool) { o := at(p); return o.Value, o.Known }, 0.01, false)
	}
	p := job.Process{
		Amps:         a.Process.Amps,
		Feed:         curve(func(p job.Process) (float64, bool) { return p.Feed, p.Feed > 0 }, 1, true).Value,
		Kerf:         plainly(func(p job.Process) float64 { return p.Kerf }),
		PierceHeight: plainly(func(p job.Process) float64 { return p.PierceHeight }),
		CutHeight:    plainly(func(p job.Process) float64 { return p.CutHeight }),
		PierceDelay:  opt(func(p job.Process) job.Opt { return p.PierceDelay }),
		Volts:        plainly(func(p job.Process) float64 { return p.Volts }),
		Pressure:     opt(func(p job.Process) job.Opt { return p.Pressure }),
		GasFlow:      opt(func(p job.Process) job.Opt { return p.GasFlow }),
		State:        job.Starting, // this thickness itself was never cut
	}
	if a.Process.Gas == b.Process.Gas {
		p.Gas = a.Process.Gas
	}
	p.Preset = plain.Of(Preset{Material: a.Material, Thickness: thickness, Process: p}.Name())
	p.Source = plain.Of(fmt.Sprintf("interpolated between the presets for %s and %s mm, on a curve through all of this current that stays between the two",
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
