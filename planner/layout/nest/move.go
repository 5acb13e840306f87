package nest

// How many places are looked at for one move, and how they are refined, as
// parts of the shape's shorter side (figures of arXiv 2509.13329; contacts are
// ours: places where a corner of the one lies on a corner of the other).
const (
	anywhere   = 50
	nearby     = 25
	contacts   = 15
	refined    = 3
	coarseFrom = 0.25
	coarseTo   = 0.02
	fineFrom   = 0.01
	fineTo     = 0.001
)

// tried is a place with its cost.
type tried struct {
	spot
	cost float64
}

// best keeps the few best places, the best first.
type best struct {
	list [refined]tried
	n    int
}

func (b *best) limit() float64 {
	if b.n < refined {
		return inf()
	}
	return b.list[b.n-1].cost
}

func (b *best) add(t tried, apart float64) {
	at := b.n
	for i := range b.n { // one of each neighbourhood
		if o := &b.list[i]; o.form == t.form && abs(o.x-t.x) < apart && abs(o.y-t.y) < apart {
			if o.cost <= t.cost {
				return
			}
			copy(b.list[i:], b.list[i+1:b.n])
			b.n--
			at = b.n
			break
		}
	}
	if at == refined {
		if b.list[at-1].cost <= t.cost {
			return
		}
		at--
		b.n--
	}
	for at > 0 && b.list[at-1].cost > t.cost {
		b.list[at] = b.list[at-1]
		at--
	}
	b.list[at] = t
	b.n++
}

func abs(v float64) float64 { return max(v, -v) }

// move finds item i a place with less weighted overlap and reports whether it
// moved.
func (s *state) move(i int) bool {
	now := s.stuck(i)
	if now == 0 {
		return false
	}
	small := s.forms[s.at[i].form].small
	var b best
	b.add(tried{s.at[i], now}, 0)
	look := func(p spot) {
		p, ok := s.inside(p)
		if !ok {
			return
		}
		if c := s.cost(i, p, b.limit()); c < b.limit() {
			b.add(tried{p, c}, small*coarseTo)
		}
	}
	for range anywhere {
		f := s.anyForm(i)
		box := &s.forms[f].box
		look(spot{f, s.uniform(-box.Min.X, s.length-box.Max.X), s.uniform(-box.Min.Y, s.height-box.Max.Y)})
	}
	w, h := s.box[i].x1-s.box[i].x0, s.box[i].y1-s.box[i].y0
	cx, cy := (s.box[i].x0+s.box[i].x1)/2, (s.box[i].y0+s.box[i].y1)/2
	for range nearby {
		f := s.anyForm(i)
		c := s.forms[f].box.Center()
		look(spot{f, cx - c.X + s.uniform(-w/2, w/2), cy - c.Y + s.uniform(-h/2, h/2)})
	}
	s.contacts(i, contacts, look)
	for k := range b.n {
		s.descend(i, &b.list[k], coarseFrom*small, coarseTo*small)
	}
	t := b.list[0]
	for _, o := range b.list[1:b.n] {
		if o.cost < t.cost {
			t = o
		}
	}
	s.descend(i, &t, fineFrom*small, fineTo*small)
	if t.cost >= now {
		return false
	}
	s.put(i, t.spot)
	return true
}

// contacts looks at places of exact contact with other items: a corner on a
// corner.
func (s *state) contacts(i, n int, look func(spot)) {
	for range n {
		k := s.rnd.IntN(s.all)
		if k == i || !s.on[k] {
			continue
		}
		f := s.anyForm(i)
		r := s.ref(f, s.at[k].form)
		if len(r.joints) == 0 {
			continue
		}
		dx, dy := r.back(r.joints[s.rnd.IntN(len(r.joints))])
		p := spot{f, s.at[k].x - dx, s.at[k].y - dy}
		if q, ok := s.inside(p); ok && q == p {
			look(p)
		}
	}
}

// descend goes downhill: a step along one of four axes at a time, shorter
// where both ways are uphill.
func (s *state) descend(i int, t *tried, from, to float64) {
	step := from
	for step > to && t.cost > 0 {
		dx, dy := step, step
		switch s.rnd.IntN(4) {
		case 0:
			dy = 0
		case 1:
			dx = 0
		case 2:
			dy = -step
		}
		better := false
		for _, sign := range [2]float64{1, -1} {
			p, ok := s.inside(spot{t.form, t.x + sign*dx, t.y + sign*dy})
			if !ok || p == t.spot {
				continue
			}
			if c := s.cost(i, p, t.cost); c < t.cost {
				*t = tried{p, c}
				better = true
				break
			}
		}
		if better {
			step *= 1.1
		} else {
			step *= 0.5
		}
	}
}
