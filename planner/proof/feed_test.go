package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// burn proves a program with one lit path and returns that cut: only its time
// and its slow stretches are looked at.
func burn(t *testing.T, accel, deviation, below float64, moves ...string) proof.Cut {
	t.Helper()
	text := "G21 G90 G17 G40 G94 G64\nM5\nG0 Z25\nG0 X0 Y0\nM3\n" + strings.Join(moves, "\n") + "\nM5\nM30\n"
	r := proof.Prove(proof.Input{Text: []byte(text), HoldBelow: below, Form: proof.Form{Units: unit.MM},
		Machine: proof.Machine{AccelXY: accel, CornerDeviation: deviation}})
	if len(r.Cuts) != 1 {
		t.Fatal(show(r))
	}
	if math.Abs(r.Time-r.Cuts[0].Time) > 1e-12 {
		t.Errorf("%g s in all, one cut of %g s", r.Time, r.Cuts[0].Time)
	}
	return r.Cuts[0]
}

// ramp is the trapezoid of a straight move, by hand: from v0 up to v and down
// to v1, mm/s, over l mm.
func ramp(l, v0, v, v1, a float64) float64 {
	up, down := (v*v-v0*v0)/(2*a), (v*v-v1*v1)/(2*a)
	if up+down > l {
		v = math.Sqrt(a*l + (v0*v0+v1*v1)/2)
		return (2*v - v0 - v1) / a
	}
	return (2*v-v0-v1)/a + (l-up-down)/v
}

// Kinematics by hand: s = v^2/2a, t = v/a; v^2 = a r on an arc; the radius of
// a circle that touches both sides of a right angle and leaves its corner by d
// is d/(sqrt(2)-1).
func TestTrueFeedTakesTheTimeOfTheClosedForms(t *testing.T) {
	corner := math.Sqrt(1000 * 0.05 / (math.Sqrt2 - 1)) // 10.99 mm/s
	round := math.Sqrt(1000 * 2)                        // 44.7 mm/s
	for _, c := range []struct {
		name  string
		accel float64
		moves []string
		want  float64
	}{
		{"straight", 500, []string{"G1 X100 F3000"}, 100.0/50 + 50.0/500},
		{"straight, long", 500, []string{"G1 X3000 F6000"}, 3000.0/100 + 100.0/500},
		{"too short for its feed", 500, []string{"G1 X2 F6000"}, 2 * math.Sqrt(2.0/500)},
		{"a hundredth", 500, []string{"G1 X0.01 F6000"}, 2 * math.Sqrt(0.01/500)},
		{"slowly", 1000, []string{"G1 X2 F150"}, 2/2.5 + 2.5/1000},
		{"slowly, then not", 1000, []string{"G1 X1 F150", "G1 X3 F300"}, ramp(1, 0, 2.5, 2.5, 1000) + ramp(2, 2.5, 5, 0, 1000)},
		{"in two moves", 500, []string{"G1 X40 F3000", "G1 X100"}, 100.0/50 + 50.0/500},
		{"right angle", 1000, []string{"G1 X80 F3000", "G1 Y50"}, ramp(80, 0, 50, corner, 1000) + ramp(50, corner, 50, 0, 1000)},
		{"straight back", 1000, []string{"G1 X80 F3000", "G1 X10"}, ramp(80, 0, 50, 0, 1000) + ramp(70, 0, 50, 0, 1000)},
		{"circle", 1000, []string{"G3 X0 Y0 I2 J0 F6000"}, ramp(4*math.Pi, 0, round, 0, 1000)},
		{"quarters", 1000, []string{"G3 X2 Y-2 I2 J0 F6000", "G3 X4 Y0 I0 J2", "G3 X2 Y2 I-2 J0", "G3 X0 Y0 I0 J-2"}, ramp(4*math.Pi, 0, round, 0, 1000)},
		{"half the feed behind", 1000, []string{"G1 X80 F3000", "G1 X160 F1500"}, ramp(80, 0, 50, 25, 1000) + ramp(80, 25, 25, 0, 1000)},
		{"exact stop", 1000, []string{"G61.1", "G1 X40 F3000", "G1 X80"}, 2 * ramp(40, 0, 50, 0, 1000)},
		{"exact path", 1000, []string{"G61", "G1 X40 F3000", "G1 Y40"}, 2 * ramp(40, 0, 50, 0, 1000)},
		{"a wait in between", 1000, []string{"G1 X40 F3000", "G4 P1", "G1 X80"}, 2 * ramp(40, 0, 50, 0, 1000)},
	} {
		got := burn(t, c.accel, 0.05, 0.85, c.moves...).Time
		if math.Abs(got/c.want-1) > 0.002 {
			t.Errorf("%s: %.5f s, by hand %.5f s", c.name, got, c.want)
		}
	}
}

// A circle in lines takes the time of the circle.
func TestManyLinesTakeTheTimeOfTheCurve(t *testing.T) {
	for _, r := range []float64{1, 4, 15, 60} {
		var moves []string
		n := max(16, int(math.Pi/math.Acos(1-0.005/r)))
		for i := 1; i <= n; i++ {
			q := geom.Polar(geom.Pt(r, 0), r, math.Pi+2*math.Pi*float64(i)/float64(n))
			moves = append(moves, fmt.Sprintf("G1 X%.4f Y%.4f F8000", q.X, q.Y))
		}
		lines := burn(t, 800, 0.05, 0.85, moves...).Time
		arc := burn(t, 800, 0.05, 0.85, fmt.Sprintf("G3 X0 Y0 I%.4f J0 F8000", r)).Time
		if math.Abs(lines/arc-1) > 0.01 {
			t.Errorf("radius %g: %d lines take %.4f s, the circle %.4f s", r, n, lines, arc)
		}
	}
}

