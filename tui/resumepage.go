package tui

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// taken is a job that is taken up where a cut was lost.
type taken struct {
	from    planner.From
	prog    *planner.Program
	faults  fault.List
	busy    bool
	written []string
}

type (
	takenDone struct {
		from   planner.From
		whole  *planner.Program
		prog   *planner.Program
		faults fault.List
	}
	takenSaved struct {
		from  planner.From
		paths []string
		err   error
	}
)

// resumePage makes the program that goes on where a cut was lost.
type resumePage struct{ page }

func (resumePage) id() string          { return "resume" }
func (resumePage) title(*Model) string { return "go on where a cut was lost" }
func (resumePage) wide() bool          { return true }
func (resumePage) explain() string {
	return "The plate and its zero must lie as they lay. Say one of three: the first cut that was not begun, the line of the program at which the machine stopped, or the place where the cut ends on the plate (v shows it; g there takes the place under the cross). A cut that was begun is taken up with a fresh lead and an overlap; what is cut is left out. The program is proved like any other and comes with a dry run of its own: watch that first."
}

func (p resumePage) list(m *Model) list {
	u := m.d.Job.Units
	t := &m.taken
	whole := m.res.prog
	if whole == nil || m.res.busy != "" || len(whole.Cuts) == 0 {
		return rowsList([]row{{id: "wait", plain: text("waits for the plan"), why: "n goes to what is open."}})
	}
	n := len(whole.Cuts)
	w := m.leftWidth(p) - 6
	rows := []row{{head: true, label: "where it was lost, one of these"}}
	number := func(id, label string, now, most int, why string, from func(int) planner.From) row {
		r := row{id: id, label: label, typed: true, verb: "type it", why: why, bounds: fmt.Sprintf("1 to %d: the program has no more.", most), source: "Limits: counted in the program as planned.", state: stFree, value: "not said"}
		if now > 0 {
			r.value, r.state = strconv.Itoa(now), stGood
		}
		r.begin = func() string { return strings.TrimSuffix(strconv.Itoa(now), "0") }
		if now > 0 {
			r.begin = func() string { return strconv.Itoa(now) }
		}
		r.check = func(s string) (func(*Draft), string) {
			if s = strings.TrimSpace(s); s == "" {
				return nil, ""
			}
			if v, err := strconv.Atoi(s); err != nil || v < 1 || v > most {
				return nil, fmt.Sprintf("%s: a whole number from 1 to %d is wanted.", label, most)
			}
			return nil, ""
		}
		r.take = func(m *Model, s string) tea.Cmd {
			v, err := strconv.Atoi(strings.TrimSpace(s))
			if err != nil {
				return nil
			}
			return m.takeUpFrom(from(v))
		}
		return r
	}
	rows = append(rows,
		number("cut", "first cut not begun", t.from.Cut, n, "All cuts before it are made. The plate view has the numbers.", func(v int) planner.From { return planner.From{Cut: v} }),
	)
	for k, f := range whole.Files() {
		id, label, which, is := "line", "program line", 0, t.from.Line
		if len(whole.Files()) > 1 {
			id, label, which = fmt.Sprint("line", k+1), fmt.Sprintf("line of program %d", k+1), k+1
			if t.from.Program != which {
				is = 0
			}
		}
		rows = append(rows, number(id, label, is, strings.Count(string(f.Text), "\n"), "The line at which the controller stopped: it and all after it were not done.",
			func(v int) planner.From { return planner.From{Line: v, Program: which} }))
	}
	var at geom.Point
	if t.from.At != nil {
		at = *t.from.At
	}
	pt := m.pointRow("at", "place on the plate", job.FixturePocket, at, t.from.At != nil, u, nil)
	pt.why = "Where the kerf ends, from XY zero. v shows the plate; g there takes the place under the cross."
	if t.from.At == nil {
		pt.value, pt.state = "not said", stFree
	}
	check := pt.check
	pt.check = func(s string) (func(*Draft), string) {
		if strings.TrimSpace(s) == "" {
			return nil, ""
		}
		_, no := check(s)
		return nil, no
	}
	pt.take = func(m *Model, s string) tea.Cmd {
		v, no := pointFigures(s, u)
		if no != "" {
			return nil
		}
		q := geom.Pt(v[0], v[1])
		return m.takeUpFrom(planner.From{At: &q})
	}
	rows = append(rows, pt)
	if t.from == (planner.From{}) {
		return rowsList(rows)
	}
	rows = append(rows, row{head: true, label: "the program that goes on"})
	switch {
	case t.busy:
		return rowsList(append(rows, row{id: "wait", plain: text("being made and proved")}))
	case t.prog == nil:
		for i, f := range t.faults.Sorted() {
			rows = append(rows, row{id: fmt.Sprint("fault", i), why: f.Error(), state: faultState(f)}.spread(2, text(f.Error()), span{}, w)...)
		}
		return rowsList(rows)
	}
	q := t.prog
	left := len(q.Cuts)
	add := func(id, label, value, why string) {
		rows = append(rows, row{id: id, label: label, value: value, why: why})
	}
	first := "begins anew"
	if q.Cuts[0].LeadIn > 0 && q.Before < n && q.Cuts[0].Path.Length() < whole.Cuts[q.Before].Path.Length()-geom.Join {
		first = "goes on where it was lost"
	}
	add("first", "first", fmt.Sprintf("cut %d, %s: %s", q.Cuts[0].N, q.Cuts[0].Label, first), "With touch-off and a fresh lead-in.")
	add("left", "left to do", fmt.Sprintf("%d of %s, about %s", left, count(n, "cut"), unit.Duration(q.Plan.Time)), "Cuts keep their numbers.")
	rows = append(rows, proofRow("proof", "program", q.Verdict, u), proofRow("proof-dry", "dry run", q.DryVerdict, u))
	for i, f := range t.faults.At(fault.Warning) {
		rows = append(rows, row{id: fmt.Sprint("fault", i), why: f.Error(), state: faultState(f)}.spread(2, text(f.Error()), span{}, w)...)
	}
	rows = append(rows, m.takenRow())
	for i, s := range t.written {
		rows = append(rows, row{id: fmt.Sprint("written", i), plain: text(s), state: stDone, why: plain.Clean(s)})
	}
	if len(t.written) > 0 {
		for i, s := range []string{
			"Do not move the plate, nor its zero. Load the dry run, and watch that it meets the kerf where the cut was lost.",
			"Load the program, hood down, hand at the stop. Stay at the table while it cuts.",
		} {
			rows = append(rows, row{id: fmt.Sprint("next", i), why: s}.spread(2, text(fmt.Sprintf("%d %s", i+1, s)), span{}, w)...)
		}
	}
	return rowsList(rows)
}

