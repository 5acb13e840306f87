package tui

import (
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/unit"
)

// The least screen on which every stage fits.
const (
	minWidth  = 80
	minHeight = 24
)

// View draws the frame: exactly h lines of at most w cells. Before the size is
// known it draws nothing.
func (m *Model) View() string {
	switch {
	case m.w <= 0 || m.h <= 0 || m.leaving:
		return ""
	case m.w < minWidth || m.h < minHeight:
		return m.tooSmall()
	}
	lines := make([]string, 0, m.h)
	put := func(l line) {
		var b strings.Builder
		m.th.paint(&b, l, m.w)
		lines = append(lines, b.String())
	}
	put(m.titleLine())
	put(m.roadLine())
	put(m.topRule())
	lines = append(lines, m.body()...)
	put(m.bottomRule())
	for _, l := range m.explainLines() {
		put(l)
	}
	put(m.shutLine())
	put(m.keyLine())
	return strings.Join(lines, "\n")
}

// tooSmall says what is missing, in as many lines as there are.
func (m *Model) tooSmall() string {
	lines := make([]string, m.h)
	for i, s := range wrap(fmt.Sprintf("Too small: %d by %d. Needs %d by %d. The job is kept; make the window larger.", m.w, m.h, minWidth, minHeight), m.w) {
		if i < m.h {
			var b strings.Builder
			m.th.paint(&b, text(s), m.w)
			lines[i] = b.String()
		}
	}
	return strings.Join(lines, "\n")
}

// explainHeight is how many lines the explanation has.
const explainHeight = 3

// bodyHeight is what is left for the view and the plate.
func (m *Model) bodyHeight() int { return m.h - 6 - explainHeight }

// leftWidth is the width of a view's rows. Where the screen is narrow, wide
// views take all of it; one that shows what typing does makes room for that
// while something is typed.
func (m *Model) leftWidth(v view) int {
	if m.w < 120 && v.wide() {
		if _, beside := v.(besider); !beside || m.ed == nil {
			return m.w
		}
	}
	return max(46, min(m.w*2/5, 84))
}

// titleLine is the head of the sheet: the program, the job, its units, and
// whether it is saved.
func (m *Model) titleLine() line {
	name := m.d.Job.Name.String()
	if name == "" {
		name = "no job yet"
	}
	state := "not saved"
	switch {
	case m.d.written():
		state = "saved"
	case m.d.Saved:
		state = "program not saved"
	case !m.d.worth():
		state = "empty"
	}
	l := line{{" KERFWRIGHT  ", inkHead}, {name, inkPlain}}
	if p := m.progressLine(); p != nil {
		switch room := m.w - p.width() - 3; {
		case room < 12:
			l = nil
		case room < l.width():
			l = text(" " + name)
		}
		return l.right(&m.th, append(line{{"  ", inkPlain}}, p.add(inkPlain, " ")...), m.w)
	}
	return l.right(&m.th, inked(inkFaint, "  "+state+" "), m.w)
}

// roadLine draws the road as a cut through the sheet: whole as far as all is
// decided, broken where something is open. The torch stands over the stage
// one is in.
func (m *Model) roadLine() line {
	t := &m.th
	type stop struct {
		l    line
		open int
	}
	var stops [stages]stop
	used := 0
	for s := range stages {
		n := m.openIn(s)
		name, i := fmt.Sprintf("%d %s", s+1, s), inkPlain
		if int(s) == m.d.Stage {
			name, i = fmt.Sprintf("%s %d %s", t.torch, s+1, strings.ToUpper(s.String())), inkHead
		}
		l := line{{name, i}}
		switch {
		case n > 0:
			l = l.add(inkOpen, fmt.Sprintf(" ?%d", n))
		case s == saveStage && m.shut() != "":
			l = l.add(inkOpen, " shut")
		case s == saveStage && m.d.written():
			l = l.add(inkGood, " "+t.tick)
		case s == saveStage:
			l = l.add(inkGood, " open")
		case s > processStage && (m.res.prog == nil || m.res.busy != ""), s == featureStage && len(m.res.tree.Features) == 0:
			// nothing to be done yet is not done
		default:
			l = l.add(inkGood, " "+t.tick)
		}
		stops[s] = stop{l, n}
		used += l.width()
	}
	room := m.w - used - 2
	out := text(" ")
	clear := true
	for s := range stages {
		if s > 0 {
			gap := room / int(stages-s)
			room -= gap
			sign, i := t.cutOpen, inkFaint
			if clear {
				sign, i = t.cutDone, inkGood
			}
			out = out.add(i, " "+strings.Repeat(sign, max(0, gap-2))+" ")
		}
		out = append(out, stops[s].l...)
		clear = clear && stops[s].open == 0 && (s != featureStage || len(m.res.tree.Features) > 0) && (s < processStage || m.res.prog != nil && m.res.busy == "")
	}
	return out
}

