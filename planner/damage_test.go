package planner_test

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
)

// damages are the classes. Each changes lines in place or returns others.
var damages = []struct {
	name string
	do   func(r *rand.Rand, l []string) []string
}{
	{"line left out", func(r *rand.Rand, l []string) []string { i := r.IntN(len(l)); return slices.Delete(l, i, i+1) }},
	{"line twice", func(r *rand.Rand, l []string) []string { i := r.IntN(len(l)); return slices.Insert(l, i, l[i]) }},
	{"two neighbours swapped", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l) - 1)
		l[i], l[i+1] = l[i+1], l[i]
		return l
	}},
	{"two lines swapped", func(r *rand.Rand, l []string) []string {
		i, k := r.IntN(len(l)), r.IntN(len(l))
		l[i], l[k] = l[k], l[i]
		return l
	}},
	{"line moved", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		s := l[i]
		l = slices.Delete(l, i, i+1)
		return slices.Insert(l, r.IntN(len(l)+1), s)
	}},
	{"block left out", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		return slices.Delete(l, i, min(len(l), i+2+r.IntN(20)))
	}},
	{"block twice", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		return slices.Insert(l, i, slices.Clone(l[i:min(len(l), i+2+r.IntN(20))])...)
	}},
	{"block moved", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		n := min(len(l), i+2+r.IntN(20))
		b := slices.Clone(l[i:n])
		l = slices.Delete(l, i, n)
		return slices.Insert(l, r.IntN(len(l)+1), b...)
	}},
	{"block reversed", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		slices.Reverse(l[i:min(len(l), i+2+r.IntN(20))])
		return l
	}},
	{"cut short", func(r *rand.Rand, l []string) []string {
		i := r.IntN(len(l))
		l = l[:i+1]
		l[i] = l[i][:r.IntN(len(l[i])+1)]
		return l
	}},
	{"beginning lost", func(r *rand.Rand, l []string) []string { return l[1+r.IntN(len(l)-1):] }},
	{"digit changed", onRune("0123456789", func(r *rand.Rand, b []byte, i int) []byte { b[i] = byte('0' + r.IntN(10)); return b })},
	{"digit lost", onRune("0123456789", func(r *rand.Rand, b []byte, i int) []byte { return slices.Delete(b, i, i+1) })},
	{"digit too many", onRune("0123456789", func(r *rand.Rand, b []byte, i int) []byte { return slices.Insert(b, i, byte('0'+r.IntN(10))) })},
	{"point moved", onRune(".", func(r *rand.Rand, b []byte, i int) []byte {
		if i+1 < len(b) {
			b[i], b[i+1] = b[i+1], b[i]
		}
		return b
	})},
	{"point lost", onRune(".", func(r *rand.Rand, b []byte, i int) []byte { return slices.Delete(b, i, i+1) })},
	{"sign lost", onRune("-", func(r *rand.Rand, b []byte, i int) []byte { return slices.Delete(b, i, i+1) })},
	{"sign put in", onRune("XYZIJ", func(r *rand.Rand, b []byte, i int) []byte { return slices.Insert(b, i+1, '-') })},
	{"letter changed", onRune("GMXYZIJFP", func(r *rand.Rand, b []byte, i int) []byte { b[i] = "GMXYZIJFP"[r.IntN(9)]; return b })},
	{"letter lost", onRune("GMXYZIJFP", func(r *rand.Rand, b []byte, i int) []byte { return slices.Delete(b, i, i+1) })},
	{"any byte changed", onRune("", func(r *rand.Rand, b []byte, i int) []byte { b[i] = byte(32 + r.IntN(95)); return b })},
	{"bracket put in", onRune("", func(r *rand.Rand, b []byte, i int) []byte { return slices.Insert(b, i, "()"[r.IntN(2)]) })},
	{"word lost", onWord("GMXYZIJFP", func(r *rand.Rand, w string) string { return "" })},
	{"X or Y off by 0.05 to 3 mm", onWord("XY", nudge(0.05, 3))},
	{"I or J off by 0.05 to 3 mm", onWord("IJ", nudge(0.05, 3))},
	{"Z off by 0.1 to 30 mm", onWord("Z", nudge(0.1, 30))},
	{"feed off by 5 % and more", onWord("F", scaled)},
	{"delay off by 5 % and more", onWord("P", scaled)},
	{"straight for rapid and back", onWord("G", func(r *rand.Rand, w string) string {
		return map[string]string{"G0": "G1", "G1": "G0"}[w]
	})},
	{"arc the other way", onWord("G", func(r *rand.Rand, w string) string { return map[string]string{"G2": "G3", "G3": "G2"}[w] })},
	{"arc made straight", func(r *rand.Rand, l []string) []string {
		return onLine(r, l, regexp.MustCompile(`^G[23] .*I`), func(s string) string {
			return regexp.MustCompile(` [IJ]\S+`).ReplaceAllString("G1"+s[2:], "")
		})
	}},
	{"torch word turned", onWord("M", func(r *rand.Rand, w string) string { return map[string]string{"M3": "M5", "M5": "M3"}[w] })},
	{"mode word turned", onWord("G", func(r *rand.Rand, w string) string {
		return map[string]string{"G21": "G20", "G90": "G91", "G17": "G18", "G94": "G93", "G54": "G55", "G40": "G41"}[w]
	})},
	{"foreign line", func(r *rand.Rand, l []string) []string {
		all := []string{"M3", "M5", "M0", "M30", "G0 X10 Y10", "G1 X200", "G0 Z2", "G4 P1", "G41", "G55", "G91", "G20", "G92 Z0", "G92.1", "G28", "M6 T1", "G38.2 Z-10 F800", "G10 L2 P1 X1", "(height hold on)", "(height hold off)"}
		return slices.Insert(l, r.IntN(len(l)), all[r.IntN(len(all))])
	}},
	{"line that a switch may skip", func(r *rand.Rand, l []string) []string { i := r.IntN(len(l)); l[i] = "/" + l[i]; return l }},
	{"line made a comment", func(r *rand.Rand, l []string) []string { i := r.IntN(len(l)); l[i] = "(" + l[i] + ")"; return l }},
}

