package nest

import (
	"math"
	"sync"
	"sync/atomic"

	"example.org/kerfwright/planner/geom"
)

// form is a kind at one angle, one way up.
type form struct {
	kind  int // -1 - i for Fixed i
	flip  bool
	angle float64
	*region
	base     *region // of which it is a turn
	alone    bool    // fixed, and like no kind
	cos, sin float64
}

// model is a problem made ready. It is shared by the workers; only the tables
// in it are filled as they are asked for.
type model struct {
	height float64
	limit  float64 // mm, longest strip; 0 is any
	forms  []form
	of     [][]int32 // forms of each kind
	kinds  []Kind
	items  []int // kind of each copy
	fixed  []int32
	lies   []geom.Point // where each of those lies
	alone  int          // fixed, and like no kind
	cells  int
	tol    float64

	refs   [][]atomic.Pointer[ref] // by form, by form
	mu     sync.Mutex
	tables map[tableKey]*table
	bases  map[*region]int
}

// ref says where the table of two forms is, and how to ask it.
type ref struct {
	*table
	cos, sin float64 // of the turn from the strip to the table's axes
	plain    bool    // no turn
	swap     bool    // the second form is the table's first
}

type tableKey struct {
	a, b int // bases
	turn int64
}

// grows is by how much of its area a shape may grow where corners are left
// out of it: the figure is of arXiv 2509.13329, halved.
const grows = 0.0005

// Where there are many kinds, making the tables weighs more than asking them:
// there the largest circles alone measure overlap. What is fixed, if it is no
// more than a few things, gets finer tables: it is large beside the parts.
const (
	manyKinds = 15
	fewPoles  = 10
	fewFixed  = 4
)

func newModel(p Problem) *model {
	m := &model{height: p.Height, limit: p.Length, kinds: p.Kinds, tables: map[tableKey]*table{}, bases: map[*region]int{}}
	size := p.Height
	add := func(kind int, base *region, flip bool, angle float64) int32 {
		base.findPolesOnce()
		if len(p.Kinds) > manyKinds {
			base.poles = base.poles[:min(len(base.poles), fewPoles)]
		}
		f := form{kind: kind, flip: flip, angle: angle, base: base, region: base}
		if angle != 0 {
			f.region = base.turned(false, angle)
		}
		f.sin, f.cos = math.Sincos(angle)
		if _, ok := m.bases[base]; !ok {
			m.bases[base] = len(m.bases)
		}
		m.forms = append(m.forms, f)
		return int32(len(m.forms) - 1)
	}
	var bases, overs []*region // of each kind, and turned over
	for k, kind := range p.Kinds {
		base := newRegion(kind.Rings)
		most := grows * base.area / float64(max(1, len(base.rings)))
		for i, ring := range base.rings {
			base.rings[i] = simplify(ring, most)
		}
		base = newRegion(base.rings)
		angles := kind.Angles
		if len(angles) == 0 {
			angles = []float64{0}
		}
		var of []int32
		for _, a := range angles {
			of = append(of, add(k, base, false, a))
		}
		bases, overs = append(bases, base), append(overs, nil)
		if kind.Flip {
			base.findPolesOnce()
			over := base.turned(true, 0)
			overs[k] = over
			for _, a := range angles {
				of = append(of, add(k, over, true, a))
			}
		}
		m.of = append(m.of, of)
		for range kind.Count {
			m.items = append(m.items, k)
		}
		size = max(size, base.box.Width(), base.box.Height())
	}
	for i, f := range p.Fixed {
		base, flip, angle, at := newRegion(f.Rings), false, 0.0, geom.Point{}
		if k := f.Like - 1; k >= 0 {
			base, flip, angle, at = bases[k], f.Place.Flip, f.Place.Angle, f.Place.At
			if flip {
				if overs[k] == nil {
					base.findPolesOnce()
					overs[k] = base.turned(true, 0)
				}
				base = overs[k]
			}
		} else {
			m.alone++
		}
		m.fixed, m.lies = append(m.fixed, add(-1-i, base, flip, angle)), append(m.lies, at)
		form := &m.forms[len(m.forms)-1]
		form.alone = f.Like == 0
		size = max(size, form.box.Max.X+at.X)
	}
	m.tol = 1e-7 * size // far over the rounding of coordinates, far under any gap
	switch kinds := len(m.bases); {
	case kinds <= 12:
		m.cells = 40
	case kinds <= 20:
		m.cells = 36
	default:
		m.cells = 28
	}
	m.refs = make([][]atomic.Pointer[ref], len(m.forms))
	for i := range m.refs {
		m.refs[i] = make([]atomic.Pointer[ref], len(m.forms))
	}
	return m
}

func (r *region) findPolesOnce() {
	if r.poles == nil {
		r.findPoles()
	}
}

// ref finds the table for two forms, and makes it the first time.
func (m *model) ref(a, b int32) *ref {
	if r := m.refs[a][b].Load(); r != nil {
		return r
	}
	fa, fb := &m.forms[a], &m.forms[b]
	r := &ref{}
	if m.bases[fa.base] > m.bases[fb.base] {
		fa, fb, r.swap = fb, fa, true
	}
	// Which two forms ask first is chance: the turn is rounded, so that all that
	// share a table mean the same one. Angles of a kind differ by far more, and
	// what rounding moves is far under tol.
	const fine = 1e-9
	steps := int64(math.Round(math.Remainder(fb.angle-fa.angle, 2*math.Pi) / fine))
	turn := float64(steps) * fine
	if q := math.Round(turn / (math.Pi / 2)); math.Abs(turn-q*math.Pi/2) < fine {
		turn = q * math.Pi / 2
	}
	key := tableKey{m.bases[fa.base], m.bases[fb.base], steps}
	r.cos, r.sin, r.plain = fa.cos, fa.sin, fa.angle == 0
	m.mu.Lock()
	t := m.tables[key]
	if t == nil {
		second := fb.base
		if turn != 0 {
			second = fb.base.turned(false, turn)
		}
		cells := m.cells
		if (fa.alone || fb.alone) && m.alone <= fewFixed {
			cells = 128
		}
		t = newTable(fa.base, second, cells, m.tol)
		m.tables[key] = t
	}
	m.mu.Unlock()
	r.table = t
	m.refs[a][b].Store(r)
	return r
}

// about turns the shift from the first form to the second into the table's
// axes.
func (r *ref) about(dx, dy float64) geom.Point {
	if r.swap {
		dx, dy = -dx, -dy
	}
	if r.plain {
		return geom.Pt(dx, dy)
	}
	return geom.Pt(dx*r.cos+dy*r.sin, dy*r.cos-dx*r.sin)
}

// back is the shift from the first form to the second that about turns into q.
func (r *ref) back(q geom.Point) (dx, dy float64) {
	dx, dy = q.X, q.Y
	if !r.plain {
		dx, dy = q.X*r.cos-q.Y*r.sin, q.Y*r.cos+q.X*r.sin
	}
	if r.swap {
		return -dx, -dy
	}
	return dx, dy
}
