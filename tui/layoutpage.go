package tui

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// nesting is the part of an Engine that lays out and knows the rack.
type nesting interface {
	Nest(ctx context.Context, j job.Job, loops []*drawing.Loops) (planner.Nested, fault.List)
	// Offcuts lists what lies in the rack of the metal wanted.
	Offcuts(s job.Stock) []Offcut
}

// Offcut is a piece of the rack that can be put on the table.
type Offcut struct {
	Name  string
	About string // its size and where it is from
	Stock job.Stock
}

// layoutView is the page on which parts are laid out, by itself and by hand.
type layoutView struct{ formPage }

func layoutPage() view {
	return layoutView{formPage{name: "layout", head: "layout: parts on the plate", rows: layoutRows,
		about: "Which plates there are, what of them may not be used, and where every part lies. A nest looks for places by the true shapes, for about ten seconds or until esc, and shows the best so far; the same job, start and search steps give the same places. Then parts can be moved by hand: what touches or hangs over is marked at once, u takes a move back. A locked part stays where it is when the rest is nested again."}}
}

var (
	keyStepX = bind("←→", "X", "left", "right")
	keyUpY   = bind("w s", "Y", "w", "s")
	keySpin  = bind(".", "turn", ".")
	keyLock  = bind("o", "lock", "o")
	keyCopy  = bind("c", "copy", "c")
	keyLevel = bind("a g", "align", "a", "g")
	keyOff   = bind("d", "off", "d")
)

func (layoutView) keys(_ *Model, r row) []key.Binding {
	switch {
	case strings.HasPrefix(r.id, "part"):
		return []key.Binding{keyStepX, keyUpY, keySpin, keyLock, keyCopy, keyLevel, keyOff}
	case strings.HasPrefix(r.id, "keep"):
		return []key.Binding{keyOff}
	}
	return nil
}

// layoutRow is the line of the stock stage that opens the page.
func (m *Model) layoutRow() row {
	j := &m.d.Job
	value := ""
	switch n := len(j.Layout.Places); {
	case n > 0:
		plates := 1
		for _, p := range j.Layout.Places {
			plates = max(plates, p.Plate)
		}
		value = fmt.Sprintf("%s on %s", count(n, "place"), count(plates, "plate"))
	case len(j.Stock.KeepOuts) > 0 || j.Stock.Sheets > 1:
		value = "in rows"
	}
	return opens("layout", "layout", value, "in rows", "Where parts lie: offcuts, clamps, several plates, a nest by true shapes, and places by hand.", layoutPage())
}

