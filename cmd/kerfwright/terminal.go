package main

import (
	"fmt"
	"io"
	"os"

	"github.com/charmbracelet/x/term"

	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/tui"
)

// terminal says what was found of the terminal.
func terminal(w world, f flags) error {
	if len(f.rest) > 0 {
		return usagef("terminal takes no operand")
	}
	if f.has("keys") {
		if !onTerminal(w) {
			return usagef("terminal --keys needs a terminal to press keys on")
		}
		return tui.ShowKeys(w.in, w.out)
	}
	r := tui.LookAtTerminal(w.in, w.out, w.env)
	return emit(w, f, r, func(out io.Writer) error {
		fmt.Fprintln(out, "kerfwright "+version())
		for _, l := range r.Lines() {
			fmt.Fprintln(out, plain.Clean(l))
		}
		return nil
	})
}

// onTerminal tells whether a person sits at both ends.
func onTerminal(w world) bool {
	out, ok := w.out.(*os.File)
	return ok && term.IsTerminal(out.Fd()) && term.IsTerminal(w.in.Fd())
}
