package geom

// Within reports whether any segment of the index comes nearer than d (mm) to
// s, which sweeps at most half a circle.
func (x *SegIndex) Within(s Seg, d float64) bool {
	f := newForm(s)
	near := false
	x.tree.Search(f.box().Grow(d), func(i int) bool {
		e, _, _ := segDist(&f, &x.forms[i], true)
		near = e < d
		return !near
	})
	return near
}