func layoutRows(m *Model) []row {
	j := &m.d.Job
	var rows []row
	head := func(s string) { rows = append(rows, row{head: true, label: s}) }
	add := func(r ...row) { rows = append(rows, r...) }

	head("plate")
	add(m.offcutRow())
	if s := j.Stock.Shape; s != nil && s.Kind == job.ShapeDisc {
		add(m.num(num{field: job.ShapeDiameter, label: "diameter", must: true,
			get: func(j *job.Job) (float64, bool) { v := j.Stock.Shape.Value(job.ShapeDiameter); return v, v != 0 },
			put: func(j *job.Job, v float64) { s := j.Stock.Shape.With(job.ShapeDiameter, v); j.Stock.Shape = &s },
			why: "Of the round plate as it lies on the table."}))
	}
	add(m.num(num{field: job.StockSheets, label: "how many", empty: "rule: one",
		get:  func(j *job.Job) (float64, bool) { return float64(j.Stock.Sheets), j.Stock.Sheets != 0 },
		put:  func(j *job.Job, v float64) { j.Stock.Sheets = int(v) },
		none: func(j *job.Job) { j.Stock.Sheets = 0 },
		why:  "What does not fit the first plate goes on the next; each has its own program."}))
	plates := m.plates()
	if plates > 1 {
		at := max(1, j.Layout.Plate)
		r := row{id: "plate", label: "plate shown", value: fmt.Sprintf("%d of %d", at, plates), why: "Left and right go through the plates. What is shown, planned and checked is this one; a save plans and writes them all.", verb: "next"}
		go1 := func(n int) func(*Draft) { return func(d *Draft) { d.Job.Layout.Plate = n } }
		r.turn = func(step int) func(*Draft) {
			if n := at + step; n >= 1 && n <= plates {
				return go1(n)
			}
			return nil
		}
		r.act = func(m *Model) tea.Cmd { return m.change(go1(at%plates + 1)) }
		add(r)
	}
	for i := range j.Stock.KeepOuts {
		add(m.keepOutRow(i))
	}
	for _, k := range []struct {
		id, label, why string
		kind           job.KeepOutKind
	}{{"clamp", "add a clamp", "It stands over the plate: no part or lead beside it, and rapids pass high or round it.", job.Clamp},
		{"bad", "add a bad spot", "A weld, a dent, a hole: no part may have it.", job.BadSpot}} {
		add(row{id: k.id, label: k.label, verb: "add", why: k.why, act: func(m *Model) tea.Cmd {
			b := planner.StockBox(m.d.Job.Stock).Center()
			return m.change(func(d *Draft) {
				d.Job.Stock.KeepOuts = append(d.Job.Stock.KeepOuts, job.KeepOut{Kind: k.kind, X: b.X, Y: b.Y, Width: 50, Height: 50})
			})
		}})
	}
	add(choose(m, choice[job.Opt]{id: "grain", label: "rolled along", free: true,
		of:  []pick[job.Opt]{{job.Of(0), "X", ""}, {job.Of(halfTurn / 2), "Y", ""}},
		get: func(j *job.Job) job.Opt { return j.Stock.Grain }, put: func(j *job.Job, v job.Opt) { j.Stock.Grain = v },
		why: "The grain of the sheet. It matters only to parts that ask for it."}))

	head("how parts may lie")
	if r, ok := m.apartRow(); ok {
		add(r)
	}
	for i := range j.Drawings {
		any := job.TurnAny
		add(choose(m, choice[job.Turning]{id: fmt.Sprint("turns", i), label: m.drawingName(i), rule: &any,
			of: []pick[job.Turning]{{job.TurnAny, "any angle", ""}, {job.TurnQuarter, "by quarters", "as drawn, and turned by 90, 180, 270 degrees"},
				{job.TurnHalf, "by halves", "as drawn, and turned by 180 degrees"}, {job.TurnFixed, "as drawn", ""}},
			get: func(j *job.Job) job.Turning { return j.Drawings[i].Turns }, put: func(j *job.Job, v job.Turning) { j.Drawings[i].Turns = v },
			why: "How a nest, or rows, may turn it."}))
		add(m.num(num{field: job.DrawingQuantity, id: fmt.Sprint("wanted", i), label: "  wanted", empty: "rule: one",
			get:  func(j *job.Job) (float64, bool) { return float64(j.Drawings[i].Quantity), j.Drawings[i].Quantity != 0 },
			put:  func(j *job.Job, v float64) { j.Drawings[i].Quantity = int(v) },
			none: func(j *job.Job) { j.Drawings[i].Quantity = 0 },
			why:  "Copies of it."}))
		add(flag(fmt.Sprint("flip", i), "  may be turned over", j.Drawings[i].Flip, func(d *Draft, v bool) { d.Job.Drawings[i].Flip = v },
			"Only if its two sides are alike: the square side of the cut changes hands."))
	}

	head("straight edges side by side")
	add(m.shareRows()...)

	head("what is left of the plate")
	add(m.trimRows()...)

	head("nest")
	add(m.nestRow())
	if len(j.Layout.Places) > 0 {
		add(row{id: "rows", label: "back to rows", verb: "take back", why: "Drops all places but the locked ones; without any, parts lie in rows again.",
			act: func(m *Model) tea.Cmd {
				return m.change(func(d *Draft) {
					l := &d.Job.Layout
					l.Places = slices.DeleteFunc(l.Places, func(p job.Place) bool { return !p.Lock })
					l.Method, l.Plate = "", 0
					if len(l.Places) == 0 {
						l.Places = nil
					}
				})
			}})
	}
	add(m.num(num{field: job.LayoutSeed, label: "another start", empty: "rule: 1", only: anyStart,
		get:  func(j *job.Job) (float64, bool) { return float64(j.Layout.Seed), j.Layout.Seed != 0 },
		put:  func(j *job.Job, v float64) { j.Layout.Seed = int64(v) },
		none: func(j *job.Job) { j.Layout.Seed = 0 }, why: "Where the nest begins to look. Another number gives another layout of the same parts, better or worse; the same number gives the same."}))
	add(m.num(num{field: job.LayoutRounds, label: "search steps", empty: "rule: some 10 s",
		get:  func(j *job.Job) (float64, bool) { return float64(j.Layout.Rounds), j.Layout.Rounds != 0 },
		put:  func(j *job.Job, v float64) { j.Layout.Rounds = int(v) },
		none: func(j *job.Job) { j.Layout.Rounds = 0 }, why: "How long it looks: a step is a thousand places tried, 15000 of them are some ten seconds."}))

	head("parts by hand: X and Y in " + short(j.Units) + ", turn")
	add(m.stepRow())
	if s := m.noParts(); s != "" {
		add(row{id: "none", plain: text(s)})
	}
	return rows
}

