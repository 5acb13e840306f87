package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
)

// Edits of parts and features: each is a line of the job, in order, and the
// drawing's own file stays as it is.

// editsPage lists all edits, and the parts that can be edited.
func editsPage() view {
	return formPage{name: "edits", head: "edits of parts and features", rows: editsRows,
		about: "What is changed of the drawings, here at the controller. Edits are made in their order, each on what those before it left; d takes one back. The drawing's own file is never changed. A size that you type goes before the corrections of its part, so that they act on it too. The proof makes every edit by itself from the drawing and compares."}
}

// editsRow is the line of the features stage that opens the page.
func (m *Model) editsRow() row {
	value := "none: all as drawn"
	if n := len(m.d.Job.Edits); n > 0 {
		value = count(n, "edit")
	}
	r := opens("edits", "edits", value, "", "Turn, mirror, scale or correct a part, change or add holes and slots, and take an edit back.", editsPage())
	for i := range m.d.Job.Edits {
		r.state = max3(r.state, m.editState(i, nil))
	}
	return r
}

func editID(i int) string { return fmt.Sprint("edit", i) }

// editOf is the number, from 1, of the edit that a fault is about; 0 is none.
func (m *Model) editOf(f fault.Fault) int {
	n := 0
	if _, err := fmt.Sscanf(f.Entity, "edits[%d]", &n); err == nil && n <= len(m.d.Job.Edits) {
		return n
	}
	if strings.HasPrefix(f.Code, "edit-") && m.featureIndex(f.Feature) < 0 {
		for i, e := range m.d.Job.Edits {
			if e.Part() == f.Feature {
				n = i + 1 // the last on that part
			}
		}
	}
	return n
}

// editState is how an edit stands by what the planner said; tell gets the
// faults.
func (m *Model) editState(i int, tell func(fault.Fault)) state {
	st := stGood
	for _, f := range m.res.told {
		on := strings.HasPrefix(f.Code, "edit-") && f.Feature == m.d.Job.Edits[i].On
		if n := m.editOf(f); n != i+1 && (n > 0 || !on) {
			continue
		}
		st = max3(st, faultState(f))
		if tell != nil {
			tell(f)
		}
	}
	return st
}

// editLines are the edits that of picks, each with what it changed.
func (m *Model) editLines(head string, w int, of func(job.Edit) bool) []row {
	j := &m.d.Job
	var rows []row
	for i, l := range planner.EditLines(*j, m.res.tree) {
		if !of(j.Edits[i]) {
			continue
		}
		if rows == nil {
			rows = append(rows, row{head: true, label: head})
		}
		r := row{id: editID(i), verb: "open", why: "Enter opens what it is on; d takes the edit back."}
		r.state = m.editState(i, func(f fault.Fault) { r.bounds = sentence(upperFirst(f.What)) + " " + f.Do })
		spans := line{{fmt.Sprintf("%d %s %s", l.N, l.On, l.What), inkPlain}}
		if l.OK && l.Change() != "" {
			spans[0].s += ","
			spans = append(spans, span{l.Change(), inkFaint})
		}
		if n := j.Edits[i].Note; !n.Empty() {
			spans = append(spans, span{"note: " + n.String(), inkFaint})
		}
		r.act = func(m *Model) tea.Cmd { m.lay(m.pageOf(j.Edits[i])); return nil }
		r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
			return m.change(func(d *Draft) { d.Job = planner.WithoutEdit(d.Job, i+1) })
		}}
		if k := m.featureIndex(l.On); k >= 0 {
			r.aim = &aim{feature: k, drawing: m.res.tree.Parts[m.res.tree.Features[k].Part].Drawing}
		}
		rows = append(rows, r.spread(3, spans, span{}, w)...)
	}
	return rows
}

// pageOf is where what an edit is on is changed.
func (m *Model) pageOf(e job.Edit) view {
	if m.featureIndex(e.On) >= 0 {
		return featurePage{id_: e.On}
	}
	return partPage(e.Part())
}

func editsRows(m *Model) []row {
	t, u := &m.res.tree, m.d.Job.Units
	v := m.top()
	rows := m.editLines("in this order; d takes one back", m.leftWidth(v)-6, func(job.Edit) bool { return true })
	if rows == nil {
		rows = append(rows, row{id: "none", plain: text("no edits: everything is as drawn"), why: "Choose a part below, or a hole or slot on the features stage."})
	}
	rows = append(rows, row{head: true, label: "parts"})
	for _, p := range t.Parts {
		if p.Outline < 0 || p.Drawing < 0 {
			continue
		}
		_, now := planner.PartSizes(*t, p.ID)
		r := row{id: "part:" + p.ID, label: cutTo(p.ID+" "+p.Name.String(), labelWidth-2), value: sizes(now.Width, now.Height, u), verb: "edit", why: sentence(p.Name.String()) + " Turn, mirror, scale or correct it, add a hole or a slot.",
			aim: &aim{feature: p.Outline, drawing: p.Drawing}}
		r.act = func(m *Model) tea.Cmd { m.lay(partPage(p.ID)); return nil }
		rows = append(rows, r)
	}
	return rows
}

