package proof

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/rs274"
	"example.org/kerfwright/planner/unit"
)

// check is one proof under way.
type check struct {
	in       *Input
	tol      float64
	aloft    float64 // mm that a height may be off: heightWithin and the rounding of the text
	units    rs274.Units
	exact    bool // the profile itself says G61
	loads    []metal
	stock    []*loop // nil for a shape that is not there
	voids    []*void
	w        *walker
	programs []program
	cutShort bool       // those after the last of them were not run
	runs     []run      // of an earlier program first
	before   int        // how many of those
	kerfs    pieceIndex // every lit piece; owner is the run
	found    []Finding
	gouge    float64
	uncut    float64
	deep     int // see depthInAll
	scratch  []piece
	lies     *turning // nil: as drawn
}

// Prove reads the text and compares. The same input gives the same result.
func Prove(in Input) Result {
	c := &check{in: &in, tol: in.Tolerance, units: rs274.Millimetres}
	if c.tol == 0 {
		c.tol = geom.Proof
	}
	if in.Form.Units == unit.Inch {
		c.units = rs274.Inches
	}
	c.aloft = heightWithin + 2*c.rounding() // Z0 and the height itself are both rounded
	c.edit()
	c.lay()
	c.metals()
	c.read()
	if !c.w.wrongUnits { // a comparison at the wrong scale would bury the reason
		c.match()
		c.meant()
		c.clearances()
		c.edges()
		c.keepsParts()
		c.staysOnStock()
		c.clearOfVoids()
		c.process()
		c.sequence()
		c.trueFeeds()
		c.holds()
		c.demands()
		c.leadsOverKerfs()
		c.arcLines()
		if in.Dry {
			c.trace()
			c.dryTouches()
		}
	}
	return c.result()
}

// read lets the program run, or those of a set one after the other.
func (c *check) read() {
	d := c.in.Form.Dialect
	d.Words = slices.Clone(d.Words)
	l := &c.in.Form.Lines
	for _, lines := range [][]string{l.Header, l.Footer, l.TouchOff, l.ArcOn, l.ArcOff, l.HoldOn, l.HoldOff, l.Pause} {
		if err := d.Learn(lines...); err != nil {
			c.find(0, "", "template", "Correct it in the machine profile.", "%s", err)
		}
	}
	c.exact = d.ExactPath
	for k, text := range append([][]byte{c.in.Text}, c.in.Then...) {
		c.readOne(k, text, d)
	}
	c.earlier()
	c.runs = c.w.runs
	n := 0
	for i := range c.runs {
		n += len(c.runs[i].path)
	}
	c.kerfs.all, c.kerfs.owner = make([]piece, 0, n), make([]int32, 0, n)
	for i := range c.runs {
		for _, p := range c.runs[i].voids() {
			c.kerfs.all = append(c.kerfs.all, p)
			c.kerfs.owner = append(c.kerfs.owner, int32(i))
		}
	}
	c.kerfs.build()
}

// find notes an error; warn something to look at.
func (c *check) find(line int, feature, code, do, format string, args ...any) *Finding {
	c.found = append(c.found, Finding{Line: line, Feature: feature, Severity: fault.Error, Code: code, Text: fmt.Sprintf(format, args...), Do: do})
	return &c.found[len(c.found)-1]
}

func (c *check) warn(line int, feature, code, do, format string, args ...any) *Finding {
	f := c.find(line, feature, code, do, format, args...)
	f.Severity = fault.Warning
	return f
}

func (f *Finding) on(p geom.Point) { f.At = &p }

// mm prints a length with its unit, bare without: three decimals, no zeros at
// the end.
func mm(v float64) string { return bare(v) + " mm" }

func bare(v float64) string {
	if math.Abs(v) >= reach*reach {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	r := math.Round(v*1000) / 1000
	if r == 0 {
		r = 0 // no -0
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func feed(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) + " mm/min" }

// rounding is half of the last decimal of a coordinate, mm.
func (c *check) rounding() float64 {
	decimals := c.in.Form.Decimals
	if decimals == 0 {
		decimals = 4
		if c.units == rs274.Inches {
			decimals = 5
		}
	}
	return c.in.Form.Units.Scale() / 2 * math.Pow10(-decimals)
}

// feedRounding is what a written feed may differ from the one meant: half of
// a whole mm/min, or of a tenth of an inch a minute, and a hair.
func (c *check) feedRounding() float64 {
	if c.units == rs274.Inches {
		return unit.MMPerInch * 0.051
	}
	return 0.51
}

// id names what a run follows.
func (r *run) id() string {
	if r.split != nil {
		return r.split.ID
	}
	if r.loop == nil {
		return ""
	}
	return r.loop.ID
}

// featureAt names the feature that a line works on: that of the run it stands
// in, else of the next one.
func (c *check) featureAt(line int) string {
	runs := c.runs[c.before:]
	i, _ := slices.BinarySearchFunc(runs, line, func(r run, line int) int { return cmp.Compare(r.last, line) })
	if i == len(runs) || line == 0 {
		return ""
	}
	if r := &runs[i]; r.guess != nil {
		return r.guess.ID
	}
	return runs[i].id()
}

// result sorts the findings, the worst first, and sums up.
func (c *check) result() Result {
	r := Result{Programs: len(c.programs), OK: true, WorstGouge: c.gouge, Uncut: c.uncut}
	for i := range c.found {
		f := &c.found[i]
		if f.Feature == "" {
			f.Feature = c.featureAt(f.Line)
		}
		f.Program, f.Line = c.programOf(f.Line), c.local(f.Line)
		r.OK = r.OK && f.Severity < fault.Error
	}
	slices.SortStableFunc(c.found, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity), cmp.Compare(a.Program, b.Program), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Code, b.Code), cmp.Compare(a.Feature, b.Feature))
	})
	r.Findings = c.found
	for i := range c.runs[c.before:] {
		run := &c.runs[c.before+i]
		cut := Cut{N: i + 1, Program: c.programOf(run.first), First: c.local(run.first), Last: c.local(run.last), Pierce: run.pierce, Length: run.length, Clearance: run.away, Time: run.time, Slow: run.slow}
		r.Time += run.time
		if l := run.split; l != nil {
			cut.Part, cut.Feature, cut.Kind, cut.Rule = l.part.Label, l.ID, l.Kind, l.Rule
		}
		if run.loop != nil {
			cut.Part, cut.Feature, cut.Kind, cut.Rule = run.loop.part.Label, run.loop.ID, run.loop.Kind, run.loop.Rule
		}
		r.Cuts = append(r.Cuts, cut)
	}
	c.drawnAt(&r)
	return r
}