func onRune(of string, change func(*rand.Rand, []byte, int) []byte) func(*rand.Rand, []string) []string {
	return func(r *rand.Rand, l []string) []string {
		for range 1000 {
			i := r.IntN(len(l))
			if len(l[i]) == 0 || of != "" && l[i][0] == '(' {
				continue
			}
			if k := r.IntN(len(l[i])); of == "" || strings.IndexByte(of, l[i][k]) >= 0 {
				l[i] = string(change(r, []byte(l[i]), k))
				return l
			}
		}
		return l
	}
}

func onWord(letters string, change func(*rand.Rand, string) string) func(*rand.Rand, []string) []string {
	return func(r *rand.Rand, l []string) []string {
		for range 10000 {
			i := r.IntN(len(l))
			if strings.HasPrefix(l[i], "(") {
				continue
			}
			words := strings.Fields(l[i])
			k := r.IntN(max(1, len(words)))
			if k < len(words) && strings.Contains(letters, words[k][:1]) {
				if w := change(r, words[k]); w != "" || letters == "GMXYZIJFP" {
					words[k] = w
					l[i] = strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), " ")
					return l
				}
			}
		}
		return l
	}
}

func onLine(r *rand.Rand, l []string, is *regexp.Regexp, change func(string) string) []string {
	for range 10000 {
		if i := r.IntN(len(l)); is.MatchString(l[i]) {
			l[i] = change(l[i])
			return l
		}
	}
	return l
}

func nudge(least, most float64) func(*rand.Rand, string) string {
	return func(r *rand.Rand, w string) string {
		v, err := strconv.ParseFloat(w[1:], 64)
		if err != nil {
			return ""
		}
		d := least * math.Pow(most/least, r.Float64())
		return w[:1] + strconv.FormatFloat(v+d*float64(1-2*r.IntN(2)), 'f', 4, 64)
	}
}

