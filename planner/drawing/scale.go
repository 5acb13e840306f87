package drawing

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// Extent is one length of a closed loop that a person can measure.
type Extent struct {
	Name string  // "diameter", "width" or "height"
	MM   float64 // as the drawing is read
}

// Extents lists what can be measured on a closed loop: the diameter of a
// circle, else its width and height. It is empty if there is no such loop.
func (l *Loops) Extents(loop int) []Extent {
	if loop < 0 || loop >= len(l.Closed) {
		return nil
	}
	p := l.Closed[loop].Path
	if d, ok := diameter(p); ok {
		return []Extent{{"diameter", d}}
	}
	b := p.Box()
	return []Extent{{"width", b.Width()}, {"height", b.Height()}}
}

// diameter of a loop that is one circle, within geom.Fit.
func diameter(p geom.Path) (float64, bool) {
	b := p.Box()
	c, d := b.Center(), (b.Width()+b.Height())/2
	if math.Abs(b.Width()-b.Height()) > 2*geom.Fit {
		return 0, false
	}
	for i := range p.NumSegs() {
		s := p.Seg(i)
		if !s.IsArc() || math.Abs(s.A.Dist(c)-d/2) > geom.Fit || math.Abs(s.Mid().Dist(c)-d/2) > geom.Fit {
			return 0, false
		}
	}
	return d, true
}

// Measured is one length known twice: in the drawing, and for true.
type Measured struct {
	Name   string
	Drawn  float64 // mm, as the drawing is read
	True   float64 // mm
	Within float64 // mm that the true length may be off; 0 is 0.1, what a rule gives
	Side   Side    // of the metal
}

// Side says on which side of a measured edge the metal is. It matters only for
// telling a wrong scale from a cut that was wider than meant.
type Side int

const (
	NoSide  Side = iota
	Outside      // measured over metal: a part's outside
	Inside       // measured over air: a hole
)

// ScaleFit is the scale that several measured lengths agree on best.
type ScaleFit struct {
	Factor    float64   // times the scale with which the drawing was read
	Within    float64   // part of Factor that the lengths leave open
	Residuals []float64 // mm, true less scaled, one for each length
	Looks     string    // what the number looks like, "" if nothing
	Ask       string    // why a person should look again, "" if nothing
}

// What a residual may be before it is asked about.
const (
	askPart = 0.005 // of the length
	askMM   = 0.2
	ruleMM  = 0.1   // what a steel rule gives; common practice, no source
	longMM  = 1.0   // an error of the whole drawing worth a longer measure
	looksBy = 0.002 // part by which a known ratio may be missed
)

// FitScale returns the factor s that makes the sum of ((true - s drawn) /
// within)^2 least: s = sum w t d / sum w d^2 with w = 1/within^2.
func FitScale(all []Measured) (ScaleFit, error) {
	if len(all) == 0 {
		return ScaleFit{}, fmt.Errorf("no length is known")
	}
	var td, dd float64
	for _, m := range all {
		name := m.Name
		if name == "" {
			name = "length"
		}
		switch {
		case !(m.Drawn > geom.Join) || math.IsInf(m.Drawn, 0):
			return ScaleFit{}, fmt.Errorf("%s: it is drawn %g mm long, too short to take a scale from", name, m.Drawn)
		case !(m.True > 0) || math.IsInf(m.True, 0):
			return ScaleFit{}, fmt.Errorf("%s: the true length must be over 0 mm, it is %g", name, m.True)
		}
		w := 1 / (m.within() * m.within())
		td += w * m.True * m.Drawn
		dd += w * m.Drawn * m.Drawn
	}
	f := ScaleFit{Factor: td / dd, Within: 1 / math.Sqrt(dd) / (td / dd)}
	if err := job.DrawingScale.Check(f.Factor, unit.MM); err != nil {
		return ScaleFit{}, fmt.Errorf("the scale would be %g: %w", f.Factor, err)
	}
	f.Looks = looksLike(f.Factor)
	for _, m := range all {
		f.Residuals = append(f.Residuals, m.True-f.Factor*m.Drawn)
	}
	f.Ask = f.ask(all)
	return f, nil
}

func (m Measured) within() float64 {
	if m.Within > 0 {
		return m.Within
	}
	return ruleMM
}

// ask looks for what does not fit.
func (f ScaleFit) ask(all []Measured) string {
	worst, at := 0.0, -1
	signs := map[Side]int{} // bit 1: some residual over 0, bit 2: some under
	for i, r := range f.Residuals {
		if math.Abs(r) > min(askMM, askPart*all[i].True) && math.Abs(r) > worst {
			worst, at = math.Abs(r), i
		}
		if r > 0 {
			signs[all[i].Side] |= 1
		} else if r < 0 {
			signs[all[i].Side] |= 2
		}
	}
	switch {
	case at < 0:
		return ""
	case signs[Outside]|signs[Inside] == 3 && signs[Outside] != 3 && signs[Inside] != 3 && signs[NoSide] == 0:
		return fmt.Sprintf("outsides and holes are off in opposite ways, by up to %s: that is the width of a cut, not the scale", length(worst))
	}
	name := all[at].Name
	if name == "" {
		name = "one of them"
	}
	return fmt.Sprintf("the lengths do not agree: %s is off by %s", name, length(worst))
}

// Reach says what the open part of the scale means over the whole drawing, if
// that is worth measuring a longer length.
func (f ScaleFit) Reach(l *Loops) string {
	size := max(l.Box.Width(), l.Box.Height()) * f.Factor
	if off := f.Within * size; off > longMM {
		return fmt.Sprintf("over the whole drawing, %s, the scale may be off by %s: measure a longer length", across(size), length(off))
	}
	return ""
}

// looksLike names a ratio that is met by mistake.
func looksLike(f float64) string {
	const in = unit.MMPerInch
	for _, k := range []struct {
		ratio float64
		what  string
	}{
		{1, "the drawing is true as it is"},
		{in, "25.4: its numbers are inches"},
		{1 / in, "1/25.4: its numbers were taken for inches, and are mm"},
		{in / pointsPerInch, "25.4/72: its numbers are points"},
		{pointsPerInch / in, "72/25.4: it was taken in points, and is mm"},
		{in / pxPerInch, "25.4/96: its numbers are px at 96 to the inch"},
		{pxPerInch / in, "96/25.4: it was taken in px at 96 to the inch, and is mm"},
		{pxPerInch / 90.0, "96/90: its px are 90 to the inch"},
		{float64(pxPerInch) / pointsPerInch, "96/72: its px are 72 to the inch"},
		{float64(pointsPerInch) / pxPerInch, "72/96: points and px were mixed up"},
		{10, "10: its numbers are cm"},
		{0.1, "0.1: cm were taken for its mm"},
		{1000, "1000: its numbers are metres"},
		{0.001, "0.001: metres were taken for its mm"},
		{2, "printed at 1:2"}, {2.5, "printed at 1:2.5"}, {4, "printed at 1:4"}, {5, "printed at 1:5"}, {20, "printed at 1:20"},
		{50, "printed at 1:50"}, {0.5, "printed at 2:1"}, {0.2, "printed at 5:1"},
	} {
		if math.Abs(f/k.ratio-1) <= looksBy {
			return k.what
		}
	}
	return ""
}
