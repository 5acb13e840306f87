// Package iso9013 holds the figures of ISO 9013, thermal cuts: how far from
// square a cut face may be in each range, how rough, and by how much a size
// may be off in each tolerance class. It says what a class promises, never
// what a machine does.
//
// The standard itself was not at hand. The formulas for u and Rz5 were read in
// a public helper for EN 1090-2 that lists them, the tables of limit
// deviations in a workshop's page that quotes the 2017 edition; rows for
// plate over 20 mm in class 2 are from the 2002 edition, from memory.
package iso9013

// Ranges of perpendicularity are numbered 1 (best) to 5, of roughness 1 to 4,
// tolerance classes 1 and 2.
const (
	Ranges      = 5
	RoughRanges = 4
	Classes     = 2
)

// PlasmaClass is the tolerance class that plasma usually reaches (table of
// typical classes, as the page gives it).
const PlasmaClass = 2

// Thinnest and Thickest bound the plate, mm, that the standard covers for
// plasma (scope of the 2017 edition).
const (
	Thinnest = 0.5
	Thickest = 150
)

// line is a straight line in the thickness.
type line struct{ constant, slope float64 }

var spreads = [Ranges]line{{0.05, 0.003}, {0.15, 0.007}, {0.4, 0.01}, {0.8, 0.02}, {1.2, 0.035}} // mm

var roughness = [RoughRanges]line{{10, 0.6}, {40, 0.8}, {70, 1.2}, {110, 1.8}} // um

// Spread returns u, the greatest distance in mm between two parallel lines at
// the wanted angle between which the face lies, for a range and a thickness
// (mm). ok is false outside ranges or scope.
func Spread(inRange int, thickness float64) (u float64, ok bool) {
	return at(spreads[:], inRange, thickness)
}

// Roughness returns Rz5, the mean height of the profile in um.
func Roughness(inRange int, thickness float64) (rz5 float64, ok bool) {
	return at(roughness[:], inRange, thickness)
}

func at(lines []line, n int, thickness float64) (float64, bool) {
	if n < 1 || n > len(lines) || !covered(thickness) {
		return 0, false
	}
	l := lines[n-1]
	return l.constant + l.slope*thickness, true
}

func covered(thickness float64) bool { return thickness >= Thinnest && thickness <= Thickest }

// sizes are the lower bounds of the columns, mm; the last ends at 8000.
var sizes = [...]float64{0, 3, 10, 35, 125, 315, 1000, 2000, 4000, 6000, 8000}

// row is one thickness of a table: plate over the one before it and up to to.
// Values fill the columns from first (counted from 0) on.
type row struct {
	to    float64 // mm
	first int
	pm    []float64 // mm, plus or minus
}

var deviations = [Classes][]row{
	{
		{1, 0, []float64{0.075, 0.1, 0.1, 0.2, 0.2, 0.3, 0.4, 0.65, 0.9, 1.6}},
		{3.15, 0, []float64{0.1, 0.15, 0.2, 0.25, 0.25, 0.35, 0.4, 0.65, 1.0, 1.75}},
		{6.3, 0, []float64{0.2, 0.2, 0.25, 0.25, 0.3, 0.4, 0.45, 0.7, 1.1, 1.9}},
		{10, 1, []float64{0.25, 0.3, 0.3, 0.35, 0.45, 0.55, 0.75, 1.25, 2.2}},
		{15, 1, []float64{0.3, 0.35, 0.4, 0.45, 0.55, 0.65, 0.85, 1.5, 2.5}},
		{20, 1, []float64{0.4, 0.4, 0.45, 0.55, 0.75, 0.85, 1.2, 1.9, 2.8}},
		{25, 1, []float64{0.45, 0.5, 0.6, 0.7, 0.9, 1.1, 1.6, 2.4, 3.25}},
		{32, 2, []float64{0.7, 0.7, 0.8, 1.0, 1.6, 2.25, 3.0, 4.0}},
		{50, 2, []float64{0.7, 0.7, 0.8, 1.0, 1.6, 2.5, 3.8, 5.0}},
		{100, 2, []float64{1.3, 1.3, 1.4, 1.7, 2.2, 3.1, 4.4, 5.6}},
		{150, 2, []float64{1.9, 2.0, 2.1, 2.3, 2.9, 3.8, 5.1, 6.3}},
	},
	{
		{1, 0, []float64{0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9}},
		{3.15, 0, []float64{0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1, 1.4, 1.4}},
		{6.3, 0, []float64{0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6}},
		{10, 1, []float64{1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2.0}},
		{15, 1, []float64{1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5}},
		{20, 1, []float64{1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5}},
		{50, 1, []float64{1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2}},
		{100, 2, []float64{2.5, 2.5, 2.6, 3.0, 3.7, 4.9}},
		{150, 2, []float64{3.2, 3.3, 3.4, 3.7, 4.4, 5.7}},
	},
}

// Deviation returns by how much, mm plus or minus, a size without a tolerance
// of its own may be off in a class. ok is false where the table is empty: a
// size too small for the plate, or too large.
func Deviation(class int, thickness, size float64) (mm float64, ok bool) {
	if class < 1 || class > Classes || !covered(thickness) || size <= 0 {
		return 0, false
	}
	for _, r := range deviations[class-1] {
		if thickness > r.to {
			continue
		}
		for k := range len(sizes) - 1 {
			if size < sizes[k] || size >= sizes[k+1] {
				continue
			}
			if i := k - r.first; i >= 0 && i < len(r.pm) {
				return r.pm[i], true
			}
		}
		return 0, false
	}
	return 0, false
}