func scaled(r *rand.Rand, w string) string {
	v, err := strconv.ParseFloat(w[1:], 64)
	if err != nil {
		return ""
	}
	k := 1.05 + 2*r.Float64()
	if r.IntN(2) == 0 {
		k = 1 / k
	}
	return w[:1] + strconv.FormatFloat(v*k, 'f', 3, 64)
}

// Whatever the plain reader calls harm, the proof must refuse; what the proof
// passes must do no harm, for a reason that is told.
func TestRandomDamageIsCaughtOrHarmless(t *testing.T) {
	each := 12
	switch {
	case testing.Short():
		each = 6
	case os.Getenv("KERFWRIGHT_LONG") != "":
		each = 150
	}
	j, l := gateJob(), leaf()
	p := mustPlan(t, j, l)
	was := watch(p.Text)
	half := j.Process.Kerf / 2
	var edges [][]geom.Point
	for _, f := range p.Tree.Features {
		if !f.Rule.Cuts() {
			continue
		}
		var pts []geom.Point
		loop := p.Placed[0].Move.Path(f.Loop).Flatten(1e-4)
		for i, a := range loop {
			b := loop[(i+1)%len(loop)]
			n := int(a.Dist(b)) + 1 // 1 mm apart: no kerf of 1.6 mm gets between two of them unseen
			for k := range n {
				q := a.Lerp(b, float64(k)/float64(n))
				d := math.Inf(1)
				for i := range was.cuts {
					v, _ := was.cuts[i].beside(q)
					d = min(d, v)
				}
				if d < half+edge/4 { // a round kerf does not reach into sharp corners
					pts = append(pts, q)
				}
			}
		}
		if len(pts) < 10 {
			t.Fatalf("%s: %d places of its edge are cut", f.ID, len(pts))
		}
		edges = append(edges, pts)
	}
	if h := harmOf(was, was, edges, half); h != "" || len(was.cuts) != 6 {
		t.Fatalf("the good program itself: %s, %d cuts", h, len(was.cuts))
	}
	r := rand.New(rand.NewPCG(9, 9))
	reasons := map[string]int{}
	harmful, all := 0, 0
	for _, d := range damages {
		bad, also, passed := 0, 0, 0
		for range each {
			lines := d.do(r, strings.Split(strings.TrimSuffix(string(p.Text), "\n"), "\n"))
			text := []byte(strings.Join(lines, "\n") + "\n")
			if bytes.Equal(text, p.Text) {
				continue
			}
			now := watch(text)
			h := harmOf(now, was, edges, half)
			v, _ := planner.Prove(context.Background(), j, l, text, false)
			switch {
			case v.OK && h != "":
				t.Errorf("%s: proved, but %s\n%s", d.name, h, difference(p.Text, text))
			case h != "":
				bad++
			case !v.OK:
				also++
			default:
				passed++
				why := harmless(now, was, edges, half)
				if why == "" {
					t.Errorf("%s: proved, and why it does no harm is not known\n%s", d.name, difference(p.Text, text))
				}
				// Sides of these parts are up to 160 mm long.
				if reasons[why]++; heldLonger(now, was) > 200 && len(v.Findings) == 0 {
					t.Errorf("%s: held far longer, and not warned of\n%s", d.name, difference(p.Text, text))
				}
			}
		}
		harmful, all = harmful+bad, all+bad+also+passed
		t.Logf("%-32s %4d harmful, all caught; %4d more refused; %4d harmless", d.name, bad, also, passed)
	}
	for _, why := range slices.Sorted(maps.Keys(reasons)) {
		t.Logf("harmless %4d: %s", reasons[why], why)
	}
	t.Logf("%d classes, %d damaged programs, %d harmful", len(damages), all, harmful)
	if harmful < all/2 {
		t.Errorf("%d of %d do harm: the damage is too soft to test anything", harmful, all)
	}
}

// difference shows the first lines in which two texts differ.
func difference(a, b []byte) string {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("from line %d:\n  was %s\n  now %s", i+1, strings.Join(x[i:min(len(x), i+4)], " | "), strings.Join(y[i:min(len(y), i+4)], " | "))
		}
	}
	return fmt.Sprintf("%d lines, were %d", len(y), len(x))
}
