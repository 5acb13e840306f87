//go:build unix

package tui

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// ask lets LookAtTerminal talk with a terminal that answers a question for
// the cursor (ECMA-48 8.3.35) by width cells for each sign; 0 never answers.
func askTerminal(t *testing.T, width int, env map[string]string) TerminalReport {
	t.Helper()
	screen, line, err := pty.Open()
	if err != nil {
		t.Skip("no pseudo-terminal:", err)
	}
	defer screen.Close()
	defer line.Close()
	if err := pty.Setsize(line, &pty.Winsize{Rows: 24, Cols: 80}); err != nil {
		t.Fatal(err)
	}
	go func() {
		col := 1
		for {
			buf := make([]byte, 512)
			n, err := screen.Read(buf)
			if err != nil {
				return
			}
			for rest := string(buf[:n]); rest != ""; {
				switch {
				case strings.HasPrefix(rest, "\x1b[6n"):
					if width > 0 {
						fmt.Fprintf(screen, "\x1b[7;%dR", col)
					}
					rest = rest[4:]
				case strings.HasPrefix(rest, "\x1b[K"):
					rest = rest[3:]
				case rest[0] == '\r':
					col, rest = 1, rest[1:]
				default:
					r := []rune(rest)[0]
					col, rest = col+width, rest[len(string(r)):]
				}
			}
		}
	}()
	return LookAtTerminal(line, line, func(k string) string { return env[k] })
}

func TestTerminalReportMeasuresTheTerminal(t *testing.T) {
	env := map[string]string{"TERM": "xterm", "LANG": "en_GB.UTF-8", "SSH_TTY": "/dev/pts/1"}
	r := askTerminal(t, 1, env)
	if !r.Wizard || !r.Fits || r.Columns != 80 || r.Rows != 24 || r.Signs != "Unicode" || !r.Remote {
		t.Errorf("%+v", r)
	}
	if r.Wide != "5 line signs take 5 cells, as they must" || !strings.Contains(r.Answer, "told in") {
		t.Errorf("%q, %q", r.Answer, r.Wide)
	}
	if r := askTerminal(t, 2, env); r.Wide != "5 line signs take 10 cells: use --ascii" {
		t.Errorf("a terminal that draws line signs two cells wide: %q", r.Wide)
	}
	if r := askTerminal(t, 0, env); !strings.HasPrefix(r.Answer, "none within") || r.Wide != "not measured" {
		t.Errorf("a terminal that never answers: %+v", r)
	}
	env["TERM"] = "dumb"
	if r := askTerminal(t, 1, env); r.Wizard || !strings.Contains(r.Answer, "not asked") {
		t.Errorf("a terminal without a cursor: %+v", r)
	}
}

func TestKeysAreToldByTheirBytes(t *testing.T) {
	for in, want := range map[string]string{
		"\x1b[A":     "1b 5b 41           up",
		"\x1b":       "1b                 esc, or the head of a torn key",
		"\r":         "0d                 enter",
		"x":          `78                 "x"`,
		"\x1b[99;9u": "1b 5b 39 39 3b 39 75 a key that the wizard does not know",
	} {
		if got := keyLineOf([]byte(in), 12*time.Millisecond); got != "    12 ms  "+want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func TestOneReadIsTakenApartIntoKeys(t *testing.T) {
	got := keysIn([]byte("\x1b[6~a\x1bOB\xc3\xa9\x1b"))
	want := [][]byte{[]byte("\x1b[6~"), []byte("a"), []byte("\x1bOB"), []byte("\xc3\xa9"), []byte("\x1b")}
	if fmt.Sprintf("%q", got) != fmt.Sprintf("%q", want) {
		t.Errorf("%q", got)
	}
}

func TestASCIIHoldsNothingElse(t *testing.T) {
	got := ASCII("Ø 12 × 3²\tTür\n")
	if got != "D 12 x 32\tT?r\n" || bytes.ContainsFunc([]byte(got), func(r rune) bool { return r > 0x7e }) {
		t.Errorf("%q", got)
	}
}
