package planner_test

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// wordsOf reads the numbers of a line by their letters.
func wordsOf(line string) map[byte]float64 {
	out := map[byte]float64{}
	for _, m := range regexp.MustCompile(`([A-Z])(-?[0-9.]+)`).FindAllStringSubmatch(line, -1) {
		out[m[1][0]], _ = strconv.ParseFloat(m[2], 64)
	}
	return out
}

// The largest distance of a chord from its arc is r(1 - cos(t/2)), t the angle
// that it spans (closed form, the sagitta). Every chord of a program must lie
// within what the operator is told, for any radius, unit and tolerance.
func TestSagittaOfEveryChordIsWithinWhatIsTold(t *testing.T) {
	told := regexp.MustCompile(`within ([0-9.]+) mm`)
	for _, tol := range []float64{0.002, 0.01, 0.03} {
		for _, r := range []float64{12, 40, 180} {
			for _, u := range []unit.System{unit.MM, unit.Inch} {
				j := smallJob()
				j.Stock.Width, j.Stock.Height = 1000, 1000
				j.Rules.Tolerance, j.Machine.Program.Arcs, j.Machine.Program.Units = tol, job.ArcsNone, u
				p, faults := planner.Plan(context.Background(), j, loops(rect(0, 0, 400, 400), geom.Circle(geom.Pt(200, 200), r)))
				if p == nil || faults.Bad() {
					t.Fatal(faults)
				}
				within := 0.0
				for _, f := range faults {
					if m := told.FindStringSubmatch(f.What); f.Code == "chords" && m != nil {
						within, _ = strconv.ParseFloat(m[1], 64)
					}
				}
				torch := r - j.Process.Kerf/2
				middle := p.Placed[0].Move.Apply(geom.Pt(200, 200))
				worst, n := 0.0, 0
				var was geom.Point
				for i, line := range strings.Split(string(p.Text), "\n") {
					if strings.HasPrefix(line, "G2 ") || strings.HasPrefix(line, "G3 ") {
						t.Fatalf("an arc: %q", line)
					}
					w := wordsOf(line)
					if i+1 < p.Cuts[0].First || i+1 > p.Cuts[0].Last || !strings.HasPrefix(line, "G1 X") {
						continue
					}
					at := geom.Pt(w['X']*u.Scale(), w['Y']*u.Scale())
					a, b := was.Sub(middle), at.Sub(middle)
					if math.Abs(math.Hypot(a.X, a.Y)-torch) < 0.005 && math.Abs(math.Hypot(b.X, b.Y)-torch) < 0.005 {
						span := math.Abs(math.Atan2(a.Cross(b), a.Dot(b)))
						worst, n = max(worst, torch*(1-math.Cos(span/2))), n+1
					}
					was = at
				}
				// What is told is rounded, and both ends of a chord to the last decimal.
				if slack := 0.0006; n < 8 || within == 0 || worst > max(within, tol/2)+slack || worst < tol/2/5 {
					t.Errorf("tolerance %g, radius %g, %v: %d chords, %g mm off, told %g", tol, r, u, n, worst, within)
				}
			}
		}
	}
}

