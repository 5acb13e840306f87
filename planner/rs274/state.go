package rs274

import (
	"bytes"

	"example.org/kerfwright/planner/fault"
)

// Options say how a program is read. The zero value reads the standard,
// knows no units before G20 or G21, and lets every probe run to its
// programmed end.
type Options struct {
	Dialect
	File  string // for faults
	Units Units  // in force before the program says; the standard leaves it to the machine
	Start Vec    // where the program starts; not counted as known

	// Probe answers at which part (0 to 1) of a G38.2 the probe trips; ok is
	// false if it never does.
	Probe func(m *Move) (part float64, ok bool)
	// Line is called with every line that is read, before its moves.
	Line func(n int, text []byte)
}

// Limits of the language.
const (
	MaxLine     = 256 // characters (section 3.3)
	MaxSureLine = 255 // the interpreter made from the report takes no more

	// ArcToleranceMM and ArcToleranceInch bound the difference between the
	// radii at an arc's start and end (section 3.5.3.2).
	ArcToleranceMM   = 0.002
	ArcToleranceInch = 0.0002
	// ProbeNearestMM and ProbeNearestInch: a probe must have further to go
	// (section 3.5.9.1).
	ProbeNearestMM   = 0.254
	ProbeNearestInch = 0.01
)

// mostFaults stops the reading of what is no program at all.
const mostFaults = 100

// reader is the machine that a program runs on.
type reader struct {
	o      Options
	emit   func(*Move)
	faults fault.List
	scan   scanner
	line   int
	failed int

	modal   *Modal
	shared  bool // modal was handed out
	pos     Vec  // in program coordinates, mm
	known   Axes
	systems [10]Vec // origins, mm, by System
	known54 [10]bool
	g92     Vec // in force
	feed    float64
	feedIn  Units // in which the feed was written
	params  map[int]float64
	ended   bool
	move    Move
}

// Run reads the text and calls emit for every move in the order in which the
// machine would do them (table 8). The Move is reused: copy what is to be
// kept. A line with an Error makes no move, but for an arc whose radii differ by
// more than the standard allows: it is followed from start to end.
func Run(text []byte, o Options, emit func(*Move)) fault.List {
	r := &reader{
		o: o, emit: emit, pos: o.Start,
		modal:  &Modal{Motion: 800, Units: o.Units, System: 1, Path: 640, AbsoluteCentres: o.AbsoluteCentres},
		params: map[int]float64{5220: 1},
	}
	r.known54[1] = true
	r.scan.params = r.parameter
	r.run(text)
	return r.faults
}

// Read is Run that collects the moves.
func Read(text []byte, o Options) ([]Move, fault.List) {
	var moves []Move
	faults := Run(text, o, func(m *Move) { moves = append(moves, *m) })
	return moves, faults
}

func (r *reader) run(text []byte) {
	var b block
	opened, first := false, true // percent lines; no line but blank ones so far
	for len(text) > 0 && !r.ended {
		line := text
		if i := bytes.IndexByte(text, '\n'); i >= 0 {
			line, text = text[:i], text[i+1:]
		} else {
			text = nil
		}
		line = bytes.TrimSuffix(line, []byte{'\r'})
		r.line++
		if r.o.Line != nil {
			r.o.Line(r.line, line)
		}
		if len(line) > MaxLine {
			r.problem(bad("line-length", "Shorten it.", "%d characters on a line, at most %d are allowed (NISTIR 6556 3.3)", len(line), MaxLine))
			first = false
			continue
		}
		if bytes.IndexByte(line, '%') >= 0 && string(bytes.TrimSpace(line)) == "%" {
			switch {
			case first:
				opened = true
			case opened:
				r.ended = true
				r.start(End).Code = "%"
				r.emit(&r.move)
			default:
				r.problem(bad("percent", "Remove it, or put one at the start too.", "a closing percent line without an opening one"))
			}
			first = false
			continue
		}
		if len(line) > MaxSureLine {
			r.faults.Warnf(r.where(), "line-length", "Write at most 255.", "%d characters on a line: the report allows it, the interpreter made from it refuses it", len(line))
		}
		p := r.parse(line, &b)
		if p == nil && !b.empty {
			first = false
			if !b.slashed || !r.o.DeleteSlashed {
				if p = r.execute(&b); p != nil {
					r.passOver(&b)
				}
			}
		}
		if p != nil {
			first = false
			r.problem(p)
			if r.failed >= mostFaults {
				r.problem(bad("too-many", "Correct the lines above first.", "%d lines with errors: reading stopped here", r.failed))
				return
			}
		}
	}
	if !r.ended {
		want := "M2 or M30"
		if opened {
			want = "the second percent line, M2 or M30"
		}
		r.problem(bad("no-end", "Look whether the file is complete.", "the text ends without %s (NISTIR 6556 3.1)", want))
	}
}

