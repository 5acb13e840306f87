package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
)

// held is how many parts the drawings hold that are laid as one, and how many
// drawings those are.
func (m *Model) held() (parts, drawings int) {
	if m.res.busy == "reading" || len(m.res.parts) != len(m.d.Job.Drawings) {
		return 0, 0
	}
	for _, n := range m.res.parts {
		if n > 1 {
			parts += n
			drawings++
		}
	}
	return
}

// partsIn is how many parts each entry of a job stands for.
func partsIn(j job.Job, loops []*drawing.Loops) (all []int) {
	for d := range j.Drawings {
		all = append(all, planner.PartsIn(j, loops, d))
	}
	return
}

// apartRow asks about drawings that hold several parts.
func (m *Model) apartRow() (row, bool) {
	n, drawings := m.held()
	if n == 0 {
		return row{}, false
	}
	in := "one drawing"
	if drawings > 1 {
		in = count(drawings, "drawing")
	}
	r := row{id: "apart", label: "parts drawn together", value: fmt.Sprintf("%d in %s", n, in), note: "as drawn", state: stWarn, verb: "lay them apart",
		why: "As they are drawn they lie on the plate as one piece, with the room between them that the drawing has. Laid apart each is placed, turned and counted for itself; what lies in a part stays with it, and what was said of its features goes with them. u takes it back."}
	r.act = func(m *Model) tea.Cmd {
		out, faults := planner.Apart(m.d.Job, m.res.loops)
		cmd := m.change(func(d *Draft) { d.Job = out.Job })
		if len(faults) > 0 {
			m.say(inkWarn, faults[0].Error())
		} else {
			m.say(inkGood, fmt.Sprintf("%s, each for itself; nest them, or leave them where they lie.", count(out.Parts, "part")))
		}
		return cmd
	}
	return r, true
}
