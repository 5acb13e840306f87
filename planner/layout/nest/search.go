package nest

import (
	"math"
	"slices"
)

// Patience of a separation: rounds over all that overlap without a gain of
// 2 %, and how often it starts again from its best (arXiv 2509.13329).
const (
	gain           = 0.98
	exploreRounds  = 200
	exploreStrikes = 3
	pressRounds    = 100
	pressStrikes   = 5
)

// worker is one search with a best layout of its own.
type worker struct {
	*state
	stop   func() bool
	budget int // looks at which to stop
	have   []spot
	used   float64 // length of have
	step   float64
	pool   []failed
	poolAt float64 // length of the strip that the pool is of
}

// failed is a layout that did not come apart.
type failed struct {
	loss float64
	at   []spot
}

func (w *worker) over() bool { return w.looks >= w.budget || w.stop() }

// round is one round of a search. A strip that comes apart by itself takes no
// looks: even so a round costs one for each shape, so that every search ends.
func (w *worker) round(do func() bool) bool {
	before := w.looks
	on := do()
	if w.looks == before {
		w.looks += max(1, w.n)
	}
	return on
}

// separate moves shapes until none overlap. Otherwise the state is left at
// its best, with its loss.
func (w *worker) separate(rounds, strikes int) (loss float64, apart bool) {
	w.level()
	loss = w.loss()
	best, kept := loss, w.keep()
	var order []int
	for strike := 0; strike < strikes && best > 0 && !w.over(); strike++ {
		start := best
		last := best
		for idle := 0; idle < rounds && !w.over(); idle++ {
			order = order[:0]
			for i := range w.n {
				if w.on[i] && w.stuck(i) > 0 {
					order = append(order, i)
				}
			}
			w.rnd.Shuffle(len(order), func(a, b int) { order[a], order[b] = order[b], order[a] })
			for _, i := range order {
				w.move(i)
			}
			w.reweigh()
			loss = w.loss()
			if loss == 0 {
				return 0, true
			}
			if loss < best {
				if loss < last*gain {
					last, idle = loss, -1
				}
				best = loss
				copy(kept, w.at[:w.n])
			}
		}
		if best < start*gain {
			strike = -1
		}
		w.restore(kept)
	}
	return best, best == 0
}

// accept takes the state as the best layout if nothing overlaps in truth.
func (w *worker) accept() bool {
	if !w.clean() {
		return false
	}
	w.have, w.used = w.keep(), w.state.used()
	return true
}

// clean compares all neighbours edge by edge, as a second opinion on the
// tables.
func (s *state) clean() bool {
	for i := range s.n {
		if !s.on[i] {
			continue
		}
		b := &s.box[i]
		for k := i + 1; k < s.all; k++ {
			o := &s.box[k]
			if !s.on[k] || b.x0 >= o.x1 || o.x0 >= b.x1 || b.y0 >= o.y1 || o.y0 >= b.y1 {
				continue
			}
			d := geomPt(s.at[k].x-s.at[i].x, s.at[k].y-s.at[i].y)
			if overlap(s.forms[s.at[i].form].region, s.forms[s.at[k].form].region, d, 10*s.tol) {
				return false
			}
		}
	}
	return true
}

// explore shortens the strip as long as it comes apart; where it does not, it
// shakes up what came nearest.
func (w *worker) explore(least float64) {
	for !w.over() && w.round(func() bool { return w.exploreOnce(least) }) {
	}
}

// exploreOnce reports whether there is something left to explore.
func (w *worker) exploreOnce(least float64) bool {
	length := max(w.used*(1-w.step), least)
	if length >= w.used-w.tol { // by less than rounding it would be shortened for ever
		return false
	}
	if length != w.poolAt {
		w.pool, w.poolAt = w.pool[:0], length
		w.length = length
		if !w.restore(w.have) {
			return false
		}
	}
	loss, apart := w.separate(exploreRounds, exploreStrikes)
	if apart && w.accept() {
		return true
	}
	if w.over() {
		return false
	}
	if w.step > leastStep {
		w.step = max(w.step/2, leastStep)
		return true
	}
	at, _ := slices.BinarySearchFunc(w.pool, loss, func(f failed, l float64) int {
		if f.loss < l {
			return -1
		}
		return 1
	})
	w.pool = slices.Insert(w.pool, at, failed{loss, w.keep()})
	rank := min(len(w.pool)-1, int(math.Abs(w.rnd.NormFloat64()*0.25)*float64(len(w.pool))))
	w.restore(w.pool[rank].at)
	w.shake()
	return true
}

