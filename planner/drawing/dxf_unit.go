package drawing

import (
	"fmt"

	"example.org/kerfwright/planner/unit"
)

// insUnit is one value of $INSUNITS.
type insUnit struct {
	name   string
	mm     float64
	system unit.System
}

// insUnits lists $INSUNITS 0 to 24 (DXF reference). Factors are those of the
// SI and of the international yard of 1959; US survey feet are 1200/3937 m.
var insUnits = [...]insUnit{
	{"unitless", 0, unit.Unknown},
	{"inches", unit.MMPerInch, unit.Inch},
	{"feet", 12 * unit.MMPerInch, unit.Inch},
	{"miles", 63360 * unit.MMPerInch, unit.Inch},
	{"millimetres", 1, unit.MM},
	{"centimetres", 10, unit.MM},
	{"metres", 1e3, unit.MM},
	{"kilometres", 1e6, unit.MM},
	{"microinches", unit.MMPerInch / 1e6, unit.Inch},
	{"mils", unit.MMPerInch / 1e3, unit.Inch},
	{"yards", 36 * unit.MMPerInch, unit.Inch},
	{"angstroms", 1e-7, unit.MM},
	{"nanometres", 1e-6, unit.MM},
	{"microns", 1e-3, unit.MM},
	{"decimetres", 100, unit.MM},
	{"dekametres", 1e4, unit.MM},
	{"hectometres", 1e5, unit.MM},
	{"gigametres", 1e12, unit.MM},
	{"astronomical units", 1.495978707e14, unit.MM},
	{"light years", 9.4607304725808e18, unit.MM},
	{"parsecs", 3.0856775814913673e19, unit.MM},
	{"US survey feet", 1200e3 / 3937, unit.Inch},
	{"US survey inches", 100e3 / 3937, unit.Inch},
	{"US survey yards", 3600e3 / 3937, unit.Inch},
	{"US survey miles", 6336000e3 / 3937, unit.Inch},
}

// fileUnit works out what the header says. insunits and the others are -1 if
// the header lacks them.
func fileUnit(insunits, measurement, lunits int) FileUnit {
	u := FileUnit{}
	if insunits > 0 && insunits < len(insUnits) {
		k := insUnits[insunits]
		u.MM, u.System, u.Name = k.mm, k.system, k.name
		u.Source = fmt.Sprintf("$INSUNITS %d", insunits)
		return u
	}
	switch {
	case lunits == 3 || lunits == 4: // engineering and architectural: feet and inches
		u.Hint, u.Why = unit.Inch, fmt.Sprintf("$LUNITS %d prints feet and inches", lunits)
	case measurement == 1:
		u.Hint, u.Why = unit.MM, "$MEASUREMENT 1 is metric"
	case measurement == 0:
		u.Hint, u.Why = unit.Inch, "$MEASUREMENT 0 is imperial"
	}
	return u
}
