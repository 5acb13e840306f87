package nest

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"example.org/kerfwright/planner/geom"
)

func geomPt(x, y float64) geom.Point { return geom.Pt(x, y) }

func (s *state) middle(i int) geom.Point {
	b := &s.box[i]
	return geom.Pt((b.x0+b.x1)/2, (b.y0+b.y1)/2)
}

func (b *bounds) has(p geom.Point) bool {
	return b.x0 <= p.X && p.X <= b.x1 && b.y0 <= p.Y && p.Y <= b.y1
}

// exploring is the part of the budget that is spent on exploring; the rest
// presses the best layout.
const exploring = 0.8

func (m *model) pack(ctx context.Context, p Problem) Result {
	budget := p.Rounds * 1000
	ws := make([]*worker, workers)
	stop := func() bool { return ctx.Err() != nil || p.Stop != nil && p.Stop() }
	m.parallel(func(k int) {
		w := &worker{state: newState(m, p.Seed*workers+uint64(k)), stop: stop, step: firstStep}
		w.budget = budget
		w.start(k > 0)
		w.have, w.used = w.keep(), w.state.used()
		ws[k] = w
	})
	best := ws[0]
	told := -1.0
	tell := func() {
		for _, w := range ws {
			if w.used < best.used {
				best = w
			}
		}
		if told < 0 || best.used < told {
			told = best.used
			if p.Better != nil {
				p.Better(m.result(best))
			}
		}
	}
	tell()
	least := max(m.least(), p.Enough)
	share := func() {
		for _, w := range ws {
			if w != best && w.used > best.used {
				w.have, w.used, w.poolAt = slices.Clone(best.have), best.used, 0
			}
		}
	}
	phase := func(end int, run func(w *worker, from, to int)) {
		from := make([]int, workers)
		for k, w := range ws {
			from[k] = w.looks
		}
		for e := range epochs {
			if p.Told != nil {
				p.Told(ws[0].looks/1000, p.Rounds)
			}
			if best.used <= least+m.tol || stop() {
				return
			}
			m.parallel(func(k int) {
				w := ws[k]
				w.budget = from[k] + (end-from[k])*(e+1)/epochs
				run(w, from[k], end)
			})
			tell()
			share()
		}
	}
	if p.Rounds == 0 || len(m.items) == 0 {
		return m.result(best)
	}
	phase(int(exploring*float64(budget)), func(w *worker, _, _ int) { w.explore(least) })
	phase(budget, func(w *worker, from, to int) { w.press(from, to, least) })
	return m.result(best)
}

// parallel runs one call for each worker.
func (m *model) parallel(do func(k int)) {
	var wg sync.WaitGroup
	var broken [workers]any
	for k := range workers {
		wg.Go(func() {
			defer func() { broken[k] = recover() }()
			do(k)
		})
	}
	wg.Wait()
	for _, why := range broken {
		if why != nil {
			panic(why) // for whoever guards the caller
		}
	}
}

// least is a length that no layout can go under.
func (m *model) least() float64 {
	area, wide := 0.0, 0.0
	for _, k := range m.items {
		area += m.forms[m.of[k][0]].area
		narrow := inf()
		for _, f := range m.of[k] {
			if b := m.forms[f].box; b.Height() <= m.height+m.tol {
				narrow = min(narrow, b.Width())
			}
		}
		wide = max(wide, narrow)
	}
	return max(wide, area/m.height/(1+grows))
}

func (m *model) result(w *worker) Result {
	r := Result{Length: w.used, Rounds: w.looks / 1000, Left: make([]int, len(m.kinds))}
	for i, p := range w.have {
		f := &m.forms[p.form]
		if !w.on[i] || m.limit > 0 && p.x+f.box.Max.X > m.limit+m.tol {
			r.Left[f.kind]++
			continue
		}
		r.Places = append(r.Places, Place{Kind: f.kind, Flip: f.flip, Angle: f.angle, At: geom.Pt(p.x, p.y)})
	}
	if m.limit > 0 {
		r.Length = min(r.Length, m.limit)
	}
	return r
}

// start lays the shapes one by one, the largest first, each as far to the
// left as a place is found. mixed breaks ties by chance.
func (w *worker) start(mixed bool) {
	order := make([]int, w.n)
	size := make([]float64, w.n)
	for i := range order {
		order[i] = i
		f := &w.forms[w.of[w.items[i]][0]]
		size[i] = f.hull * max(f.box.Width(), f.box.Height())
		if mixed {
			size[i] *= w.uniform(0.8, 1.25)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size[b], size[a]) })
	w.level()
	far := 0.0
	for i := range w.fixed {
		far = max(far, w.box[w.n+i].x1)
	}
	wide := 0.0
	for _, f := range w.forms {
		wide = max(wide, f.box.Width(), f.box.Height())
	}
	filled := 0.0
	for _, i := range order {
		w.length = filled + 2*wide
		at, ok := w.leftmost(i, filled)
		if !ok { // behind everything
			w.length = max(filled, far) + 2*wide
			f := w.fitting(i)
			b := w.forms[f].box
			at = spot{f, max(filled, far) - b.Min.X + w.tol, -b.Min.Y}
		}
		w.on[i] = true
		w.put(i, at)
		filled = max(filled, w.box[i].x1)
	}
	w.length = filled
}

func (w *worker) fitting(i int) int32 {
	for _, f := range w.of[w.items[i]] {
		if w.forms[f].box.Height() <= w.height+w.tol {
			return f
		}
	}
	return w.of[w.items[i]][0]
}

// leftmost samples free places for item i and keeps the one whose right end,
// then top, is least.
func (w *worker) leftmost(i int, filled float64) (at spot, ok bool) {
	least := inf()
	look := func(p spot) {
		b := w.boundsOf(p)
		v := b.x1*8 + b.y1 + b.x0
		if v < least && w.cost(i, p, 0) == 0 {
			least, at, ok = v, p, true
		}
	}
	try := func(p spot) {
		if p, in := w.inside(p); in {
			look(p)
		}
	}
	for range 300 {
		f := w.anyForm(i)
		b := w.forms[f].box
		try(spot{f, w.uniform(-b.Min.X, filled-b.Min.X), w.uniform(-b.Min.Y, w.height-b.Max.Y)})
	}
	w.contacts(i, 300, try)
	if !ok {
		return
	}
	// Push left and down as far as it goes.
	small := w.forms[at.form].small
	for step := small / 2; step > small/500; {
		was := at
		try(spot{at.form, at.x - step, at.y})
		if at == was {
			try(spot{at.form, at.x, at.y - step})
		}
		if at == was {
			step /= 2
		}
	}
	return
}
