package presets

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Efficiencies that practice implies in mild steel: the least and the largest
// share of the arc's power that melts kerf metal, over all rows of
// process/ranges.toml put into the balance with middle kerf and voltage
// (derived; a test computes them again).
const (
	etaLeast = 0.10
	etaMost  = 0.57
)

// efficiencies returns what practice implies in a material: mild steel's
// span, times what practice makes of its feeds, times the heat to melt.
func efficiencies(m job.Material) span {
	metal, steel, times := metals()[m], metals()[job.MildSteel], factor(m)
	heat := metal.MeltHeat() / steel.MeltHeat()
	return span{etaLeast * times.From * heat, etaMost * times.To * heat}
}

// factor returns how feeds in a material compare with those in mild steel.
func factor(m job.Material) span {
	for _, f := range ranges().Factor {
		if f.Material == m {
			return span{f.From, f.To}
		}
	}
	return span{1, 1}
}

// Plausibility is a process held against physics and practice.
type Plausibility struct {
	Known   bool     // all that the balance needs is known
	Missing []string // what is not, as keys of the process

	Feed   float64 // mm/min, as the process has it
	Power  float64 // W, arc voltage x current
	Limit  float64 // mm/min that all of that power could melt: efficiency 1
	Needed float64 // efficiency that the feed needs: Feed / Limit

	From, To float64 // mm/min that practice spans; 0 if there is no row on that side

	material  job.Material
	thickness float64
	process   job.Process
}

// MeltLimit returns the feed in mm/min at which an arc of the given power
// could just melt the kerf, if all its power went there: v = V I / (t w rho
// (cp (Tm - 20 C) + L)). Thickness and kerf in mm, power in W. An unknown
// material or a value that is not over 0 gives 0.
func MeltLimit(m job.Material, thickness, kerf, watts float64) float64 {
	metal, ok := MetalOf(m)
	if !ok || !(thickness > 0) || !(kerf > 0) || !(watts > 0) {
		return 0
	}
	const secondsPerMinute = 60
	return watts / (thickness * kerf * metal.MeltHeat()) * secondsPerMinute
}

// Plausible holds a process for a thickness in mm against the energy balance
// and against what practice spans.
func Plausible(m job.Material, thickness float64, p job.Process) Plausibility {
	v := Plausibility{Feed: p.Feed, material: m, thickness: thickness, process: p}
	if _, ok := MetalOf(m); !ok {
		v.Missing = append(v.Missing, "material")
	}
	for _, need := range []struct {
		key   string
		value float64
	}{{"thickness", thickness}, {"amps", p.Amps}, {"volts", p.Volts}, {"kerf", p.Kerf}, {"feed", p.Feed}} {
		if !(need.value > 0) {
			v.Missing = append(v.Missing, need.key)
		}
	}
	if v.Known = len(v.Missing) == 0; !v.Known {
		return v
	}
	v.Power = p.Volts * p.Amps
	v.Limit = MeltLimit(m, thickness, p.Kerf, v.Power)
	v.Needed = p.Feed / v.Limit
	v.From, v.To = feedSpan(m, thickness, p.Amps)
	return v
}

// Faults says what is wrong with the process, in the units given: an Error if
// the arc cannot do it, a Warning if practice knows nothing like it. Figures
// of practice have no source and may warn, never refuse.
func (v Plausibility) Faults(in unit.System) fault.List {
	var l fault.List
	if !v.Known {
		return l
	}
	at := fault.Where{Entity: "process"}
	on := fmt.Sprintf("on %s of %s at %s A", in.Length(v.thickness), v.material, unit.Number(v.process.Amps, 1))
	balance := fmt.Sprintf("%s V x %s A melts a kerf of %s at up to %s if all its power goes there",
		unit.Number(v.process.Volts, 1), unit.Number(v.process.Amps, 1), in.Length(v.process.Kerf), in.Feed(v.Limit))
	switch {
	case v.Needed > 1:
		l.Errorf(at, "feed-impossible", "Lower the feed, or correct current, voltage, kerf or thickness.",
			"feed %s %s: %s (efficiency 1); the feed needs %.2f", in.Feed(v.Feed), on, balance, v.Needed)
	case v.To > 0 && v.Feed > v.To:
		l.Warnf(at, "feed-range", "Prove it with a test cut: too fast leaves the bottom uncut.",
			"feed %s %s: practice goes up to %s", in.Feed(v.Feed), on, in.Feed(v.To))
	case v.From > 0 && v.Feed < v.From:
		l.Warnf(at, "feed-range", "Prove it with a test cut: too slow widens the kerf and leaves heavy dross.",
			"feed %s %s: practice starts at %s", in.Feed(v.Feed), on, in.Feed(v.From))
	case !efficiencies(v.material).holds(v.Needed):
		eta := efficiencies(v.material)
		l.Warnf(at, "feed-range", "Prove it with a test cut.",
			"feed %s %s: %s; the feed needs an efficiency of %.2f, practice lies between %.2f and %.2f",
			in.Feed(v.Feed), on, balance, v.Needed, eta.From, eta.To)
	}
	v.figures(&l, at, in)
	return l
}

