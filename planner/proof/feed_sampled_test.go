package proof_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// bentLine is a path of straight lines from rest to rest: their lengths, mm, and
// the turn, rad, behind each but the last.
type bentLine struct {
	lengths, turns []float64
}

// curve is the turn up to which two lines stand for a curve.
const curve = math.Pi / 6

// circle is the radius of the largest circle on which a corner is passed: it
// touches both lines no further from the corner than half of each, and leaves
// the corner by no more than the deviation.
func circle(turn, before, after, deviation float64) float64 {
	r := min(before, after) / 2 / math.Tan(turn/2)
	return min(r, deviation/(1/math.Cos(turn/2)-1))
}

// radius is that of the corner behind line i. Of a curve, a line of which
// nothing but a short end is left is passed together with its other part.
func (c bentLine) radius(i int, deviation float64) float64 {
	l, t := c.lengths, c.turns
	r := circle(t[i], l[i], l[i+1], deviation)
	smooth := func(k int) bool { return k >= 0 && k < len(t) && t[k] <= curve }
	switch {
	case smooth(i) && smooth(i-1) && l[i] < l[i+1]/2:
		return max(r, circle(t[i-1]+t[i], l[i-1]+l[i], l[i+1], deviation))
	case smooth(i) && smooth(i+1) && l[i+1] < l[i]/2:
		return max(r, circle(t[i]+t[i+1], l[i], l[i+1]+l[i+2], deviation))
	}
	return r
}

// time lays places along the path, as near to each other as one of 20000, and
// works out the highest speed at each from both ends.
func (c bentLine) time(feed, accel, deviation float64) float64 {
	const n = 20000
	var corners []float64 // mm
	sum := 0.0
	for _, l := range c.lengths {
		sum += l
		corners = append(corners, sum)
	}
	v2 := make([]float64, n+1)
	line := 0
	for i := range v2 {
		s := sum * float64(i) / n
		for line < len(c.lengths)-1 && s > corners[line] {
			line++
		}
		v2[i] = feed * feed
		at := line // the corner at the nearer end
		if s < corners[line]-c.lengths[line]/2 {
			at--
		}
		if at < 0 || at >= len(c.turns) || c.turns[at] > curve {
			continue
		}
		// The turn lies half on each line, or all of it on the shorter one where
		// the other is more than twice as long.
		other := c.lengths[at]
		if at == line {
			other = c.lengths[at+1]
		}
		share := 1.0
		if own := c.lengths[line]; own > 2*other {
			share = 0
		} else if other > 2*own {
			share = 2
		}
		if bend := share / c.radius(at, math.Inf(1)); bend > 0 {
			v2[i] = min(v2[i], accel/bend)
		}
	}
	for k := range c.turns {
		i := int(math.Round(corners[k] / sum * n))
		v2[i] = min(v2[i], accel*c.radius(k, deviation))
	}
	v2[0], v2[n] = 0, 0
	step := 2 * accel * sum / n
	for i := range n {
		v2[i+1] = min(v2[i+1], v2[i]+step)
	}
	t := 0.0
	for i := n - 1; i >= 0; i-- {
		v2[i] = min(v2[i], v2[i+1]+step)
		t += 2 * sum / n / (math.Sqrt(v2[i]) + math.Sqrt(v2[i+1]))
	}
	return t
}

// moves writes the lines; each is parted in as many as are said.
func (c bentLine) moves(parts int) []string {
	var out []string
	at, way := geom.Point{}, 0.0
	for i, l := range c.lengths {
		to := geom.Polar(at, l, way)
		for k := 1; k <= parts; k++ {
			q := at.Lerp(to, 1-math.Pow(1-float64(k)/float64(parts), 2)) // unevenly
			out = append(out, fmt.Sprintf("G1 X%.4f Y%.4f F6000", q.X, q.Y))
		}
		at = to
		if i < len(c.turns) {
			way += c.turns[i]
		}
	}
	return out
}

