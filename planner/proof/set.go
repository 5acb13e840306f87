package proof

import (
	"bytes"
	"fmt"
	"strings"

	"example.org/kerfwright/planner/rs274"
)

// A job that is too long for its controller is cut by several programs, one
// after the other. Each is read as if the machine had just been switched on,
// and what they do is then judged as one: lines count through all of them
// until a finding is told.

// program is one of those that are read.
type program struct {
	base, lines int // lines before it, and its own
	from, to    int // its runs
	corners     []corner
	held        int // line from which height is held at its end, 0 if it is not
	touched     bool
}

// readOne lets program k run and puts what it did behind what the others did.
func (c *check) readOne(k int, text []byte, d rs274.Dialect) {
	w := newWalker(c, text)
	told := len(c.found)
	faults := rs274.Run(text, rs274.Options{Dialect: d, Start: nowhere, Probe: w.probe, Line: w.begin}, w.move)
	for _, f := range faults {
		c.found = append(c.found, Finding{Line: f.Line, Severity: f.Severity, Code: f.Code, Text: f.What, Do: f.Do})
	}
	if w.end == 0 {
		w.finish(len(w.text))
		w.end = len(w.text)
	}
	w.travel()
	c.fits(w, len(text))
	c.decimals(w)
	w.dropTrace(c.tol)
	n := 1 + len(c.in.Then)
	if n > 1 && !c.cutShort {
		c.saysItsPlace(w, k, n)
	}
	p := program{lines: len(w.text)}
	if c.w == nil {
		c.w = w
	} else {
		p.base = len(c.w.text)
		for i := told; i < len(c.found); i++ {
			c.found[i].Line = p.base + max(1, c.found[i].Line) // an empty text has no line of its own
		}
		p.from = len(c.w.runs)
		w.behind(c.w)
	}
	if n > 1 {
		for i := p.from; i < len(c.w.runs); i++ {
			c.w.runs[i].base, c.w.runs[i].program = p.base, k+1
		}
	}
	p.to, p.corners, p.touched = len(c.w.runs), w.corners, len(w.touches) > 0
	if w.held {
		p.held = w.heldLine
	}
	c.programs = append(c.programs, p)
}

// behind moves what a walker noted behind what another did, and gives it to it.
func (w *walker) behind(all *walker) {
	base, runs, touches := len(all.text), len(all.runs), len(all.touches)
	for i := range w.runs {
		r := &w.runs[i]
		r.first, r.last = r.first+base, r.last+base
		if r.lift > 0 {
			r.lift += base
		}
		if r.probe >= 0 {
			r.probe += touches
		}
		r.stops += all.stops + 1 // somebody has started this program
		for n := range r.path {
			r.path[n].line += base
		}
	}
	for i := range w.hops {
		w.hops[i].line, w.hops[i].after = w.hops[i].line+base, w.hops[i].after+runs
	}
	for i := range w.touches {
		w.touches[i].line, w.touches[i].after = w.touches[i].line+base, w.touches[i].after+runs
	}
	for i := range w.corners {
		w.corners[i].line += base
	}
	w.end, w.heldLine = w.end+base, w.heldLine+base
	all.text, all.runs = append(all.text, w.text...), append(all.runs, w.runs...)
	all.hops, all.touches = append(all.hops, w.hops...), append(all.touches, w.touches...)
	all.stops += w.stops + 1
	all.end, all.wrongUnits = w.end, all.wrongUnits || w.wrongUnits
}

// programOf says in which program a line stands; what no line has belongs to
// the first.
func (c *check) programOf(line int) int {
	k := len(c.programs) - 1
	for k > 0 && line <= c.programs[k].base {
		k--
	}
	return k
}

// local is a line as its own program counts it.
func (c *check) local(line int) int {
	return line - c.programs[c.programOf(line)].base
}

// saysItsPlace asks a program of a set to say in its head which of how many it
// is: nothing else keeps the operator from running them in another order, or
// from taking one of them for the whole.
func (c *check) saysItsPlace(w *walker, k, n int) {
	want := fmt.Sprintf("(PROGRAM %d OF %d", k+1, n)
	for i, line := range w.text[:min(headLines, len(w.text))] {
		if plain := plainLine(line); strings.HasPrefix(plain, "(PROGRAM ") {
			if rest, ok := strings.CutPrefix(plain, want); ok && (rest == ")" || strings.HasPrefix(rest, ":")) {
				return
			}
			c.find(i+1, "", "set-place", "Run the programs of a job in their order, each once.", "is not program %d of %d by its own words: %s", k+1, n, bytes.TrimSpace(line))
			return
		}
	}
	c.find(1, "", "set-place", "Write the programs of the job again.", "program %d of %d does not say in its head which it is", k+1, n)
}

// headLines is how far down a program its head may reach.
const headLines = 40
