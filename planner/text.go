package planner

import (
	"cmp"
	"fmt"
	"strings"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/report"
)

// write makes both texts and notes for each cut where it stands.
func (s shop) write(p *Program) error {
	in := s.gcodeInput(p)
	var lines, dryLines []gcode.Lines
	var faulty [2]error
	both(func(k int, dry bool) {
		in := in
		if in.Dry = dry; dry {
			p.Dry, dryLines, faulty[k] = gcode.Write(in)
			return
		}
		p.Text, lines, faulty[k] = gcode.Write(in)
	})
	if err := cmp.Or(faulty[0], faulty[1]); err != nil {
		return err
	}
	for i := range p.Cuts {
		p.Cuts[i].First, p.Cuts[i].Last = lines[i].First, lines[i].Last
		p.Cuts[i].lit, p.Cuts[i].along = lines[i].Lit, p.Cuts[i].along[:0]
		for _, m := range lines[i].Path {
			p.Cuts[i].along = append(p.Cuts[i].along, mark{m.Line, m.At})
		}
	}
	p.dryFirst, p.dryLast = 0, p.dryLast[:0]
	for i, l := range dryLines {
		if p.dryLast = append(p.dryLast, l.Last); i == 0 {
			p.dryFirst = l.First
		}
	}
	p.Plan.Cuts = p.Plan.Cuts[:0]
	for i, c := range p.Cuts {
		f := p.Tree.Features[c.Feature]
		t := c.Times
		pierce := p.Lie.at(c.Pierce) // as in the text
		p.Plan.Cuts = append(p.Plan.Cuts, report.Cut{
			Rapid: string(c.Rapid), Extra: c.Extra, TouchOff: c.TouchOff, Time: t.Sum(),
			Times: report.Times{ArcOn: t.ArcOn, Pierce: t.Pierce, Probe: t.Probe, Raise: t.Raise, Rapid: t.Rapid, Pauses: t.Pauses},
			N:     c.N, Part: p.Placed[c.Placed].Label, Feature: c.Label, Kind: string(f.Kind), Kerf: c.Kerf,
			Pierce: [2]float64{pierce.X, pierce.Y}, Clearance: c.Clear, Square: SquareSide(f), HoldShare: holdShare(p.Cuts[i : i+1]), FirstLine: c.First, LastLine: c.Last,
		})
	}
	return nil
}

func (s shop) gcodeInput(p *Program) gcode.Input {
	j := s.job
	in := gcode.Input{
		Machine: j.Machine, Name: plateName(p, j.Name.String()), Stock: StockLine(j), Origin: originLine(j), Process: ProcessLine(j),
		Time: p.Plan.Time, Amps: j.Process.Amps, Control: s.rules.Control, Frame: frame(p), Fit: s.rules.Tolerance,
		Mark: jobMark(j), Notes: s.notes(p), Before: p.Before, Start: p.start, Park: p.Park,
		Set: p.set, Of: p.sets, Total: p.total,
	}
	if p.set > 1 {
		in.Start = s.goesOn(p)
	}
	if in.Start == "" && j.Stock.Hold == job.Blank && len(p.Cuts) > 0 {
		in.Start = "before the start: " + s.piece(p, p.Cuts[0]) + " lies in the fixture, clamped"
	}
	if in.Start == "" && len(p.Cuts) > 0 && s.atMark(&p.Cuts[0]) && !s.amped() && s.amps(&p.Cuts[0]) != j.Process.Amps {
		in.Start = fmt.Sprintf("before the start: set the current to %.0f A for the marks", s.amps(&p.Cuts[0]))
	}
	for i, c := range p.Cuts {
		f := p.Tree.Features[c.Feature]
		g := gcode.Cut{
			Label: cutLine(j, f, c), Path: c.Path, Feed: c.Feed, Feeds: c.Feeds, PierceDelay: c.Delay, Amps: s.amps(&c), TouchOff: c.TouchOff, Lift: c.Lift, Touch: c.Touch,
		}
		g.PierceHeight, g.CutHeight = s.heights(&c)
		if i > 0 {
			for _, v := range p.Rapids[i-1].V[1:] {
				g.Via = append(g.Via, v.P)
			}
			g.Via = g.Via[:len(g.Via)-1]
		}
		for _, h := range c.Holds {
			g.Holds = append(g.Holds, gcode.Span{From: h.From, To: h.To})
		}
		if c.Pause {
			var do []string
			if p.Placed[c.Placed].Blank != p.Placed[p.Cuts[i-1].Placed].Blank {
				do = append(do, "put in "+s.piece(p, c)+", clamp it")
			}
			if s.changes(p, i) {
				do = append(do, fmt.Sprintf("set the current to %.0f A", s.amps(&c)))
			}
			g.Pause = strings.Join(do, ", ") + ", stand clear, then start again"
		}
		in.Cuts = append(in.Cuts, g)
	}
	if p.Lie != nil {
		p.Lie.laid(&in, s.kerf)
		in.Origin = "as when the stock was measured on the table"
		in.Notes = append([]string{"the stock as it lies: " + LieLine(j, p.Lie)}, in.Notes...)
	}
	return in
}