// split reports where the wall between view and plate stands; 0 for none.
func (m *Model) split() int {
	lw := m.leftWidth(m.top())
	if m.whole || lw >= m.w {
		return 0
	}
	return lw
}

// titleRule is a title on a rule of w cells. One that is cut ends in a sign.
func (m *Model) titleRule(title string, w int) line {
	t := &m.th
	title = t.safe(title)
	if cells(title) > w-5 {
		cut := cutTo(title, w-6)
		title = wholeFigures(cut, title[min(len(cut), len(title)):]) + t.more
	}
	l := line{{t.rule + t.rule + " ", inkFaint}, {title, inkHead}, {" ", inkPlain}}
	return l.add(inkFaint, strings.Repeat(t.rule, max(0, w-l.width())))
}

func (m *Model) topRule() line {
	t := &m.th
	rule := m.titleRule
	lw := m.split()
	switch {
	case m.whole:
		return rule(m.plateTitle(m.w), m.w)
	case lw == 0:
		return rule(m.top().title(m), m.w)
	}
	return append(rule(m.top().title(m), lw).add(inkFaint, t.teeDown), rule(m.besideTitle(m.top(), m.w-lw-1), m.w-lw-1)...)
}

func (m *Model) bottomRule() line {
	t := &m.th
	w := m.w
	var l line
	if lw := m.split(); lw > 0 {
		l = l.add(inkFaint, strings.Repeat(t.rule, lw)+t.teeUp)
		w -= lw + 1
	}
	if stage(m.d.Stage) == checkStage && len(m.pages) == 0 {
		s := " " + disclaimer + " "
		if l == nil {
			return inked(inkFaint, t.rule+t.rule).add(inkHead, s).add(inkFaint, strings.Repeat(t.rule, max(0, w-2-cells(s))))
		}
		left := m.split() - cells(s) - 2
		if left >= 0 {
			return inked(inkFaint, t.rule+t.rule).add(inkHead, s).add(inkFaint, strings.Repeat(t.rule, left)+t.teeUp+strings.Repeat(t.rule, w))
		}
	}
	return l.add(inkFaint, strings.Repeat(t.rule, w))
}

// plateTitle heads the picture. The share under hold gives way where there is
// no room: the save stage has it too.
func (m *Model) plateTitle(w int) string {
	u := m.d.Job.Units
	s := m.scene()
	title := "plate"
	switch {
	case s == nil:
	case s.name != "":
		title = s.name
	case s.planned:
		title = fmt.Sprintf("plate, %s", count(len(m.res.prog.Cuts), "cut"))
		if m.res.prog.Plan.Time > 0 {
			title += ", " + unit.Duration(m.res.prog.Plan.Time)
		}
	default:
		d := m.aimedDrawing()
		if a := m.aimed(); a == nil || a.drawing < 0 {
			d = 0
		}
		b := s.box(d)
		how := "drawn"
		if len(m.d.Job.Edits) > 0 {
			how = "edited"
		}
		title = "as " + how + ", not on the plate yet"
		if !b.Empty() {
			title = "as " + how + ", " + sizes(b.Width(), b.Height(), u)
			if cells(title) > w-5 { // a figure that is cut off is another figure
				title = how + " " + sizes(b.Width(), b.Height(), u)
			}
		}
	}
	if m.plate.level > 0 {
		title += fmt.Sprintf(", %dx", 1<<m.plate.level)
	}
	if m.res.busy != "" {
		title += ", " + m.res.busy
	}
	if s != nil && s.planned && s.name == "" && m.res.prog.Plan.HoldShare > 0 {
		if held := ", held " + heldShare(m.res.prog.Plan.HoldShare); cells(title+held) <= w-5 {
			title += held
		}
	}
	return title
}

