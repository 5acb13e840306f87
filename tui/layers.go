package tui

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// layer is one kind of thing that the plate view can show or leave out.
type layer uint8

const (
	layOrder layer = iota
	layLeads
	layHolds
	layRapids
	layHeat
	layLoose
	layDry
	layShared
	layers
)

var layerNames = [layers]string{"order", "leads", "holds", "rapids", "heat", "loose", "dry run", "shared"}

// layerSet is which layers are left out (those that are shown at first) or
// laid on (those that are not): the zero value is the view as it begins.
type layerSet uint8

// shown reports whether a layer is seen.
func (s layerSet) shown(l layer) bool { return (s&(1<<l) != 0) != (l < layHeat) }

func (s *layerSet) toggle(l layer) { *s ^= 1 << l }

// markLayer is the layer that a mark belongs to; ok is false for what is
// always seen.
func markLayer(k mark) (l layer, ok bool) {
	switch k {
	case markRapid:
		return layRapids, true
	case markHold:
		return layHolds, true
	case markLead:
		return layLeads, true
	case markLoose:
		return layLoose, true
	case markTrace:
		return layDry, true
	case markShared:
		return layShared, true
	}
	return 0, false
}

// toggleLayer shows a layer or takes it off, and reports whether there is
// anything on it.
func (m *Model) toggleLayer(l layer) bool {
	s := m.scene()
	if s == nil || !s.planned {
		return false
	}
	switch l {
	case layOrder, layHeat:
	default:
		if !slices.ContainsFunc(s.strokes, func(st stroke) bool { k, ok := markLayer(st.mark); return ok && k == l }) {
			m.say(inkPlain, "there is nothing on the layer "+layerNames[l]+".")
			return true
		}
	}
	m.plate.layers.toggle(l)
	return true
}

// layerLine names the layers with their keys; those that are shown stand in
// brackets.
func (m *Model) layerLine() line {
	l := text(" ")
	for k := range layers {
		n := string(rune('1' + k))
		if m.plate.layers.shown(k) {
			l = l.add(inkHead, "["+n+"]").add(inkPlain, layerNames[k]+" ")
		} else {
			l = l.add(inkFaint, " "+n+" "+layerNames[k]+" ")
		}
	}
	return l
}

// heat lays shades over the cells that the arc passes: four steps up to the
// hottest. It returns the hottest, s of arc in a cm2.
func (r *raster) heat(s *scene, t *theme, over map[int]tagCell) float64 {
	if s.prog == nil {
		return 0
	}
	h := s.prog.Heat(r.view(), r.w, r.h)
	most := slices.Max(h)
	if most <= 0 {
		return 0
	}
	for i, v := range h {
		if v <= 0 {
			continue
		}
		step := min(3, int(4*v/most))
		x, y := i%r.w, r.h-1-i/r.w // rows count from below
		over[y*r.w+x] = tagCell{t.shades[step], inkWarn}
	}
	cell := float64(2) / r.k / 10 * (float64(4) / r.k / 10) // cm2
	return most / cell
}

// fill puts a thin pattern of dots inside a closed path: what is loose. The
// even-odd rule, scan line by scan line.
func (r *raster) fill(p geom.Path, k mark) {
	if len(p.V) < 2 || !p.Box().Overlaps(r.view()) {
		return
	}
	pts := p.Flatten(0.3 / r.k)
	*r.lines += len(pts)
	n := len(pts)
	xs, ys := make([]float64, n), make([]float64, n)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, q := range pts {
		xs[i], ys[i] = r.dot(q)
		lo, hi = min(lo, ys[i]), max(hi, ys[i])
	}
	for y := max(0, int(math.Ceil(lo/2))*2); float64(y) <= min(hi, float64(4*r.h-1)); y += 2 {
		var cross []float64
		at := float64(y) + 0.5
		for i := range n {
			j := (i + 1) % n
			if (ys[i] <= at) != (ys[j] <= at) {
				cross = append(cross, xs[i]+(at-ys[i])/(ys[j]-ys[i])*(xs[j]-xs[i]))
			}
		}
		slices.Sort(cross)
		for i := 0; i+1 < len(cross); i += 2 {
			for x := max(0, int(math.Ceil(cross[i]))); float64(x) < min(cross[i+1], float64(2*r.w)); x++ {
				if (x+y)%4 == 0 {
					r.plot(x, y, k, dirFlat)
				}
			}
		}
	}
}

// placeText tells a place on the plate.
func placeText(p geom.Point, u unit.System) string {
	return "X " + u.Length(p.X) + "  Y " + u.Length(p.Y)
}
