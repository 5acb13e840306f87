package tui

import (
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// plateView is the picture of the plate with rulers along two edges. Its
// lines are kept until scene, size, magnification or aim change.
type plateView struct {
	level   int // magnified 2^level times
	layers  layerSet
	center  *geom.Point // of the picture if it was moved; nil: it follows what is aimed at
	cross   *geom.Point // nil: not laid
	picked  int         // cut that the cross was laid on, -1 for none
	from    *geom.Point // measured from here to the cross
	sim     *sim        // nil: none
	hottest float64     // s of arc on a cm2, of the picture drawn last

	key   plateKey
	lines []string

	baseKey plateKey
	base    *raster

	simKey  plateKey
	simBase *raster
	simDone int // cuts that simBase shows as made
}

// plateKey is all that a picture depends on.
type plateKey struct {
	scene   *scene
	w, h    int
	level   int
	layers  layerSet
	picture picture
	whole   bool
	cross   geom.Point // if crossed
	crossed bool
	from    geom.Point // if measured
	meas    bool
	sim     *sim
	at      float64
	center  geom.Point
	feature int
	drawing int
	place   geom.Point // marked, if placed
	placed  bool
	layer   plain.Text // shown as aimed at; "" is none
	units   unit.System
}

// maxLevel magnifies 256 times: a plate of 3 m down to about 10 mm.
const maxLevel = 8

// rulerLeft is the width of the ruler along Y, rulerDown the height of that
// along X.
const (
	rulerLeft = 6
	rulerDown = 2
)

// zoom changes the magnification and reports whether it changed.
func (m *Model) zoom(step int) bool {
	l := max(0, min(m.plate.level+step, maxLevel))
	if l == m.plate.level || m.scene() == nil {
		return false
	}
	m.plate.level = l
	return true
}

// showHolds lays the stretches in which height is held over the picture, or
// takes them off. It reports whether there are any.
func (m *Model) showHolds() bool {
	s := m.scene()
	if s == nil || !slices.ContainsFunc(s.strokes, func(st stroke) bool { return st.mark == markHold }) {
		return false
	}
	m.plate.layers.toggle(layHolds)
	return true
}

func (m *Model) fitPlate() bool {
	if m.plate.level == 0 {
		return false
	}
	m.plate.level, m.plate.center = 0, nil
	return true
}

// plateLines draws the picture in h lines of exactly w cells.
func (m *Model) plateLines(w, h int) []string {
	k := plateKey{scene: m.scene(), w: w, h: h, level: m.plate.level, layers: m.plate.layers, picture: m.th.picture, whole: m.whole, feature: -1, drawing: -1, units: m.d.Job.Units}
	s := k.scene
	if s != nil {
		if a := m.aimed(); a != nil {
			k.feature = a.feature
			k.drawing = a.drawing
			k.layer = a.layer
			if a.place != nil && a.drawn != s.planned {
				k.place, k.placed = *a.place, true
			}
		}
		if !s.planned && k.drawing < 0 {
			k.drawing = 0
		}
		if s.planned {
			k.drawing = -1
		}
		box := s.box(k.drawing)
		k.center = box.Center()
		if c, ok := s.center(k.feature); ok && k.level > 0 {
			k.center = c
		}
		if k.placed && k.level > 0 {
			k.center = k.place
		}
		m.overPlate(&k)
	}
	if k == m.plate.key && m.plate.lines != nil {
		return m.plate.lines
	}
	m.plate.key = k
	m.plate.lines = m.drawPlate(k)
	return m.plate.lines
}

// overPlate is what the whole screen adds: the cross, what is measured, the run
// of the program.
func (m *Model) overPlate(k *plateKey) {
	v := &m.plate
	if !k.whole {
		return
	}
	if v.center != nil && k.level > 0 {
		k.center = *v.center
	}
	if v.cross != nil {
		k.cross, k.crossed = *v.cross, true
		if v.picked >= 0 && k.scene.prog != nil && v.picked < len(k.scene.prog.Cuts) {
			k.feature = k.scene.prog.Cuts[v.picked].Feature
		}
	}
	if v.from != nil {
		k.from, k.meas = *v.from, true
	}
	if v.sim != nil && v.sim.prog == k.scene.prog {
		k.sim, k.at, k.feature = v.sim, v.sim.at, -1
	}
}

func (m *Model) drawPlate(k plateKey) []string {
	t := &m.th
	out := make([]string, 0, k.h)
	cw, ch := k.w-rulerLeft, k.h-rulerDown
	s := k.scene
	if s == nil || s.box(k.drawing).Empty() || cw < 4 || ch < 2 {
		for i := range k.h {
			l := line{}
			if i == k.h/2 {
				what := "nothing to show yet"
				l = inked(inkFaint, blanks((k.w-len(what))/2)+what)
			}
			var b strings.Builder
			t.paint(&b, l.fit(t, k.w), k.w)
			out = append(out, b.String())
		}
		return out
	}
	under := k
	if k.sim != nil && k.layers.shown(layLoose) {
		under.layers.toggle(layLoose) // what is loose by then is laid on below
	}
	r := m.plateBase(under, cw, ch)
	over := map[int]tagCell{}
	m.plate.hottest = 0
	if k.layers.shown(layHeat) && s.planned {
		m.plate.hottest = r.heat(s, t, over)
	}
	if k.sim != nil {
		r = m.plate.simCut(k, r)
	}
	if k.feature >= 0 {
		r = r.clone()
		for _, i := range s.of[k.feature] {
			r.draw(&s.strokes[i], markAimed)
		}
	}
	if !k.layer.Empty() {
		r = r.clone()
		for i := range s.strokes {
			if st := &s.strokes[i]; st.layer == k.layer && st.drawing == k.drawing {
				r.draw(st, markAimed)
			}
		}
	}
	if k.layers.shown(layOrder) {
		r.tags(s, k.feature, over)
	}
	aimX, aimY := -1, -1
	c, ok := s.center(k.feature)
	if k.placed {
		c, ok = k.place, true
	}
	if ok {
		if x, y, in := r.at(c); in {
			aimX, aimY = x, y
			if k.placed {
				over[y*r.w+x] = tagCell{[]rune(t.here)[0], inkAimed}
			}
		}
	}
	put := func(p geom.Point, sign string, i ink) {
		if x, y, in := r.at(p); in {
			over[y*r.w+x] = tagCell{[]rune(sign)[0], i}
		}
	}
	if k.meas {
		put(k.from, t.from, inkAimed)
	}
	if k.sim != nil {
		m.plate.torch(r, t, over)
	} else if k.crossed {
		put(k.cross, t.here, inkAimed)
		if x, y, in := r.at(k.cross); in {
			aimX, aimY = x, y
		}
	}
	yTicks := ticks(r.oy, r.oy+float64(4*ch)/r.k, ch, 3, k.units)
	for y := range ch {
		var b strings.Builder
		label := ""
		for _, tk := range yTicks {
			if _, ty, ok := r.at(geom.Pt(r.ox, tk.at)); ok && ty == y {
				label = tk.text
			}
		}
		wall, wi := t.wall, inkFaint
		if y == aimY {
			wall, wi = t.aimY, inkAimed
		}
		t.paint(&b, line{{padLeft(label, rulerLeft-1), inkFaint}, {wall, wi}}.fit(t, rulerLeft), rulerLeft)
		r.paintRow(&b, t, y, over)
		out = append(out, b.String())
	}
	return append(out, r.rulerX(t, k.units, aimX)...)
}

// plateBase is the picture without what is aimed at; it is kept, since the
// cursor moves more often than the plate changes.
func (m *Model) plateBase(k plateKey, cw, ch int) *raster {
	k.feature, k.layer, k.place, k.placed = -1, plain.Text{}, geom.Point{}, false
	k.crossed, k.cross, k.meas, k.from, k.sim, k.at, k.picture = false, geom.Point{}, false, geom.Point{}, nil, 0, 0
	if m.plate.base != nil && m.plate.baseKey == k {
		return m.plate.base
	}
	s := k.scene
	r := newRaster(cw, ch, s.box(k.drawing), math.Pow(2, float64(k.level)), k.center)
	for kind := markLoose; kind < markAimed; kind++ {
		if l, ok := markLayer(kind); ok && !k.layers.shown(l) {
			continue
		}
		for i := range s.strokes {
			st := &s.strokes[i]
			if kind == markLoose && st.mark == kind {
				r.fill(st.path, kind)
			} else if st.mark == kind && (s.planned || st.drawing == k.drawing) {
				r.draw(st, kind)
			}
		}
	}
	m.plate.baseKey, m.plate.base = k, r
	return r
}

// tagCell is one sign of an order number.
type tagCell struct {
	r   rune
	ink ink
}

// tags puts the order numbers where there is room; those of the feature that is
// aimed at first, and in brackets.
func (r *raster) tags(s *scene, aimed int, over map[int]tagCell) {
	place := func(tg tag, ink ink) {
		x, y, ok := r.at(tg.at)
		if !ok || x+len(tg.text) > r.w {
			return
		}
		for i := -1; i <= len(tg.text); i++ {
			if _, taken := over[y*r.w+x+i]; taken {
				return
			}
		}
		for i, c := range tg.text {
			over[y*r.w+x+i] = tagCell{c, ink}
		}
	}
	for _, tg := range s.tags {
		if aimed >= 0 && tg.feature == aimed {
			tg.text = "[" + tg.text + "]"
			place(tg, inkAimed)
		}
	}
	for _, tg := range s.tags {
		if tg.feature != aimed && r.roomFor(tg) {
			place(tg, inkOrder)
		}
	}
}

// roomFor reports whether a number is smaller than what it belongs to: where
// it is not, numbers would hide the plate.
func (r *raster) roomFor(tg tag) bool {
	w, h := tg.box.Width()*r.k/2, tg.box.Height()*r.k/4
	return w >= float64(len(tg.text)+1) && h >= 1
}

// paintRow writes one row of cells, one escape sequence for each run of an ink.
func (r *raster) paintRow(b *strings.Builder, t *theme, y int, over map[int]tagCell) {
	now := inkPlain
	b.WriteString(t.pre[now])
	for x := range r.w {
		c := r.cell[y*r.w+x]
		sign, i := c.sign(t.drawn()), c.mark.ink()
		if c.dots == 0 {
			i = now // a blank has no ink
		}
		if o, ok := over[y*r.w+x]; ok {
			sign, i = o.r, o.ink
		}
		if i != now {
			b.WriteString(t.post[now])
			b.WriteString(t.pre[i])
			now = i
		}
		b.WriteRune(sign)
	}
	b.WriteString(t.post[now])
}

type tick struct {
	at   float64 // mm
	text string
}

// ticks lists round figures between lo and hi (mm), at least apart cells from
// one another.
func ticks(lo, hi float64, cells int, apart float64, u unit.System) []tick {
	a, b := u.FromMM(lo), u.FromMM(hi)
	step := (b - a) / float64(cells) * apart
	if !(step > 0) {
		return nil
	}
	e := int(math.Floor(math.Log10(step)))
	for _, f := range []float64{1, 2, 5, 10} {
		if round := f * math.Pow(10, float64(e)); round >= step {
			step = round
			if f == 10 {
				e++
			}
			break
		}
	}
	decimals := max(0, -e)
	var out []tick
	for i := math.Ceil(a / step); i*step <= b; i++ {
		s := unit.Number(i*step, decimals)
		if len(s) < rulerLeft {
			out = append(out, tick{u.ToMM(i * step), s})
		}
	}
	return out
}

// rulerX draws the ruler along X: a line with ticks, and their figures.
func (r *raster) rulerX(t *theme, u unit.System, aim int) []string {
	axis := make([]rune, r.w)
	for i := range axis {
		axis[i] = []rune(t.rule)[0]
	}
	figures := []rune(blanks(r.w))
	free := 0
	for _, tk := range ticks(r.ox, r.ox+float64(2*r.w)/r.k, r.w, 8, u) {
		x, _, _ := r.at(geom.Pt(tk.at, r.oy))
		if x < 0 || x >= r.w {
			continue
		}
		axis[x] = []rune(t.teeDown)[0]
		at := max(0, x-len(tk.text)/2)
		if at < free || at+len(tk.text) > r.w {
			continue
		}
		copy(figures[at:], []rune(tk.text))
		free = at + len(tk.text) + 1
	}
	corner := inked(inkFaint, padLeft(short(u), rulerLeft-1)+t.teeR)
	var top line
	if aim >= 0 {
		top = append(corner, span{string(axis[:aim]), inkFaint}, span{t.aimX, inkAimed}, span{string(axis[aim+1:]), inkFaint})
	} else {
		top = append(corner, span{string(axis), inkFaint})
	}
	var a, b strings.Builder
	w := r.w + rulerLeft
	t.paint(&a, top.fit(t, w), w)
	t.paint(&b, inked(inkFaint, blanks(rulerLeft)+string(figures)).fit(t, w), w)
	return []string{a.String(), b.String()}
}

// short is the unit as it stands on the rulers.
func short(u unit.System) string {
	if u == unit.Inch {
		return "in"
	}
	return "mm"
}