// A controller that takes arcs only between two radii, and only so long: others
// become chords, or several arcs, and the proof passes what is written.
func TestArcsAreHeldToTheControllersSizes(t *testing.T) {
	parts := loops(rect(0, 0, 400, 400), geom.Circle(geom.Pt(100, 100), 8), geom.Circle(geom.Pt(250, 250), 90), geom.Circle(geom.Pt(80, 300), 25))
	for _, c := range []struct{ least, most, sweep float64 }{{0, 0, math.Pi / 2}, {10, 0, 0}, {0, 60, 0}, {10, 60, math.Pi / 3}, {0, 0, math.Pi / 36}} {
		{
			j := smallJob()
			j.Stock.Width, j.Stock.Height = 1000, 1000
			m := &j.Machine.Program
			m.MinRadius, m.MaxRadius, m.MaxSweep = c.least, c.most, c.sweep
			p, faults := planner.Plan(context.Background(), j, parts)
			if p == nil || faults.Bad() || !p.Verdict.OK || !p.DryVerdict.OK {
				t.Fatal(c, faults)
			}
			arcs, chords, x, y := 0, 0, math.NaN(), math.NaN()
			for n, line := range strings.Split(string(p.Text), "\n") {
				w := wordsOf(line)
				if g := w['G']; strings.HasPrefix(line, "G") && (g == 2 || g == 3) {
					arcs++
					r := math.Hypot(w['I'], w['J'])
					from, to := geom.Pt(-w['I'], -w['J']), geom.Pt(w['X']-x-w['I'], w['Y']-y-w['J'])
					span := math.Abs(math.Atan2(from.Cross(to), from.Dot(to)))
					if c.least > 0 && r < c.least-1e-3 || c.most > 0 && r > c.most+1e-3 || c.sweep > 0 && c.sweep < math.Pi && span > c.sweep+1e-3 {
						t.Errorf("%+v, line %d: radius %.3f, %.1f degrees: %s", c, n+1, r, span*180/math.Pi, line)
					}
				} else if strings.HasPrefix(line, "G1 X") {
					chords++
				}
				if v, ok := w['X']; ok && strings.HasPrefix(line, "G") {
					x, y = v, w['Y']
				}
			}
			toldChords := strings.Contains(fmt.Sprint(faults), "written as lines")
			if want := c.least > 0 || c.most > 0; arcs == 0 || toldChords != want || want && chords < 30 {
				t.Errorf("%+v: %d arcs, %d lines, told %v", c, arcs, chords, toldChords)
			}
		}
	}
}

// What a controller does not take is found in a program by the proof's own
// reckoning, and by nothing else.
func TestProofFindsWhatTheControllerDoesNotTake(t *testing.T) {
	j := smallJob()
	p := mustPlan(t, j, leaf())
	for name, limit := range map[string]func(*job.Program){
		"too-long, lines":      func(m *job.Program) { m.MaxLines = strings.Count(string(p.Text), "\n") - 1 },
		"too-long, bytes":      func(m *job.Program) { m.MaxBytes = len(p.Text) - 1 },
		"decimals, too many":   func(m *job.Program) { m.Decimals = 3 },
		"arc-taken, none":      func(m *job.Program) { m.Arcs = job.ArcsNone },
		"arc-taken, too wide":  func(m *job.Program) { m.MaxRadius = 3 },
		"arc-taken, too small": func(m *job.Program) { m.MinRadius = 50 },
		"arc-taken, too long":  func(m *job.Program) { m.MaxSweep = math.Pi / 36 },
	} {
		less := j
		limit(&less.Machine.Program)
		v, faults := planner.Prove(context.Background(), less, leaf(), p.Text, false)
		if faults.Bad() {
			t.Fatal(faults)
		}
		code, _, _ := strings.Cut(name, ",")
		found := 0
		for _, f := range v.Findings {
			if f.Code == code {
				found++
			} else if f.Severity > 1 {
				t.Errorf("%s: also %s: %s", name, f.Code, f.Text)
			}
		}
		if v.OK || found == 0 {
			t.Errorf("%s: not found", name)
		}
	}
}

// Where the feed is just not under the limit of the holds on an arc, its chords
// may be passed a little slower: height is held there all the same. Nor is a
// chord slow that a hold line has cut short.
func TestHoldsOfChordsAllowForTheirJoints(t *testing.T) {
	step := 50.0
	if testing.Short() {
		step = 350
	}
	for _, c := range []struct {
		kerf, hole float64
		units      unit.System
	}{{1, 10, unit.Inch}, {2.6, 10.25, unit.MM}} {
		for feed := 2600.0; feed <= 6500; feed += step {
			j := gateJob()
			j.Stock.Thickness, j.Process.Kerf, j.Process.Feed = 1, c.kerf, feed
			j.Machine.Program.Arcs, j.Machine.Program.Units = job.ArcsNone, c.units
			mustPlan(t, j, loops(rect(0, 0, 108, 89), geom.Circle(geom.Pt(30, 30), c.hole/2)))
		}
	}
}
