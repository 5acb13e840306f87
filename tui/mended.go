package tui

import (
	"fmt"
	"path/filepath"
	"strconv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// mendedPage is what was joined, mended, dropped and left open in one drawing,
// each line with its place on the picture, and the gap that decides about it.
type mendedPage struct {
	page
	n int
}

func (p mendedPage) id() string            { return fmt.Sprint("mended", p.n) }
func (p mendedPage) title(m *Model) string { return "mended in " + m.drawingName(p.n) }
func (p mendedPage) explain() string {
	return "What was joined, merged, dropped and left open while the drawing was read. The cross on the picture is the place of the line under the cursor; enter brings it near. " +
		"Left and right on the first line change the gap up to which ends are joined: the drawing is mended anew at once. A gap wider than a line is long joins what does not belong together: look at the picture."
}

func (p mendedPage) list(m *Model) list {
	if p.n >= len(m.d.Job.Drawings) {
		return rowsList(nil)
	}
	l := m.loops(p.n)
	var rows []row
	add := func(r row) {
		if r.aim == nil {
			r.aim = &aim{feature: -1, drawing: p.n, drawn: true}
		}
		rows = append(rows, r)
	}
	add(m.gapRow(p.n))
	if l == nil {
		add(row{id: "none", plain: text("the drawing cannot be read: t tells why")})
		return rowsList(rows)
	}
	open := row{id: "open", label: "left open", value: count(len(l.Open), "line"), state: stDone,
		why: "A line that is not closed is not cut through."}
	if len(l.Open) > 0 {
		open.state = stWarn
		open.bounds = "Each is below, with the smallest gap that would close it."
	}
	add(row{id: "closed", label: "closed", value: count(len(l.Closed), "loop"), why: "Outlines, holes, slots and cut-outs."})
	add(open)
	add(row{head: true, label: fmt.Sprintf("what was done, %s", count(len(l.Report), "line"))})
	if len(l.Report) == 0 {
		add(row{id: "nothing", plain: text("nothing had to be done"), why: "Every line met the next as drawn."})
	}
	w := m.leftWidth(p) - 6
	for k, f := range l.Report.Sorted() {
		r := row{id: "r" + strconv.Itoa(k), state: faultState(f), why: f.Brief(), aim: m.placeOf(f)}
		if r.aim != nil {
			r.verb = "bring it near"
			r.act = func(m *Model) tea.Cmd { m.bringNear(); return nil }
		}
		if f.Severity == fault.Note {
			r.state = stGood
		}
		f.Entity = ""
		for _, r := range r.spread(2, text(shortly(f)), span{}, w) {
			add(r)
		}
	}
	return rowsList(rows)
}

// shortly is what a fault says, without its place: the picture shows that.
func shortly(f fault.Fault) string { return plain.Clean(f.What) }

// gapRow is the gap up to which ends are joined, as a slider.
func (m *Model) gapRow(n int) row {
	u := m.d.Job.Units
	at := func(j *job.Job) *float64 { return &j.Drawings[n].Gap }
	r := m.num(num{field: job.DrawingGap, label: "close gaps up to", empty: "rule: " + u.Length(geom.Gap),
		get:  func(j *job.Job) (float64, bool) { return *at(j), *at(j) != 0 },
		put:  func(j *job.Job, v float64) { *at(j) = v },
		none: func(j *job.Job) { *at(j) = 0 },
		why:  "Ends of lines that lie closer than this are joined. Left and right change it; the picture follows."})
	r.turn = func(step int) func(*Draft) {
		now := *at(&m.d.Job)
		if now == 0 {
			now = geom.Gap
		}
		in := u
		if in == unit.Unknown {
			in = unit.MM
		}
		// Read back as it would be typed, so that the job file holds a round figure.
		shown := step125(in.FromMM(now), step)
		to, err := in.ReadMM(unit.Number(shown, 6))
		if err != nil || job.DrawingGap.Check(to, u) != nil || to == now {
			return nil
		}
		return func(d *Draft) { *at(&d.Job) = to }
	}
	return r
}

// placeOf is where a fault is to be seen, nil if it has no place.
func (m *Model) placeOf(f fault.Fault) *aim {
	a := &aim{feature: -1, drawing: -1, place: &geom.Point{X: f.X, Y: f.Y}}
	switch f.Frame {
	case fault.OnStock:
		return a
	case fault.InDrawing:
	default:
		return nil
	}
	a.drawn = true
	for i, d := range m.d.Job.Drawings {
		if plain.Of(d.File).String() == plain.Of(f.File).String() {
			a.drawing = i
		}
	}
	if i := m.featureIndex(featureOf(f.Feature)); i >= 0 {
		a.feature, a.drawing = i, m.res.tree.Parts[m.res.tree.Features[i].Part].Drawing
	}
	if a.drawing < 0 {
		if len(m.d.Job.Drawings) != 1 {
			return nil
		}
		a.drawing = 0
	}
	return a
}

// nearLevel is how much a place is magnified when it is brought near.
const nearLevel = 3

// bringNear shows the place under the cursor on the whole screen, magnified.
func (m *Model) bringNear() {
	m.showPlate()
	m.plate.level = max(m.plate.level, nearLevel)
}

// drawingName is what a drawing is called on the screen.
func (m *Model) drawingName(n int) string {
	if n >= len(m.d.Job.Drawings) {
		return "drawing"
	}
	d := m.d.Job.Drawings[n]
	if d.Shape != nil {
		return shapeName(d.Shape.Kind)
	}
	name := plain.Clean(filepath.Base(filepath.FromSlash(d.File)))
	if d.Part > 0 {
		name += fmt.Sprint(" part ", d.Part)
	}
	return name
}