// heldShare is the part of the cut over which height is held.
func heldShare(v float64) string { return unit.Number(100*v, 0) + " %" }

// body lays the view's rows and the plate side by side.
func (m *Model) body() []string {
	h := m.bodyHeight()
	if m.whole {
		return m.plateLines(m.w, h)
	}
	v := m.top()
	lw := m.leftWidth(v)
	split := lw < m.w
	l := v.list(m)
	sp := m.spotOf(v)
	sp.scroll(l, h)
	under := sp.settle(l)
	var plate []string
	if split {
		plate = m.besideLines(v, m.w-lw-1, h)
	}
	out := make([]string, h)
	for y := range h {
		var row line
		i := sp.top + y
		if i < l.n {
			r := l.at(i)
			var ed *editor
			if m.ed != nil && m.ed.row == r.id && i == under {
				ed = m.ed
			}
			row = r.draw(&m.th, lw-1, i == under, ed)
		} else {
			row = line{}.fit(&m.th, lw-1)
		}
		// The last column says that the list goes on.
		edge := " "
		if y == 0 && sp.top > 0 || y == h-1 && sp.top+h < l.n {
			edge = m.th.cont
			if y == 0 {
				edge = m.th.rise
			}
		}
		row = row.add(inkFaint, edge)
		var b strings.Builder
		m.th.paint(&b, row, lw)
		if split {
			m.th.paint(&b, inked(inkFaint, m.th.wall), 1)
			b.WriteString(plate[y])
		}
		out[y] = b.String()
	}
	return out
}

// explainLines say what the row under the cursor is about, or what just
// happened, or why what is typed cannot stay.
func (m *Model) explainLines() []line {
	const h = explainHeight
	if m.whole {
		return m.underPlate()
	}
	var s string
	i := inkPlain
	v := m.top()
	l := v.list(m)
	var r row
	if k := m.spotOf(v).settle(l); k >= 0 {
		r = l.at(k)
	}
	switch {
	case m.ed != nil && m.no != "":
		s, i = m.no, inkBad
	case m.ed != nil:
		s = r.bounds
		if s == "" {
			s = r.why
		}
	case m.said != nil:
		s, i = m.said[0].s, m.said[0].ink
	default:
		// What is wrong comes before what the row is for.
		parts := []string{r.cutOff(m.leftWidth(v) - 1), r.why, r.bounds}
		if r.state == stBad || r.state == stWarn {
			parts = []string{r.bounds, parts[0], r.why}
		}
		s = strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " ")
	}
	out := make([]line, h)
	lines := wrap(s, m.w-2)
	for k := range h {
		if k >= len(lines) {
			break
		}
		out[k] = text(" ").add(i, lines[k])
		if k == h-1 && len(lines) > h {
			out[k] = text(" ").add(i, cutTo(lines[k], m.w-16)).add(inkFaint, " "+m.th.more+" ? says all")
		}
	}
	return out
}

// shutLine says whether anything may be saved, and if not why, and which key
// goes there.
func (m *Model) shutLine() line {
	why := m.shut()
	if why == "" {
		if m.d.written() {
			return line{{" SAVED ", inkGood}, {"as it stands", inkPlain}}
		}
		return line{{" OPEN ", inkGood}, {"all is decided, proved and confirmed: save on stage 5", inkPlain}}
	}
	l := line{{" SHUT ", inkBad}}
	if len(m.blocks) == 0 {
		return l.add(inkPlain, why)
	}
	b := m.blocks[m.nextBlock()]
	why = b.why
	tail := inked(inkHead, "n").add(inkFaint, " goes there")
	if n := len(m.blocks); n > 1 {
		tail = tail.add(inkFaint, fmt.Sprintf(", %d more", n-1))
	}
	head := l.add(inkOpen, why)
	on := fmt.Sprintf("  %s, ", b.stage)
	if head.width()+cells(on)+tail.width() > m.w { // n goes to the stage anyway
		on = "  "
	}
	tail = append(inked(inkFaint, on), tail...)
	if head.width()+tail.width() > m.w {
		head = append(l, head[1:].fit(&m.th, m.w-l.width()-tail.width())...)
	}
	return append(head, tail...)
}
