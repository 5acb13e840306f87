package drawing

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// tiny is the length under which a piece has no shape of its own: it is
// merged with its neighbours. It is no more than the tolerance of curves.
func (h *healer) tiny() float64 { return min(h.fit.tol, h.gap) }

// collapse merges vertices that are nearer than tiny: of a row of tiny pieces
// every vertex within tiny of the last one kept goes; a tiny piece between two
// longer ones becomes its middle.
func (h *healer) collapse(s *strand) {
	limit := h.tiny()
	least := 2
	if s.closed {
		least = 3
		for _, v := range s.v {
			if v.Bulge != 0 {
				least = 2
			}
		}
	}
	p := s.path()
	n := p.NumSegs()
	any := false
	for i := range n {
		g := p.Seg(i)
		any = any || g.A.Dist(g.B) < limit && g.Length() < 2*limit
	}
	if !any {
		return
	}
	short := func(i int) bool {
		g := p.Seg(((i % n) + n) % n)
		return g.A.Dist(g.B) < limit && g.Length() < 2*limit
	}
	out := make([]geom.Vertex, 0, len(s.v))
	left := len(s.v) // vertices that there will be
	for i := range s.v {
		v := s.v[i]
		if k := len(out); k > 0 && left > least && v.P.Dist(out[k-1].P) < limit && short(i-1) && (s.closed || i < len(s.v)-1 || k > 1) {
			last := &out[k-1]
			size := v.P.Dist(last.P)
			if !short(i) && (i < 2 || !short(i-2)) && (s.closed || i < len(s.v)-1 && k > 1) {
				last.P = last.P.Lerp(v.P, 0.5)
			} else if !s.closed && i == len(s.v)-1 {
				last.P = v.P
			}
			last.Bulge, last.Src = v.Bulge, v.Src
			left--
			h.rep.add("tiny", size, last.P, func() finding {
				return finding{p: last.P, entity: h.entity(v.Src), what: "a piece of " + length(size) + " merged with its neighbours"}
			})
			continue
		}
		out = append(out, v)
	}
	if s.closed && left > least && len(out) > 1 && short(n-1) && out[len(out)-1].P.Dist(out[0].P) < limit {
		last := len(out) - 1
		size := out[last].P.Dist(out[0].P)
		h.rep.add("tiny", size, out[0].P, func() finding {
			return finding{p: out[0].P, entity: h.entity(out[last].Src), what: "a piece of " + length(size) + " merged with its neighbours"}
		})
		out = out[:last]
	}
	s.v = out
}

// straighten merges lines that run on in one direction: every vertex left out
// lies within geom.Join of the line that stays. The directions that pass all of
// them form a wedge that narrows as the line grows.
func (h *healer) straighten(s *strand) {
	n := len(s.v)
	if n < 3 {
		return
	}
	p := s.path()
	total := p.NumSegs()
	if !straightens(p) {
		return
	}
	out := make([]geom.Vertex, 0, n)
	for k := 0; k < total; {
		out = append(out, s.v[k])
		if p.Seg(k).IsArc() {
			k++
			continue
		}
		a := s.v[k].P
		dir := p.Seg(k).B.Sub(a)
		lo, hi := -math.Pi/2, math.Pi/2
		end := k + 1
		for ; end < total && !p.Seg(end).IsArc(); end++ {
			// Taking in segment `end` leaves out its first vertex.
			m, q := p.Seg(end).A.Sub(a), p.Seg(end).B.Sub(a)
			if p.Seg(end).B.Sub(p.Seg(end).A).Dot(dir) <= 0 {
				break
			}
			mid := math.Atan2(dir.Cross(m), dir.Dot(m))
			half := math.Pi / 2
			if l := m.Len(); l > geom.Join {
				half = math.Asin(geom.Join / l)
			}
			lo, hi = max(lo, mid-half), min(hi, mid+half)
			if t := math.Atan2(dir.Cross(q), dir.Dot(q)); t < lo || t > hi {
				break
			}
		}
		out[len(out)-1].Bulge = 0
		k = end
	}
	if !s.closed {
		out = append(out, s.v[n-1])
	} else if len(out) < 3 && !bent(out) {
		return
	}
	s.v = out
}

// straightens reports whether any two lines in a row may be one.
func straightens(p geom.Path) bool {
	n := p.NumSegs()
	for k := range n - 1 {
		if p.V[k].Bulge != 0 || p.V[k+1].Bulge != 0 {
			continue
		}
		a, b := p.Seg(k), p.Seg(k+1)
		u, v := a.B.Sub(a.A), b.B.Sub(b.A)
		// The corner's height over the line that would stay.
		if u.Dot(v) > 0 && math.Abs(u.Cross(v)) <= geom.Join*(math.Abs(u.X+v.X)+math.Abs(u.Y+v.Y)) {
			return true
		}
	}
	return false
}

func bent(v []geom.Vertex) bool {
	for i := range v {
		if v[i].Bulge != 0 {
			return true
		}
	}
	return false
}

// mergeArcs merges arcs that follow one another on one circle, up to half a
// turn: both middles and the joint lie within a tenth of geom.Join of the arc
// that stays.
func (h *healer) mergeArcs(s *strand) {
	n := len(s.v)
	if n < 3 {
		return
	}
	p := s.path()
	total := p.NumSegs()
	some := false
	for k := range total - 1 {
		some = some || s.v[k].Bulge*s.v[k+1].Bulge > 0
	}
	if !some {
		return
	}
	out := make([]geom.Vertex, 0, n)
	var last geom.Seg // of out's last vertex
	for k := range total {
		g := p.Seg(k)
		if len(out) > 0 && last.IsArc() && g.IsArc() && last.Bulge*g.Bulge > 0 && total > 2 {
			sweep := last.Sweep() + g.Sweep()
			m := geom.Seg{A: last.A, B: g.B, Bulge: geom.BulgeOf(sweep)}
			if math.Abs(sweep) <= math.Pi+geom.Angle && oneCircle(m, last.Mid(), g.A, g.Mid()) {
				m.Bulge = max(-1, min(1, m.Bulge))
				out[len(out)-1].Bulge = m.Bulge
				last = m
				continue
			}
		}
		out = append(out, s.v[k])
		last = g
	}
	if !s.closed {
		out = append(out, s.v[n-1])
	}
	if len(out) >= 2 {
		s.v = out
	}
}

func oneCircle(m geom.Seg, pts ...geom.Point) bool {
	g := newGauge(m)
	for _, p := range pts {
		if g.dist(p) > geom.Join/10 {
			return false
		}
	}
	return true
}
