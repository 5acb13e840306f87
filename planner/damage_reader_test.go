package planner_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/geom"
)

// damage_test.go damages a program at random and asks the proof. What does harm
// is judged by this plain reader, that shares no code with the proof, the
// writer or rs274: it follows the torch in short steps and looks at points of
// the wanted edges. It is blunt (edge is how far off an edge must be before it
// speaks) so that whatever it calls harm is harm.
const edge = 0.025 // mm: the proof's 0.02, and 0.005 for chords, steps and the rounding of the text

// holdShort, mm, is by how much less height may be held before this reader
// speaks. The plan holds a kerf's width to either side of a corner; the proof
// works out for itself where the torch is slow, which is a fraction of that.
const holdShort = 4

// sight is what the plain reader saw a program do.
type sight struct {
	cuts []seen
	harm string // the first thing that no plate should be given
	rest string // all that it does besides cutting, in order
	slow bool   // raises the torch at a feed, not by a rapid
	void bool   // says a height that nothing moves by afterwards
}

// seen is one time that the torch was lit.
type seen struct {
	at     []geom.Point // steps of the torch while it was lit
	feed   []float64
	held   float64 // mm of its way under hold
	delay  float64
	height float64 // where it was lit
	area   float64 // twice, signed: which way round
	box    geom.Box
}

var wordOf = regexp.MustCompile(`([A-Z])([-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+))`)

