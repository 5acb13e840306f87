package planner

import (
	"bytes"
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/report"
)

// File is one of the programs that cut a job, one after the other: a
// controller may take no more at a time. Each is complete in itself.
type File struct {
	Text, Dry []byte
	From, To  int // cuts of the Program, [From, To)
}

// mostFiles bounds into how many programs a job is parted: an operator counts
// no more, and a limit that asks for more leaves no room for a cut.
const mostFiles = 99

// Files lists the programs of a plan; there is one where the controller takes
// it whole.
func (p *Program) Files() []File {
	if len(p.files) > 0 {
		return p.files
	}
	return []File{{Text: p.Text, Dry: p.Dry, To: len(p.Cuts)}}
}

// measure is what a text takes of a controller's room.
type measure struct{ lines, bytes int }

func measured(text []byte) measure { return measure{bytes.Count(text, []byte("\n")), len(text)} }

func (m measure) over(p job.Program) bool {
	return p.MaxLines > 0 && m.lines > p.MaxLines || p.MaxBytes > 0 && m.bytes > p.MaxBytes
}

func (m measure) add(o measure) measure { return measure{m.lines + o.lines, m.bytes + o.bytes} }

// tooLong reports whether the controller does not take either text whole.
func (s shop) tooLong(p *Program) bool {
	m := s.job.Machine.Program
	return measured(p.Text).over(m) || measured(p.Dry).over(m)
}

// room is what the head, the end and every cut of a text take.
type room struct {
	frame measure   // head and end
	cuts  []measure // [i] up to the end of cut i-1
}

// roomIn measures a text whose cuts end at some lines. What stands before the
// first of them is head.
func roomIn(text []byte, first int, last []int) room {
	ends := []int{0}
	for i, c := range text {
		if c == '\n' {
			ends = append(ends, i+1)
		}
	}
	whole := measured(text)
	up := func(line int) measure { return measure{line, ends[min(line, len(ends)-1)]} }
	head := up(first - 1)
	r := room{cuts: []measure{{}}}
	for _, l := range last {
		m := up(l)
		r.cuts = append(r.cuts, measure{m.lines - head.lines, m.bytes - head.bytes})
	}
	end := up(last[len(last)-1])
	r.frame = measure{head.lines + whole.lines - end.lines, head.bytes + whole.bytes - end.bytes}
	return r
}

// takes estimates what a program of cuts [a, b) takes.
func (r room) takes(a, b int) measure {
	return r.frame.add(measure{r.cuts[b].lines - r.cuts[a].lines, r.cuts[b].bytes - r.cuts[a].bytes})
}

// between reports whether no part is half cut before cut i: whatever was begun
// has its last cut behind it. Marks begin nothing.
func (p *Program) between() []bool {
	out := make([]bool, len(p.Cuts)+1)
	last := map[int]int{} // of each placed part
	for i := range p.Cuts {
		if c := &p.Cuts[i]; !c.marks() && !c.Pop {
			last[c.Placed] = i
			for _, o := range c.task.after { // it ends in the kerf of a neighbour, whose edge it finishes
				last[o] = i
			}
		}
	}
	open := 0
	begun := map[int]bool{}
	for i := range p.Cuts {
		out[i] = open == 0
		c := &p.Cuts[i]
		if c.marks() || c.Pop {
			continue
		}
		if !begun[c.Placed] {
			begun[c.Placed] = true
			if last[c.Placed] >= i {
				open++
			}
		}
		for k, at := range last {
			if at == i && begun[k] {
				open--
			}
		}
	}
	out[len(p.Cuts)] = true
	return out
}

// parting is where a program is cut into several.
type parting struct {
	at     []int // [at[k], at[k+1]) are the cuts of program k
	inside int   // how many of them begin inside a part
}

// divide chooses where to part a program: as few programs as the estimate
// allows, each ending between parts if there is such a place, else between two
// cuts of a part. more is room that every program needs beside it. ok is false
// where a single cut does not fit; it is cut alone.
func (s shop) divide(p *Program, text, dry room, more measure) (out parting, alone int, ok bool) {
	m := s.job.Machine.Program
	free := p.between()
	out.at = []int{0}
	for a := 0; a < len(p.Cuts); {
		most := a
		for b := a + 1; b <= len(p.Cuts); b++ {
			if text.takes(a, b).add(more).over(m) || dry.takes(a, b).add(more).over(m) {
				break
			}
			most = b
		}
		if most == a || len(out.at) > mostFiles {
			return out, a, false
		}
		b := most
		for b > a && !free[b] {
			b--
		}
		if b == a { // inside a part, but never inside a feature that takes several cuts if that can be helped
			b = most
			for b > a+1 && p.Cuts[b-1].Placed == p.Cuts[b].Placed && p.Cuts[b-1].Feature == p.Cuts[b].Feature {
				b--
			}
			if p.Cuts[b-1].Placed == p.Cuts[b].Placed && p.Cuts[b-1].Feature == p.Cuts[b].Feature {
				b = most
			}
			out.inside++
		}
		out.at = append(out.at, b)
		a = b
	}
	return out, 0, true
}

