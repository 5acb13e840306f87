package presets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Proposal is what the cut log says of a preset: a changed one to accept or
// not, each change with its reason. Nothing changes until it is saved.
type Proposal struct {
	Was, Now Preset
	Changes  []Change
	Told     []string // what else the log says, and what it cannot say yet
	Runs     int      // that it rests on
}

// Change is one figure of a proposal.
type Change struct {
	Figure string // as a person calls it
	Was    string
	Now    string // with how far it may be off
	Why    string
}

// newest is how many of the last runs a proposal rests on: older ones were
// cut with other consumables. Common practice, no source.
const newest = 12

// RunsFor returns the runs that speak of a preset: its metal and current, in a
// thickness that it holds at, the newest ones, oldest first.
func RunsFor(p Preset, all []Run) []Run {
	var out []Run
	for _, r := range all {
		if r.Material == p.Material && r.Process.Amps == p.Process.Amps && p.Holds(r.Thickness) {
			out = append(out, r)
		}
	}
	return out[max(0, len(out)-newest):]
}

// Propose looks through the cut log for what it says of a preset. by and at
// (RFC 3339) are who accepts it, and when; in are the units of the texts.
func Propose(was Preset, all []Run, sets []Set, by plain.Text, at string, in unit.System) Proposal {
	runs := RunsFor(was, all)
	p := Proposal{Was: was, Now: was, Runs: len(runs)}
	p.Now.Process.Taper = slices.Clone(was.Process.Taper)
	if len(runs) == 0 {
		p.Told = append(p.Told, "the cut log has no run in this metal, thickness and current")
		return p
	}
	q := proposing{&p, runs, by, at, in}
	q.kerf()
	q.feed()
	q.delay()
	q.volts(all)
	q.taper()
	q.drift(all, sets)
	if s := learn.BevelAdvice(q.bevels()); s != "" {
		p.Told = append(p.Told, s)
	}
	if n := q.lost(); n > 0 {
		p.Told = append(p.Told, fmt.Sprintf("the arc went out %d times: look at the work clamp, gas, consumables and pierce height", n))
	}
	q.trust()
	if len(p.Changes) > 0 {
		p.Now.Retired = false
		p.Now.By, p.Now.At = by, at
		p.Now.Process.Source = plain.Of(clip(sourceOf(was, p.Now)))
		// Readings may be in the wrong unit, or of another cut.
		if _, faults := encodePresets(nil, unit.MM, []Preset{p.Now}); faults.Bad() {
			p.Now, p.Changes = was, nil
			q.tell("the readings give a figure that cannot be: %v. Look through the newest entries of the log", faults.Err())
		}
	}
	return p
}

// restOf begins what is said of figures that nobody learnt here.
const restOf = "; the rest: "

// sourceOf says which figures were learnt here, and where the others are from.
func sourceOf(was, now Preset) string {
	if len(now.Figures) == 0 {
		return was.Process.Source.String()
	}
	var learnt []string
	for _, f := range now.Figures {
		learnt = append(learnt, strings.ReplaceAll(f.Of, "_", " "))
	}
	s := "learnt from this shop's cut log: " + strings.Join(learnt, ", ")
	rest := was.Process.Source.String()
	if _, after, ok := strings.Cut(rest, restOf); ok && strings.HasPrefix(rest, "learnt from this shop's cut log: ") {
		rest = after
	}
	if rest != "" {
		s += restOf + rest
	}
	return s
}

type proposing struct {
	p    *Proposal
	runs []Run
	by   plain.Text
	at   string
	in   unit.System
}

func (q proposing) tell(format string, args ...any) {
	q.p.Told = append(q.p.Told, fmt.Sprintf(format, args...))
}

// figure enters one figure with what is known of it.
func (q proposing) figure(of, name, was, now, within, why string, half float64) {
	q.p.Changes = append(q.p.Changes, Change{name, was, now + " +- " + within, why})
	q.p.Now = q.p.Now.WithFigure(Figure{Of: of, Within: half, From: plain.Of(clip(why)), By: q.by, At: q.at})
}

