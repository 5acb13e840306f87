package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/unit"
)

// By hand: every place is a row, and keys move it. Each move is an edit of the
// draft like any other, so that u takes it back.

const halfTurn = math.Pi

// moveSteps are how far one key moves a part, mm.
var moveSteps = []float64{0.5, 1, 5, 10, 50}

func (m *Model) stepRow() row {
	u := m.d.Job.Units
	if m.moveBy == 0 {
		m.moveBy = 10
	}
	r := row{id: "step", label: "one step", value: u.Length(m.moveBy), verb: "next", why: "How far a key moves a part."}
	at := slices.Index(moveSteps, m.moveBy)
	r.act = func(m *Model) tea.Cmd { m.moveBy = moveSteps[(at+1)%len(moveSteps)]; return nil }
	return r
}

// laid is the layout of the draft with what collides, kept until either
// changes: the list is asked for with every key.
type laid struct {
	gen    uint64
	parts  int
	look   *planner.Laid
	places []job.Place
	box    []geom.Box // of each place
	number []int      // of each place: which copy of its drawing it is
	here   []int      // those on the plate that is shown
	bad    map[int]string
	drawn  [][]stroke // of each place
	scene  *scene
}

func (m *Model) layoutNow() *laid {
	if m.laid != nil && m.laid.gen == m.d.Gen && m.laid.parts == len(m.res.tree.Parts) {
		return m.laid
	}
	l, was := &laid{gen: m.d.Gen, parts: len(m.res.tree.Parts)}, m.laid
	if l.parts > 0 && len(m.d.Job.Drawings) > 0 && m.res.readJob.Drawings != nil && len(m.res.readJob.Drawings) == len(m.d.Job.Drawings) {
		if was == nil {
			was = &laid{}
		}
		l.places = planner.PlacesOf(m.d.Job, m.res.tree)
		l.look = planner.LayOut(was.look, m.d.Job, m.res.tree, l.places)
		l.bad, l.box = l.look.Bad, l.look.Boxes
		l.drawn = make([][]stroke, len(l.places))
		for i, w := range l.look.Was {
			if w >= 0 {
				l.drawn[i] = was.drawn[w]
			}
		}
		l.scene = layoutScene(m.d.Job, m.res.tree, l.places, l.bad, l.drawn)
		if line, ok := planner.TrimLine(m.d.Job, m.res.tree); ok {
			l.scene.add(line, markLead, -1, -1)
		}
		number := map[int]int{}
		for i, p := range l.places {
			number[p.Drawing]++
			l.number = append(l.number, number[p.Drawing])
			if max(1, p.Plate) == max(1, m.d.Job.Layout.Plate) {
				l.here = append(l.here, i)
			}
		}
	}
	m.laid = l
	return l
}

// noParts is what stands where no part can be moved.
func (m *Model) noParts() string {
	switch {
	case m.d.Job.Stock.Hold == job.Blank:
		return "blanks lie in the pockets of their fixture"
	case len(m.layoutNow().here) == 0:
		return "nothing lies on this plate"
	}
	return ""
}

func partID(i int) string { return fmt.Sprint("part", i) }

// partRow is the k-th part of the plate that is shown.
func (m *Model) partRow(l *laid, k int) row {
	i := l.here[k]
	p, u, b := l.places[i], m.d.Job.Units, l.box[i]
	deg := form{Dim: job.Angle}
	r := row{id: partID(i), label: cutTo(fmt.Sprintf("#%d %s", l.number[i], m.drawingName(p.Drawing)), labelWidth-2), typed: true, verb: "type",
		value: fmt.Sprintf("%s %s %s", shortLength(b.Min.X, u), shortLength(b.Min.Y, u), deg.show(p.Angle, u)),
		why:   "X and Y of the lower left of its box in " + short(u) + ", and its turn: type 120 40 90, or move it by keys. a puts its left edge in line with that of the part above in this list, g its lower edge; c lays a copy beside it."}
	r.source = sentence("X and Y: " + form{Dim: job.Length}.bounds(job.PlaceAt, u) + " Turn: " + deg.bounds(job.PlaceAngle, u) + " " + upperFirst(job.PlaceAt.Source()))
	if p.Lock {
		r.note, r.state = "locked", stDone
	}
	if why := l.bad[i]; why != "" {
		r.note, r.state, r.bounds = "hits", stWarn, sentence(upperFirst(why))
	}
	c := b.Center()
	r.aim = &aim{feature: -1, drawing: -1, place: &c}
	// put changes this place in a copy of all of them.
	put := func(change func(q *job.Place, box geom.Box)) func(*Draft) {
		return func(d *Draft) {
			places := slices.Clone(l.places)
			change(&places[i], b)
			d.Job.Layout.Places = places
		}
	}
	move := func(dx, dy float64) func(*Draft) {
		return put(func(q *job.Place, _ geom.Box) { q.X += dx; q.Y += dy })
	}
	r.begin = func() string {
		return fmt.Sprintf("%s %s %s", bareLength(b.Min.X, u), bareLength(b.Min.Y, u), deg.typed(p.Angle, u))
	}
	r.check = func(s string) (func(*Draft), string) {
		f := strings.Fields(s)
		if len(f) != 2 && len(f) != 3 {
			return nil, "Type X, Y and the angle, with spaces between."
		}
		at, no := lengths(strings.Join(f[:2], " "), u, 2)
		if no != "" {
			return nil, no
		}
		q := p
		if len(f) == 3 {
			a, err := deg.parse(f[2], u)
			if err != nil || job.PlaceAngle.Check(a, u) != nil {
				return nil, "The angle must be -360 to 360 deg."
			}
			q.Angle = a
		}
		for _, v := range at {
			if err := job.PlaceAt.Check(v, u); err != nil {
				return nil, sentence(err.Error())
			}
		}
		now := planner.PlaceBox(m.res.tree, q)
		q.X += at[0] - now.Min.X
		q.Y += at[1] - now.Min.Y
		return put(func(o *job.Place, _ geom.Box) { *o = q }), ""
	}
	do := func(change func(*Draft)) func(*Model) tea.Cmd {
		return func(m *Model) tea.Cmd { return m.change(change) }
	}
	r.keys = map[string]func(*Model) tea.Cmd{
		"left": do(move(-m.moveBy, 0)), "h": do(move(-m.moveBy, 0)), "right": do(move(m.moveBy, 0)), "l": do(move(m.moveBy, 0)),
		"w": do(move(0, m.moveBy)), "s": do(move(0, -m.moveBy)),
		".": do(put(func(q *job.Place, box geom.Box) { *q = turnedPlace(m, *q, box) })),
		"o": do(put(func(q *job.Place, _ geom.Box) { q.Lock = !q.Lock })),
		"c": func(m *Model) tea.Cmd {
			cmd := m.change(func(d *Draft) {
				q := p
				q.X += b.Width() + planner.GapBeside(m.d.Job, m.res.tree, p)
				q.Lock = false
				d.Job.Layout.Places = slices.Insert(slices.Clone(l.places), i+1, q)
				d.Job.Drawings[p.Drawing].Quantity = placedOf(d.Job.Layout.Places, p.Drawing)
			})
			m.spot().id = partID(i + 1)
			return cmd
		},
		"d": do(func(d *Draft) {
			d.Job.Layout.Places = lessOne(l.places, i)
			d.Job.Drawings[p.Drawing].Quantity = max(1, placedOf(d.Job.Layout.Places, p.Drawing))
		}),
	}
	if k > 0 {
		o := l.box[l.here[k-1]]
		r.keys["a"] = do(move(o.Min.X-b.Min.X, 0))
		r.keys["g"] = do(move(0, o.Min.Y-b.Min.Y))
	}
	return r
}

