package planner

import (
	"math"
	"sort"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/motion"
)

// Doing is what the machine does at a moment of the program.
type Doing string

const (
	DoingRapid   Doing = "rapid"           // over the plate, torch off
	DoingRaise   Doing = "up and down"     // torch off
	DoingProbe   Doing = "touch-off"       // down to the plate
	DoingPierce  Doing = "piercing"        // arc on, standing still
	DoingCut     Doing = "cutting"         // arc on
	DoingNothing Doing = "at rest, parked" // the program has ended
)

// Timeline is a program as it runs, by the times that the plan gives it.
// Pauses are not in it: nobody knows how long a person takes.
type Timeline struct {
	Total float64 // s
	Stays []Stay  // in order, without gaps
}

// Stay is a stretch of time in which the machine does one thing.
type Stay struct {
	From, To float64 // s
	Cut      int     // into Program.Cuts; their number for the way to the park corner
	Doing    Doing

	path    geom.Path
	profile motion.Profile
	pause   float64 // s at its start in which the torch still goes down
}

// Moment is what the machine does at one time.
type Moment struct {
	Stay
	At    geom.Point
	Along float64 // mm of the cut's path that are done; 0 unless it cuts
}

// Timeline lays the plan's times out one after the other. Its Total is the
// plan's time.
func (p *Program) Timeline(j job.Job) *Timeline {
	s := newShop(j)
	t := &Timeline{}
	add := func(k int, do Doing, took float64, path geom.Path, q motion.Profile) *Stay {
		if took <= 0 {
			return &Stay{}
		}
		t.Stays = append(t.Stays, Stay{From: t.Total, To: t.Total + took, Cut: k, Doing: do, path: path, profile: q})
		t.Total += took
		return &t.Stays[len(t.Stays)-1]
	}
	rapid := func(way geom.Path) motion.Profile { return motion.Plan(way, j.Machine.RapidXY, s.lim) }
	from, to := s.approach(p)
	for k := range p.Cuts {
		c := &p.Cuts[k]
		still := geom.Path{V: []geom.Vertex{{P: c.Path.Start()}}}
		end := geom.Path{V: []geom.Vertex{{P: c.Path.End()}}}
		way := still
		switch {
		case k > 0 && k-1 < len(p.Rapids):
			way = p.Rapids[k-1]
		case k == 0 && from != nil:
			way = geom.Path{V: []geom.Vertex{{P: *from}, {P: c.Path.Start()}}}
		}
		after := min(c.Times.Raise, s.climb(c.Lift-j.Process.CutHeight))
		add(k, DoingRapid, c.Times.Rapid, way, rapid(way))
		add(k, DoingRaise, c.Times.Raise-after, still, motion.Profile{})
		add(k, DoingProbe, c.Times.Probe, still, motion.Profile{})
		add(k, DoingPierce, c.Times.Pierce, still, motion.Profile{})
		cut := motion.PlanFeeds(c.Path, c.Feed, c.Feeds, s.lim)
		add(k, DoingCut, c.Times.ArcOn, c.Path, cut).pause = max(0, c.Times.ArcOn-cut.Time)
		add(k, DoingRaise, after, end, motion.Profile{})
	}
	if n := len(p.Cuts); n > 0 && to != nil {
		way := geom.Path{V: []geom.Vertex{{P: p.Cuts[n-1].Path.End()}, {P: *to}}}
		add(n, DoingRapid, p.Rest.Rapid, way, rapid(way))
	}
	return t
}

