// Package coupon makes jobs for test pieces, sized to the material: a kerf
// coupon, a feed ladder, a hole ladder, a pierce-delay row and a height-hold
// corner piece. A process, a metal and a machine come in; a whole job of typed
// shapes goes out, which plans, proves and is saved like any other. It says
// nothing about what is measured on the pieces: that is package learn's.
package coupon

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/shape"
	"example.org/kerfwright/planner/unit"
)

// Kind is one kind of test piece.
type Kind string

const (
	Kerf   Kind = "kerf"   // a square with a slot, to measure
	Feeds  Kind = "feeds"  // slots side by side, each at its own feed
	Holes  Kind = "holes"  // holes from hardly cuttable to large
	Pierce Kind = "pierce" // short slots, each with its own pierce delay
	Hold   Kind = "hold"   // sharp and blunt corners, to watch the height control
)

// Kinds lists every Kind in the order in which a shop cuts them: each rests on
// the one before.
func Kinds() []Kind { return []Kind{Pierce, Kerf, Feeds, Holes, Hold} }

// titles begin the name of a test piece's job.
var titles = map[Kind]string{Kerf: "kerf coupon", Feeds: "feed ladder", Holes: "hole ladder", Pierce: "pierce row", Hold: "corner piece"}

// Title is what a person calls the piece.
func (k Kind) Title() string { return titles[k] }

// What says what is cut and what is looked at afterwards.
func (k Kind) What() string {
	switch k {
	case Kerf:
		return "A square with a slot. Measure both sides of the square, length and width of the slot: they tell the kerf."
	case Feeds:
		return "Slots side by side, each at its own feed. Look at the dross under each: clean ones lie between too slow and too fast."
	case Holes:
		return "Holes from just over the thickness up. Measure each: small ones lean, and the preset's table of hole sizes makes up for it."
	case Pierce:
		return "Short slots, each with its own pierce delay. See which were through before the torch moved."
	case Hold:
		return "Corners of 30, 60 and 90 degrees and inside corners beside long sides. Watch that the torch does not dip in them, and read the arc voltage on a long side."
	}
	return ""
}

// KindOf tells a test piece's job by its name.
func KindOf(j job.Job) (Kind, bool) {
	for _, k := range Kinds() {
		if strings.HasPrefix(j.Name.String(), k.Title()+" ") {
			return k, true
		}
	}
	return "", false
}

// Spec is what a piece is made for.
type Spec struct {
	Kind    Kind
	Stock   job.Stock // material, thickness, surface, what is under it; its size is set here
	Process job.Process
	Machine job.Machine
	Units   unit.System
	Steps   int     // of a ladder; 0 is the kind's own
	Step    float64 // part of the feed between two steps of the feed ladder, 0 is 0.1; s between two delays, 0 is by the delay
}

// Limits of what a caller may ask for.
const (
	MinSteps, MaxSteps = 3, 15
	feedStep           = 0.1 // part of the feed; common practice, no source
)

// Make returns the job. A wish that makes no piece is an error that says why.
func Make(s Spec) (job.Job, error) {
	t, p := s.Stock.Thickness, s.Process
	switch {
	case !(t > 0) || s.Stock.Material == "":
		return job.Job{}, fmt.Errorf("material and thickness come first")
	case !(p.Feed > 0) || !(p.Kerf > 0):
		return job.Job{}, fmt.Errorf("feed and kerf come first: take a preset near the cut, it is what the piece is to better")
	case s.Steps != 0 && (s.Steps < MinSteps || s.Steps > MaxSteps):
		return job.Job{}, fmt.Errorf("%d steps: must be %d to %d", s.Steps, MinSteps, MaxSteps)
	}
	if s.Units == unit.Unknown {
		s.Units = unit.MM
	}
	j := job.Job{Units: s.Units, Stock: s.Stock, Process: p, Machine: s.Machine}
	j.Stock.Hold, j.Stock.Zero = job.Plate, job.LowerLeft
	j.Name = plain.Of(fmt.Sprintf("%s %s %s %s A", s.Kind.Title(), s.Stock.Material, s.Units.Length(t), unit.Number(p.Amps, 1)))
	var err error
	switch s.Kind {
	case Kerf:
		s.kerf(&j)
	case Feeds:
		err = s.feeds(&j)
	case Holes:
		err = s.holes(&j)
	case Pierce:
		err = s.pierces(&j)
	case Hold:
		s.hold(&j)
	default:
		return job.Job{}, fmt.Errorf("%q is no test piece: there are %v", s.Kind, Kinds())
	}
	if err != nil {
		return job.Job{}, err
	}
	s.plate(&j)
	return j, nil
}

