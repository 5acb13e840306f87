package planner

import (
	"bytes"
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

// limits holds both texts to what the controller takes in one program. A
// program that is too long is an Error, which names the last cut that would
// still fit: a controller that drops the rest leaves a plate half cut. Arcs
// written as chords are told.
func (s shop) limits(p *Program) fault.List {
	var faults fault.List
	m := s.job.Machine.Program
	for _, x := range []struct {
		text []byte
		name string
	}{{p.Text, fileOf(false)}, {p.Dry, fileOf(true)}} {
		lines, size := bytes.Count(x.text, []byte("\n")), len(x.text)
		over, limit := "", 0
		switch {
		case m.MaxLines > 0 && lines > m.MaxLines:
			over, limit = fmt.Sprintf("%d lines, the controller takes %d", lines, m.MaxLines), m.MaxLines
		case m.MaxBytes > 0 && size > m.MaxBytes:
			over = fmt.Sprintf("%d bytes, the controller takes %d", size, m.MaxBytes)
			limit = bytes.Count(x.text[:m.MaxBytes], []byte("\n"))
		default:
			continue
		}
		do := "Cut fewer parts in one job."
		if k := lastWithin(p, limit); x.name == fileOf(false) && k > 0 {
			do = fmt.Sprintf("Cut fewer parts in one job: cut %d of %d is the last that fits.", p.Cuts[k-1].N, len(p.Cuts))
		}
		faults.Errorf(fault.Where{File: x.name}, "program-long", do, "%s", over)
	}
	if m.Arcs == job.ArcsNone {
		faults.Add(fault.Fault{Severity: fault.Note, Where: fault.Where{File: fileOf(false)}, Code: "chords",
			What: fmt.Sprintf("the controller has no arcs: they are written as lines that lie within %s of them", s.job.Units.Length(s.rules.Tolerance/2))})
	}
	return faults
}

// footRoom is how many lines the end of a program takes at most, besides the
// profile's own: arc off, raised, parked, height control, end.
const footRoom = 8

// lastWithin returns how many cuts fit into so many lines with the end.
func lastWithin(p *Program, lines int) int {
	n := 0
	for i := range p.Cuts {
		if p.Cuts[i].Last+footRoom <= lines {
			n = i + 1
		}
	}
	return n
}