// At returns what the machine does t s after the start.
func (l *Timeline) At(t float64) Moment {
	if len(l.Stays) == 0 {
		return Moment{Stay: Stay{Doing: DoingNothing}}
	}
	i := sort.Search(len(l.Stays), func(i int) bool { return l.Stays[i].To > t })
	if i == len(l.Stays) {
		m := Moment{Stay: l.Stays[i-1]}
		m.Doing, m.At = DoingNothing, m.path.End()
		return m
	}
	m := Moment{Stay: l.Stays[i]}
	m.At = m.path.Start()
	if len(m.profile.Segs) == 0 {
		return m
	}
	// A rapid may hold a short way beside the plate's touching place: that is
	// spread over it.
	took, now := m.profile.Time, t-m.From-m.pause
	if all := m.To - m.From - m.pause; took > 0 && all > 0 {
		now *= took / all
	}
	mm := m.profile.Along(math.Max(0, now))
	m.At = pointAt(m.path, mm)
	if m.Doing == DoingCut {
		m.Along = mm
	}
	return m
}

// Begin returns when cut k of the program begins: with the way to it.
func (l *Timeline) Begin(k int) float64 {
	i := sort.Search(len(l.Stays), func(i int) bool { return l.Stays[i].Cut >= k })
	if i == len(l.Stays) {
		return l.Total
	}
	return l.Stays[i].From
}

// Done returns the stretch of the cut's path that is made at the moment.
func (m Moment) Done() geom.Path {
	if m.Doing != DoingCut || m.Along <= 0 {
		return geom.Path{}
	}
	return stretchOf(m.path, 0, m.Along)
}

// NearestCut returns the cut whose path comes nearest to a place on the stock,
// and how near, mm; -1 if there is none.
func (p *Program) NearestCut(at geom.Point) (cut int, mm float64) {
	cut, mm = -1, math.Inf(1)
	for k := range p.Cuts {
		path := p.Cuts[k].Path
		if len(path.V) == 0 {
			continue
		}
		if d := path.Start().Dist(at); path.NumSegs() == 0 && d < mm {
			cut, mm = k, d
		}
		if b := path.Box(); b.Dist(at) >= mm || path.NumSegs() == 0 {
			continue
		}
		if _, _, _, d := path.Nearest(at); d < mm {
			cut, mm = k, d
		}
	}
	return cut, mm
}

// Trace returns the way of the dry run as a person sees it: round the
// rectangle that the job needs, then the cuts with the ways between them.
func (p *Program) Trace() []geom.Path {
	var out []geom.Path
	if b := frame(p); !b.Empty() {
		out = append(out, geom.Polygon(b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)))
	}
	for k := range p.Cuts {
		if k > 0 && k-1 < len(p.Rapids) {
			out = append(out, p.Rapids[k-1])
		}
		out = append(out, p.Cuts[k].Path)
	}
	return out
}

// Heat returns how many s the arc burns over each of w by h equal fields of a
// box, row by row from its lower left, piercing and cutting. Where heat
// gathers, thin plate warps and slugs tip.
func (p *Program) Heat(box geom.Box, w, h int) []float64 {
	out := make([]float64, w*h)
	if box.Empty() || box.Width() <= 0 || box.Height() <= 0 {
		return out
	}
	dx, dy := box.Width()/float64(w), box.Height()/float64(h)
	put := func(q geom.Point, s float64) {
		x, y := math.Floor((q.X-box.Min.X)/dx), math.Floor((q.Y-box.Min.Y)/dy)
		if x >= 0 && y >= 0 && x < float64(w) && y < float64(h) {
			out[int(y)*w+int(x)] += s
		}
	}
	for k := range p.Cuts {
		c := &p.Cuts[k]
		if len(c.Path.V) == 0 || !c.Path.Box().Overlaps(box) {
			continue
		}
		put(c.Path.Start(), c.Times.Pierce)
		length := c.Path.Length()
		if length <= 0 {
			continue
		}
		rate := c.Times.ArcOn / length // s for a mm, the same all along: a field is longer than a ramp
		for i := range c.Path.NumSegs() {
			sg := c.Path.Seg(i)
			l := sg.Length()
			n := max(1, int(math.Ceil(2*l/math.Min(dx, dy))))
			for q := range n {
				put(sg.At((float64(q)+0.5)/float64(n)), rate*l/float64(n))
			}
		}
	}
	return out
}