// rooms measures both texts.
func (s shop) rooms(p *Program) (text, dry room) {
	last := make([]int, len(p.Cuts))
	for i := range p.Cuts {
		last[i] = p.Cuts[i].Last
	}
	return roomIn(p.Text, p.Cuts[0].First, last), roomIn(p.Dry, p.dryFirst, p.dryLast)
}

// split parts a program that is too long into several and writes them. On an
// error the program is left as it is.
func (s shop) split(p *Program) (parting, error) {
	text, dry := s.rooms(p)
	m := s.job.Machine.Program
	more := s.aside()
	for try := 0; ; try++ {
		where, alone, ok := s.divide(p, text, dry, more)
		if !ok {
			c := p.Cuts[min(alone, len(p.Cuts)-1)]
			need := text.takes(alone, alone+1).add(more)
			if d := dry.takes(alone, alone+1).add(more); !need.over(m) && d.over(m) {
				need = d
			} else if !need.over(m) {
				return where, fault.List{{Severity: fault.Error, Where: fault.Where{File: fileOf(false)}, Code: "program-long",
					What: fmt.Sprintf("it would have to be parted into more than %d programs, the controller takes %s", mostFiles, roomOf(m)),
					Do:   "Cut fewer parts in one job."}}.Err()
			}
			return where, fault.List{{Severity: fault.Error, Where: fault.Where{File: fileOf(false), Feature: c.Label}, Code: "program-long",
				What: fmt.Sprintf("cut %d alone takes %d lines and %d bytes with its head and end, the controller takes %s", c.N, need.lines, need.bytes, roomOf(m)),
				Do:   "Allow arcs, or a coarser tolerance; or raise the limit in the machine profile if the controller takes more."}}.Err()
		}
		files, err := s.writeParts(p, where.at)
		if err != nil {
			return where, err
		}
		long := false
		for _, q := range files {
			long = long || s.tooLong(q)
		}
		if long && try < 20 { // the estimate was short: other ways between the cuts, other touch-offs
			more = more.add(measure{4, 200})
			continue
		}
		s.gather(p, where.at, files)
		return where, nil
	}
}

// aside is what a program of a set takes besides the lines that the whole one
// has: who it is, what must be so before it, a touch-off of its own.
func (s shop) aside() measure {
	m := s.job.Machine.Program
	out := measure{lines: 5 + len(m.TouchOff), bytes: 5 * 130}
	for _, l := range m.TouchOff {
		out.bytes += len(l) + 40
	}
	return out
}

func roomOf(m job.Program) string {
	switch {
	case m.MaxLines > 0 && m.MaxBytes > 0:
		return fmt.Sprintf("%d lines and %d bytes", m.MaxLines, m.MaxBytes)
	case m.MaxLines > 0:
		return fmt.Sprintf("%d lines", m.MaxLines)
	}
	return fmt.Sprintf("%d bytes", m.MaxBytes)
}

// writeParts plans the ways of every program of a set anew and writes it.
func (s shop) writeParts(p *Program, at []int) ([]*Program, error) {
	var out []*Program
	for k := range len(at) - 1 {
		a, b := at[k], at[k+1]
		q := &Program{
			Plate: p.Plate, Plates: p.Plates, Tree: p.Tree, Placed: p.Placed, Lie: p.Lie, Shared: p.Shared, trim: p.trim, loops: p.loops, TakenUp: p.TakenUp,
			Before: p.Before + a, done: append(slices.Clone(p.done), p.Cuts[:a]...), Cuts: slices.Clone(p.Cuts[a:b]),
			set: k + 1, sets: len(at) - 1, total: p.Before + len(p.Cuts),
		}
		if k == 0 {
			q.start, q.begun = p.start, p.begun
		}
		for i := range q.Cuts {
			q.Cuts[i].along, q.Cuts[i].Program = nil, k
		}
		s.travel(q)
		s.sums(q)
		if err := s.write(q); err != nil {
			return nil, err
		}
		out = append(out, q)
	}
	return out, nil
}

// gather puts what the programs of a set are into the plan that they make
// together.
func (s shop) gather(p *Program, at []int, files []*Program) {
	p.files = nil
	p.Raised, p.Round, p.ExtraTime, p.TouchOffsSaved, p.TouchOffTimeSaved, p.Rest, p.Plan.Time = 0, 0, 0, 0, 0, files[0].Rest, 0
	var cuts []report.Cut
	for k, q := range files {
		copy(p.Cuts[at[k]:], q.Cuts)
		for i, way := range q.Rapids {
			p.Rapids[at[k]+i] = way
		}
		if k > 0 {
			p.Rest = p.Rest.Add(q.Rest)
		}
		p.Raised, p.Round, p.ExtraTime = p.Raised+q.Raised, p.Round+q.Round, p.ExtraTime+q.ExtraTime
		p.TouchOffsSaved, p.TouchOffTimeSaved = p.TouchOffsSaved+q.TouchOffsSaved, p.TouchOffTimeSaved+q.TouchOffTimeSaved
		p.Plan.Time += q.Plan.Time
		cuts = append(cuts, q.Plan.Cuts...)
		p.files = append(p.files, File{Text: q.Text, Dry: q.Dry, From: at[k], To: at[k+1]})
	}
	p.Text, p.Dry = files[0].Text, files[0].Dry
	s.sums(p)
	p.Plan.Cuts = cuts
}