// goesOn says what must be so before a later program of a set is run.
func (s shop) goesOn(p *Program) string {
	text := "before the start: the metal and the zero are as they were"
	c := &p.Cuts[0]
	if s.job.Stock.Hold == job.Blank {
		text = "before the start: " + s.piece(p, *c) + " lies in the fixture, clamped"
	}
	if n := len(p.done); n > 0 && !s.amped() && s.amps(c) != s.amps(&p.done[n-1]) {
		text += fmt.Sprintf(", the current is set to %.0f A", s.amps(c))
	}
	return text
}

// plateName is the name of a job with the plate that is cut.
func plateName(p *Program, name string) string {
	if p.Plates < 2 {
		return name
	}
	return strings.TrimSpace(fmt.Sprintf("%s plate %d of %d", name, p.Plate, p.Plates))
}

// jobMark ties a program to the state of the job that it was written for.
func jobMark(j job.Job) string {
	if sum := jobfile.Sum(j); sum != "" {
		return jobfile.SumComment(sum)
	}
	return ""
}

// piece names a blank to the operator.
func (s shop) piece(p *Program, c Cut) string {
	at := p.Placed[c.Placed]
	text := fmt.Sprintf("piece %d of %d", at.Piece, at.Pieces)
	if len(s.job.Stock.Fixture.Pockets) > 1 {
		text += fmt.Sprintf(" in pocket %d", at.Pocket)
	}
	return text
}

func (s shop) notes(p *Program) []string {
	var out []string
	if o := s.job.Machine.SensorOffset; o.Known {
		out = append(out, fmt.Sprintf("touch-off: the sensor trips %s after the nozzle touches", s.job.Units.Length(o.Value)))
	}
	out = append(out, editNotes(s.job, p)...)
	if s.rules.Control != job.ControlOff && gcode.OnlyComments(s.job.Machine.Program.ControlOff) {
		out = append(out, "height-hold lines are comments only: this profile has no words for height control")
	}
	var drill []string
	for _, pl := range p.Placed {
		for _, i := range p.Tree.Parts[pl.Part].Features {
			if f := p.Tree.Features[i]; f.Rule == feature.RuleDrill {
				drill = append(drill, labelOf(p, pl, i))
			}
		}
	}
	if len(drill) > 0 {
		more := ""
		if len(drill) > 8 {
			more = fmt.Sprintf(" and %d more", len(drill)-8)
			drill = drill[:8]
		}
		out = append(out, "not cut, to be drilled: "+strings.Join(drill, " ")+more)
	}
	out = append(out, "made by kerfwright, proved against the drawing: watch the first part all the way")
	return out
}

// StockLine describes the stock in one line, in the job's units.
func StockLine(j job.Job) string {
	u := j.Units
	line := fmt.Sprintf("%s %s thick", j.Stock.Material, u.Length(j.Stock.Thickness))
	if j.Stock.Surface != "" && j.Stock.Surface != job.Bare {
		line = string(j.Stock.Surface) + " " + line
	}
	if b := layout.StockBox(j.Stock); b.Width() > 0 && b.Height() > 0 {
		line += ", "
		if j.Stock.Shape != nil || len(j.Stock.Outline) > 0 {
			line += "offcut "
			if !j.Stock.From.Empty() {
				line += j.Stock.From.String() + " "
			}
		}
		line += fmt.Sprintf("%s x %s", u.Length(b.Width()), u.Length(b.Height()))
	}
	if j.Stock.Hold == job.Blank {
		line += ", blanks in a fixture"
	}
	return line
}

func originLine(j job.Job) string {
	if j.Stock.Hold == job.Blank {
		return "zero of the fixture"
	}
	zero := j.Stock.Zero
	if zero == "" {
		zero = job.LowerLeft
	}
	return string(zero) + " corner of the plate"
}

// ProcessLine describes the process in one line.
func ProcessLine(j job.Job) string {
	p := j.Process
	name := p.Preset.String()
	if name != "" {
		name += ", "
	}
	return fmt.Sprintf("%s%.0f A, feed %s, kerf %s", name, p.Amps, j.Units.Feed(p.Feed), j.Units.Length(p.Kerf))
}

func cutLine(j job.Job, f feature.Feature, c Cut) string {
	size := ""
	switch {
	case f.Rule == feature.RuleTrim:
		return c.Label + " trims the plate: after it the skeleton is loose"
	case f.Kind == feature.Slot:
		size = fmt.Sprintf(" %s x %s", j.Units.Length(f.Length), j.Units.Length(f.Diameter))
	case f.Diameter > 0:
		size = " " + j.Units.Length(f.Diameter)
	}
	how := string(f.Rule)
	if c.task.setup != nil && c.task.setup.shared {
		how += ", ends in the open kerf beside it"
	}
	return fmt.Sprintf("%s %s%s, %s", c.Label, f.Kind, size, how)
}