// known reports whether there is nothing to propose: the preset has the figure
// from this shop's cuts, the new one lies within what was said of it, and is
// not twice as sure.
func (q proposing) known(of string, was, now, half float64) bool {
	f, ok := q.p.Was.Figure(of)
	return ok && math.Abs(was-now) <= f.Within && half > f.Within/2
}

func (q proposing) kerf() {
	var sizes []learn.Size
	for _, r := range q.runs {
		for _, l := range r.Looks {
			if l.Measured == 0 || l.Taper != 0 {
				continue
			}
			sizes = append(sizes, learn.Size{Label: l.Name(), Drawn: l.Drawn, Measured: l.Measured, Assumed: r.Process.Kerf,
				Inside: l.Kind != feature.Outline, Round: l.Kind == feature.Hole})
		}
	}
	if len(sizes) == 0 {
		q.tell("no size was measured: the kerf coupon tells the kerf")
		return
	}
	k, err := learn.KerfOf(sizes, q.p.Was.Thickness)
	for _, s := range k.Doubt {
		q.tell("%s", s)
	}
	if err != nil {
		q.tell("kerf: %v", err)
		return
	}
	if k.Scale != 0 {
		q.tell("the table makes everything %.2f %% too long: check its steps per mm", 100*k.Scale)
	}
	now, half := round2(k.Kerf), math.Ceil(k.Within*100)/100
	if q.known("kerf", q.p.Was.Process.Kerf, now, half) {
		return
	}
	why := fmt.Sprintf("%d sizes measured", k.N)
	if len(k.LeftOut) > 0 {
		why += fmt.Sprintf(", %d left out", len(k.LeftOut))
	}
	q.p.Now.Process.Kerf = now
	q.figure("kerf", "kerf", q.in.Length(q.p.Was.Process.Kerf), q.in.Length(now), q.in.Length(half), why, half)
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }

func (q proposing) edges() []learn.Edge {
	var all []learn.Edge
	for _, r := range q.runs {
		seen := map[string]bool{}
		for _, l := range r.Looks {
			// One edge for each cut, however many sizes of it were measured.
			if l.Dross == "" || l.Slow || l.Delay.Known || seen[l.Feature] {
				continue
			}
			seen[l.Feature] = true
			part := l.Part
			if part == 0 {
				part = 1
			}
			all = append(all, learn.Edge{Feed: r.Process.Feed * part, Dross: l.Dross})
		}
	}
	return all
}

func (q proposing) feed() {
	edges := q.edges()
	if len(edges) == 0 {
		q.tell("no edge was looked at: the feed ladder tells the feed")
		return
	}
	a := learn.FeedFrom(edges)
	if a.Feed == 0 {
		q.tell("feed: %s", a.Why)
		return
	}
	const step = 10.0 // mm/min; common practice, no source
	now, half := step*math.Round(a.Feed/step), step*math.Ceil(a.Within/step)
	was := q.p.Was.Process.Feed
	// A feed that cut clean and lies within what does is left as it is.
	if a.Proven && math.Abs(was-a.Feed) <= a.Within+step/2 && len(distinct(edges)) < 3 {
		now = was
	}
	if q.known("feed", was, now, half) {
		return
	}
	if !a.Proven && math.Abs(was-now) < step {
		return
	}
	q.p.Now.Process.Feed = now
	q.figure("feed", "feed", q.in.Feed(was), q.in.Feed(now), q.in.Feed(half), fmt.Sprintf("%s; %d edges", a.Why, len(edges)), half)
}

func distinct(edges []learn.Edge) []float64 {
	var all []float64
	for _, e := range edges {
		if !slices.Contains(all, e.Feed) {
			all = append(all, e.Feed)
		}
	}
	return all
}

func (q proposing) delay() {
	var all []learn.Pierce
	for _, r := range q.runs {
		seen := map[string]bool{}
		for _, l := range r.Looks {
			if l.Delay.Known && l.Dross != "" && !seen[l.Feature] {
				seen[l.Feature] = true
				all = append(all, learn.Pierce{Delay: l.Delay.Value, Through: l.Dross != learn.NotThrough})
			}
		}
	}
	if len(all) == 0 {
		return
	}
	d, half, err := learn.DelayFrom(all)
	if err != nil {
		q.tell("pierce delay: %v", err)
		return
	}
	was := q.p.Was.Process.PierceDelay
	d, half = round2(d), round2(half)
	if was.Known && q.known("pierce_delay", was.Value, d, half) {
		return
	}
	q.p.Now.Process.PierceDelay = job.Of(d)
	q.figure("pierce_delay", "pierce delay", seconds(was), seconds(job.Of(d)), unit.Number(half, 2)+" s", fmt.Sprintf("the shortest of %d that came through", len(all)), half)
}

