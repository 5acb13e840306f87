package planner

import (
	"cmp"
	"slices"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/motion"
	"example.org/kerfwright/planner/order"
)

// Ranks of cuts: every one of a lower rank comes before every one of a higher.
const (
	rankMark    = iota // marks lie on flat, cold metal
	rankPop            // centres for the drill, at the current of the marks if they have one
	rankInside         // inside features
	rankOutline        // outlines, and cut-outs out of which a part is cut
)

// wishes adds to a problem what the job asks of its order beyond what must be:
// marks first, grouping, small parts first, heat spread, corners. work[n] is
// the task of node n.
func (s shop) wishes(p *Program, work []task, prob *order.Problem) {
	r := s.rules
	for n, w := range work {
		nd := &prob.Nodes[n]
		switch f := p.Tree.Features[w.feature]; {
		case w.setup.sort == cutMark:
			nd.Rank = rankMark
		case f.Kind == feature.Mark || !f.Rule.Cuts():
			nd.Rank = rankPop
		case r.Grouping != job.GroupHoles:
			nd.Rank = rankInside
		case f.Kind == feature.Outline || slices.ContainsFunc(nd.After, func(m int) bool {
			return p.Tree.Features[work[m].feature].Kind == feature.Outline
		}):
			nd.Rank = rankOutline
		default:
			nd.Rank = rankInside
		}
	}
	prob.GroupParts = r.Grouping == job.GroupPart
	if s.job.Stock.Hold == job.Blank {
		return
	}
	s.smallFirst(p, work, prob)
	plate := layout.StockBox(s.job.Stock)
	if r.HeatCuts > 0 && r.HeatDistance > 0 {
		// Dearer than to go across the plate and back for every cut that counts.
		m := s.job.Machine
		across := plate.Min.Dist(plate.Max)
		prob.Heat = order.Heat{Cuts: r.HeatCuts, Distance: r.HeatDistance,
			Penalty: 2 * motion.RestToRest(across, m.RapidXY, m.AccelXY)}
	}
	prob.Start, prob.End = cornerOf(plate, r.Begin), cornerOf(plate, r.End)
}

// cornerOf returns a corner of the plate, nil if none is named.
func cornerOf(plate geom.Box, c job.Corner) *geom.Point {
	at := plate.Min
	switch c {
	case job.LowerRight:
		at.X = plate.Max.X
	case job.UpperLeft:
		at.Y = plate.Max.Y
	case job.UpperRight:
		at = plate.Max
	case job.LowerLeft:
	default:
		return nil
	}
	return &at
}

// smallFirst asks that of the parts near the plate's edge, where little
// skeleton holds them, the small ones are cut out before the large ones: a
// large part gone, the rest of the edge is slack.
func (s shop) smallFirst(p *Program, work []task, prob *order.Problem) {
	if s.rules.SmallFirst <= 0 {
		return
	}
	inner := layout.StockBox(s.job.Stock).Grow(-s.rules.SmallFirst)
	type edge struct {
		node int
		area float64
	}
	var all []edge
	for n, w := range work {
		f := p.Tree.Features[w.feature]
		if f.Kind != feature.Outline || p.Tree.Parts[f.Part].In >= 0 {
			continue
		}
		b := p.Placed[w.placed].Move.Path(f.Loop).Box()
		if inner.Empty() || !inner.Encloses(b) {
			all = append(all, edge{n, f.Area})
		}
	}
	slices.SortStableFunc(all, func(a, b edge) int { return cmp.Compare(a.area, b.area) })
	// Parts of one size are free among themselves.
	from, before := 0, 0
	for i := range all {
		if i > 0 && all[i].area > all[i-1].area+geom.Same {
			before, from = from, i
		}
		for _, e := range all[before:from] {
			if s.job.Layout.Share && comesBefore(prob, all[i].node, e.node) { // it ends in the larger one's kerf
				continue
			}
			nd := &prob.Nodes[all[i].node]
			nd.After = append(nd.After, e.node)
		}
	}
}

// approach returns the ways from and to the corners that the job names.
func (s shop) approach(p *Program) (from, to *geom.Point) {
	if s.job.Stock.Hold == job.Blank {
		return nil, nil
	}
	plate := layout.StockBox(s.job.Stock)
	return cornerOf(plate, s.rules.Begin), cornerOf(plate, s.rules.End)
}