func (c bentLine) compare(t *testing.T, got, accel, deviation float64, parts int, within float64) {
	if want := c.time(100, accel, deviation); math.Abs(got/want-1) > within {
		t.Errorf("lengths %.3f, turns %.3f, deviation %g, each in %d: %.5f s, by places along it %.5f s", c.lengths, c.turns, deviation, parts, got, want)
	}
}

// Lines that bend little and much, alike and unlike, take the time that places
// laid along them do.
func TestTrueFeedAgreesWithPlacesAlongTheLines(t *testing.T) {
	for _, c := range []bentLine{
		{[]float64{20, 20, 20}, []float64{0.2, 0.5}},              // its halves bend unlike
		{[]float64{20, 20, 20}, []float64{0.5, 0.2}},              //
		{[]float64{30, 4, 30}, []float64{0.5, 0.5}},               // all on the shorter
		{[]float64{30, 14, 30, 30}, []float64{0.4, 0.4, 0.4}},     //
		{[]float64{10, 1, 12, 10}, []float64{0.3, 0.3, 0.3}},      // a short end
		{[]float64{10, 12, 1, 10}, []float64{0.3, 0.3, 0.3}},      //
		{[]float64{2, 12, 10}, []float64{0.4, 0.4}},               // short, with nothing before it
		{[]float64{10, 12, 2}, []float64{0.4, 0.4}},               // nor behind it
		{[]float64{15, 2, 12, 10}, []float64{0.9, 0.4, 0.3}},      // a corner before it
		{[]float64{10, 12, 2, 15}, []float64{0.3, 0.4, 0.9}},      // and behind it
		{[]float64{15, 2, 3, 12}, []float64{0.4, 0.4, 0.4}},       // short, but not beside its next
		{[]float64{15, 12, 9, 2, 9}, []float64{0.4, 1.2, 0.4, 1}}, //
	} {
		for _, deviation := range []float64{0.05, 4} {
			for _, parts := range []int{1, 3} {
				c.compare(t, burn(t, 300, deviation, 0, c.moves(parts)...).Time, 300, deviation, parts, 0.004)
			}
		}
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		c := bentLine{lengths: []float64{3 + 50*rng.Float64()}}
		for range 1 + rng.IntN(6) {
			turn := 0.05 + 0.45*rng.Float64()
			if rng.IntN(4) == 0 {
				turn += 0.5
			}
			c.turns = append(c.turns, turn)
			c.lengths = append(c.lengths, 3+50*rng.Float64())
		}
		deviation := []float64{0.05, 0.5, 4}[rng.IntN(3)]
		c.compare(t, burn(t, 300, deviation, 0, c.moves(1)...).Time, 300, deviation, 1, 0.008)
	}
}

// A line and an arc make no curve, however little they turn at their joint:
// only the joint is passed slowly, at v^2 = a min(l)/2/tan(t/2).
func TestJointOfALineAndAnArcBendsNoneOfThem(t *testing.T) {
	const a, r = 100.0, 200.0
	sharp, small := 35*math.Pi/180, 25*math.Pi/180
	v1, v2 := math.Sqrt(a*10/2/math.Tan(sharp/2)), math.Sqrt(a*10/2/math.Tan(small/2))
	want := ramp(20, 0, 100, v1, a) + ramp(10, v1, 100, v2, a) + ramp(10, v2, 100, v1, a) + ramp(20, v1, 100, 0, a)
	for _, arcFirst := range []bool{true, false} {
		var moves []string
		at, way := geom.Point{}, 0.0
		for i, l := range []float64{20, 10, 10, 20} {
			arc := i == 1 && arcFirst || i == 2 && !arcFirst
			to := geom.Polar(at, l, way)
			g := fmt.Sprintf("G1 X%.4f Y%.4f F6000", to.X, to.Y)
			if arc {
				c := geom.Polar(at, r, way+math.Pi/2)
				to = geom.Polar(c, r, way-math.Pi/2+l/r)
				g = fmt.Sprintf("G3 X%.4f Y%.4f I%.4f J%.4f F6000", to.X, to.Y, c.X-at.X, c.Y-at.Y)
				way += l / r
			}
			moves = append(moves, g)
			at = to
			way += map[int]float64{0: sharp, 1: small, 2: sharp}[i]
		}
		if got := burn(t, a, 5, 0, moves...).Time; math.Abs(got/want-1) > 0.002 {
			t.Errorf("arc first %v: %.5f s, by hand %.5f s", arcFirst, got, want)
		}
	}
}