// whole rounds a length in mm up to what a person sets out: 5 mm or a quarter
// of an inch.
func (s Spec) whole(mm float64) float64 {
	step := 5.0
	if s.Units == unit.Inch {
		step = s.Units.ToMM(0.25)
	}
	return step * math.Ceil(mm/step-geom.Same)
}

// slotWidth is wide enough that the rules for small holes stay out of it, that
// a pierce finds room beside its edges, and that a calliper goes in. Factors
// are common practice, no source.
func (s Spec) slotWidth() float64 {
	return s.whole(max(12, 3*s.Stock.Thickness, 6*s.Process.Kerf))
}

// web is the metal between two cuts: enough to stay stiff and cool.
func (s Spec) web() float64 { return s.whole(max(12, 3*s.Stock.Thickness)) }

// rectangle is the plate that holds the features.
func rectangle(w, h float64) job.Shape {
	return job.Shape{Kind: job.ShapeRectangle, Values: []job.ShapeValue{{Field: job.ShapeWidth, Value: w}, {Field: job.ShapeHeight, Value: h}}}
}

func (s Spec) add(j *job.Job, name string, sh job.Shape) {
	j.Drawings = append(j.Drawings, job.Drawing{Name: plain.Of(name), Shape: &sh})
}

// kerf is a square with a slot in its middle.
func (s Spec) kerf(j *job.Job) {
	w := s.slotWidth()
	side := s.whole(max(60, 2*s.web()+3*w))
	l := s.whole(side - 2*s.web())
	sh := rectangle(side, side)
	sh.Slots = []job.ShapeSlot{{X: side / 2, Y: side / 2, Length: max(l, w+s.whole(w/2)), Width: w}}
	s.add(j, "kerf coupon", sh)
}

// row lays upright slots side by side, in equal steps.
func (s Spec) row(j *job.Job, name string, n int, length float64) []geom.Point {
	w, web := s.slotWidth(), s.web()
	pitch := w + web
	sh := rectangle(float64(n)*pitch+web, length+2*web)
	var at []geom.Point
	for i := range n {
		c := geom.Pt(web+w/2+float64(i)*pitch, web+length/2)
		sh.Slots = append(sh.Slots, job.ShapeSlot{X: c.X, Y: c.Y, Length: length, Width: w, Angle: math.Pi / 2})
		at = append(at, c)
	}
	s.add(j, name, sh)
	return at
}

// feeds gives each slot its part of the feed, slowest on the left.
func (s Spec) feeds(j *job.Job) error {
	n := s.Steps
	if n == 0 {
		n = 7
	}
	step := s.Step
	if step == 0 {
		step = feedStep
	}
	low := 1 - step*float64((n-1)/2)
	if top := s.Machine.MaxFeed / s.Process.Feed; s.Machine.MaxFeed > 0 && low+step*float64(n-1) > top {
		low = top - step*float64(n-1) // the ladder goes no higher than the machine
	}
	if r := job.OverrideFeed.Range(); !(step > 0) || low < r.Min || low+step*float64(n-1) > r.Max {
		return fmt.Errorf("%d steps of %.0f %% reach from %.0f %% of the feed: must stay within %.0f to %.0f %%", n, 100*step, 100*low, 100*r.Min, 100*r.Max)
	}
	at := s.row(j, "feed ladder", n, s.whole(max(60, 8*s.Stock.Thickness)))
	return s.each(j, at, func(i int, o *job.Override) {
		o.Feed = math.Round(1000*(low+step*float64(i))) / 1000
		o.Note = plain.Of(fmt.Sprintf("slot %d from the left: %s", i+1, s.Units.Feed(o.Feed*s.Process.Feed)))
	})
}

// pierces gives each slot its own delay, shortest on the left.
func (s Spec) pierces(j *job.Job) error {
	n := s.Steps
	if n == 0 {
		n = 6
	}
	// Two thirds of the row lie under the preset's delay. Steps under a
	// twentieth of a second are under what a controller keeps (common
	// practice, no source).
	const least = 0.05
	base := s.Process.PierceDelay.Value
	step := s.Step
	if step == 0 {
		step = max(least, math.Round(base/4/least)*least)
	}
	first := max(0, base-step*float64(2*(n-1)/3))
	if r := job.OverrideDelay.Range(); !(step > 0) || first+step*float64(n-1) > r.Max {
		return fmt.Errorf("%d steps of %s s from %s s: must stay under %s s", n, unit.Number(step, 2), unit.Number(first, 2), unit.Number(r.Max, 0))
	}
	w := s.slotWidth()
	at := s.row(j, "pierce row", n, s.whole(2*w))
	return s.each(j, at, func(i int, o *job.Override) {
		o.Delay = job.Of(math.Round(100*(first+step*float64(i))) / 100)
		o.Note = plain.Of(fmt.Sprintf("slot %d from the left: delay %s s", i+1, unit.Number(o.Delay.Value, 2)))
	})
}