// watch follows a program of the tests' own profile (bench, in plan_test.go).
func watch(text []byte) sight {
	var s sight
	harm := func(format string, args ...any) {
		if s.harm == "" {
			s.harm = fmt.Sprintf(format, args...)
		}
	}
	at, z, feed, motion := geom.Pt(math.NaN(), math.NaN()), math.NaN(), 0.0, 0
	unit, lit, held, touched, ended := 0.0, false, false, false, false
	var over geom.Point // where it touched off last
	said := ""          // a height said that is not the profile's: harm as soon as anything moves by it
	for _, l := range strings.Split(string(text), "\n") {
		if ended {
			break
		}
		switch strings.TrimSpace(l) {
		case "(height hold on)":
			held = true
		case "(height hold off)":
			held = false
		}
		for {
			a, b := strings.IndexByte(l, '('), strings.IndexByte(l, ')')
			if a < 0 || b < a {
				break
			}
			l = l[:a] + l[b+1:]
		}
		l = strings.ToUpper(strings.NewReplacer(" ", "", "\t", "", "\r", "").Replace(l))
		if rest := wordOf.ReplaceAllString(l, ""); rest != "" && rest != "%" {
			harm("what is no word: %q", rest)
		}
		v := map[string]float64{}
		var codes []string
		for _, m := range wordOf.FindAllStringSubmatch(l, -1) {
			x, _ := strconv.ParseFloat(m[2], 64)
			if m[1] == "G" || m[1] == "M" {
				codes = append(codes, m[1]+strconv.FormatFloat(x, 'f', -1, 64))
			} else if _, twice := v[m[1]]; twice {
				harm("%s twice in a line", m[1])
			} else {
				v[m[1]] = x
			}
		}
		machine, shift, probe, dwell := false, false, false, false
		for _, c := range codes {
			switch c {
			case "G0", "G1", "G2", "G3":
				motion = int(c[1] - '0')
			case "G21":
				unit = 1
			case "G20":
				unit = 25.4
			case "G38.2":
				probe = true
			case "G92":
				shift = true
			case "G92.1", "G92.2", "G92.3":
				said, touched = c+" takes back what was said of the height", false
			case "G53":
				machine = true
			case "G4":
				dwell = true
			case "M3":
				if !lit {
					if !touched {
						harm("lit without a touch-off")
					}
					if d := at.Dist(over); !(d < 0.02) {
						harm("lit %.2f mm from where it touched off", d)
					}
					if said != "" {
						harm("%s", said)
					}
					lit, touched = true, false
					s.cuts = append(s.cuts, seen{at: []geom.Point{at}, feed: []float64{0}, height: z})
				}
			case "M5":
				lit = false
			case "M2", "M30":
				ended = true
			case "M0", "M1", "M7", "M8", "M9": // a stop, and coolant that a table has not got
				if lit {
					harm("%s with the torch lit", c)
				}
			case "G17", "G40", "G49", "G80", "G90", "G94", "G54", "G64":
			default:
				harm("%s, of which nothing is said", c)
			}
		}
		x, hasX := v["X"]
		y, hasY := v["Y"]
		zz, hasZ := v["Z"]
		if f, ok := v["F"]; ok {
			feed = f * unit
		}
		to := at
		if hasX {
			to.X = x * unit
		}
		if hasY {
			to.Y = y * unit
		}
		switch {
		case dwell:
			if lit {
				s.cuts[len(s.cuts)-1].delay += v["P"]
			}
			continue
		case shift:
			if hasX || hasY || lit {
				harm("zero is moved")
			}
			said = ""
			if !hasZ || zz != 100 && zz != -4.2 {
				said = fmt.Sprintf("Z is set to %v", zz)
			}
			s.void = said != ""
			z, touched = zz, touched || zz == -4.2
			s.rest += fmt.Sprint("set ", zz, "\n")
			continue
		case probe:
			// Where it would end matters little: it ends at the plate, or the
			// machine stops because it did not.
			if lit || hasX || hasY || v["F"] > 800 {
				harm("another touch-off")
			}
			over = at
			s.rest += fmt.Sprintf("touch %.3f %.3f\n", at.X, at.Y)
			continue
		case machine:
			if motion > 1 || zz < 0 || !hasZ || lit || (hasX || hasY) && !(z >= 39.98) { // above its top the machine stops
				harm("another move of the machine's own")
			}
			if hasX || hasY { // at safe height, to where only the machine knows
				at = geom.Pt(math.NaN(), math.NaN())
			}
			s.slow = s.slow || motion == 1
			s.rest += fmt.Sprint("raise ", motion, "\n")
			continue
		}
		if said != "" && (hasX || hasY || hasZ) {
			harm("%s", said)
		}
		if hasZ {
			if zz*unit < -0.05 { // on the plate with the arc out is warned of
				harm("down to %v", zz)
			}
			z = zz * unit
		}
		_, hasI := v["I"]
		_, hasJ := v["J"]
		if !hasX && !hasY && (motion < 2 || !hasI && !hasJ) {
			if hasZ && !lit {
				s.rest += fmt.Sprintf("Z %.3f\n", z)
			}
			continue
		}
		way := []geom.Point{to}
		if motion >= 2 {
			c := at.Add(geom.Pt(v["I"]*unit, v["J"]*unit))
			r := at.Dist(c)
			if !(r > 0 && math.Abs(r-to.Dist(c)) <= 0.01) {
				harm("an arc that is none")
				at = to
				continue
			}
			a, b := math.Atan2(at.Y-c.Y, at.X-c.X), math.Atan2(to.Y-c.Y, to.X-c.X)
			turn := b - a
			switch {
			case motion == 3 && turn <= 1e-9:
				turn += 2 * math.Pi
			case motion == 2 && turn >= -1e-9:
				turn -= 2 * math.Pi
			}
			way = way[:0]
			n := int(math.Abs(turn)/0.02) + 1 // a chord of 0.02 rad is 0.00005 of r off its arc
			for i := 1; i <= n; i++ {
				way = append(way, geom.Polar(c, r, a+turn*float64(i)/float64(n)))
			}
			way[n-1] = to
		}
		if !lit {
			if !math.IsNaN(at.X) && (z < 14.98 || math.IsNaN(z)) {
				harm("sideways at %.2f mm over the plate", z)
			}
			s.rest += fmt.Sprintf("go %.3f %.3f\n", to.X, to.Y)
			at = to
			continue
		}
		if motion == 0 {
			harm("a rapid with the torch lit")
		}
		if math.Abs(z-1.5) > 0.03 {
			harm("cuts at %.2f mm", z)
		}
		c := &s.cuts[len(s.cuts)-1]
		for _, p := range way {
			q := c.at[len(c.at)-1]
			if held {
				c.held += q.Dist(p)
			}
			c.area += q.X*p.Y - p.X*q.Y
			c.at, c.feed = append(c.at, p), append(c.feed, feed)
		}
		at = to
	}
	if lit || !ended {
		harm("it does not end with the torch out")
	}
	for i := range s.cuts {
		s.cuts[i].box = geom.EmptyBox()
		for _, q := range s.cuts[i].at {
			s.cuts[i].box = s.cuts[i].box.Add(q)
		}
	}
	return s
}