// list makes the rows of parts when they are asked for: there may be thousands.
// Every row shows the plate as it is laid out, also where no plan can be made
// yet.
func (v layoutView) list(m *Model) list {
	l, head := m.layoutNow(), rowsList(v.rows(m))
	shown := l.scene
	if best := m.bestSoFar(); best != nil {
		shown = best
	}
	parts := len(l.here)
	if m.noParts() != "" {
		parts = 0
	}
	return list{n: head.n + parts,
		at: func(i int) row {
			var r row
			if i < head.n {
				r = head.at(i)
			} else {
				r = m.partRow(l, i-head.n)
			}
			if r.aim == nil {
				r.aim = &aim{feature: -1, drawing: -1}
			}
			r.aim.scene = shown
			return r
		},
		find: func(id string) int {
			i := 0
			if _, err := fmt.Sscanf(id, "part%d", &i); err == nil {
				if k, there := slices.BinarySearch(l.here, i); there && parts > 0 {
					return head.n + k
				}
				return -1
			}
			return head.find(id)
		}}
}

// plates is how many plates parts lie on.
func (m *Model) plates() int {
	n := max(1, m.d.Job.Layout.Plate)
	if p := m.res.prog; p != nil {
		n = max(n, p.Plates)
	}
	for _, p := range m.d.Job.Layout.Places {
		n = max(n, p.Plate)
	}
	return n
}

// offcutRow says what lies on the table, and offers what the rack holds.
func (m *Model) offcutRow() row {
	st := m.d.Job.Stock
	u := m.d.Job.Units
	b := planner.StockBox(st)
	r := row{id: "offcut", label: "lies there", value: "a sheet", verb: "all choices", why: "A sheet, or a flat bar, has the size typed on stage 1. A disc is typed here. What is in the rack was put there after a save, on stage 5. An offcut that you drew comes in with kerfwright new --stock FILE."}
	switch {
	case st.Shape != nil:
		r.value = "a " + strings.ReplaceAll(string(st.Shape.Kind), "-", " ")
	case len(st.Outline) > 0:
		r.value = "an offcut"
		if !st.From.Empty() {
			r.value = "offcut " + st.From.String()
		}
	}
	if b.Width() > 0 {
		r.note = sizes(b.Width(), b.Height(), u)
	}
	offer := func(m *Model, rack []Offcut) {
		st := m.d.Job.Stock
		p := listPage{name: "offcut", head: "what lies on the table", why: r.why}
		bare := func(s *job.Stock) { s.Shape, s.Outline, s.From = nil, nil, plain.Text{} }
		p.of = append(p.of, option{name: "a sheet or a bar, of its width and height", now: st.Shape == nil && len(st.Outline) == 0, change: func(d *Draft) { bare(&d.Job.Stock) }},
			option{name: "a disc", now: st.Shape != nil, change: func(d *Draft) { bare(&d.Job.Stock); d.Job.Stock.Shape = &job.Shape{Kind: job.ShapeDisc} }})
		for _, o := range rack {
			p.of = append(p.of, option{name: "remnant " + o.Name + ", " + o.About, now: len(st.Outline) > 0 && st.From.String() == o.Name,
				change: func(d *Draft) {
					thick := d.Job.Stock.Thickness
					d.Job.Stock = o.Stock
					if thick > 0 {
						d.Job.Stock.Thickness = thick
					}
				}})
		}
		m.layList(p)
	}
	r.act = func(m *Model) tea.Cmd {
		e, ok := m.eng.(nesting)
		if !ok {
			offer(m, nil)
			return nil
		}
		return m.work("look at the rack", func() tea.Msg { return rackDone{e.Offcuts(st), offer} })
	}
	return r
}

// rackDone is what lies in the rack, for the list that was asked for.
type rackDone struct {
	rack  []Offcut
	offer func(m *Model, rack []Offcut)
}

func (m *Model) onRack(msg rackDone) {
	if m.top().id() == "form:layout" { // still where it was asked for
		msg.offer(m, msg.rack)
	}
}

