package main

import (
	"fmt"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/tui"
)

// sketch prints a small view of the drawing, in ASCII unless the locale shows
// more.
func sketch(w world, l *drawing.Loops) error {
	for _, line := range tui.Sketch(l, 60, 16, tui.WantsASCII(w.env)) {
		fmt.Fprintln(w.out, line)
	}
	return nil
}
