package tui

import (
	"strings"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
)

// Sketch draws what is in a drawing as plain lines of at most w by h cells,
// for a command that prints it and is done: every path, in braille or ASCII,
// without colour. An empty drawing gives no lines.
func Sketch(l *drawing.Loops, w, h int, ascii bool) []string {
	box := geom.EmptyBox()
	for _, paths := range [2][]drawing.Loop{l.Closed, l.Open} {
		for _, p := range paths {
			box = box.Union(p.Path.Box())
		}
	}
	if box.Empty() {
		return nil
	}
	r := newRaster(w, h, box, 1, box.Center())
	draw := func(paths []drawing.Loop, k mark) {
		for _, p := range paths {
			r.draw(&stroke{path: p.Path, box: p.Path.Box(), mark: k, feature: -1}, k)
		}
	}
	draw(l.Closed, markPart)
	draw(l.Open, markOpen)
	how := pictureBraille
	if ascii {
		how = pictureASCII
	}
	var out []string
	for y := range h {
		var b strings.Builder
		for x := range w {
			b.WriteRune(r.cell[y*w+x].sign(how))
		}
		if line := strings.TrimRight(b.String(), " "); line != "" || len(out) > 0 {
			out = append(out, line)
		}
	}
	for len(out) > 0 && out[len(out)-1] == "" {
		out = out[:len(out)-1]
	}
	return out
}