// figures warns of the other figures that practice knows nothing like.
func (v Plausibility) figures(l *fault.List, at fault.Where, in unit.System) {
	r, p := ranges(), v.process
	if below, above, ok := currents(p.Amps); ok {
		kerf := span{below.KerfFrom, above.KerfTo}
		if !kerf.holds(p.Kerf) {
			l.Warnf(at, "kerf-range", "Measure the kerf on a test cut.", "kerf %s at %s A: practice lies between %s and %s",
				in.Length(p.Kerf), unit.Number(p.Amps, 1), in.Length(kerf.From), in.Length(kerf.To))
		}
		volts := span{below.VoltsFrom, above.VoltsTo}
		if !volts.holds(p.Volts) {
			l.Warnf(at, "volts-range", "Read the arc voltage on a test cut.", "arc voltage %s V at %s A: practice lies between %s and %s V",
				unit.Number(p.Volts, 1), unit.Number(p.Amps, 1), unit.Number(volts.From, 0), unit.Number(volts.To, 0))
		}
		if v.thickness > above.PierceTo {
			l.Warnf(at, "pierce-thickness", "Use more current, or pre-drill the pierce points.",
				"%s is thicker than what is pierced at %s A: up to %s of mild steel",
				in.Length(v.thickness), unit.Number(p.Amps, 1), in.Length(above.PierceTo))
		}
	}
	if h := (span{r.Height.CutFrom, r.Height.CutTo}); p.CutHeight > 0 && !h.holds(p.CutHeight) {
		l.Warnf(at, "height-range", "Measure the torch's own cut height.", "cut height %s: practice lies between %s and %s",
			in.Length(p.CutHeight), in.Length(h.From), in.Length(h.To))
	}
	if p.CutHeight > 0 && p.PierceHeight > 0 && p.PierceHeight < p.CutHeight {
		l.Warnf(at, "pierce-height", "Pierce from at least the cut height: the spatter blows back into the nozzle.",
			"pierce height %s is under the cut height %s", in.Length(p.PierceHeight), in.Length(p.CutHeight))
	}
	if d, ok := delaySpan(v.thickness); ok && p.PierceDelay.Known && !d.holds(p.PierceDelay.Value) {
		l.Warnf(at, "delay-range", "Prove it with a test pierce.", "pierce delay %s s on %s: practice lies between %s and %s s",
			unit.Number(p.PierceDelay.Value, 2), in.Length(v.thickness), unit.Number(d.From, 2), unit.Number(d.To, 2))
	}
}

// currents returns the rows on both sides of a current, the same row twice if
// there is one for it; ok is false beyond the rows.
func currents(amps float64) (below, above current, ok bool) {
	rows := ranges().Current
	for i, c := range rows {
		if c.Amps == amps {
			return c, c, true
		}
		if i > 0 && rows[i-1].Amps < amps && amps < c.Amps {
			return rows[i-1], c, true
		}
	}
	return current{}, current{}, false
}

// feedSpan returns the feeds in mm/min that practice spans. Between two
// currents the slow end is that of the lower one, the fast end that of the
// higher one, so that the span is never narrower than practice.
func feedSpan(m job.Material, thickness, amps float64) (from, to float64) {
	below, above, ok := currents(amps)
	if !ok {
		return 0, 0
	}
	times := factor(m)
	if s, ok := steelFeed(thickness, below.Amps); ok {
		from = s.From * times.From
	}
	if s, ok := steelFeed(thickness, above.Amps); ok {
		to = s.To * times.To
	}
	return from, to
}

// steelFeed interpolates the rows for mild steel at one current, in the
// logarithms of thickness and feed, never beyond them.
func steelFeed(thickness, amps float64) (span, bool) {
	var last *span
	lastT := 0.0
	for _, f := range ranges().Feed {
		if f.Amps != amps {
			continue
		}
		s := span{f.From, f.To}
		switch {
		case f.Thickness == thickness:
			return s, true
		case last != nil && lastT < thickness && thickness < f.Thickness:
			return span{logLog(lastT, last.From, f.Thickness, s.From, thickness), logLog(lastT, last.To, f.Thickness, s.To, thickness)}, true
		}
		last, lastT = &s, f.Thickness
	}
	return span{}, false
}

// delaySpan returns the pierce delays in s that practice spans.
func delaySpan(thickness float64) (span, bool) {
	for _, d := range ranges().PierceDelay {
		if thickness <= d.ThicknessTo {
			return span{d.From, d.To}, true
		}
	}
	return span{}, false
}

// logLog interpolates y at x between two points on a straight line of the
// logarithms: a power law through both. All values over 0.
func logLog(x0, y0, x1, y1, x float64) float64 {
	t := math.Log(x/x0) / math.Log(x1/x0)
	return y0 * math.Pow(y1/y0, t)
}
