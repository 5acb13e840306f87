package tui

import (
	"errors"
	"fmt"
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"
)

// ErrBroken says that the wizard ended by a fault of ours. The work that was
// not saved is kept, and offered at the next start.
var ErrBroken = errors.New("the wizard broke off by a fault in the program")

// guarded is the model as Bubble Tea sees it. A panic ends the wizard in the
// ordinary way: Bubble Tea's own rescue gives the terminal back while its
// reader is still reading from it (v1.3.10, shutdown with kill).
type guarded struct {
	tea.Model
	broken error
	wake   func() // asks the program to quit, from whichever goroutine
}

// Update acts on one message; after a panic it only leaves.
func (g *guarded) Update(msg tea.Msg) (m tea.Model, cmd tea.Cmd) {
	m = g
	if g.broken != nil {
		return g, tea.Quit
	}
	defer g.rescue(&cmd)
	_, cmd = g.Model.Update(msg)
	return m, cmd
}

// Init starts what was asked for on the command line.
func (g *guarded) Init() (cmd tea.Cmd) {
	defer g.rescue(&cmd)
	return g.Model.Init()
}

// View draws the screen.
func (g *guarded) View() (s string) {
	if g.broken != nil {
		return ""
	}
	defer g.rescue(nil)
	return g.Model.View()
}

func (g *guarded) rescue(cmd *tea.Cmd) {
	r := recover()
	if r == nil {
		return
	}
	g.broken = fmt.Errorf("%w: %v\n%s", ErrBroken, r, debug.Stack())
	if cmd != nil {
		*cmd = tea.Quit
		return
	}
	g.wake()
}
