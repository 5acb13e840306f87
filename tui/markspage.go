package tui

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/letters"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// marksPage is the process that marks, and the texts that are marked.
func marksPage() view {
	return formPage{name: "marks", head: "marks and texts", rows: markRows,
		about: "Lines on a mark layer and short texts are marked, not cut: the arc runs over the metal at a low current and a high feed. Marks come before every cut. Where the machine's own lines do not set the current, the program stops between marks and cuts for it to be set. Centres for the drill are popped at the current of the cut; the rules for holes say which."}
}

// marksRow is the line of the process stage that opens the page.
func (m *Model) marksRow() row {
	j := &m.d.Job
	value := ""
	if j.Mark.Feed > 0 {
		value = j.Units.Feed(j.Mark.Feed)
	}
	if n := len(j.Texts); n > 0 {
		if value != "" {
			value += ", "
		}
		value += count(n, "text")
	}
	return opens("marks", "marks", value, "left out", "Lines on mark layers and short texts, marked before the cuts by a process of their own.", marksPage())
}

func markRows(m *Model) []row {
	j := &m.d.Job
	var rows []row
	add := func(r ...row) { rows = append(rows, r...) }
	add(row{head: true, label: "process for marks"})
	if j.Mark.Feed == 0 {
		add(row{id: "start", label: "take starting values", verb: "take", why: "A low current and a high feed: a start, to be tried on scrap of the same metal. Without a process, marks and texts are left out.",
			act: func(m *Model) tea.Cmd {
				return m.change(func(d *Draft) { d.Job.Mark = presets.MarkStart(d.Job.Machine.MaxFeed) })
			}})
	}
	mark := func(f job.Field, label, empty string, at func(*job.Marking) *float64, why string) row {
		n := m.number(f, label, func(j *job.Job) *float64 { return at(&j.Mark) }, why)
		n.empty = empty
		return m.num(n)
	}
	add(mark(job.MarkFeed, "feed", "rule: left out", func(m *job.Marking) *float64 { return &m.Feed }, "So fast that the arc only scores the metal. Empty leaves marks and texts out."))
	if j.Mark.Feed > 0 {
		add(mark(job.MarkAmps, "current", "rule: that of the cut", func(m *job.Marking) *float64 { return &m.Amps }, "Of the supply while marking. Unlike that of the cut, the program stops for it to be set, unless the machine's lines say it."))
		add(mark(job.MarkHeight, "height", "", func(m *job.Marking) *float64 { return &m.Height }, "Of the nozzle over the plate, when the arc is lit and along the line; touch-off alone sets it."))
		add(mark(job.MarkWidth, "line is wide", "", func(m *job.Marking) *float64 { return &m.Width }, "What a marked line measures across. Letters must be ten times as high, and marks keep half of it off every cut."))
		add(mark(job.MarkDelay, "wait once lit", "rule: none", func(m *job.Marking) *float64 { return &m.Delay }, "Time between lighting the arc and moving off: longer burns a hole."))
		if j.Mark.State != "" {
			add(row{id: "state", label: "trust", value: shortState(j.Mark.State), why: sentence(upperFirst(string(j.Mark.State))) + " " + sentence(j.Mark.Source.String())})
		}
	}
	add(row{head: true, label: "texts"})
	for i, t := range j.Texts {
		where := "on the stock"
		if t.Drawing > 0 && t.Drawing <= len(j.Drawings) {
			where = "on " + planner.PartName(j.Drawings[t.Drawing-1]).String()
		}
		r := row{id: fmt.Sprint("text", i), label: fmt.Sprintf("text %d", i+1), value: t.Say.String(), note: where, verb: "open", why: "Enter opens it; d takes it away."}
		r.act = func(m *Model) tea.Cmd { m.lay(textPage(i)); return nil }
		r.keys = map[string]func(*Model) tea.Cmd{"d": func(m *Model) tea.Cmd {
			return m.change(func(d *Draft) { d.Job.Texts = slices.Delete(d.Job.Texts, i, i+1) })
		}}
		m.textState(&r, i)
		add(r)
	}
	if len(j.Texts) < 50 {
		add(row{id: "new", label: "add a text", verb: "add", why: "A part number, the job's name or a count, in letters of single strokes.",
			act: func(m *Model) tea.Cmd {
				n := len(m.d.Job.Texts)
				cmd := m.change(func(d *Draft) {
					t := job.Text{Say: plain.Of("{part}"), Height: 10}
					if len(d.Job.Drawings) > 0 {
						t.Drawing = 1
					}
					d.Job.Texts = append(d.Job.Texts, t)
				})
				m.lay(textPage(n))
				return cmd
			}})
	}
	return rows
}