// What four decimals do to a line that is parted is no corner.
func TestRoundingOfTheTextIsNoCorner(t *testing.T) {
	for _, sliver := range [][]string{
		{"G1 X40.001 Y0.0001", "G1 X80.001"}, {"G1 X40.0004 Y0.0001", "G1 X80.0004"}, {"G1 X40.01 Y0.0001", "G1 X80.01"},
	} {
		c := burn(t, 1000, 0.05, 0.85, append([]string{"G1 X40 F3000"}, sliver...)...)
		want := ramp(80, 0, 50, 0, 1000)
		if math.Abs(c.Time/want-1) > 0.001 || len(c.Slow) != 2 {
			t.Errorf("%s: %.5f s, slow over %v, a straight line takes %.5f s", sliver, c.Time, c.Slow, want)
		}
	}
}

// The machine goes no faster than it can, whatever the text says.
func TestTrueFeedIsTheMachinesAtMost(t *testing.T) {
	text := "G21 G90 G17 G40 G94 G64\nM5\nG0 Z25\nG0 X0 Y0\nM3\nG1 X100 F6000\nM5\nM30\n"
	r := proof.Prove(proof.Input{Text: []byte(text), Form: proof.Form{Units: unit.MM}, Machine: proof.Machine{AccelXY: 500, MaxFeed: 3000}})
	if want := ramp(100, 0, 50, 0, 500); math.Abs(r.Time/want-1) > 0.002 {
		t.Errorf("%.5f s, by hand %.5f s", r.Time, want)
	}
}

// Nor does a step as short as the text can say take a corner away, nor a curve
// in such steps the curve.
func TestTinyStepsHideNoCorner(t *testing.T) {
	want := burn(t, 1000, 0.05, 0.85, "G1 X40 F3000", "G1 Y40")
	for _, corner := range [][]string{
		{"G1 X40.0001 Y0.0001"}, {"G1 X40.0001", "G1 X40.0001 Y0.0001"}, {"G1 X40.0002 Y0.0001", "G1 X40.0003 Y0.0002"},
	} {
		c := burn(t, 1000, 0.05, 0.85, append(append([]string{"G1 X40 F3000"}, corner...), "G1 Y40")...)
		if math.Abs(c.Time/want.Time-1) > 0.001 || len(c.Slow) != 3 {
			t.Errorf("%s: %.5f s, slow over %v, without them %.5f s over %v", corner, c.Time, c.Slow, want.Time, want.Slow)
		}
	}
	for _, r := range []float64{1, 4} {
		arc := burn(t, 800, 0.05, 0.85, fmt.Sprintf("G3 X0 Y0 I%.4f J0 F8000", r)).Time
		for _, chord := range []float64{0.05, 0.02, 0.01, 0.005} {
			var moves []string
			n := int(2 * math.Pi * r / chord)
			for i := 1; i <= n; i++ {
				q := geom.Polar(geom.Pt(r, 0), r, math.Pi+2*math.Pi*float64(i)/float64(n))
				moves = append(moves, fmt.Sprintf("G1 X%.4f Y%.4f F8000", q.X, q.Y))
			}
			if lines := burn(t, 800, 0.05, 0.85, moves...).Time; lines < 0.99*arc {
				t.Errorf("radius %g in steps of %g: %.4f s, the circle takes %.4f s", r, chord, lines, arc)
			}
		}
	}
}