// addEdit makes an edit, and says what goes along with it.
func (m *Model) addEdit(e job.Edit) tea.Cmd {
	return m.change(func(d *Draft) { d.Job.Edits = planner.WithEdit(d.Job.Edits, e) })
}

var (
	turnFigures    = []figure{{name: "by", field: job.EditAngle}}
	scaleFigures   = []figure{{name: "by", field: job.EditFactor}}
	correctFigures = []figure{{name: "drawn", field: job.EditSize, bare: true}, {name: "measured", field: job.EditSize}}
	moveFigures    = []figure{{name: "X", field: job.EditAt, bare: true}, {name: "Y", field: job.EditAt}}
	boreFigures    = []figure{{name: "X", field: job.EditAt, bare: true}, {name: "Y", field: job.EditAt, bare: true}, {name: "Ø", field: job.EditBore}}
	longFigures    = []figure{{name: "X", field: job.EditAt, bare: true}, {name: "Y", field: job.EditAt, bare: true},
		{name: "L", field: job.EditOverall, bare: true}, {name: "W", field: job.EditAcross}, {name: "at", field: job.EditAngle}}
)

// partPage edits one part.
func partPage(id string) view {
	return formPage{name: "part:" + id, head: "edit part " + id, rows: func(m *Model) []row { return partRows(m, id) },
		about: "Each line makes one edit on the whole part, about the middle of its box: holes, slots and marks go with it, what lies in its cut-outs too, and texts on it. Every edit stands below with the sizes before and after; d takes it back, u undoes."}
}

func partRows(m *Model, id string) []row {
	t, u := &m.res.tree, m.d.Job.Units
	k := partIndex(t, id)
	if k < 0 || t.Parts[k].Outline < 0 {
		return []row{{id: "none", plain: text("the drawings have this part no longer"), why: "Esc goes back."}}
	}
	p := t.Parts[k]
	drawn, now := planner.PartSizes(*t, id)
	aimed := &aim{feature: p.Outline, drawing: p.Drawing}
	head := id
	if !p.Name.Empty() {
		head += "  " + p.Name.String()
	}
	rows := []row{{head: true, label: head},
		info("drawn-size", "as drawn", sizes(drawn.Width, drawn.Height, u), "Its box in the drawing's file."),
		info("now-size", "as it is cut", sizes(now.Width, now.Height, u), "Its box after the edits below, before the kerf.")}
	make_ := func(e job.Edit) func(*Draft) {
		e.On = id
		return func(d *Draft) { d.Job.Edits = planner.WithEdit(d.Job.Edits, e) }
	}
	turn := m.numbers(numbers{id: "turn", label: "turn", empty: "  degrees, counter-clockwise", of: turnFigures,
		put: func(d *Draft, v []float64) { make_(job.Edit{Do: job.EditTurn, Angle: v[0]})(d) },
		why: "Left and right turn it by a quarter. In rows that changes how it lies; a nest turns parts by itself."})
	turn.turn = func(step int) func(*Draft) {
		return make_(job.Edit{Do: job.EditTurn, Angle: quarterTurn(step)})
	}
	mirror := row{id: "mirror", label: "mirror", value: "left for right", state: stRule, verb: "ask", why: "Makes the part of the other hand: it is asked twice."}
	mirror.act = func(m *Model) tea.Cmd { m.lay(mirrorPage(id, false)); return nil }
	rows = append(rows, turn, mirror,
		m.numbers(numbers{id: "scale", label: "scale", empty: "  true size over drawn size", of: scaleFigures,
			put: func(d *Draft, v []float64) { make_(job.Edit{Do: job.EditScale, Factor: v[0]})(d) },
			why: "Sizes before and after stand below once it is typed. If the whole drawing came in the wrong size, stage 1 scales it there."}))
	correct := func(axis string, size float64, of func(drawn, measured float64) job.Edit) row {
		r := m.numbers(numbers{id: "correct-" + axis, label: "correct " + axis, empty: "  drawn, and as measured", of: correctFigures,
			judge: func(v []float64) string {
				if job.Far(v[0], v[1]) {
					return fmt.Sprintf("measured is more than %.0f %% off: read both again, or scale it", 100*job.CorrectMost)
				}
				return ""
			},
			put: func(d *Draft, v []float64) { make_(of(v[0], v[1]))(d) },
			why: "Measure a part that was cut, along " + axis + ", and type the size as drawn and the size as measured: the part is stretched so that it comes out as drawn. Measure a long way."})
		r.begin = func() string { return form{Dim: job.Length}.typed(size, u) + "  " }
		return r
	}
	rows = append(rows,
		correct("X", now.Width, func(a, b float64) job.Edit { return job.Edit{Do: job.EditCorrect, DrawnX: a, MeasuredX: b} }),
		correct("Y", now.Height, func(a, b float64) job.Edit { return job.Edit{Do: job.EditCorrect, DrawnY: a, MeasuredY: b} }))
	rows = append(rows, m.addRows(id, now)...)
	along, look := planner.EditFollows(m.d.Job, *t, job.Edit{Do: job.EditTurn, On: id})
	if len(along)+len(look) > 0 {
		rows = append(rows, row{head: true, label: "goes along, or wants a look"})
		for i, s := range along {
			rows = append(rows, m.says(m.top(), fmt.Sprint("along", i), s, inkPlain, stGood)...)
		}
		for i, s := range look {
			rows = append(rows, m.says(m.top(), fmt.Sprint("look", i), s, inkPlain, stWarn)...)
		}
	}
	for i := range rows {
		rows[i].aim = aimed
	}
	rows = append(rows, m.editLines("its edits; d takes one back", m.leftWidth(m.top())-6, func(e job.Edit) bool { return e.Part() == id })...)
	return rows
}