// textState puts on a row what the planner said of a text.
func (m *Model) textState(r *row, i int) {
	id := fmt.Sprintf("t%d", i+1)
	for _, f := range m.res.told {
		of := featureOf(f.Feature)
		if of == id || len(of) > len(id) && of[:len(id)+1] == id+"." {
			// Not bad: that would shut the plan, which alone can say that it is mended.
			r.state, r.bounds = stWarn, sentence(upperFirst(f.What))+" "+f.Do
			return
		}
	}
}

// textPage is one text.
func textPage(i int) view {
	return formPage{name: fmt.Sprint("text", i), head: fmt.Sprintf("text %d", i+1), rows: func(m *Model) []row { return textRows(m, i) },
		about: "What is marked, and where. {job} stands for the job's name, {part} for the part's, {count} for the number of the copy. Small letters are written as capitals."}
}

func textRows(m *Model, i int) []row {
	j := &m.d.Job
	if i >= len(j.Texts) {
		return []row{{id: "gone", plain: text("the text is taken away")}}
	}
	t, u := j.Texts[i], j.Units
	of := func(d *Draft) *job.Text { return &d.Job.Texts[i] }
	at := func(j *job.Job) *job.Text { return &j.Texts[i] }
	say := m.words(words{id: "say", label: "says", must: true,
		judge: func(s string) string {
			if miss := letters.Missing(s); miss != "" && miss != "{}" && miss != "{" && miss != "}" {
				return "there is no form for " + miss
			}
			return ""
		},
		get: func(d *Draft) string { return of(d).Say.String() },
		put: func(d *Draft, s string) { of(d).Say = plain.Of(s) },
		why: "Letters, figures and - + = . , : / _ # ( ). {job}, {part} and {count} are filled in."})
	m.textState(&say, i)
	rows := []row{say}
	on := choice[int]{id: "on", label: "marked on", why: "On every copy of a drawing, which it moves and turns with, or on the stock, for scrap.",
		get: func(j *job.Job) int { return at(j).Drawing + 1 }, put: func(j *job.Job, v int) { at(j).Drawing = v - 1 }}
	on.of = append(on.of, pick[int]{1, "the stock", "measured from XY zero"})
	for k, d := range j.Drawings {
		on.of = append(on.of, pick[int]{k + 2, planner.PartName(d).String(), "measured from the drawing's own zero"})
	}
	rows = append(rows, choose(m, on))
	place := m.pointRow("at", "lower left at", job.TextAt, geom.Pt(t.X, t.Y), true, u, func(d *Draft, q geom.Point) { of(d).X, of(d).Y = q.X, q.Y })
	place.why = "Of the first letter: from XY zero on the stock, else from the drawing's own zero."
	rows = append(rows, place)
	height := m.number(job.TextHeight, "height", func(j *job.Job) *float64 { return &at(j).Height }, "Of a capital. Left and right go along the usual heights.")
	height.must = true
	h := m.num(height)
	h.turn = func(step int) func(*Draft) {
		all := letters.Heights()
		if step < 0 {
			slices.Reverse(all)
		}
		for _, v := range all {
			if step > 0 && v > t.Height || step < 0 && v < t.Height {
				return func(d *Draft) { of(d).Height = v }
			}
		}
		return nil
	}
	if w := letters.Width(t.Say.String(), t.Height); w > 0 {
		h.note = unit.Number(u.FromMM(w), b2i(u == unit.Inch)) + " " + short(u) + " long"
	}
	rows = append(rows, h, m.num(num{field: job.TextAngle, label: "turned by", empty: "rule: along X",
		get:  func(j *job.Job) (float64, bool) { return at(j).Angle, at(j).Angle != 0 },
		put:  func(j *job.Job, v float64) { at(j).Angle = v },
		none: func(j *job.Job) { at(j).Angle = 0 }, why: "Counter-clockwise from X, about its lower left."}))
	rows = append(rows, row{id: "drop", label: "take the text away", verb: "take away", why: "u brings it back.",
		act: func(m *Model) tea.Cmd {
			m.back()
			return m.change(func(d *Draft) { d.Job.Texts = slices.Delete(d.Job.Texts, i, i+1) })
		}})
	return rows
}
