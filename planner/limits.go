package planner

import (
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// parted parts a program that the controller does not take whole, and says so.
// What cannot be parted is an Error: a controller that drops the rest leaves a
// plate half cut.
func (s shop) parted(p *Program, byPart bool) fault.List {
	var faults fault.List
	m := s.job.Machine.Program
	size := measured(p.Text)
	where, err := s.split(p)
	if err != nil {
		return fault.From(err, fault.Where{File: fileOf(false)})
	}
	say := func(severity fault.Severity, code, format string, args ...any) {
		faults.Add(fault.Fault{Severity: severity, Where: fault.Where{File: fileOf(false)}, Code: code, What: fmt.Sprintf(format, args...)})
	}
	say(fault.Note, "program-parted", "%d lines and %d bytes, the controller takes %s: it is parted into %d programs, to be run in their order", size.lines, size.bytes, roomOf(m), len(p.files))
	if byPart && len(p.Placed) > 1 {
		say(fault.Note, "program-by-part", "every part is finished before the next is begun, so that the programs can be parted between them")
	}
	if where.inside > 0 {
		say(fault.Warning, "program-parted-inside", "%d of the programs end inside a part, between two of its cuts: do not move the metal before the next has run", where.inside)
	}
	return faults
}

// partsInside reports whether the program would be parted inside a part.
func (s shop) partsInside(p *Program) bool {
	text, dry := s.rooms(p)
	where, _, ok := s.divide(p, text, dry, s.aside())
	return ok && where.inside > 0
}

// chords tells of a controller that takes no arcs, or not all of them.
func (s shop) chords(p *Program) fault.List {
	var faults fault.List
	m := s.job.Machine.Program
	n := 0
	for i := range p.Cuts {
		for _, seg := range p.Cuts[i].Path.Segs() {
			if gcode.Chorded(m, seg) {
				n++
			}
		}
	}
	u := s.job.Units
	decimals := 4
	if u == unit.Inch {
		decimals = 5
	}
	within := unit.Number(u.FromMM(gcode.ChordsWithin(m, s.rules.Tolerance)), decimals) + " " + u.String()
	what := fmt.Sprintf("the controller has no arcs: they are written as lines that lie within %s of them", within)
	if m.Arcs != job.ArcsNone {
		what = fmt.Sprintf("%d arcs are wider or narrower than the controller takes: they are written as lines that lie within %s of them", n, within)
	}
	if n > 0 {
		faults.Add(fault.Fault{Severity: fault.Note, Where: fault.Where{File: fileOf(false)}, Code: "chords", What: what})
	}
	return faults
}
