package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/unit"
)

// Sizes between which a drawing for a plasma table is believed, mm along its
// longer side. The longest plates on such tables are 6 m or 20 ft, the
// least parts a few mm; common practice, no source.
const (
	largestPart  = 6_500.0
	smallestPart = 5.0
	likelyMost   = 6_000.0 // of the alternative that a doubted unit is given
	likelyLeast  = 20.0
)

// scaling settles the mm in one drawing unit, who said so, and what to say.
func (r *Raw) scaling(o Options, size float64) (l Loops, scale float64, faults fault.List) {
	at := fault.Where{File: r.Name.String()}
	extra := o.Scale
	if extra == 0 {
		extra = 1
	}
	l.MMPerUnit, l.UnitName = 1, "mm"
	switch {
	case o.Units != unit.Unknown:
		l.Units, l.UnitFrom = o.Units, UnitSaid
		l.MMPerUnit, l.UnitName = o.Units.Scale(), o.Units.String()
	case r.Unit.MM > 0:
		l.Units, l.UnitFrom = r.Unit.System, UnitInFile
		l.MMPerUnit, l.UnitName = r.Unit.MM, r.Unit.Name
		if o.Scale != 0 { // the operator measured something: that settles the size
			break
		}
		if alt := alternative(r.Unit, size); r.Unit.Doubt == "" && (alt != unit.Unknown || size*r.Unit.MM > largestPart) {
			l.Units, l.UnitFrom, l.Guess = unit.Unknown, UnitAsked, alt
			l.MMPerUnit, l.UnitName = 1, "mm"
			faults.Warnf(at, "unit-doubt", "Say whether the drawing is in mm or inch",
				"%s says %s, which makes the drawing %s across%s; until you say, its numbers are taken as mm",
				r.Unit.Source, r.Unit.Name, across(size*r.Unit.MM), inWords(alt, size))
		} else if r.Unit.Doubt != "" {
			faults.Warnf(at, "unit-doubt", "Check one length that you know, and give its true value if it differs",
				"%s; as it is, the drawing is %s across", r.Unit.Doubt, across(size*r.Unit.MM))
		}
	default:
		l.Units, l.UnitFrom = unit.Unknown, UnitAsked
		l.Guess = r.Unit.Hint
		why := ""
		if r.Unit.Why != "" {
			why = " (" + r.Unit.Why + ")"
		}
		if o.Scale != 0 {
			break
		}
		faults.Warnf(at, "unit-missing", "Say whether the drawing is in mm or inch",
			"the file does not say its unit%s: in mm it is %s across, in inches %s; until you say, its numbers are taken as mm",
			why, across(size), across(size*unit.MMPerInch))
	}
	scale = l.MMPerUnit * extra
	return l, scale, faults
}

// alternative returns the unit that makes sense where the file's own does
// not, Unknown if its own does or none does.
func alternative(u FileUnit, size float64) unit.System {
	mm := size * u.MM
	if size == 0 || mm >= smallestPart && mm <= largestPart {
		return unit.Unknown
	}
	likely := func(v float64) bool { return v >= likelyLeast && v <= likelyMost }
	switch {
	case u.MM != 1 && likely(size):
		return unit.MM
	case u.MM != unit.MMPerInch && likely(size*unit.MMPerInch):
		return unit.Inch
	}
	return unit.Unknown
}

func inWords(alt unit.System, size float64) string {
	if alt == unit.Unknown {
		return ""
	}
	return fmt.Sprintf("; in %s it would be %s", alt, across(alt.ToMM(size)))
}

func across(mm float64) string {
	switch {
	case math.Abs(mm) >= 1e6:
		return unit.Number(mm/1e6, 2) + " km"
	case math.Abs(mm) >= 1e4:
		return unit.Number(mm/1e3, 1) + " m"
	}
	return unit.Number(mm, 3) + " mm"
}
