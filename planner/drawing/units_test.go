package drawing_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// Factors of $INSUNITS by definition: SI, and the international inch.
func TestHeaderUnits(t *testing.T) {
	for code, mm := range map[int]float64{1: 25.4, 2: 304.8, 4: 1, 5: 10, 6: 1000, 9: 0.0254, 10: 914.4, 13: 0.001, 14: 100, 21: 1200e3 / 3937} {
		d := newDXF()
		fmt.Fprintf(&d.header, "  9\n$INSUNITS\n 70\n%d\n", code)
		d.circle(geom.Pt(0, 0), 100/mm)
		l := mustRead(t, d.bytes(), drawing.Options{})
		if l.UnitFrom != drawing.UnitInFile || math.Abs(l.MMPerUnit-mm) > 1e-12*mm || math.Abs(l.Box.Width()-200) > 1e-6 {
			t.Errorf("code %d: %v, %g mm, width %g", code, l.UnitFrom, l.MMPerUnit, l.Box.Width())
		}
		if inch := code == 1 || code == 2 || code == 9 || code == 10 || code == 21; (l.Units == unit.Inch) != inch {
			t.Errorf("code %d: %v", code, l.Units)
		}
	}
}

func TestUnitsThatCannotBeRightAreDoubted(t *testing.T) {
	for _, c := range []struct {
		name   string
		header string
		size   float64
		units  unit.System
		code   string
		from   drawing.UnitSource
		guess  unit.System
		width  float64
	}{
		{"metres over mm", "  9\n$INSUNITS\n 70\n6\n", 224, unit.Unknown, "unit-doubt", drawing.UnitAsked, unit.MM, 224},
		{"metres that are metres", "  9\n$INSUNITS\n 70\n6\n", 0.224, unit.Unknown, "", drawing.UnitInFile, unit.Unknown, 224},
		{"inches over mm", "  9\n$INSUNITS\n 70\n1\n", 400, unit.Unknown, "unit-doubt", drawing.UnitAsked, unit.MM, 400},
		{"inches", "  9\n$INSUNITS\n 70\n1\n", 40, unit.Unknown, "", drawing.UnitInFile, unit.Unknown, 1016},
		{"mm over inches", "  9\n$INSUNITS\n 70\n4\n", 3.97, unit.Unknown, "unit-doubt", drawing.UnitAsked, unit.Inch, 3.97},
		{"mm", "  9\n$INSUNITS\n 70\n4\n", 180, unit.Unknown, "", drawing.UnitInFile, unit.Unknown, 180},
		{"the operator's word settles it", "  9\n$INSUNITS\n 70\n6\n", 224, unit.MM, "", drawing.UnitSaid, unit.Unknown, 224},
		{"unitless", "  9\n$INSUNITS\n 70\n0\n", 180, unit.Unknown, "unit-missing", drawing.UnitAsked, unit.Unknown, 180},
		{"nothing said", "", 180, unit.Unknown, "unit-missing", drawing.UnitAsked, unit.Unknown, 180},
		{"metric by $MEASUREMENT", "  9\n$MEASUREMENT\n 70\n1\n", 180, unit.Unknown, "unit-missing", drawing.UnitAsked, unit.MM, 180},
		{"feet and inches by $LUNITS", "  9\n$LUNITS\n 70\n4\n", 18, unit.Unknown, "unit-missing", drawing.UnitAsked, unit.Inch, 18},
		{"inches said", "", 10, unit.Inch, "", drawing.UnitSaid, unit.Unknown, 254},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDXF()
			d.header.WriteString(c.header)
			d.circle(geom.Pt(0, 0), c.size/2)
			l := mustRead(t, d.bytes(), drawing.Options{Units: c.units})
			if l.UnitFrom != c.from || l.Guess != c.guess || math.Abs(l.Box.Width()-c.width) > 1e-6 {
				t.Errorf("from %v, guess %v, width %g", l.UnitFrom, l.Guess, l.Box.Width())
			}
			if (l.UnitFrom == drawing.UnitAsked) != (l.Units == unit.Unknown) {
				t.Errorf("units %v, from %v", l.Units, l.UnitFrom)
			}
			have := codes(l.Report)
			if c.code == "" && have["unit-doubt"]+have["unit-missing"] > 0 || c.code != "" && have[c.code] != 1 {
				t.Errorf("report %v", l.Report)
			}
		})
	}
}