// holeTimes are the diameters of the hole ladder, times the thickness: both
// sides of where the rules change (1 and 2), and up to where a hole no longer
// leans.
var holeTimes = []float64{1.2, 1.5, 1.9, 2.2, 2.6, 3.2, 4}

// holes lays holes side by side, smallest on the left.
func (s Spec) holes(j *job.Job) error {
	t, k := s.Stock.Thickness, s.Process.Kerf
	// Narrower ones leave no slug to pierce in.
	const kerfs = 3.0 // x kerf; common practice, no source
	step := 0.5
	if s.Units == unit.Inch {
		step = s.Units.ToMM(1.0 / 64)
	}
	var all []float64
	for _, r := range holeTimes {
		d := step * math.Round(max(r*t, kerfs*k)/step)
		if n := len(all); n > 0 && d <= all[n-1] {
			d = all[n-1] + max(step, step*math.Round(t/4/step))
		}
		all = append(all, d)
	}
	web := s.web()
	high := slices.Max(all)
	x := web
	sh := rectangle(0, 0)
	for _, d := range all {
		sh.Holes = append(sh.Holes, job.ShapeHole{X: x + d/2, Y: web + high/2, Diameter: d})
		x += d + web
	}
	sh = sh.With(job.ShapeWidth, s.whole(x)).With(job.ShapeHeight, s.whole(high+2*web))
	s.add(j, "hole ladder", sh)
	return nil
}

// hold is a triangle of 30, 60 and 90 degrees, and a piece in the form of a U
// with inside corners.
func (s Spec) hold(j *job.Job) {
	leg := s.whole(max(80, 12*s.Stock.Thickness))
	s.add(j, "corner piece", job.Shape{Kind: job.ShapeGusset, Values: []job.ShapeValue{
		{Field: job.ShapeWidth, Value: math.Round(leg*math.Sqrt(3)*10) / 10}, {Field: job.ShapeHeight, Value: leg}}})
	arm := s.whole(max(20, 4*s.Stock.Thickness))
	s.add(j, "fork piece", job.Shape{Kind: job.ShapeFork, Values: []job.ShapeValue{
		{Field: job.ShapeWidth, Value: 4 * arm}, {Field: job.ShapeHeight, Value: leg}, {Field: job.ShapeArm, Value: arm}, {Field: job.ShapeFoot, Value: arm}}})
}

// each puts a word on the feature at each place.
func (s Spec) each(j *job.Job, at []geom.Point, say func(i int, o *job.Override)) error {
	var all []*drawing.Loops
	for _, d := range j.Drawings {
		l, faults := shape.In(*d.Shape, j.Units)
		if faults.Bad() {
			return faults.Err()
		}
		all = append(all, l)
	}
	tree, faults := feature.Build(feature.Input{Drawings: all, Names: make([]plain.Text, len(all)), Stock: j.Stock, Process: j.Process, Rules: j.Rules, Units: j.Units})
	if faults.Bad() {
		return faults.Err()
	}
	for i, p := range at {
		k := slices.IndexFunc(tree.Features, func(f feature.Feature) bool { return f.Kind == feature.Slot && f.Center.Near(p) })
		if k < 0 {
			panic("coupon: internal: a slot is not where it was put")
		}
		o := job.Override{Feature: tree.Features[k].ID}
		say(i, &o)
		j.Overrides = append(j.Overrides, o)
	}
	return nil
}

// plate sets the stock to the pieces with room for pierces and leads round
// them and between them.
func (s Spec) plate(j *job.Job) {
	edge := s.whole(max(20, 3*s.Stock.Thickness))
	w, h := edge, 0.0
	for _, d := range j.Drawings {
		l, _ := shape.In(*d.Shape, j.Units)
		b := l.Box
		w += b.Width() + edge
		h = max(h, b.Height())
	}
	j.Stock.Width, j.Stock.Height = s.whole(w), s.whole(h+2*edge)
}