// proofInput hands the proof the parts as they are wanted, not as they were
// planned.
func (s shop) proofInput(p *Program, text []byte, dry bool) proof.Input {
	j := s.job
	m := j.Machine
	in := proof.Input{
		File: fileOf(dry), Text: text, Dry: dry, Tolerance: s.rules.ProofWithin,
		Machine: proof.Machine{
			TravelX: m.TravelX, TravelY: m.TravelY, MaxFeed: m.MaxFeed, SafeZ: m.SafeZ, TravelZ: m.TravelZ,
			TopZ: m.TopZ.Value, HasTop: m.TopZ.Known, Reach: m.Reach, Probes: true, ProbeReuse: s.rules.ProbeReuse,
			ProbeFeed: m.ProbeFeed, SensorOffset: m.SensorOffset.Value, AccelXY: m.AccelXY, CornerDeviation: m.CornerDeviation,
		},
		Form: proof.Form{Units: m.Program.Units, Decimals: m.Program.Decimals, Takes: proof.Takes{
			Decimals: m.Program.Decimals,
			Lines:    m.Program.MaxLines, Bytes: m.Program.MaxBytes, NoArcs: m.Program.Arcs == job.ArcsNone,
			MinRadius: m.Program.MinRadius, MaxRadius: m.Program.MaxRadius, MaxSweep: m.Program.MaxSweep,
		}, Lines: proof.Lines{
			Header: m.Program.Header, Footer: m.Program.Footer, TouchOff: m.Program.TouchOff, ArcOn: m.Program.ArcOn,
			ArcOff: m.Program.ArcOff, HoldOn: m.Program.ControlOff, HoldOff: m.Program.ControlOn, Pause: m.Program.Pause,
		}},
		Holds: proof.HoldsAsMarked, Lie: s.lies(p), Shared: j.Layout.Share,
	}
	s.proofEdits(&in, p)
	if s.rules.Control == job.ControlOff {
		in.Holds = proof.HoldsThroughout
	}
	if s.rules.Clockwise == job.OutlineCounterClockwise {
		in.Turn = proof.OutlineCounterClockwise
	}
	// A kerf's width of metal beside a cut is what the rules of the trade ask for.
	in.HoldBelow, in.HoldNear, in.Amps = s.rules.HoldBelow, s.kerf, j.Process.Amps
	in.Stock.Thickness = j.Stock.Thickness
	blank := j.Stock.Hold == job.Blank
	in.Stock.Blank = blank
	if !blank {
		in.Stock.Shapes, in.Stock.Voids = stockOf(j)
	}
	pockets := max(1, len(j.Stock.Fixture.Pockets))
	for _, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		q := proof.Part{Label: pl.Label, Place: pl.Move}
		if len(in.Edits) > 0 && part.Drawing >= 0 && !part.Text {
			q.Of = part.ID
		}
		if r := part.Ride; r != nil {
			q.Ride = &proof.Ride{On: r.On, Middle: r.Middle, Angle: r.Angle, Said: r.Said}
		}
		if blank {
			q.Blank, q.Load = pl.Blank-1, (pl.Blank-1)/pockets
			if part.Outline >= 0 {
				for len(in.Stock.Shapes) < pl.Blank {
					in.Stock.Shapes = append(in.Stock.Shapes, geom.Path{})
				}
				in.Stock.Shapes[pl.Blank-1] = pl.Move.Path(p.Tree.Features[part.Outline].Loop)
			}
		}
		for _, i := range part.Features {
			f := p.Tree.Features[i]
			w := proof.Feature{
				ID: labelOf(p, pl, i), Kind: string(f.Kind), Rule: string(f.Rule), Loop: pl.Move.Path(f.Wanted()),
				Kerf: s.kerf, Feed: j.Process.Feed, PierceHeight: j.Process.PierceHeight, CutHeight: j.Process.CutHeight,
				PierceDelay: s.delay(f), Hold: f.Hold, Against: f.Against, Of: f.ID,
			}
			if f.Rule.Cuts() {
				w.Taper = f.Taper
			}
			if f.Rule == feature.RuleMark {
				m := j.Mark
				w.Kerf, w.Feed, w.PierceHeight, w.CutHeight, w.PierceDelay, w.Amps, w.Hold = m.Width, m.Feed, m.Height, m.Height, m.Delay, m.Amps, true
				if !s.marking() { // left out: no process to mark with
					w.Rule = string(feature.RuleLeave)
				}
			}
			if f.Rule.Cuts() {
				w.Feed *= f.Feed
			}
			if f.Rule == feature.RuleTrim {
				w.Loop, w.Web, w.OnEdge = boxPath(s.trim.used), s.trimWeb(), j.Layout.TrimStart == job.TrimOnEdge
				w.LeadFeed = w.Feed * s.rules.EntryFeed
			}
			s.proofCare(&w, f, pl.Move)
			q.Features = append(q.Features, w)
		}
		in.Parts = append(in.Parts, q)
	}
	s.meant(p, &in)
	return in
}
