package tui

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// The wizard line by line, for screen readers and for terminals that cannot
// move their cursor. It shows the same views and rows as the full screen and
// acts on them through the same model, so that a row that is added there is
// here too; only what is drawn differs: every line is plain text.

// liner is one talk.
type liner struct {
	m       *Model
	out     *bufio.Writer
	in      chan string // closed when the input ends
	early   []string    // lines that came while work was under way
	msgs    chan tea.Msg
	pending int
	quit    bool

	at    string            // id of the view that was listed last
	shown map[string]string // its rows as they were told
	from  int               // first row not told yet
	door  string
	waitd time.Time // when it was last told how far the work is
}

// linesPage is how many rows are told at once.
const linesPage = 40

// linesSize is the screen that views take themselves to be on: all of a view
// counts as seen, since all of it is told.
const linesWidth, linesHeight = 80, 1 << 20

// RunLines holds the talk until the person leaves, the input ends or ctx does.
// In and Out need not be terminals.
func RunLines(ctx context.Context, s Session) (Outcome, error) {
	s.NoColor = true
	if s.Holder == nil {
		s.Holder = &Holder{}
	}
	m, err := New(ctx, s)
	if err != nil {
		return Outcome{}, err
	}
	defer m.Close()
	l := &liner{m: m, out: bufio.NewWriter(s.Out), in: make(chan string), msgs: make(chan tea.Msg, 64), shown: map[string]string{}}
	go read(ctx, s.In, l.in)
	m.in.wait, m.beat = 0, 100*time.Millisecond
	l.say("Kerfwright, line by line. Type a row's number to change it, n for the next open thing, ? for help.")
	l.run(m.Init())
	l.hand(tea.WindowSizeMsg{Width: linesWidth, Height: linesHeight})
	for !l.quit {
		if err = l.settle(ctx); err != nil || l.quit {
			break
		}
		l.tell()
		s, ok := l.ask(ctx, "> ")
		if !ok {
			err = ctx.Err()
			break
		}
		l.command(ctx, s)
	}
	l.out.Flush()
	out := m.outcome
	if l.quit && err == nil {
		return out, nil
	}
	path, kerr := s.Holder.Keep()
	if path != "" {
		out.Draft = path
	}
	if out.Err == nil {
		out.Err = kerr
	}
	if err != nil {
		return out, fmt.Errorf("the wizard: %w", err)
	}
	return out, nil
}

// read hands lines over until the input or ctx ends.
func read(ctx context.Context, in io.Reader, to chan<- string) {
	defer close(to)
	sc := bufio.NewScanner(in)
	for sc.Scan() {
		select {
		case to <- sc.Text():
		case <-ctx.Done():
			return
		}
	}
}

// say tells one line of plain text.
func (l *liner) say(s string) {
	l.out.WriteString(l.m.th.safe(s))
	l.out.WriteByte('\n')
}

// run does the work of a command off the talk.
func (l *liner) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	l.pending++
	go func() { l.msgs <- cmd() }()
}

// hand gives the model a message and does what comes of it.
func (l *liner) hand(msg tea.Msg) {
	switch msg := msg.(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			l.run(c)
		}
	case tea.QuitMsg:
		l.quit = true
	case tea.SuspendMsg:
	default:
		_, cmd := l.m.Update(msg)
		l.run(cmd)
	}
}

