package tui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// state is how a row stands; each has a glyph as well as an ink.
type state uint8

const (
	stGood state = iota // decided
	stOpen              // unknown, blocks saving
	stBad               // a value that cannot stay, blocks saving
	stWarn              // to be looked at
	stFree              // may stay empty
	stRule              // left to a rule
	stDone              // confirmed or passed
)

func (s state) mark(t *theme) (string, ink) {
	switch s {
	case stOpen:
		return "?", inkOpen
	case stBad:
		return "!", inkBad
	case stWarn:
		return "~", inkWarn
	case stDone:
		return t.tick, inkGood
	}
	return " ", inkPlain
}

// row is one line of a stage or a page: a value of the job, something to do,
// or something to read. Rows are made anew from the draft whenever they are
// needed; what they show is never stored.
type row struct {
	id    string // stable; the cursor and the blocks point at it
	head  bool   // a heading: the cursor passes over it
	more  bool   // goes on with the text of the row above
	label string
	value string
	note  string // where the value comes from, or what it means
	state state
	plain line // instead of label, value and note

	typed  bool   // a digit begins the edit
	why    string // one sentence: what the value is and why it matters
	bounds string // valid range and its reason, or what to do
	source string // where the limits of a number come from, for ?

	// What keys do. Nil means that they have no effect here.
	begin func() string                                   // enter: the text to start from
	check func(s string) (change func(*Draft), no string) // judges typed text
	turn  func(step int) func(*Draft)                     // left and right
	done  func(m *Model)                                  // after typed text was taken
	take  func(m *Model, s string) tea.Cmd                // typed text that is good, if it is not part of the draft
	act   func(m *Model) tea.Cmd                          // enter, if begin is nil
	keys  map[string]func(m *Model) tea.Cmd               // keys of this row alone
	verb  string                                          // what enter does, for the key line
	hints []key.Binding                                   // what its own keys do, for the key line

	aim *aim // what it points at on the plate
}

// aim is what a row points at on the plate: a feature of the job's tree, by
// index, or a whole drawing, or a place.
type aim struct {
	feature int
	drawing int
	drawn   bool        // the picture is the drawing as it was read, also where a plate is planned
	place   *geom.Point // in the drawing if drawn, else on the stock
	layer   plain.Text  // all that lies on it; "" is none
	scene   *scene      // a picture of its own instead; nil is none
}

// live reports whether the cursor may rest on the row.
func (r row) live() bool { return !r.head }

// list is what a stage or page shows: rows by index, made when asked for, so
// that a list of many thousand features costs what is seen of it.
type list struct {
	n    int
	at   func(i int) row
	find func(id string) int // -1 if there is none
}

func rowsList(rows []row) list {
	return list{
		n:  len(rows),
		at: func(i int) row { return rows[i] },
		find: func(id string) int {
			for i, r := range rows {
				if r.id == id {
					return i
				}
			}
			return -1
		},
	}
}

// spot is where the cursor of a list stands.
type spot struct {
	id  string
	i   int // where it was, in case the id is gone
	top int // first row shown
}

// settle returns the index of the cursor's row; the nearest live row if its
// row is gone, -1 if no row is live.
func (s *spot) settle(l list) int {
	if s.id != "" {
		if i := l.find(s.id); i >= 0 {
			s.i = i
			return i
		}
	}
	i := max(0, min(s.i, l.n-1))
	for k := i; k < l.n; k++ {
		if r := l.at(k); r.live() {
			s.i, s.id = k, r.id
			return k
		}
	}
	for k := i; k >= 0 && k < l.n; k-- {
		if r := l.at(k); r.live() {
			s.i, s.id = k, r.id
			return k
		}
	}
	return -1
}

// move goes by n live rows and reports whether the cursor moved.
func (s *spot) move(l list, n int) bool {
	i := s.settle(l)
	if i < 0 {
		return false
	}
	step, was := 1, i
	if n < 0 {
		step, n = -1, -n
	}
	if n >= l.n { // to the end: what lies between is not asked for
		end := l.n - 1
		if step < 0 {
			end = 0
		}
		for !l.at(end).live() {
			end -= step
		}
		i, n = end, 0
	}
	for k := i + step; k >= 0 && k < l.n && n > 0; k += step {
		if l.at(k).live() {
			i = k
			n--
		}
	}
	s.i, s.id = i, l.at(i).id
	return i != was
}

// last is the last of the lines that the text of row i takes.
func (l list) last(i int) int {
	for i+1 < l.n && l.at(i+1).more {
		i++
	}
	return i
}

