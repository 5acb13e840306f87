package tui

import (
	"context"
	"fmt"
	"os"
	"reflect"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner/drawing"
)

func typeName(v any) string { return fmt.Sprintf("%T", v) }

// sequence takes apart what tea.Sequence made, whose type is not exported.
func sequence(msg tea.Msg) []tea.Cmd {
	v := reflect.ValueOf(msg)
	var out []tea.Cmd
	for i := range v.Len() {
		out = append(out, v.Index(i).Interface().(tea.Cmd))
	}
	return out
}

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
