// Package quiet answers, before anybody asks, whether the terminal's
// background is dark. Nothing comes in and nothing goes out but that answer;
// it never writes to the terminal and never reads from it.
//
// Bubble Tea v1 asks Lip Gloss for the background colour in its own init, and
// Lip Gloss asks the terminal: a query on standard output and up to five
// seconds of waiting, in every sub-command. Go initialises packages that are
// ready in the order of their import paths, and
// example.org/kerfwright/tui/quiet sorts before
// github.com/charmbracelet/bubbletea, so the answer below is there first. It
// has no influence on what is drawn: the wizard uses the sixteen ANSI colours
// only, which the person's own theme decides. Import it for its effect:
//
//	import _ "example.org/kerfwright/tui/quiet"
package quiet

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
