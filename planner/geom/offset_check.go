package geom

// check proves the rings against the source, and returns where they fail:
//
//	(1) every corner is r from the source (every middle is: cut saw to it)
//	(2) no ring crosses itself or another
//	(3) just right of each ring lies the free side of the rings, just left the
//	    region, and it lies on the free side of the source
//
// That no ring is missing is stitch's part: every free edge is in one.
func (o *offsetter) check() (at Point, ok bool) {
	const tol = 2 * Same
	for _, p := range o.paths {
		for _, v := range p.V {
			if d := o.clearance(v.P, o.r-tol, o.r+tol); d < o.r-tol || d >= o.r+tol {
				return v.P, false
			}
		}
	}
	// Without contacts and bridges rings are whole runs of pieces, of which
	// contacts saw each pair.
	if o.met || o.bridged {
		if at, ok := crossing(o.paths); !ok {
			return at, false
		}
	}
	for _, p := range o.paths {
		k, most := 0, -1.0
		for j := range p.V {
			if c := p.Seg(j); c.A.Dist(c.B) > most {
				k, most = j, c.A.Dist(c.B)
			}
		}
		s := p.Seg(k)
		m, n := s.Mid(), s.Tangent(0.5).Left().Mul(Flat)
		left, right := 0, 0
		for _, q := range o.paths {
			left += q.Winding(m.Add(n))
			right += q.Winding(m.Sub(n))
		}
		want := 0
		if o.outwards {
			want = 1
		}
		if left != want || right != want-1 || o.r > 2*tol && !o.onFreeSide(m) {
			return m, false
		}
	}
	return at, true
}

// crossing looks for a place where closed paths cross. Touching is none.
func crossing(paths []Path) (at Point, ok bool) {
	n := 0
	for _, p := range paths {
		n += len(p.V)
	}
	forms, boxes := make([]form, 0, n), make([]Box, 0, n)
	for _, p := range paths {
		for i := range p.V {
			f := newForm(p.Seg(i))
			forms, boxes = append(forms, f), append(boxes, f.box())
		}
	}
	pair := func(i, j int) bool {
		f, g := &forms[i], &forms[j]
		m := meet(f, g, touching)
		for _, c := range m.At[:m.N] {
			if c.Kind == Crossing && f.inner(c.P) && g.inner(c.P) {
				at = c.P
				return false
			}
		}
		return true
	}
	if n > few {
		ok = NewIndex(boxes).SelfPairs(0, pair)
		return at, ok
	}
	for i := range boxes {
		for j := i + 1; j < n; j++ {
			if boxes[i].Overlaps(boxes[j]) && !pair(i, j) {
				return at, false
			}
		}
	}
	return at, true
}