// layoutScene is the plate with the outlines of what lies on it; what collides
// stands out. drawn has the strokes of the places that are drawn already, and
// is given those of the others; nil if nobody keeps them.
func layoutScene(j job.Job, t feature.Tree, places []job.Place, bad map[int]string, drawn [][]stroke) *scene {
	s := &scene{planned: true, of: map[int][]int{}}
	plate := max(1, j.Layout.Plate)
	metal, _ := layout.MetalOf(j.Stock, plate)
	box := metal.Box
	n, hits := 0, 0
	for _, e := range metal.Edges {
		s.add(e, markStock, -1, -1)
	}
	for _, k := range metal.Keep {
		s.add(k.Path, markOpen, -1, -1)
	}
	if drawn == nil {
		drawn = make([][]stroke, len(places))
	}
	for i, p := range places {
		if max(1, p.Plate) != plate {
			continue
		}
		n++
		mark := markPart
		if bad[i] != "" {
			hits++
			mark = markOpen
		}
		if drawn[i] == nil {
			drawn[i] = placeStrokes(t, p)
		}
		for _, k := range drawn[i] {
			box = box.Union(k.box)
			k.mark = mark
			s.strokes = append(s.strokes, k)
		}
	}
	s.boxes = []geom.Box{box}
	s.name = "layout, " + count(n, "part")
	if hits > 0 {
		s.name += fmt.Sprintf(", %d hit", hits)
	}
	return s
}

// placeStrokes are the edges of a copy as it lies.
func placeStrokes(t feature.Tree, p job.Place) []stroke {
	s := scene{}
	move := geom.Move{Mirror: p.Mirror, Angle: p.Angle, Shift: geom.Pt(p.X, p.Y)}
	for _, part := range t.Parts {
		if part.Drawing != p.Drawing {
			continue
		}
		for _, k := range part.Features {
			s.add(move.Path(t.Features[k].Loop), markPart, -1, -1)
		}
	}
	return s.strokes
}

// turnedPlace turns a place about the middle of its box, by what its drawing
// allows: a half turn where only that is allowed, else a quarter.
func turnedPlace(m *Model, q job.Place, box geom.Box) job.Place {
	by := halfTurn / 2
	if m.d.Job.Drawings[q.Drawing].Turns == job.TurnHalf {
		by = halfTurn
	}
	q.Angle = math.Remainder(q.Angle+by, 2*halfTurn)
	now := planner.PlaceBox(m.res.tree, q)
	d := box.Center().Sub(now.Center())
	q.X += d.X
	q.Y += d.Y
	return q
}

func placedOf(places []job.Place, drawing int) int {
	n := 0
	for _, p := range places {
		if p.Drawing == drawing {
			n++
		}
	}
	return n
}

// bareLength is a length without its unit, two decimals of a mm or three of
// an inch.
func bareLength(mm float64, u unit.System) string {
	if u == unit.Inch {
		return unit.Number(u.FromMM(mm), 3)
	}
	return unit.Number(mm, 2)
}

// shortLength is a length without its unit where there is little room: a tenth
// of a mm or a hundredth of an inch is as near as a part is laid by eye.
func shortLength(mm float64, u unit.System) string {
	if u == unit.Inch {
		return unit.Number(u.FromMM(mm), 2)
	}
	return unit.Number(mm, 1)
}

// lengths reads n lengths with spaces between; no says what is wrong.
func lengths(s string, u unit.System, n int) (v []float64, no string) {
	f := strings.Fields(s)
	if len(f) != n {
		return nil, fmt.Sprintf("Type %d numbers, with spaces between.", n)
	}
	for _, x := range f {
		mm, err := unit.ParseLength(x, u)
		if err != nil {
			return nil, sentence(err.Error())
		}
		v = append(v, mm)
	}
	return v, ""
}