// settle waits until no work is under way. A line "stop" ends it.
func (l *liner) settle(ctx context.Context) error {
	in := l.in
	for l.pending > 0 && !l.quit {
		select {
		case msg := <-l.msgs:
			l.pending--
			l.hand(msg)
			l.howFar()
		case s, ok := <-in:
			switch {
			case !ok:
				in = nil
			case strings.TrimSpace(s) == "stop":
				l.m.stopWork()
			default:
				l.early = append(l.early, s)
				in = nil // what comes later waits
			}
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// howFar tells every five seconds how far long work has come.
func (l *liner) howFar() {
	r := l.m.waited()
	if r == nil || r.text == "" || time.Since(l.waitd) < 5*time.Second {
		return
	}
	l.waitd = time.Now()
	l.say("working: " + r.text + ", " + r.left + ". Type stop to end it.")
	l.out.Flush()
}

// ask tells a prompt and waits for a line; ok is false when there is none.
func (l *liner) ask(ctx context.Context, prompt string) (s string, ok bool) {
	l.out.WriteString(l.m.th.safe(prompt))
	l.out.Flush()
	if len(l.early) > 0 {
		s, l.early = l.early[0], l.early[1:]
		return s, true
	}
	select {
	case s, ok = <-l.in:
		return s, ok
	case <-ctx.Done():
		return "", false
	}
}

// numbered lists the rows of the view on top: those that can be chosen have a
// number, headings and further text have none.
func (l *liner) numbered() (ids []string, texts []string) {
	ls := l.m.top().list(l.m)
	for i := 0; i < ls.n; i++ {
		r := ls.at(i)
		s := rowText(r)
		for i+1 < ls.n && ls.at(i+1).more {
			i++
			s += " " + strings.TrimSpace(lineText(ls.at(i).plain))
		}
		id := r.id
		if !r.live() {
			id = ""
		}
		ids, texts = append(ids, id), append(texts, s)
	}
	return ids, texts
}

// stateWords stand for the marks of the screen.
var stateWords = map[state]string{stOpen: "OPEN: ", stBad: "WRONG: ", stWarn: "LOOK: ", stDone: "done: "}

// rowText is a row in words.
func rowText(r row) string {
	if r.plain != nil {
		return stateWords[r.state] + strings.Join(strings.Fields(lineText(r.plain)), " ")
	}
	s := stateWords[r.state] + r.label
	if r.value != "" {
		s += ": " + r.value
	}
	if r.note != "" {
		s += " (" + r.note + ")"
	}
	return s
}

func lineText(l line) string {
	var b strings.Builder
	for _, s := range l {
		b.WriteString(s.s)
	}
	return b.String()
}

// tell says what is new: the whole view if it is another, else the rows that
// changed; then what just happened, and the door.
func (l *liner) tell() {
	m := l.m
	m.whole = false // the picture is not told
	v := m.top()
	ids, texts := l.numbered()
	if v.id() != l.at {
		l.at, l.from = v.id(), 0
		where := ""
		if len(m.pages) == 0 {
			where = fmt.Sprintf("Stage %d of %d, ", m.d.Stage+1, int(stages))
		}
		l.say("")
		l.say(where + v.title(m))
		l.list(ids, texts)
	} else {
		for i, id := range ids {
			if was, had := l.shown[id]; id != "" && (!had || was != texts[i]) && (i < l.from || l.from == 0) {
				l.say(fmt.Sprintf("%d. %s", number(ids, i), texts[i]))
			}
		}
	}
	l.shown = map[string]string{}
	for i, id := range ids {
		if id != "" {
			l.shown[id] = texts[i]
		}
	}
	if m.said != nil && m.saidNew {
		l.say("! " + m.said[0].s)
		m.saidNew = false
	}
	if d := m.doorText(); d != l.door {
		l.door = d
		l.say(d)
	}
}

// doorText says whether anything may be saved, and if not what is open next.
func (m *Model) doorText() string {
	if len(m.blocks) == 0 {
		return strings.Join(strings.Fields(lineText(m.shutLine())), " ")
	}
	b := m.blocks[m.nextBlock()]
	s := fmt.Sprintf("SHUT, %d open. Next, on %s: %s.", len(m.blocks), b.stage, strings.TrimSuffix(b.why, "."))
	return s
}

// number is what a person types for row i.
func number(ids []string, i int) int {
	n := 0
	for _, id := range ids[:i+1] {
		if id != "" {
			n++
		}
	}
	return n
}

// list tells rows from where it left off.
func (l *liner) list(ids, texts []string) {
	to := min(len(ids), l.from+linesPage)
	for i := l.from; i < to; i++ {
		if ids[i] == "" {
			l.say("   " + texts[i])
			continue
		}
		l.say(fmt.Sprintf("%d. %s", number(ids, i), texts[i]))
	}
	l.from = to
	if to < len(ids) {
		l.say(fmt.Sprintf("%d more: type more.", len(ids)-to))
	}
}

// linesHelp is told by ? alone.
const linesHelp = `A number acts on that row: it asks for a value, opens a list or does what the row says. "7 6 mm" sets row 7 without asking; "3 +" and "3 -" go along its choices. ` +
	`Words: next, prev (stages), back (one step), n (next open thing), list, more, where, told, plate, undo, redo, ? 7 (what row 7 is about), quit. ` +
	`A letter and a number press that key on the row, such as x 4 or d 2.`

// words for keys.
var lineKeys = map[string]tea.KeyMsg{
	"next": {Type: tea.KeyTab}, "prev": {Type: tea.KeyShiftTab}, "back": {Type: tea.KeyEscape}, "undo": runeKey('u'), "redo": runeKey('r'),
	"told": runeKey('t'), "quit": runeKey('q'), "n": runeKey('n'), "u": runeKey('u'), "r": runeKey('r'), "t": runeKey('t'), "q": runeKey('q'),
}
