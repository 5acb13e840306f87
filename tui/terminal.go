package tui

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// TerminalReport is what was found out about a terminal, for a report of a fault. The
// names of the keys are those of the command's JSON.
type TerminalReport struct {
	Input    bool   `json:"input_is_terminal"`
	Output   bool   `json:"output_is_terminal"`
	Columns  int    `json:"columns"` // 0: unknown
	Rows     int    `json:"rows"`
	Fits     bool   `json:"fits"` // the wizard can be drawn
	Wizard   bool   `json:"wizard_possible"`
	Term     string `json:"term"`
	Locale   string `json:"locale"` // the variable that decides, with its value
	Signs    string `json:"signs"`  // "Unicode" or "ASCII": what the wizard draws with
	Colors   int    `json:"colours"`
	NoColor  bool   `json:"no_color"`
	Answer   string `json:"answer"` // how the terminal answered, in words
	AnswerMs int    `json:"answer_ms"`
	Wide     string `json:"sign_width"` // how many cells the signs take, in words
	Keys     string `json:"keys"`
	Remote   bool   `json:"over_ssh"`
	Inside   string `json:"inside"` // of a terminal multiplexer: which variable says so
}

// answerWait is how long a terminal may take to say where its cursor is: a
// slow link answers in a quarter of that.
const answerWait = time.Second

// LookAtTerminal asks the environment, and the terminal itself if both ends
// are one. It writes a few signs and takes them away again.
func LookAtTerminal(in *os.File, out io.Writer, getenv func(string) string) TerminalReport {
	r := TerminalReport{
		Input: term.IsTerminal(in.Fd()), Term: getenv("TERM"), NoColor: getenv("NO_COLOR") != "", Signs: "Unicode", Colors: 16,
		Remote: getenv("SSH_CONNECTION") != "" || getenv("SSH_TTY") != "", Answer: "not asked", Wide: "not measured",
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := getenv(name); v != "" {
			r.Locale = name + "=" + v
			break
		}
	}
	for _, name := range []string{"TMUX", "STY"} {
		if getenv(name) != "" {
			r.Inside = name
		}
	}
	if WantsASCII(getenv) {
		r.Signs = "ASCII"
	}
	if r.NoColor {
		r.Colors = 0
	}
	r.Keys = fmt.Sprintf("arrow keys as esc sequences; an esc is waited on for %d ms", escWait.Milliseconds())
	tty, ok := out.(*os.File)
	r.Output = ok && term.IsTerminal(tty.Fd())
	if r.Output {
		r.Columns, r.Rows, _ = term.GetSize(tty.Fd())
	}
	r.Fits = r.Columns >= minWidth && r.Rows >= minHeight
	moves := Terminal(getenv) == nil
	r.Wizard = r.Input && r.Output && moves
	if r.Wizard {
		r.ask(in, tty)
	} else if !moves {
		r.Answer = "not asked: TERM names a terminal without a cursor"
	}
	return r
}

// ask measures where the cursor goes (ECMA-48 8.3.35, DSR 6 and its answer
// CPR, 8.3.14).
func (r *TerminalReport) ask(in, out *os.File) {
	old, err := term.MakeRaw(in.Fd())
	if err != nil {
		r.Answer = "cannot be asked: " + err.Error()
		return
	}
	defer term.Restore(in.Fd(), old)
	got := reading(in)
	column := func(text string) (int, time.Duration, bool) {
		begun := time.Now()
		io.WriteString(out, "\r"+text+"\x1b[6n")
		col, ok := awaitColumn(got, answerWait)
		io.WriteString(out, "\r\x1b[K")
		return col, time.Since(begun), ok
	}
	_, took, ok := column("")
	if !ok {
		r.Answer = fmt.Sprintf("none within %s: the wizard does not need one", answerWait)
		return
	}
	r.AnswerMs = int(took.Milliseconds())
	r.Answer = fmt.Sprintf("cursor asked for and told in %d ms", r.AnswerMs)
	const signs = "─│▸·✓"
	if col, _, ok := column(signs); ok {
		switch n, want := col-1, len([]rune(signs)); n {
		case want:
			r.Wide = fmt.Sprintf("%d line signs take %d cells, as they must", want, n)
		default:
			r.Wide = fmt.Sprintf("%d line signs take %d cells: use --ascii", want, n)
		}
	}
}

// reading hands over what comes in, read by read. It ends with the process.
func reading(in io.Reader) <-chan []byte {
	got := make(chan []byte)
	go func() {
		defer close(got)
		for {
			buf := make([]byte, 256)
			n, err := in.Read(buf)
			if n > 0 {
				got <- buf[:n]
			}
			if err != nil {
				return
			}
		}
	}()
	return got
}

