// Package gcode writes a program as RS-274/NGC text (NISTIR 6556) through a
// machine profile's templates. It takes cuts that are already planned and says
// nothing about whether they are right: that is package proof's, which reads
// the text back and shares nothing with this package.
package gcode

import (
	"bytes"
	"cmp"
	"fmt"
	"strconv"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Input is a planned job, mm from the program's XY zero.
type Input struct {
	Machine job.Machine
	Name    string // of the job
	Mark    string // which state of the job this is, one line; "" is not written
	Stock   string // one line
	Origin  string // where XY zero lies
	Process string // one line
	Notes   []string
	Time    float64 // s
	Amps    float64
	Control job.HeightControl
	Cuts    []Cut
	Frame   geom.Box // all that the torch reaches; the dry run traces it
	Fit     float64  // mm, for profiles without arcs
	Dry     bool
	Before  int         // cuts of the job that are made already
	Total   int         // cuts of the job; 0 is Before and Cuts
	Set, Of int         // which program of how many it is, from 1; 0: it is the only one
	Start   string      // not empty: what must be so before this program is run
	Park    *geom.Point // where the torch goes after the last cut
}

// Cut is one pierce to one torch-off.
type Cut struct {
	Label        string
	Path         geom.Path // open; an empty one is a centre pop
	Holds        []Span    // mm along Path
	Feed         float64
	Feeds        []float64 // of each segment of Path; nil is Feed
	PierceHeight float64
	CutHeight    float64
	PierceDelay  float64 // s
	Amps         float64 // A; 0 is Input.Amps
	TouchOff     bool
	Lift         float64      // mm over the plate before the move to the next cut
	Via          []geom.Point // turns of the rapid that leads here
	Touch        *geom.Point  // where the plate is touched, if not at the start
	Pause        string       // not empty: the operator must act before this cut
}

// feed returns the feed of segment i.
func (c *Cut) feed(i int) float64 {
	if c.Feeds != nil {
		return c.Feeds[i]
	}
	return c.Feed
}

// Span is a stretch of a path in mm from its start.
type Span struct{ From, To float64 }

// Lines are the first and last line of a cut in the text, from 1, and where
// along its path the torch is before each line that cuts.
type Lines struct {
	First, Last int
	Lit         int // the first line of those that light the torch
	Path        []Mark
}

// Mark says that the torch is At mm from the start of the path before a line.
type Mark struct {
	Line int
	At   float64
}

// Write returns the text and where each cut stands in it.
func Write(in Input) ([]byte, []Lines, error) {
	if faults := Check(in.Machine); faults.Bad() {
		return nil, nil, faults.Err()
	}
	w := &writer{in: in, p: in.Machine.Program, form: formOf(in.Machine.Program), end: "\n"}
	if w.p.LineEnd == "crlf" {
		w.end = "\r\n"
	}
	w.values = map[string]string{
		"name": plain.Comment(in.Name, 60), "stock": plain.Comment(in.Stock, 60), "origin": plain.Comment(in.Origin, 60),
		"process": plain.Comment(in.Process, 60), "cuts": strconv.Itoa(len(in.Cuts)), "time": plain.Comment(unit.Duration(in.Time), 20),
		"top_z": w.num(in.Machine.TopZ.Value), "probe_z": w.num(-ProbeBelow(in.Machine)), "probe_feed": w.form.feed(in.Machine.ProbeFeed),
		"sensor_offset": w.num(in.Machine.SensorOffset.Value), "minus_sensor_offset": w.num(-in.Machine.SensorOffset.Value),
		"travel_z": w.num(in.Machine.TravelZ), "amps": unit.Number(in.Amps, 0), "pierce_height": "0", "pierce_delay": "0",
	}
	w.preamble()
	lines := make([]Lines, len(in.Cuts))
	for i, c := range in.Cuts {
		lines[i].First = w.n + 1
		w.marks = nil
		w.cut(i, c)
		lines[i].Last, lines[i].Lit, lines[i].Path = w.n, w.lit, w.marks
	}
	w.finish()
	return w.buf.Bytes(), lines, w.err
}

// ProbeBelow returns how far under the plate's top, mm, a touch-off may go
// before it fails: what the search has left after the way from TravelZ.
func ProbeBelow(m job.Machine) float64 { return max(1, m.ProbeSearch-m.TravelZ) }

type writer struct {
	in     Input
	p      job.Program
	form   form
	end    string
	buf    bytes.Buffer
	n      int // lines written
	values map[string]string
	at     geom.Point // as written
	feed   string     // F in force
	marks  []Mark     // of the cut being written
	lit    int        // line that lights the torch for it
	err    error
}

func (w *writer) num(mm float64) string { return w.form.num(mm) }

func (w *writer) line(format string, args ...any) { w.put(fmt.Sprintf(format, args...)) }

// put writes one line, given in parts.
func (w *writer) put(parts ...string) {
	w.n++
	if w.p.LineNumbers && w.n <= 99999 { // N at most five digits (NISTIR 6556 3.3.1)
		w.buf.WriteByte('N')
		w.buf.WriteString(strconv.Itoa(w.n))
		w.buf.WriteByte(' ')
	}
	for _, p := range parts {
		w.buf.WriteString(p)
	}
	w.buf.WriteString(w.end)
}

// CommentMost is how long a comment may be; a longer one is cut.
const CommentMost = 120

func (w *writer) comment(format string, args ...any) {
	w.line("(%s)", plain.Comment(fmt.Sprintf(format, args...), CommentMost))
}

func (w *writer) template(lines []string) {
	for _, l := range lines {
		text, err := fill(l, w.values)
		if err != nil && w.err == nil {
			w.err = err
		}
		w.put(text)
	}
}

// preamble says what the program is, sets every mode itself (the standard
// fixes none at power-up, NISTIR 6556 3.4), makes sure that the torch is out
// and up.
func (w *writer) preamble() {
	in := w.in
	if in.Dry {
		w.comment("DRY RUN: the torch is never lit")
	}
	switch {
	case in.Set > 1:
		w.comment("program %d of %d: run it when program %d has come to its end", in.Set, in.Of, in.Set-1)
	case in.Set == 1:
		w.comment("program %d of %d: the job is cut when all of them have run", in.Set, in.Of)
	}
	w.comment("job: %s", in.Name)
	if in.Mark != "" {
		w.comment("%s", in.Mark)
	}
	w.comment("stock: %s", in.Stock)
	w.comment("XY zero: %s, X right, Y up", in.Origin)
	w.comment("process: %s", in.Process)
	if in.Set > 0 {
		w.comment("cuts: %d to %d of %d, time about %s", in.Before+1, in.Before+len(in.Cuts), w.total(), unit.Duration(in.Time))
	} else if in.Before > 0 {
		w.comment("cuts: %d to %d, time about %s", in.Before+1, in.Before+len(in.Cuts), unit.Duration(in.Time))
	} else {
		w.comment("cuts: %d, time about %s", len(in.Cuts), unit.Duration(in.Time))
	}
	if in.Start != "" {
		w.comment("%s", in.Start)
	}
	for _, n := range in.Notes {
		w.comment("%s", n)
	}
	word := "G21"
	if w.p.Units == unit.Inch {
		word = "G20"
	}
	w.line("G17 %s G40 G49 G80 G90 G94", word)
	w.line("G54")
	w.line("G64")
	w.template(w.p.ArcOff)
	w.template(w.p.Header)
	if in.Machine.TopZ.Known {
		w.line("G53 G0 Z%s", w.num(in.Machine.TopZ.Value))
	} else {
		w.comment("before the start: raise the torch by hand, clear of everything")
	}
	w.comment("until the first touch-off the plate is taken to be %s below the raised torch", w.num(in.Machine.Reach))
	w.line("G92 Z%s", w.num(in.Machine.Reach))
	w.put("G0 Z", w.num(in.Machine.Reach))
	if in.Control == job.ControlOff {
		w.comment("height control stays off for the whole job: touch-off alone sets the height")
	}
	w.template(w.p.ControlOff)
	if in.Dry && !in.Frame.Empty() {
		w.comment("the rectangle that the job needs")
		a, b := in.Frame.Min, in.Frame.Max
		for _, p := range []geom.Point{a, {X: b.X, Y: a.Y}, b, {X: a.X, Y: b.Y}, a} {
			w.rapid(p)
		}
	}
}

// total is how many cuts the job has.
func (w *writer) total() int { return cmp.Or(w.in.Total, w.in.Before+len(w.in.Cuts)) }

func (w *writer) rapid(p geom.Point) {
	x, y := w.num(p.X), w.num(p.Y)
	w.put("G0 X", x, " Y", y)
	w.at = geom.Pt(w.form.said(x), w.form.said(y))
}

func (w *writer) cut(i int, c Cut) {
	in := w.in
	w.comment("cut %d of %d: %s", in.Before+i+1, w.total(), c.Label)
	if c.Pause != "" {
		w.comment("%s", c.Pause)
		w.template(w.p.Pause)
	}
	w.feed = ""
	for _, p := range c.Via {
		w.rapid(p)
	}
	touch := c.TouchOff && (!in.Dry || i == 0)
	if touch && c.Touch != nil {
		w.rapid(*c.Touch)
	} else {
		w.rapid(c.Path.Start())
	}
	if touch {
		// A probe from safe height would take its time; over other metal than
		// the last the height is not known.
		if i > 0 && c.Pause == "" && !in.Dry && in.Cuts[i-1].Lift > in.Machine.TravelZ {
			w.put("G0 Z", w.num(in.Machine.TravelZ))
		}
		w.template(w.p.TouchOff)
		if c.Touch != nil {
			up := in.Machine.TravelZ
			if in.Dry {
				up = in.Machine.SafeZ
			}
			w.put("G0 Z", w.num(up))
			w.rapid(c.Path.Start())
		}
	}
	if in.Dry {
		w.put("G0 Z", w.num(in.Machine.SafeZ))
		w.follow(c)
		return
	}
	w.values["amps"] = unit.Number(cmp.Or(c.Amps, in.Amps), 0)
	w.values["pierce_height"], w.values["pierce_delay"] = w.num(c.PierceHeight), seconds(c.PierceDelay)
	w.put("G0 Z", w.num(c.PierceHeight))
	w.lit = w.n + 1
	w.template(w.p.ArcOn)
	if c.PierceDelay > 0 {
		w.line("G4 P%s", seconds(c.PierceDelay))
	}
	if c.Path.NumSegs() > 0 {
		w.feed = w.form.feed(min(c.feed(0), in.Machine.RapidZ))
		w.line("G1 Z%s F%s", w.num(c.CutHeight), w.feed)
		w.follow(c)
	}
	w.template(w.p.ArcOff)
	w.put("G0 Z", w.num(c.Lift))
}

// follow writes the path, cut where height is held or let go.
func (w *writer) follow(c Cut) {
	if w.in.Control == job.ControlOff {
		at := 0.0
		for i := range c.Path.NumSegs() {
			w.seg(c.Path.Seg(i), c.feed(i), at)
			at += c.Path.Seg(i).Length()
		}
		return
	}
	holds := c.Holds
	held := true // the line before the first cut, and the end of each cut, hold
	done := 0.0
	for i := range c.Path.NumSegs() {
		s := c.Path.Seg(i)
		length := s.Length()
		from := 0.0 // part of s already written, mm
		for from < length-geom.Join {
			for len(holds) > 0 && holds[0].To <= done+from+geom.Join {
				holds = holds[1:]
			}
			inside := len(holds) > 0 && holds[0].From <= done+from+geom.Join
			if inside != held {
				held = inside
				if held {
					w.template(w.p.ControlOff)
				} else {
					w.template(w.p.ControlOn)
				}
			}
			to := length
			if inside {
				to = min(to, holds[0].To-done)
			} else if len(holds) > 0 {
				to = min(to, holds[0].From-done)
			}
			if length-to < geom.Join {
				to = length
			}
			part := s
			if from > 0 || to < length {
				part = s.Part(from/length, to/length)
			}
			w.seg(part, c.feed(i), done+from)
			from = to
		}
		done += length
	}
	if !held {
		w.template(w.p.ControlOff)
	}
}

func (w *writer) finish() {
	w.template(w.p.ArcOff)
	if w.in.Machine.TopZ.Known {
		w.line("G53 G0 Z%s", w.num(w.in.Machine.TopZ.Value))
	} else {
		w.put("G0 Z", w.num(w.in.Machine.SafeZ))
	}
	if w.in.Park != nil {
		w.rapid(*w.in.Park)
	}
	if w.in.Control != job.ControlOff { // as the program found it
		w.template(w.p.ControlOn)
	}
	w.template(w.p.Footer)
	w.line("M2")
}
