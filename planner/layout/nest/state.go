package nest

import (
	"math"
	"math/rand/v2"
	"slices"
)

// spot is a form at a place.
type spot struct {
	form int32
	x, y float64
}

// state is one layout, with overlaps, in the hands of one worker. Items come
// first, then what is fixed.
type state struct {
	*model
	rnd    *rand.Rand
	length float64
	at     []spot
	box    []bounds
	on     []bool // whether an item takes part
	n      int    // items
	all    int
	pair   []float64 // cost of item i with k, at i*all+k
	weight []float64
	looks  int // places looked at
}

type bounds struct{ x0, y0, x1, y1 float64 }

func newState(m *model, seed uint64) *state {
	n := len(m.items)
	s := &state{model: m, rnd: rand.New(rand.NewPCG(seed, 0x6b657266)), n: n, all: n + len(m.fixed)}
	s.at, s.box, s.on = make([]spot, s.all), make([]bounds, s.all), make([]bool, s.all)
	s.pair, s.weight = make([]float64, n*s.all), make([]float64, n*s.all)
	for i, f := range m.fixed {
		s.set(n+i, spot{f, m.lies[i].X, m.lies[i].Y})
		s.on[n+i] = true
	}
	for i := range s.at[:n] {
		s.at[i].form = m.of[m.items[i]][0]
	}
	return s
}

func (s *state) boundsOf(p spot) bounds {
	b := &s.forms[p.form].box
	return bounds{p.x + b.Min.X, p.y + b.Min.Y, p.x + b.Max.X, p.y + b.Max.Y}
}

func (s *state) set(i int, p spot) { s.at[i], s.box[i] = p, s.boundsOf(p) }

// inside moves a place into the strip; ok is false if the form is too large.
func (s *state) inside(p spot) (spot, bool) {
	b := &s.forms[p.form].box
	if b.Width() > s.length+s.tol || b.Height() > s.height+s.tol {
		return p, false
	}
	p.x = max(-b.Min.X, min(p.x, s.length-b.Max.X))
	p.y = max(-b.Min.Y, min(p.y, s.height-b.Max.Y))
	return p, true
}

// cost is the weighted overlap of item i at p. It may stop once it is over
// limit.
func (s *state) cost(i int, p spot, limit float64) float64 {
	s.looks++
	b := s.boundsOf(p)
	b.x0 += s.tol
	b.y0 += s.tol
	b.x1 -= s.tol
	b.y1 -= s.tol
	sum := 0.0
	w := s.weight[i*s.all : (i+1)*s.all]
	refs := s.refs[p.form]
	for k := range s.box {
		o := &s.box[k]
		if b.x0 >= o.x1 || o.x0 >= b.x1 || b.y0 >= o.y1 || o.y0 >= b.y1 || k == i || !s.on[k] {
			continue
		}
		q := &s.at[k]
		r := refs[q.form].Load()
		if r == nil {
			r = s.ref(p.form, q.form)
		}
		if c := r.cost(r.about(q.x-p.x, q.y-p.y)); c > 0 {
			if sum += c * w[k]; sum >= limit {
				return sum
			}
		}
	}
	return sum
}

// put moves item i and keeps the pairs true.
func (s *state) put(i int, p spot) {
	s.set(i, p)
	b := &s.box[i]
	for k := range s.box {
		c := 0.0
		if o := &s.box[k]; k != i && s.on[k] && b.x0 < o.x1-s.tol && o.x0 < b.x1-s.tol && b.y0 < o.y1-s.tol && o.y0 < b.y1-s.tol {
			r := s.ref(p.form, s.at[k].form)
			c = r.cost(r.about(s.at[k].x-p.x, s.at[k].y-p.y))
		}
		s.pair[i*s.all+k] = c
		if k < s.n {
			s.pair[k*s.all+i] = c
		}
	}
}

// loss sums the overlaps of all pairs.
func (s *state) loss() float64 {
	sum := 0.0
	for i := range s.n {
		row := s.pair[i*s.all : (i+1)*s.all]
		for k := i + 1; k < s.all; k++ {
			sum += row[k]
		}
	}
	return sum
}

// stuck is the weighted overlap of item i where it lies.
func (s *state) stuck(i int) float64 {
	sum := 0.0
	row, w := s.pair[i*s.all:(i+1)*s.all], s.weight[i*s.all:(i+1)*s.all]
	for k, c := range row {
		if c > 0 {
			sum += c * w[k]
		}
	}
	return sum
}

// level sets all weights to 1.
func (s *state) level() {
	for i := range s.weight {
		s.weight[i] = 1
	}
}

// reweigh raises the weight of every pair that overlaps, the more the worse,
// and lets the others fall (figures of arXiv 2509.13329).
func (s *state) reweigh() {
	const least, most, decay = 1.2, 2.0, 0.95
	worst := 0.0
	for _, c := range s.pair {
		worst = max(worst, c)
	}
	if worst == 0 {
		return
	}
	for i, c := range s.pair {
		if c > 0 {
			s.weight[i] *= least + (most-least)*c/worst
		} else if s.weight[i] > 1 {
			s.weight[i] = max(1, s.weight[i]*decay)
		}
	}
}

// keep copies where everything lies.
func (s *state) keep() []spot { return slices.Clone(s.at[:s.n]) }

// restore puts everything back, moved into the strip where it is shorter now.
// ok is false if something is too large for it.
func (s *state) restore(at []spot) bool {
	ok := true
	for i, p := range at {
		if !s.on[i] {
			continue
		}
		p, in := s.inside(p)
		ok = ok && in
		s.set(i, p)
	}
	s.recount()
	return ok
}

// recount works out every pair anew.
func (s *state) recount() {
	clear(s.pair)
	for i := range s.n {
		if !s.on[i] {
			continue
		}
		b := &s.box[i]
		for k := i + 1; k < s.all; k++ {
			if o := &s.box[k]; s.on[k] && b.x0 < o.x1-s.tol && o.x0 < b.x1-s.tol && b.y0 < o.y1-s.tol && o.y0 < b.y1-s.tol {
				r := s.ref(s.at[i].form, s.at[k].form)
				c := r.cost(r.about(s.at[k].x-s.at[i].x, s.at[k].y-s.at[i].y))
				s.pair[i*s.all+k] = c
				if k < s.n {
					s.pair[k*s.all+i] = c
				}
			}
		}
	}
}

// used is how far along the strip the items reach.
func (s *state) used() float64 {
	far := 0.0
	for i := range s.n {
		if s.on[i] {
			far = max(far, s.box[i].x1)
		}
	}
	return far
}

func (s *state) uniform(a, b float64) float64 {
	if b <= a {
		return a
	}
	return a + (b-a)*s.rnd.Float64()
}

// anyForm picks a form of item i that the strip is wide enough for.
func (s *state) anyForm(i int) int32 {
	of := s.of[s.items[i]]
	f := of[s.rnd.IntN(len(of))]
	for range 4 {
		if b := &s.forms[f].box; b.Height() <= s.height+s.tol && b.Width() <= s.length+s.tol {
			break
		}
		f = of[s.rnd.IntN(len(of))]
	}
	return f
}

func inf() float64 { return math.Inf(1) }