// passOver goes where a line with an error would have gone, at its feed, so
// that the lines after it are read from the right place. Nothing is emitted.
func (r *reader) passOver(b *block) {
	if b.given('F') && b.value('F') > 0 {
		r.feed, r.feedIn = b.value('F'), r.modal.Units
	}
	if g := b.gOf(0, 10, 20, 30); g >= 0 {
		r.change().Motion = g
	}
	if r.modal.Incremental || r.modal.Units == UnitsUnknown || b.hasG(40, 100, 280, 300, 530, 920) {
		return
	}
	for i, c := range [3]byte{'X', 'Y', 'Z'} {
		if b.given(c) {
			*r.pos.axis(i) = b.value(c) * r.modal.Units.mm()
			r.known |= 1 << i
		}
	}
}

func (r *reader) where() fault.Where { return fault.Where{File: r.o.File, Line: r.line} }

func (r *reader) problem(p *problem) {
	r.failed++
	r.faults.Errorf(r.where(), p.code, p.do, "%s", p.what)
}

// change returns the modal state for writing.
func (r *reader) change() *Modal {
	if r.shared {
		m := *r.modal
		r.modal, r.shared = &m, false
	}
	return r.modal
}

func (r *reader) off() Vec { return r.systems[r.modal.System].Add(r.g92) }

// start prepares a move that goes nowhere.
func (r *reader) start(k Kind) *Move {
	r.shared = true
	r.move = Move{Line: r.line, Kind: k, From: r.pos, To: r.pos, Off: r.off(), Known: r.known, Modal: r.modal}
	return &r.move
}

func (r *reader) event(k Kind, code string) {
	r.start(k).Code = code
	r.emit(&r.move)
}

// scale returns the mm in one unit of the program.
func (r *reader) scale() (float64, *problem) {
	if r.modal.Units == UnitsUnknown {
		return 0, bad("units", "Write G20 or G21 before the first length.", "a length before G20 or G21: its unit depends on the machine")
	}
	return r.modal.Units.mm(), nil
}

// parameter looks up what the program itself, or a probe, has set. Anything
// else lies in the machine's own file.
func (r *reader) parameter(i int) (float64, *problem) {
	if v, ok := r.params[i]; ok {
		return v, nil
	}
	return 0, bad("parameter", "Set it in the program first.", "parameter #%d was not set by the program: its value depends on the machine", i)
}

// execute does what one line says, in the order of table 8.
func (r *reader) execute(b *block) *problem {
	if p := r.check(b); p != nil {
		return p
	}
	if b.comments > 0 { // step 1
		m := r.start(Comment)
		m.Text, m.Message = message(b.comment)
		r.emit(m)
	}
	for _, s := range b.sets { // after all values were read (3.3.3)
		r.params[s.index] = s.value
	}
	if p := r.settings(b); p != nil {
		return p
	}
	switch {
	case b.hasG(100, 921, 922, 923), b.hasG(920): // step 19
		if p := r.offsets(b); p != nil {
			return p
		}
	}
	if p := r.userG(b); p != nil {
		return p
	}
	if p := r.motion(b); p != nil { // step 20
		return p
	}
	switch { // step 21
	case b.hasM(0, 1, 60):
		r.event(Stop, code('M', b.mOf(0, 1, 60)*10))
	case b.hasM(2, 30):
		r.end(code('M', b.mOf(2, 30)*10))
	}
	return nil
}

// end does M2 and M30 (section 3.6.1).
func (r *reader) end(code string) {
	at := r.pos.Add(r.off())
	r.g92 = Vec{}
	m := r.change()
	m.System, m.Plane, m.Incremental, m.InverseTime, m.Spindle, m.Motion = 1, XY, false, false, 0, 10
	r.pos = at.Sub(r.off())
	r.ended = true
	r.event(End, code)
}
