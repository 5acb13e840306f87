package presets

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Query asks for presets; a zero value asks for any.
type Query struct {
	Material  job.Material
	Thickness float64 // mm
	Amps      float64 // A
	Retired   bool    // those that are retired too
}

// Presets returns every preset, by material, current and thickness, those that
// are retired too.
func (l *Library) Presets() []Preset { return slices.Clone(l.presets) }

// Search returns the presets that a query asks for. For a thickness that no
// preset of a material and current holds at, it returns the two neighbours
// that a figure would be taken between; beyond the row, the nearest one.
func (l *Library) Search(q Query) []Preset {
	var out []Preset
	type rowOf struct {
		m job.Material
		a float64
	}
	var order []rowOf
	rows := map[rowOf][]Preset{}
	for _, p := range l.presets {
		if q.Material != "" && p.Material != q.Material || q.Amps != 0 && p.Process.Amps != q.Amps || p.Retired && !q.Retired {
			continue
		}
		k := rowOf{p.Material, p.Process.Amps}
		if rows[k] == nil {
			order = append(order, k)
		}
		rows[k] = append(rows[k], p)
	}
	for _, k := range order {
		row := rows[k]
		if q.Thickness == 0 {
			out = append(out, row...)
			continue
		}
		holds := slices.DeleteFunc(slices.Clone(row), func(p Preset) bool { return !p.Holds(q.Thickness) })
		if len(holds) > 0 {
			out = append(out, holds...)
			continue
		}
		i, _ := slices.BinarySearchFunc(row, q.Thickness, func(p Preset, t float64) int { return cmp.Compare(p.Thickness, t) })
		out = append(out, row[max(0, i-1):min(i+1, len(row))]...)
	}
	return out
}

// Difference is one figure in which two presets differ, as a person reads it.
type Difference struct{ Name, A, B string }

// Compare lists in what two presets differ, in the units given.
func Compare(a, b Preset, in unit.System) []Difference {
	var out []Difference
	add := func(name, x, y string) {
		if x != y {
			out = append(out, Difference{name, x, y})
		}
	}
	x, y := a.Lines(in), b.Lines(in)
	for i := range x {
		add(x[i].Name, x[i].Value, y[i].Value)
	}
	return out
}

// Line is one figure of a preset with its name.
type Line struct{ Name, Value string }

// Lines are all figures of a preset, in a fixed order; "not said" where nobody
// has.
func (p Preset) Lines(in unit.System) []Line {
	pr := p.Process
	const not = "not said"
	number := func(v float64, of string, show func(float64) string) string {
		if v == 0 {
			return not
		}
		s := show(v)
		if f, ok := p.Figure(of); ok {
			s += " +- " + show(f.Within)
		}
		return s
	}
	opt := func(v job.Opt, of, unitName string, decimals int) string {
		if !v.Known {
			return not
		}
		s := unit.Number(v.Value, decimals) + " " + unitName
		if f, ok := p.Figure(of); ok {
			s += " +- " + unit.Number(f.Within, decimals) + " " + unitName
		}
		return s
	}
	text := func(s string) string {
		if s == "" {
			return not
		}
		return s
	}
	holds := "its own thickness"
	if p.From > 0 && p.To > 0 {
		holds = in.Length(p.From) + " to " + in.Length(p.To)
	}
	state := string(pr.State)
	if p.Retired {
		state += ", retired"
	}
	taper := not
	if len(pr.Taper) > 0 {
		taper = ""
		for i, t := range pr.Taper {
			if i > 0 {
				taper += ", "
			}
			taper += fmt.Sprintf("%s x: %s", unit.Number(t.Ratio, 2), in.Length(t.Add))
		}
	}
	volts := func(v float64) string { return unit.Number(v, 1) + " V" }
	return []Line{
		{"material", string(p.Material)}, {"thickness", in.Length(p.Thickness)}, {"holds over", holds},
		{"current", unit.Number(pr.Amps, 1) + " A"}, {"feed", number(pr.Feed, "feed", in.Feed)}, {"kerf", number(pr.Kerf, "kerf", in.Length)},
		{"pierce height", number(pr.PierceHeight, "pierce_height", in.Length)}, {"pierce delay", opt(pr.PierceDelay, "pierce_delay", "s", 2)},
		{"cut height", number(pr.CutHeight, "cut_height", in.Length)}, {"arc voltage", number(pr.Volts, "volts", volts)},
		{"gas", text(pr.Gas.String())}, {"pressure", opt(pr.Pressure, "pressure", "bar", 2)}, {"gas flow", opt(pr.GasFlow, "gas_flow", "L/min", 1)},
		{"hole sizes", taper}, {"trust", text(state)}, {"from", text(pr.Source.String())},
		{"by", text(p.By.String())}, {"at", text(p.At)}, {"notes", text(p.Notes.String())},
	}
}

// Same reports whether two presets say the same, wherever they lie.
func (p Preset) Same(q Preset) bool {
	p.Own, q.Own, p.File, q.File = false, false, "", ""
	return p.Process.Equal(q.Process) && reflect.DeepEqual(p, q)
}