// keepOutRow is one clamp or bad spot: its middle and size on one line.
func (m *Model) keepOutRow(i int) row {
	k := m.d.Job.Stock.KeepOuts[i]
	u := m.d.Job.Units
	name := "bad spot"
	if k.Kind == job.Clamp {
		name = "clamp"
	}
	r := row{id: fmt.Sprint("keep", i), label: name, typed: true, verb: "type X Y and its size",
		value: fmt.Sprintf("X %s Y %s, %s", bareLength(k.X, u), bareLength(k.Y, u), sizes(k.Width, k.Height, u)),
		why:   "Its middle from XY zero, and its size: four numbers, such as 30 200 60 40. d takes it away."}
	if k.Diameter > 0 {
		r.value = fmt.Sprintf("X %s Y %s, round %s", bareLength(k.X, u), bareLength(k.Y, u), u.Length(k.Diameter))
	}
	r.source = sentence("Middle: " + form{Dim: job.Length}.bounds(job.KeepOutAt, u) + " Size: " + form{Dim: job.Length}.bounds(job.KeepOutSize, u) + " " + upperFirst(job.KeepOutAt.Source()))
	r.begin = func() string {
		return fmt.Sprintf("%s %s %s %s", bareLength(k.X, u), bareLength(k.Y, u), bareLength(k.Width, u), bareLength(k.Height, u))
	}
	r.check = func(s string) (func(*Draft), string) {
		v, no := lengths(s, u, 4)
		if no != "" {
			return nil, no
		}
		for n, f := range []job.Field{job.KeepOutAt, job.KeepOutAt, job.KeepOutSize, job.KeepOutSize} {
			if err := f.Check(v[n], u); err != nil {
				return nil, sentence(err.Error())
			}
		}
		return func(d *Draft) {
			o := &d.Job.Stock.KeepOuts[i]
			o.X, o.Y, o.Width, o.Height, o.Diameter = v[0], v[1], v[2], v[3], 0
		}, ""
	}
	r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
		return m.change(func(d *Draft) { d.Job.Stock.KeepOuts = lessOne(d.Job.Stock.KeepOuts, i) })
	}}
	return r
}

type nestDone struct {
	gen    uint64
	nested planner.Nested
	faults fault.List
}

// nestRow sets a nest going.
func (m *Model) nestRow() row {
	r := row{id: "nest", label: "nest the parts", verb: "begin", why: "Looks for places by the true shapes, on as few plates and as little of the last as it can. The plate shows the best so far; esc keeps it."}
	if m.d.Job.Layout.Method == job.MethodNest && len(m.d.Job.Layout.Places) > 0 {
		r.value, r.state = "done", stDone
	}
	e, ok := m.eng.(nesting)
	if !ok || m.res.loops == nil || m.res.busy == "reading" {
		r.note = "waits for the drawings"
		return r
	}
	r.act = func(m *Model) tea.Cmd {
		for _, b := range m.blocks {
			if b.plan {
				m.say(inkWarn, "first what is open: n goes there.")
				return nil
			}
		}
		j, loops, gen := m.d.Job, m.res.loops, m.d.Gen
		m.say(inkPlain, "nesting: the plate shows the best so far, esc keeps it")
		cmd := m.long("nest the parts", func(ctx context.Context) tea.Msg {
			out, faults := e.Nest(ctx, j, loops)
			if ctx.Err() != nil {
				return nil
			}
			return nestDone{gen, out, faults}
		})
		r, tree := m.waited(), m.res.tree
		r.keeps = true
		r.draw = func(look any) *scene {
			n, ok := look.(*planner.Nested)
			if !ok {
				return nil
			}
			s := layoutScene(j.On(max(1, n.Plates)), tree, n.Places, nil, nil)
			s.name = bestName(n, j.Units)
			return s
		}
		return cmd
	}
	return r
}

// bestName heads the picture of a nest under way: the length that it uses is
// what becomes less while one waits.
func bestName(n *planner.Nested, u unit.System) string {
	if len(n.Length) == 0 {
		return "best so far"
	}
	used := shortLength(n.Length[len(n.Length)-1], u) + " " + short(u)
	if n.Plates > 1 {
		return fmt.Sprintf("best: plate %d, %s", n.Plates, used)
	}
	return "best so far, " + used + " used"
}

func (m *Model) onNest(msg nestDone) tea.Cmd {
	if msg.gen != m.d.Gen {
		m.say(inkWarn, "the job was changed meanwhile: nest it again.")
		return nil
	}
	bad := msg.faults.At(fault.Error)
	if len(msg.nested.Places) == 0 {
		if len(bad) > 0 {
			m.say(inkBad, bad[0].Error())
		}
		return nil
	}
	n := msg.nested
	cmd := m.change(func(d *Draft) {
		d.Job.Layout.Places, d.Job.Layout.Method, d.Job.Layout.Plate = n.Places, job.MethodNest, 0
	})
	if len(bad) > 0 {
		m.say(inkBad, bad[0].Error())
	} else {
		more := ""
		if n.Gap > planner.GapOf(m.d.Job) {
			more = fmt.Sprintf(" For their leads they lie %s apart.", m.d.Job.Units.Length(n.Gap))
		}
		m.say(inkGood, fmt.Sprintf("%s on %s by %s: parts take %.1f %% of the length used.%s", count(len(n.Places), "part"), count(n.Plates, "plate"), n.How, 100*n.Density, more))
	}
	return cmd
}
