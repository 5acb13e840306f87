package tui

import (
	"context"
	"os"

	"example.org/kerfwright/planner/drawing"
)

// Short names for the engine's parameters.
type (
	ctxt    = context.Context
	loopsOf = []*drawing.Loops
)

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