// scroll keeps the cursor and all the text of its row among the h rows that
// are seen, with the heading above the first row in sight.
func (s *spot) scroll(l list, h int) {
	i := s.settle(l)
	if i < 0 {
		i = 0
	}
	lo := i
	for lo > 0 && l.at(lo-1).head {
		lo--
	}
	if s.top > lo {
		s.top = lo
	}
	if last := l.last(i); last >= s.top+h {
		s.top = min(i, last-h+1)
	}
	s.top = max(0, min(s.top, l.n-h))
}

// spread lays spans out over as many lines as they take: the first is the row
// itself, the others follow it and the cursor passes over them. Words go over
// to the next line whole; tail is not broken at all. indent is put before each
// further line.
func (r row) spread(indent int, spans line, tail span, w int) []row {
	var lines []line
	cur, n := line{}, 0
	put := func(word string, i ink) {
		c := cells(word)
		if n > 0 && n+1+c > w {
			lines, cur, n = append(lines, cur), line{{blanks(indent), inkPlain}}, indent
		} else if n > 0 {
			word, n = " "+word, n+1
		}
		if last := len(cur) - 1; last >= 0 && cur[last].ink == i {
			cur[last].s += word
		} else {
			cur = cur.add(i, word)
		}
		n += c
	}
	for _, s := range spans {
		for _, word := range whole(s.s) {
			put(word, s.ink)
		}
	}
	if tail.s != "" {
		put(tail.s, tail.ink)
	}
	lines = append(lines, cur)
	r.plain = lines[0]
	out := []row{r}
	for _, l := range lines[1:] {
		out = append(out, row{head: true, more: true, plain: l})
	}
	return out
}

// labelWidth is the width of a label with its leader.
const labelWidth = 21

// draw lays a row out over w cells.
func (r row) draw(t *theme, w int, under bool, ed *editor) line {
	mark, mi := r.state.mark(t)
	cur := " "
	if under {
		cur = t.cursor
	}
	if r.head && r.plain != nil { // goes on from the row above
		return append(line{{"   ", inkPlain}}, r.plain...).fit(t, w)
	}
	if r.head {
		return line{{" ", inkPlain}, {r.label, inkHead}}.fit(t, w)
	}
	l := line{{cur, inkPick}, {mark, mi}, {" ", inkPlain}}
	if ed != nil {
		return append(l.label(t, r, under), ed.show(t, w-labelWidth-4)...).fit(t, w)
	}
	if r.plain != nil {
		body := r.plain
		if under {
			body = make(line, len(r.plain))
			for i, s := range r.plain {
				body[i] = span{s.s, max(s.ink, inkPlain)}
				if s.ink == inkPlain {
					body[i].ink = inkPick
				}
			}
		}
		return append(l, body...).fit(t, w)
	}
	l = l.label(t, r, under)
	vi := inkPlain
	switch {
	case r.state == stOpen:
		vi = inkOpen
	case r.state == stBad:
		vi = inkBad
	case r.state == stRule:
		vi = inkRule
	case under:
		vi = inkPick
	}
	l = l.add(vi, r.value)
	switch had := l.width(); {
	case r.note == "":
	case had <= w-3 && had+2+cells(r.note) > w:
		l = l.add(inkFaint, "  "+t.more) // half a note says something else
	default:
		l = l.add(inkFaint, "  "+r.note)
	}
	return l.fit(t, w)
}

// cutOff returns what of value and note w cells are too few for, if the
// explanation does not say it as well.
func (r row) cutOff(w int) string {
	if r.head || r.plain != nil {
		return ""
	}
	room := w - 3 - max(labelWidth, cells(r.label)+2)
	said := strings.ToLower(r.why + " " + r.bounds)
	var out string
	if cells(r.value) > room && !strings.Contains(said, strings.ToLower(r.value)) {
		out = sentence(r.label + ": " + r.value)
	}
	if r.note != "" && cells(r.value)+2+cells(r.note) > room && !strings.Contains(said, strings.ToLower(r.note)) {
		out += " " + sentence(upperFirst(r.note))
	}
	return strings.TrimSpace(out)
}

func (l line) label(t *theme, r row, under bool) line {
	i := inkPlain
	if under {
		i = inkPick
	}
	if r.value == "" && r.begin == nil && r.turn == nil {
		return l.add(i, r.label)
	}
	l = l.add(i, r.label+" ")
	n := labelWidth - cells(r.label) - 2
	dots := ""
	for range n {
		dots += t.leader
	}
	return l.add(inkFaint, dots+" ")
}