// awaitColumn reads up to the answer "esc [ row ; column R".
func awaitColumn(got <-chan []byte, wait time.Duration) (col int, ok bool) {
	over := time.After(wait)
	var all []byte
	for len(all) < 4096 {
		select {
		case b, open := <-got:
			if !open {
				return 0, false
			}
			all = append(all, b...)
			for at := all; ; {
				_, rest, found := bytes.Cut(at, []byte("\x1b["))
				if !found {
					break
				}
				var row int
				var tail byte
				if n, _ := fmt.Sscanf(string(rest), "%d;%d%c", &row, &col, &tail); n == 3 && tail == 'R' {
					return col, true
				}
				at = rest
			}
		case <-over:
			return 0, false
		}
	}
	return 0, false
}

// Lines is the report as a person reads it.
func (r TerminalReport) Lines() []string {
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return "no"
	}
	size := "unknown"
	if r.Columns > 0 {
		size = fmt.Sprintf("%d columns, %d rows", r.Columns, r.Rows)
		if !r.Fits {
			size += fmt.Sprintf("; the wizard needs %d by %d", minWidth, minHeight)
		}
	}
	colors := fmt.Sprintf("%d", r.Colors)
	if r.NoColor {
		colors = "none: NO_COLOR is set"
	}
	said := func(s, none string) string {
		if s == "" {
			return none
		}
		return s
	}
	rows := [][2]string{
		{"keyboard is a terminal", yes(r.Input)}, {"output is a terminal", yes(r.Output)},
		{"size", size}, {"TERM", said(r.Term, "not set")}, {"locale", said(r.Locale, "not set")},
		{"drawn with", r.Signs}, {"colours", colors}, {"answer", r.Answer}, {"signs", r.Wide}, {"keys", r.Keys},
		{"over SSH", yes(r.Remote)}, {"inside a multiplexer", said(r.Inside, "no")}, {"wizard possible", yes(r.Wizard && r.Fits)},
	}
	out := make([]string, len(rows))
	for i, row := range rows {
		out[i] = fmt.Sprintf("%-24s%s", row[0], row[1])
	}
	return out
}

// ShowKeys tells what each key sends, read by read, until q or ctrl+c. A key
// that arrives in two reads is one that the link tore.
func ShowKeys(in *os.File, out io.Writer) error {
	old, err := term.MakeRaw(in.Fd())
	if err != nil {
		return fmt.Errorf("listen to the keys: %w", err)
	}
	defer term.Restore(in.Fd(), old)
	fmt.Fprint(out, "Press keys; q ends.\r\n")
	last := time.Now()
	for b := range reading(in) {
		now := time.Now()
		for i, key := range keysIn(b) {
			after := now.Sub(last)
			if i > 0 {
				after = 0
			}
			fmt.Fprintf(out, "%s\r\n", keyLineOf(key, after))
		}
		last = now
		if bytes.ContainsAny(b, "q\x03") {
			return nil
		}
	}
	return nil
}

// keysIn takes one read apart: control sequences (ECMA-48 5.4: esc [, then to
// the first byte from 40 to 7e), shifted keys (esc O and a sign), and signs.
func keysIn(b []byte) [][]byte {
	var out [][]byte
	for len(b) > 0 {
		n := 1
		switch {
		case len(b) > 2 && b[0] == 0x1b && b[1] == '[':
			for n = 2; n < len(b) && (b[n] < 0x40 || b[n] > 0x7e); {
				n++
			}
			n = min(n+1, len(b))
		case len(b) > 2 && b[0] == 0x1b && b[1] == 'O':
			n = 3
		case b[0] >= utf8.RuneSelf:
			_, n = utf8.DecodeRune(b)
		}
		out, b = append(out, b[:n]), b[n:]
	}
	return out
}

// keyLineOf describes one key: its bytes, what they are, the time since the
// last read.
func keyLineOf(b []byte, after time.Duration) string {
	var hex []string
	for _, x := range b {
		hex = append(hex, fmt.Sprintf("%02x", x))
	}
	name := "signs"
	switch tail, esc := bytes.CutPrefix(b, []byte("\x1b")); {
	case esc && len(tail) == 0:
		name = "esc, or the head of a torn key"
	case esc:
		name = "a key that the wizard does not know"
		if keys, ok := torn(string(tail)); ok && len(keys) == 1 {
			name = keys[0].String()
		}
	case len(b) == 1 && (b[0] < 0x20 || b[0] == 0x7f):
		name = tea.KeyMsg{Type: tea.KeyType(b[0])}.String()
	default:
		name = fmt.Sprintf("%q", b)
	}
	return fmt.Sprintf("%6d ms  %-18s %s", after.Milliseconds(), strings.Join(hex, " "), name)
}