// addRows add a hole or a slot to a part.
func (m *Model) addRows(id string, now feature.Size) []row {
	u := m.d.Job.Units
	add := func(d *Draft, e job.Edit) {
		e.Do, e.On = job.EditAdd, feature.NextAdded(id, d.Job.Edits)
		d.Job.Edits = planner.WithEdit(d.Job.Edits, e)
	}
	why := fmt.Sprintf("From the drawing's zero to the middle; the middle of the part lies at X %s, Y %s.", u.Length(now.At.X), u.Length(now.At.Y))
	return []row{
		m.numbers(numbers{id: "add-hole", label: "add a hole", empty: "  X Y Ø", of: boreFigures, why: why,
			put: func(d *Draft, v []float64) { add(d, job.Edit{X: v[0], Y: v[1], Diameter: v[2]}) }}),
		m.numbers(numbers{id: "add-slot", label: "add a slot", empty: "  X Y L W and turn", of: longFigures,
			why: why + " L is over the round ends, W the width; the turn of its length is from the X axis in degrees, 0 lies flat.",
			put: func(d *Draft, v []float64) {
				add(d, job.Edit{X: v[0], Y: v[1], Length: v[2], Width: v[3], Angle: v[4]})
			}}),
	}
}

func partIndex(t *feature.Tree, id string) int {
	for k := range t.Parts {
		if t.Parts[k].ID == id {
			return k
		}
	}
	return -1
}

// mirrorPage asks whether a part is to be mirrored; again asks a second time.
func mirrorPage(id string, again bool) view {
	name, head, says, yes := "mirror:"+id, "mirror "+id+"?", "Mirrored, left for right, "+id+" becomes the part of the other hand: where the drawn one fits, it does not. Countersinks, bends and welds then lie on the other side.", "yes, the other hand is wanted"
	if again {
		name, head, says, yes = "mirror-again:"+id, "mirror "+id+": asked again", "Sure? Look at the part that it is to fit. If only some of the pieces are to be of the other hand, add the drawing a second time and mirror that.", "yes, mirror "+id
	}
	return formPage{name: name, head: head, about: says, rows: func(m *Model) []row {
		rows := m.says(m.top(), "says", says, inkWarn, stWarn)
		no := row{id: "no", plain: text("no, leave it as it is"), verb: "leave it", why: "Nothing is changed."}
		no.act = func(m *Model) tea.Cmd {
			if m.back(); again {
				m.back()
			}
			return nil
		}
		sure := row{id: "yes", plain: text(yes), verb: "yes", why: says}
		sure.act = func(m *Model) tea.Cmd {
			if !again {
				m.lay(mirrorPage(id, true))
				m.spot().id = "no"
				return nil
			}
			m.back()
			m.back()
			return m.addEdit(job.Edit{Do: job.EditMirror, On: id, Sure: true})
		}
		return append(rows, no, sure)
	}}
}
