package quiet_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"
	"github.com/creack/pty"

	_ "example.org/kerfwright/tui/quiet"
)

// child says that this test binary was started again inside a terminal that
// never answers; it then only reaches main and stops.
const child = "KERFWRIGHT_QUIET_CHILD"

var _ tea.Model // Bubble Tea is linked in, as it is in the real program

func TestMain(m *testing.M) {
	if os.Getenv(child) != "" {
		os.Stdout.WriteString("main reached\n")
		return
	}
	os.Exit(m.Run())
}

// TestNothingIsAskedBeforeMain starts this binary, with Bubble Tea linked in,
// on a terminal that never answers. Its first bytes must be its own.
func TestNothingIsAskedBeforeMain(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, term := range []string{"xterm-256color", "xterm", "linux", "screen"} {
		t.Run(term, func(t *testing.T) {
			cmd := exec.Command(exe)
			cmd.Env = append(without(os.Environ(), "CI", "NO_COLOR", "COLORTERM", "TERM"), child+"=1", "TERM="+term)
			tty, err := pty.Start(cmd)
			if err != nil {
				t.Skipf("no pseudo-terminal here: %v", err)
			}
			defer tty.Close()
			watchdog := time.AfterFunc(30*time.Second, func() { cmd.Process.Kill() })
			defer watchdog.Stop()
			var got bytes.Buffer
			got.ReadFrom(tty) // ends with an error when the child closes the terminal
			if err := cmd.Wait(); err != nil {
				t.Fatalf("child: %v, after %q", err, got.String())
			}
			if want := "main reached\r\n"; got.String() != want {
				t.Errorf("first bytes on the terminal: %q, want %q", got.String(), want)
			}
		})
	}
}

func without(env []string, names ...string) []string {
	var out []string
next:
	for _, e := range env {
		for _, n := range names {
			if len(e) > len(n) && e[:len(n)+1] == n+"=" {
				continue next
			}
		}
		out = append(out, e)
	}
	return out
}

// TestPathSortsBeforeBubbleTea holds the reason why the answer comes first.
func TestPathSortsBeforeBubbleTea(t *testing.T) {
	mod, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	line, _, _ := bytes.Cut(mod, []byte("\n"))
	path := string(bytes.TrimPrefix(line, []byte("module ")))
	if bubbletea := "github.com/charmbracelet/bubbletea"; path >= bubbletea {
		t.Errorf("module path %q sorts after %q: the terminal would be asked first", path, bubbletea)
	}
}
