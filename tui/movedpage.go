package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"
)

// warns is the row as one to look at.
func (r row) warns() row {
	r.state = stWarn
	return r
}

// movedPage says what moved in a drawing between the copy that the job keeps
// and the file as it is now, what of the job would no longer hold, and asks
// which of the two is cut.
func movedPage(n int) view {
	return formPage{name: fmt.Sprint("moved", n), head: "what moved in the drawing", rows: func(m *Model) []row { return movedRows(m, n) },
		about: "The file has changed since the job was saved. The job keeps a copy of it as it was, and that is what is cut until you take the file as it is now. What you said of features, and your edits, go along to the features that they were meant for, also where those have other names now; what is gone, or has another size, is named here."}
}

func movedRows(m *Model, n int) []row {
	moves, ok := m.eng.Moved(m.res.loops)
	if n >= len(m.d.Job.Drawings) || !m.fileChanged(m.d.Job.Drawings[n]) {
		return []row{{id: "none", plain: text("the drawing is as the job has it"), why: "Esc goes back."}}
	}
	stay := row{id: "stay", plain: text("stay with the copy, as the job was saved"), verb: "stay", why: "Nothing is changed. The copy goes on to be cut, on any PC."}
	stay.act = func(m *Model) tea.Cmd { m.back(); return nil }
	rows := []row{stay}
	w := m.leftWidth(m.top()) - 6
	if !ok {
		return append(rows, row{id: "unread", state: stBad, why: "Mend the file, or stay with the copy."}.spread(0, text("the file as it is now cannot be read, so that nothing can be compared"), span{}, w)...)
	}
	_, told := moves.Carry(m.d.Job)
	take := row{id: "take", plain: text("take the file as it is now"), verb: "take", why: "What was said of features goes along. Look at every feature that is named here; u takes it back."}
	take.act = func(m *Model) tea.Cmd {
		m.say(inkWarn, "the file is taken as it is now: look at every feature. u takes it back.")
		defer m.setStage(featureStage)
		return m.change(func(d *Draft) {
			was := d.Job.Drawings
			d.Job, _ = moves.Carry(d.Job)
			for i := range was {
				if m.fileChanged(was[i]) {
					d.Job.Drawings[i].SHA256 = ""
				}
			}
		})
	}
	rows = append(rows, take)
	rows = append(rows, row{head: true, label: "what moved since the copy was kept"})
	if len(moves.List) == 0 {
		rows = append(rows, row{id: "same", plain: text("every part and feature is as it was"), why: "What changed in the file is neither cut nor marked."})
	}
	for i, x := range moves.List {
		r := row{id: fmt.Sprint("moved", i), why: sentence(upperFirst(x.What))}
		if k := m.featureIndex(x.Was); x.Was != "" && k >= 0 {
			r.aim = &aim{feature: k, drawing: m.res.tree.Parts[m.res.tree.Features[k].Part].Drawing, drawn: true}
		}
		rows = append(rows, r.spread(3, text(x.What), span{}, w)...)
	}
	if len(told) > 0 {
		rows = append(rows, row{head: true, label: "of this job, if the file is taken"})
		for i, s := range told {
			rows = append(rows, row{id: fmt.Sprint("told", i), state: stWarn, why: sentence(upperFirst(s))}.spread(3, text(s), span{}, w)...)
		}
	}
	return rows
}