// The strip is shortened by firstStep of its length at first, by leastStep
// once it is tight.
const (
	firstStep = 0.02
	leastStep = 0.001
)

// shake swaps two large shapes, and what each covers goes with it.
func (w *worker) shake() {
	var big []int
	total := 0.0
	for i := range w.n {
		if w.on[i] {
			big = append(big, i)
			total += w.forms[w.at[i].form].hull
		}
	}
	if len(big) < 2 {
		return
	}
	slices.SortStableFunc(big, func(a, b int) int {
		x, y := w.forms[w.at[a].form].hull, w.forms[w.at[b].form].hull
		if x > y {
			return -1
		}
		if x < y {
			return 1
		}
		return 0
	})
	sum := 0.0
	for k, i := range big { // those that make up three quarters of the area
		if sum += w.forms[w.at[i].form].hull; sum > 0.75*total && k > 0 {
			big = big[:k+1]
			break
		}
	}
	a := big[w.rnd.IntN(len(big))]
	b := a
	for range 10 { // not one of the same kind
		if b = big[w.rnd.IntN(len(big))]; w.items[b] != w.items[a] {
			break
		}
	}
	if a == b {
		return
	}
	ca, cb := w.middle(a), w.middle(b)
	var withA, withB []int
	for i := range w.n {
		if !w.on[i] || i == a || i == b {
			continue
		}
		c := w.middle(i)
		switch {
		case w.forms[w.at[b].form].holds(geomPt(c.X-ca.X+cb.X-w.at[b].x, c.Y-ca.Y+cb.Y-w.at[b].y)) && w.box[a].has(c):
			withA = append(withA, i)
		case w.forms[w.at[a].form].holds(geomPt(c.X-cb.X+ca.X-w.at[a].x, c.Y-cb.Y+ca.Y-w.at[a].y)) && w.box[b].has(c):
			withB = append(withB, i)
		}
	}
	shift := func(i int, dx, dy float64) {
		p := w.at[i]
		p.x += dx
		p.y += dy
		if p, ok := w.inside(p); ok {
			w.set(i, p)
		}
	}
	dx, dy := cb.X-ca.X, cb.Y-ca.Y
	shift(a, dx, dy)
	shift(b, -dx, -dy)
	for _, i := range withA {
		shift(i, dx, dy)
	}
	for _, i := range withB {
		shift(i, -dx, -dy)
	}
	w.recount()
}

// press shortens the best layout by ever smaller steps: what lies beyond a
// cut line anywhere is pushed up to what lies before it.
func (w *worker) press(from, to int, least float64) {
	for !w.over() && w.round(func() bool { return w.pressOnce(from, to, least) }) {
	}
}

// pressOnce reports whether there is something left to press.
func (w *worker) pressOnce(from, to int, least float64) bool {
	done := float64(w.looks-from) / float64(max(1, to-from))
	step := pressFrom * math.Pow(pressTo/pressFrom, min(1, max(0, done)))
	w.length = max(w.used*(1-step), least)
	if w.length >= w.used-w.tol {
		return false
	}
	d := w.used - w.length
	cut := w.uniform(0, w.used)
	next := slices.Clone(w.have)
	for i := range next {
		if w.on[i] && next[i].x+w.forms[next[i].form].box.Center().X > cut {
			next[i].x -= d
		}
	}
	if !w.restore(next) {
		return false
	}
	if _, apart := w.separate(pressRounds, pressStrikes); apart {
		w.accept()
	}
	return true
}

const (
	pressFrom = 0.0005
	pressTo   = 0.00001
)