// Nor does a hold line or a tab in the middle of a chord, a sliver before its
// end, make the torch slower than the circle allows.
func TestSliversOfChordsAreNotSlow(t *testing.T) {
	const r, n = 5.65, 76
	for _, sliver := range []float64{0.5, 0.1, 0.07, 0.03, 0.01} {
		moves := []string{"G1 X40 F2515"} // v^2 = a r gives 75 mm/s, the feed is 42
		at := func(k float64) string {
			q := geom.Polar(geom.Pt(40, r), r, -math.Pi/2+2*math.Pi*k/n)
			return fmt.Sprintf("G1 X%.4f Y%.4f", q.X, q.Y)
		}
		for k := 1; k < n; k++ {
			if k%19 == 0 { // parted on the arc, as the planner parts it
				moves = append(moves, at(float64(k)-sliver))
			}
			moves = append(moves, at(float64(k)))
		}
		moves = append(moves, "G1 X40 Y0", "G1 X80")
		c := burn(t, 1000, 0.05, 0.85, moves...)
		for _, s := range c.Slow {
			if s.From > 2 && s.To < c.Length-2 {
				t.Errorf("slow from %.3f to %.3f mm of %.3f, parted %g of a chord before its end", s.From, s.To, c.Length, sliver)
			}
		}
	}
}

func TestSlowStretchesAreWhereTheClosedFormsSay(t *testing.T) {
	const k = 0.85 * 0.99
	corner2 := 1000 * 0.05 / (math.Sqrt2 - 1)
	ramp := k * k * 50 * 50 / 2000 // mm from rest to k x 50 mm/s at 1000 mm/s2
	side := (k*k*2500 - corner2) / 2000
	for _, c := range []struct {
		name  string
		moves []string
		want  []proof.Span
	}{
		{"straight", []string{"G1 X100 F3000"}, []proof.Span{{0, ramp}, {100 - ramp, 100}}},
		{"corner", []string{"G1 X80 F3000", "G1 Y50"}, []proof.Span{{0, ramp}, {80 - side, 80 + side}, {130 - ramp, 130}}},
		{"small circle", []string{"G3 X0 Y0 I2 J0 F6000"}, []proof.Span{{0, 4 * math.Pi}}},
	} {
		got := burn(t, 1000, 0.05, 0.85, c.moves...).Slow
		good := len(got) == len(c.want)
		for i := range got {
			good = good && math.Abs(got[i].From-c.want[i].From) < 0.05 && math.Abs(got[i].To-c.want[i].To) < 0.05
		}
		if !good {
			t.Errorf("%s: slow over %v, by hand %v", c.name, got, c.want)
		}
	}
}

func TestTimesAreUnknownWithoutTheMachinesAcceleration(t *testing.T) {
	if c := burn(t, 0, 0.05, 0.85, "G1 X100 F3000"); c.Time != 0 || c.Slow != nil {
		t.Errorf("%g s, slow over %v", c.Time, c.Slow)
	}
}

func TestVeryLowFeedsHaveATime(t *testing.T) {
	// 0.2 mm/s is reached in 2e-5 mm.
	if got, want := burn(t, 1000, 0.05, 0.85, "G1 X0.02 F12").Time, ramp(0.02, 0, 0.2, 0, 1000); math.Abs(got/want-1) > 0.005 {
		t.Errorf("%.5f s, by hand %.5f s", got, want)
	}
	// The square of this one is 0.
	if got := burn(t, 1000, 0.05, 0.85, "G1 X40 F0."+strings.Repeat("0", 170)+"1").Time; math.IsInf(got, 0) || math.IsNaN(got) {
		t.Errorf("%g s", got)
	}
}

// With a low acceleration the limit shows to a hundredth: 0.85, and a hundredth
// of it less, of 50 mm/s.
func TestSlowIsAHundredthUnderTheLimit(t *testing.T) {
	const k = 0.85 * 0.99
	got := burn(t, 200, 0.05, 0.85, "G1 X100 F3000").Slow
	if want := k * k * 50 * 50 / 400; len(got) != 2 || math.Abs(got[0].To-want) > 0.05 || math.Abs(100-got[1].From-want) > 0.05 {
		t.Errorf("slow over %v, by hand %g mm at either end", got, want)
	}
	if got := burn(t, 200, 0.05, 0, "G1 X100 F3000"); got.Slow != nil {
		t.Errorf("slow over %v, though nothing is asked", got.Slow)
	}
}

// Beside a corner that the job slows, the torch is slow for the feed of the
// cut, not only for that of its own line: 6 mm before the join and 6 behind it.
func TestLowFeedBesideACornerIsSlow(t *testing.T) {
	in := plainPlate(textOf(careful(full, 0, low)), 0, low, 0)
	in.Machine.AccelXY, in.Machine.CornerDeviation, in.HoldBelow = 1000, 0.05, 0.85
	join := kerf / 2 * math.Pi / 2
	at := math.Hypot(5, 5) + 50 // lead, half of the lower side
	for _, side := range []float64{60, 100, 60, 50} {
		held := false
		c := proof.Prove(in).Cuts[0]
		for _, s := range c.Slow {
			held = held || s.From <= at-6 && s.From > at-7.5 && s.To >= at+join+6 && s.To < at+join+7.5
		}
		if !held {
			t.Errorf("slow over %v, not from %g to %g mm", c.Slow, at-6, at+join+6)
		}
		at += join + side
	}
}
