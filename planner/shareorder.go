package planner

import (
	"cmp"
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// block looks for the order in which parts that may share edges are cut.
type block struct {
	shop  shop
	all   []*sharer
	tried map[string]attempt
}

// told says of a part that is cut over an open kerf why.
type told struct {
	part  int
	other int
	why   string
}

// result is one order and what comes of it.
type result struct {
	chains [][]*setup // of each part; nil: whole
	after  [][]int    // parts cut before it, whose kerf it meets
	edges  int
	saved  float64
	more   int // chains beyond one for each part
	bad    []told
}

// solve walks over the parts by several sweeps and takes the best: the fewest
// edges cut twice, then the fewest pierces.
func (b *block) solve(p *Program, out *sharing, faults *fault.List) {
	var best *result
	for _, sweep := range sweeps {
		r := b.sweep(sweep)
		if best == nil || len(r.bad) < len(best.bad) || len(r.bad) == len(best.bad) && r.more < best.more {
			best = &r
		}
		if len(best.bad) == 0 && best.more == 0 {
			break
		}
	}
	for i, c := range b.all {
		if best.chains[i] != nil {
			out.chains[c.placed] = best.chains[i]
			for _, x := range c.sides {
				if slices.Contains(best.after[i], x.other) {
					e := c.st.spec.Path.Seg(x.seg)
					l := e.Length()
					out.paths = append(out.paths, geom.FromSegs([]geom.Seg{e.Part(x.from/l, x.to/l)}, false))
				}
			}
		}
		for _, o := range best.after[i] {
			out.after[c.placed] = append(out.after[c.placed], b.all[o].placed)
		}
	}
	out.edges, out.saved, out.more = best.edges, best.saved, best.more
	label := func(i int) string { return p.Placed[b.all[i].placed].Label }
	for _, t := range best.bad {
		at := b.all[t.part].st.spec.Path.Box().Center()
		faults.Warnf(fault.Where{Feature: label(t.part), Frame: fault.OnStock, X: at.X, Y: at.Y}, "not-shared",
			"Lay the two further apart, or change which edges lie together.", "the edge beside %s is cut twice, over an open kerf: %s", label(t.other), t.why)
	}
}

// sweeps are the directions in which the parts are gone through: the plate's
// top row first, since outlines run clockwise and begin above the open kerf.
var sweeps = []func(a, b geom.Box) int{
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(b.Min.Y, a.Min.Y), cmp.Compare(a.Min.X, b.Min.X)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(a.Min.Y, b.Min.Y), cmp.Compare(b.Min.X, a.Min.X)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(b.Min.Y, a.Min.Y), cmp.Compare(b.Min.X, a.Min.X)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(a.Min.Y, b.Min.Y), cmp.Compare(a.Min.X, b.Min.X)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(a.Min.X, b.Min.X), cmp.Compare(a.Min.Y, b.Min.Y)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(b.Min.X, a.Min.X), cmp.Compare(b.Min.Y, a.Min.Y)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(a.Min.X, b.Min.X), cmp.Compare(b.Min.Y, a.Min.Y)) },
	func(a, b geom.Box) int { return cmp.Or(cmp.Compare(b.Min.X, a.Min.X), cmp.Compare(a.Min.Y, b.Min.Y)) },
}

// sweep cuts parts one after the other: of those beside an open kerf the first
// that one chain finishes, else one that lies beside none, else one that more
// chains finish, else one whole. The first of each kind is the first of the
// sweep.
func (b *block) sweep(by func(x, y geom.Box) int) result {
	r := result{chains: make([][]*setup, len(b.all)), after: make([][]int, len(b.all))}
	var left []int
	for i, c := range b.all {
		if len(c.sides) > 0 {
			left = append(left, i)
		}
	}
	slices.SortStableFunc(left, func(x, y int) int { return by(b.all[x].st.spec.Path.Box(), b.all[y].st.spec.Path.Box()) })
	made := make([]bool, len(b.all))
	for len(left) > 0 {
		pick, kind := 0, 4
		var how attempt
		for at, i := range left {
			var sides []common
			for _, x := range b.all[i].sides {
				if made[x.other] {
					sides = append(sides, x)
				}
			}
			a, now := attempt{}, 1
			if len(sides) > 0 {
				a = b.try(i, sides)
				switch {
				case a.no != "":
					now = 3
				case len(a.chains) > 1:
					now = 2
				default:
					now = 0
				}
			}
			if now < kind {
				pick, kind, how = at, now, a
			}
			if kind == 0 {
				break
			}
		}
		i := left[pick]
		left = slices.Delete(left, pick, pick+1)
		made[i] = true
		for _, x := range b.all[i].sides {
			if !made[x.other] || x.other == i {
				continue
			}
			r.after[i] = append(r.after[i], x.other)
			if kind == 3 {
				r.bad = append(r.bad, told{i, x.other, how.no})
			}
		}
		if kind == 0 || kind == 2 {
			r.chains[i] = how.chains
			r.edges, r.saved, r.more = r.edges+how.edges, r.saved+how.saved, r.more+len(how.chains)-1
		}
	}
	return r
}

// try works out the chains of a part beside the open kerfs of some others.
func (b *block) try(i int, sides []common) attempt {
	key := fmt.Sprint(i)
	var kerfs []geom.Path
	for _, x := range sides {
		key += fmt.Sprint(" ", x.other)
		kerfs = append(kerfs, b.all[x.other].st.spec.Path)
	}
	a, ok := b.tried[key]
	if !ok {
		a = b.shop.chainsOf(b.all[i], sides, geom.IndexPaths(kerfs...))
		b.tried[key] = a
	}
	return a
}
