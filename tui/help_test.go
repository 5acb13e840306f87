package tui

import (
	"context"
	"os"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/drawing"
)

func sz(w, h int) tea.Msg { return tea.WindowSizeMsg{Width: w, Height: h} }

// Short names for the engine's parameters.
type (
	ctxt    = context.Context
	loopsOf = []*drawing.Loops
)

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