func (c *seen) length() (l float64) {
	for i := 1; i < len(c.at); i++ {
		l += c.at[i-1].Dist(c.at[i])
	}
	return l
}

// off returns the distance from q to a cut's way, as far as it is under d.
func (c *seen) off(q geom.Point, d float64) float64 {
	if c.box.Dist(q) >= d {
		return d
	}
	e, _ := c.beside(q)
	return min(d, e)
}

// beside returns the distance from q to a cut's way, and the feed there.
func (c *seen) beside(q geom.Point) (d, feed float64) {
	d = math.Inf(1)
	for i := 1; i < len(c.at); i++ {
		a, b := c.at[i-1], c.at[i]
		v := b.Sub(a)
		t := 0.0
		if l := v.Dot(v); l > 0 {
			t = max(0, min(1, q.Sub(a).Dot(v)/l))
		}
		if e := a.Add(v.Mul(t)).Dist(q); e < d {
			d, feed = e, c.feed[i]
		}
	}
	return d, feed
}

// harmOf judges a damaged program by the good one.
func harmOf(now, was sight, edges [][]geom.Point, half float64) string {
	if now.harm != "" {
		return now.harm
	}
	if len(now.cuts) != len(was.cuts) {
		return fmt.Sprintf("%d cuts for %d", len(now.cuts), len(was.cuts))
	}
	used := map[int]bool{}
	for i := range now.cuts {
		c := &now.cuts[i]
		if len(c.at) < 2 {
			return "lit and not moved"
		}
		// Which cut is it: the one of the good program whose way is nearest to its middle.
		k, near := -1, math.Inf(1)
		for n := range was.cuts {
			sum := 0.0
			for j := 0; j < len(c.at); j += 1 + len(c.at)/8 {
				d, _ := was.cuts[n].beside(c.at[j])
				sum += d
			}
			if sum < near {
				k, near = n, sum
			}
		}
		o := &was.cuts[k]
		for n := range i {
			if d, _ := now.cuts[n].beside(c.at[0]); d < half {
				return "pierced over an earlier kerf"
			}
		}
		switch {
		case used[k]:
			return "one cut twice"
		case k == len(was.cuts)-1 && i != k:
			return "the outline is not last"
		case c.area*o.area < 0:
			return "the other way round"
		case math.Abs(c.height-o.height) > 0.03:
			return fmt.Sprintf("lit at %.2f mm", c.height)
		case math.Abs(c.delay-o.delay) > 0.01*o.delay:
			return fmt.Sprintf("waits %.2f s", c.delay)
		case c.length()-c.held > o.length()-o.held+holdShort:
			return fmt.Sprintf("free along %.1f mm, not %.1f", c.length()-c.held, o.length()-o.held)
		}
		used[k] = true
		for j := 1; j < len(c.at); j++ {
			m := c.at[j-1].Lerp(c.at[j], 0.5)
			if d, f := o.beside(m); d < 0.01 && math.Abs(c.feed[j]-f) > 0.02*f && c.at[j-1].Dist(c.at[j]) > 0.1 {
				return fmt.Sprintf("feed %.0f, not %.0f", c.feed[j], f)
			}
		}
	}
	for _, e := range edges {
		for _, q := range e {
			d := math.Inf(1)
			for i := range now.cuts {
				d = now.cuts[i].off(q, d)
			}
			if d < half-edge {
				return fmt.Sprintf("gouges by %.2f mm at (%.1f, %.1f)", half-d, q.X, q.Y)
			}
			if d > half+edge {
				return fmt.Sprintf("leaves %.2f mm at (%.1f, %.1f)", d-half, q.X, q.Y)
			}
		}
	}
	return ""
}

