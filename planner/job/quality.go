package job

import (
	"reflect"
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// HoleAction says what becomes of the holes of one band.
type HoleAction string

const (
	HoleCut    HoleAction = "cut"    // by the band's own feed and hold
	HoleDrill  HoleAction = "drill"  // not cut, listed for the drill
	HolePop    HoleAction = "pop"    // two steps: the centre marked by a pulse of the arc, then drilled
	HoleRefuse HoleAction = "refuse" // an error until the operator decides
)

// HoleActions lists every HoleAction.
func HoleActions() []HoleAction { return []HoleAction{HoleCut, HoleDrill, HolePop, HoleRefuse} }

// LeadForm says how a hole is entered from its middle.
type LeadForm string

const (
	// LeadRadial goes straight from the middle to the edge.
	LeadRadial LeadForm = "radial"
	// LeadSpiral goes from the middle in half a turn and meets the edge
	// along it.
	LeadSpiral LeadForm = "spiral"
)

// LeadForms lists every LeadForm.
func LeadForms() []LeadForm { return []LeadForm{LeadRadial, LeadSpiral} }

// HoleRule is one band of holes and how it is cut. The first band that fits
// decides; what none fits goes by the rules for every hole. Slots are banded
// by their width, unless the band is for round holes only, but never drilled.
type HoleRule struct {
	Material Material   // "" is any
	From     float64    // mm: plate this thick or thicker; 0 is any
	UpTo     float64    // x thickness: holes no wider; 0 is any
	Under    float64    // mm: holes narrower; 0 is any
	Round    bool       // round holes only; else slots too, by their width
	Action   HoleAction // "" is HoleCut
	Feed     float64    // part of the feed; 0 is 1
	Overburn Opt        // mm past the start; unknown is that of the rules
	Hold     bool       // height held for the whole cut
	Lead     LeadForm   // "" is radial where height is held, spiral elsewhere
	Against  bool       // runs the other way round than inside features do
	Note     plain.Text // why, as the operator puts it
}

// Fits reports whether the band holds a hole of the diameter (mm) in plate of
// the thickness (mm).
func (h HoleRule) Fits(m Material, thickness, diameter float64) bool {
	return (h.Material == "" || h.Material == m) && (h.From == 0 || thickness >= h.From-geom.Same) &&
		(h.UpTo == 0 || diameter <= h.UpTo*thickness+geom.Same) && (h.Under == 0 || diameter < h.Under)
}

// TaperPoint is one measured row of a preset's table of taper: holes of the
// ratio are drawn larger by Add so that they come out right.
type TaperPoint struct {
	Ratio float64 // diameter over thickness
	Add   float64 // mm to the diameter of the path; under 0 makes it smaller
}

// TaperAdd returns what a hole's diameter is changed by, mm: along straight
// lines between the rows, which rise in Ratio, and level beyond them.
func (p Process) TaperAdd(ratio float64) float64 {
	t := p.Taper
	switch n := len(t); {
	case n == 0:
		return 0
	case ratio <= t[0].Ratio:
		return t[0].Add
	case ratio >= t[n-1].Ratio:
		return t[n-1].Add
	}
	i := 1
	for t[i].Ratio < ratio {
		i++
	}
	a, b := t[i-1], t[i]
	if b.Ratio == a.Ratio {
		return b.Add
	}
	return a.Add + (b.Add-a.Add)*(ratio-a.Ratio)/(b.Ratio-a.Ratio)
}

// Equal reports whether two processes say the same.
func (p Process) Equal(q Process) bool {
	t, u := p.Taper, q.Taper
	p.Taper, q.Taper = nil, nil
	return slices.Equal(t, u) && reflect.DeepEqual(p, q)
}