// takenRow is the door of the program that goes on: as narrow as the job's own.
func (m *Model) takenRow() row {
	t := &m.taken
	r := row{id: "write", label: "WRITE", verb: "write"}
	outputs, err := planner.Outputs(m.d.Job, m.d.Name, t.from.Tag(), []*planner.Program{t.prog})
	if err != nil {
		r.value, r.state, r.why = "shut: the names are too long", stOpen, err.Error()
		return r
	}
	program, dry := outputs[0].Name, outputs[1].Name
	if n := len(outputs); n > 2 {
		dry = fmt.Sprintf("%d other files", n-1)
	}
	switch s := m.shut(); {
	case s != "":
		r.value, r.state, r.why = "shut: "+s, stOpen, "Shut until the job itself may be saved: all its checks hold for this program too."
		return r
	case !t.prog.Verdict.OK || !t.prog.DryVerdict.OK:
		r.value, r.state, r.why = "shut: the proof does not pass", stOpen, "Choose another place to go on."
		return r
	case len(t.written) > 0:
		r.value, r.state, r.why = "written", stDone, "Both files lie in the job's folder."
		return r
	}
	r.value, r.state = "enter writes "+program, stGood
	r.why = fmt.Sprintf("And %s. The job and its whole program stay as they are.", dry)
	r.act = func(m *Model) tea.Cmd {
		eng, d, p, from, ctx := m.eng, m.d, t.prog, t.from, m.ctx
		return m.work("write the program that goes on", func() tea.Msg {
			paths, err := eng.SaveTakenUp(ctx, d.Dir, d.Name, d.Job, p, from)
			return takenSaved{from, paths, err}
		})
	}
	return r
}

// takeUpFrom plans and proves the program that goes on from there.
func (m *Model) takeUpFrom(from planner.From) tea.Cmd {
	whole := m.res.prog
	if whole == nil || m.res.busy != "" {
		m.say(inkWarn, "there is no plan yet: n goes to what is open.")
		return nil
	}
	m.taken = taken{from: from, busy: true}
	eng, d := m.eng, m.d
	return m.long("take the job up", func(ctx context.Context) tea.Msg {
		p, faults := eng.TakeUp(ctx, d.Dir, d.Name, d.Job, whole, from)
		if ctx.Err() != nil {
			faults.Warnf(fault.Where{}, "stopped", "Say again where it was lost.", "stopped before it was made")
		}
		return takenDone{from, whole, p, faults}
	})
}

func (m *Model) onTaken(msg takenDone) {
	if msg.from != m.taken.from || msg.whole != m.res.prog {
		return
	}
	m.taken.busy, m.taken.prog, m.taken.faults = false, msg.prog, msg.faults
	if msg.prog == nil && len(msg.faults) == 0 {
		m.taken = taken{}
	}
}

func (m *Model) onTakenSaved(msg takenSaved) {
	if msg.err != nil {
		m.say(inkBad, "not written: "+msg.err.Error())
		return
	}
	m.outcome.Saved = append(m.outcome.Saved, msg.paths...)
	if msg.from == m.taken.from {
		m.taken.written = msg.paths
	}
	m.say(inkGood, "written: "+count(len(msg.paths), "file")+" in "+plain.Clean(m.d.Dir))
}

// resumeRow is the way to the page, on the save stage.
func (m *Model) resumeRow() row {
	return row{id: "resume", label: "a cut was lost", value: "go on from there", verb: "open",
		why: "Arc out, power cut, torch struck: writes a program that begins where the run was left, and proves it against what is cut already.",
		act: func(m *Model) tea.Cmd { m.lay(resumePage{}); return nil }}
}