func seconds(v job.Opt) string {
	if !v.Known {
		return "not said"
	}
	return unit.Number(v.Value, 2) + " s"
}

// voltReading is how far one reading of a voltmeter on an arc may be off, V.
// Common practice, no source.
const voltReading = 2.0

func (q proposing) volts(all []Run) {
	var v []float64
	for _, r := range q.runs {
		if r.Volts.Known {
			v = append(v, r.Volts.Value)
		}
	}
	if len(v) == 0 {
		return
	}
	m := learn.MeanOf(v)
	half := voltReading / math.Sqrt(float64(m.N))
	if m.N > 1 {
		half = max(half, m.Within)
	}
	now, half := math.Round(m.Mean), math.Ceil(half)
	if q.known("volts", q.p.Was.Process.Volts, now, half) {
		return
	}
	q.p.Now.Process.Volts = now
	was := "not said"
	if w := q.p.Was.Process.Volts; w > 0 {
		was = unit.Number(w, 1) + " V"
	}
	q.figure("volts", "arc voltage", was, unit.Number(now, 1)+" V", unit.Number(half, 0)+" V", fmt.Sprintf("%d readings on long sides", m.N), half)
}

// taper makes the table of hole sizes from measured holes.
func (q proposing) taper() {
	const alike = 0.05 // x thickness: holes of about the same ratio make one row; common practice, no source
	type point struct {
		ratio, add float64
		n          int
	}
	var rows []point
	kerf := q.p.Now.Process.Kerf
	for _, r := range q.runs {
		if r.Kind != LogHoles {
			continue
		}
		for _, l := range r.Looks {
			if l.Kind != feature.Hole || l.Measured == 0 {
				continue
			}
			// What is still missing, less what a better kerf makes up for.
			add := l.Taper + l.Drawn - l.Measured + kerf - r.Process.Kerf
			ratio := l.Drawn / r.Thickness
			i := slices.IndexFunc(rows, func(p point) bool { return math.Abs(p.ratio-ratio) < alike })
			if i < 0 {
				rows = append(rows, point{ratio, add, 1})
				continue
			}
			p := &rows[i]
			p.add = (p.add*float64(p.n) + add) / float64(p.n+1)
			p.n++
		}
	}
	if len(rows) == 0 {
		return
	}
	slices.SortFunc(rows, func(a, b point) int { return cmp.Compare(a.ratio, b.ratio) })
	var table []job.TaperPoint
	same := len(rows) == len(q.p.Was.Process.Taper)
	most := 0.0
	for i, r := range rows {
		t := job.TaperPoint{Ratio: round2(r.ratio), Add: round2(r.add)}
		table = append(table, t)
		most = max(most, math.Abs(t.Add))
		same = same && math.Abs(q.p.Was.Process.Taper[min(i, len(q.p.Was.Process.Taper)-1)].Add-t.Add) < 0.01
	}
	if same {
		return
	}
	if rows[len(rows)-1].add > 0.05 || rows[len(rows)-1].add < -0.05 { // more than a calliper is off
		q.tell("the widest hole is %s off too: look at the kerf first, the table of hole sizes is for holes that lean", q.in.Length(round2(math.Abs(rows[len(rows)-1].add))))
	}
	was := "none"
	if n := len(q.p.Was.Process.Taper); n > 0 {
		was = fmt.Sprintf("%d rows", n)
	}
	const caliper = 0.05 // mm, of one reading; common practice, no source
	q.p.Now.Process.Taper = table
	q.figure("taper", "hole sizes", was, fmt.Sprintf("%d rows, up to %s", len(table), q.in.Length(most)), q.in.Length(caliper), fmt.Sprintf("%d holes measured", len(rows)), caliper)
}