// heldLonger returns by how much less of the way, mm, height is free.
func heldLonger(now, was sight) float64 {
	a, b := 0.0, 0.0
	for i := range now.cuts {
		a += now.cuts[i].length() - now.cuts[i].held
	}
	for i := range was.cuts {
		b += was.cuts[i].length() - was.cuts[i].held
	}
	return b - a
}

// strays reports whether a cut's way leaves another's by more than the proof
// allows, and whether it does so between its first and its last place on an
// edge.
func strays(a, b *seen, edges [][]geom.Point, half float64) (anywhere, between bool) {
	const within = 0.02
	onEdge := func(q geom.Point) bool {
		for _, e := range edges {
			for _, p := range e { // 1 mm apart
				if p.Dist(q) < math.Hypot(half, 0.5)+within {
					return true
				}
			}
		}
		return false
	}
	first, last := -1, -1
	var far []int
	for i, q := range a.at {
		if b.off(q, 2*within) <= within {
			if !onEdge(q) {
				continue
			}
			if first < 0 {
				first = i
			}
			last = i
		} else {
			far = append(far, i)
		}
	}
	for _, i := range far {
		// The kerf closes without the join of a corner at which a cut begins and ends.
		closed := a.at[i].Dist(b.at[len(b.at)-1]) < 2*half && b.off(a.at[i], half) < half
		between = between || i > first && i < last && !closed
	}
	return len(far) > 0, between
}

// harmless says why a damaged program that is proved does no harm; "" if it
// is not known. These are all the classes:
func harmless(now, was sight, edges [][]geom.Point, half float64) string {
	same := len(now.cuts) == len(was.cuts)
	exact := same
	for i := range now.cuts {
		if !same {
			break
		}
		a, b := &now.cuts[i], &was.cuts[i]
		exact = exact && slices.Equal(a.at, b.at) && slices.Equal(a.feed, b.feed) && a.held == b.held && a.delay == b.delay
	}
	switch {
	case heldLonger(now, was) > 4:
		// Automatic height control is off for longer: the torch keeps the height
		// of the touch-off, which over a flat plate is the right one. Where it is
		// much, the proof warns.
		return "height held longer than needed: a warning where it is much, the operator decides"
	case exact && now.rest == was.rest:
		return "the machine does the same: words in force anyway, comments, spaces, zeros"
	case exact && now.slow:
		return "the arc does the same; the torch is raised to the top at a feed instead of by a rapid"
	case exact && now.void:
		// The next program says its heights anew: its header does.
		return "the arc does the same; a height is said that nothing moves by afterwards"
	case exact:
		return "the arc does the same; another way or height through the air, over what the job allows"
	case !same:
		return ""
	}
	reordered := true
	for i := range now.cuts {
		reordered = reordered && slices.ContainsFunc(was.cuts, func(c seen) bool { return slices.Equal(c.at, now.cuts[i].at) })
	}
	if reordered {
		samefeed := true
		for i := range now.cuts {
			samefeed = samefeed && slices.ContainsFunc(was.cuts, func(c seen) bool { return slices.Equal(c.at, now.cuts[i].at) && slices.Equal(c.feed, now.cuts[i].feed) })
		}
		if !samefeed {
			return "a feed within what the text's rounding allows"
		}
		return "the same cuts in another order that the rules allow"
	}
	any := false
	for i := range now.cuts {
		k, most := -1, 0.0 // the cut whose way it goes for longest
		for n := range was.cuts {
			sum := 0.0
			for j, q := range now.cuts[i].at[1:] {
				if o := now.cuts[i].at[j]; was.cuts[n].off(o.Lerp(q, 0.5), 1) < 0.5 {
					sum += o.Dist(q)
				}
			}
			if sum > most {
				k, most = n, sum
			}
		}
		if k < 0 {
			return ""
		}
		more, inside := strays(&now.cuts[i], &was.cuts[k], edges, half)
		less, gap := strays(&was.cuts[k], &now.cuts[i], edges, half)
		if inside || gap {
			return ""
		}
		any = any || more || less
	}
	if any {
		// Points of every edge are as near to the kerf as before (harmOf), and
		// between the first and the last place on the edge the way is the same.
		return "another pierce, lead, overburn or end of a cut, in the scrap and off all edges"
	}
	return "a figure behind the point: nowhere off by more than the tolerance"
}
