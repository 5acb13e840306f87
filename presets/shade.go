package presets

import "fmt"

// Shade is the filter shade for a current: what the law asks for at least,
// what the trade's guide suggests, and the darker of the two, which is what
// an operator is told.
type Shade struct {
	Say       int // the darker
	Legal     int // 29 CFR 1910.133(a)(5), plasma arc cutting, arc clearly seen
	Suggested int // ANSI Z49.1:2012 and AWS F2.2
	Source    string
}

// shadeRows: from a current in A, until the next row. A current on a bound
// belongs to the higher row. Legal minimum: 29 CFR 1910.133(a)(5). Suggested:
// ANSI Z49.1:2012 / AWS F2.2 guide; from 40 to 60 A one copy of it prints 6
// and another 8, and the stricter is taken.
var shadeRows = [...]struct {
	amps             float64
	legal, suggested int
}{
	{0, 8, 4}, {20, 8, 5}, {40, 8, 8}, {60, 8, 8}, {80, 8, 9}, {300, 9, 12}, {400, 10, 14},
}

// shadeEnd is where the tables end, A.
const shadeEnd = 800

const shadeSource = "29 CFR 1910.133(a)(5); ANSI Z49.1:2012 / AWS F2.2"

// ShadeFor returns the filter shade for a current in A over 0 and under 800;
// ok is false beyond the published tables.
func ShadeFor(amps float64) (s Shade, ok bool) {
	if !(amps > 0) || amps >= shadeEnd {
		return Shade{}, false
	}
	for _, r := range shadeRows {
		if amps >= r.amps {
			s = Shade{Say: max(r.legal, r.suggested), Legal: r.legal, Suggested: r.suggested, Source: shadeSource}
		}
	}
	return s, true
}

// String prints what an operator is told: "shade 9 or darker".
func (s Shade) String() string { return fmt.Sprintf("shade %d or darker", s.Say) }