// drift tells how the arc voltage rises while the consumables wear.
func (q proposing) drift(all []Run, sets []Set) {
	hours := map[string]float64{}
	for _, s := range sets {
		hours[s.Name.String()] = s.ArcOn / 3600
	}
	wanted := map[string]bool{}
	for _, r := range q.runs {
		wanted[r.ID] = true
	}
	var readings []learn.Reading
	for _, r := range all {
		if r.Set.Empty() {
			continue
		}
		name := r.Set.String()
		hours[name] += r.ArcOn / 3600
		if r.Volts.Known && wanted[r.ID] {
			readings = append(readings, learn.Reading{Hours: hours[name], Volts: r.Volts.Value})
		}
	}
	if len(readings) < 3 {
		return
	}
	d, err := learn.DriftOf(readings)
	switch {
	case err != nil:
		q.tell("arc voltage over wear: %v", err)
	case d.Told:
		q.tell("the arc voltage changes by %.1f +- %.1f V in an hour of arc, from %.0f V with new consumables: set it anew as they wear", d.PerH, d.Within, d.New)
	default:
		q.tell("the arc voltage does not change with wear as far as %d readings tell (%.1f +- %.1f V in an hour of arc)", d.N, d.PerH, d.Within)
	}
}

func (q proposing) bevels() []float64 {
	var all []float64
	for _, r := range q.runs {
		for _, l := range r.Looks {
			if l.Bevel.Known {
				all = append(all, l.Bevel.Value*180/math.Pi)
			}
		}
	}
	return all
}

func (q proposing) lost() (n int) {
	for _, r := range q.runs {
		n += r.Lost
	}
	return n
}

// trust raises the state: tried once a figure was learnt here; proved once the
// kerf and the feed were, and parts cut with exactly these figures since were
// clean and came out to size.
func (q proposing) trust() {
	now := &q.p.Now.Process
	was := now.State
	to := was
	if len(q.p.Changes) > 0 && to.Trust() < job.Tried.Trust() {
		to = job.Tried
	}
	_, kerf := q.p.Was.Figure("kerf")
	_, feed := q.p.Was.Figure("feed")
	if kerf && feed && len(q.p.Changes) == 0 {
		clean, why := q.proof()
		if clean {
			to = job.Proved
		} else if why != "" && was.Trust() < job.Proved.Trust() {
			q.tell("not proved yet: %s", why)
		}
	} else if was.Trust() < job.Proved.Trust() {
		q.tell("not proved yet: first the kerf and the feed are learnt here, then a piece is cut with them")
	}
	if to == was || was.Trust() > to.Trust() {
		return
	}
	now.State = to
	from := string(was)
	if from == "" {
		from = "not said"
	}
	why := "a figure was learnt on this machine"
	if to == job.Proved {
		why = "a piece cut with exactly these figures is clean and to size"
	}
	q.p.Changes = append(q.p.Changes, Change{"trust", from, string(to), why})
}

// proof looks for the newest run with exactly the preset's figures that was
// measured and looked at.
func (q proposing) proof() (ok bool, why string) {
	const most = 0.25 // mm that a size may be off; common practice for plasma, no source
	pr := q.p.Was.Process
	for _, r := range slices.Backward(q.runs) {
		if r.Process.Kerf != pr.Kerf || r.Process.Feed != pr.Feed || r.Process.PierceDelay != pr.PierceDelay {
			continue
		}
		edges, sizes := 0, 0
		for _, l := range r.Looks {
			if l.Part != 0 && l.Part != 1 || l.Delay.Known {
				continue
			}
			if l.Dross != "" {
				edges++
				if l.Dross != learn.Clean {
					return false, fmt.Sprintf("%s of %s: %s", l.Name(), r.Job, l.Dross.Words())
				}
			}
			if l.Measured > 0 {
				sizes++
				if off := math.Abs(l.Measured - l.Drawn); off > most {
					return false, fmt.Sprintf("%s of %s is %s off", l.Name(), r.Job, q.in.Length(round2(off)))
				}
			}
		}
		if edges > 0 && sizes > 0 && r.Lost == 0 {
			return true, ""
		}
	}
	return false, "cut a piece with these figures, measure it and look at its edges"
}
