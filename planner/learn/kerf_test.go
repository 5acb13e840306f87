package learn_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner/learn"
)

// cut makes the sizes of parts cut with a true kerf by a program that assumed
// another, on a table that makes everything too long by a scale.
func cut(used, truth, scale float64, noise func() float64) []learn.Size {
	var all []learn.Size
	add := func(label string, drawn float64, inside bool) {
		m := drawn * (1 + scale)
		if inside {
			m -= used - truth
		} else {
			m += used - truth
		}
		all = append(all, learn.Size{Label: label, Drawn: drawn, Measured: m + noise(), Assumed: used, Inside: inside})
	}
	add("width", 60, false)
	add("height", 80, false)
	add("slot length", 50, true)
	add("slot width", 14, true)
	add("window across", 30, true)
	add("window up", 30, true)
	return all
}

func none() float64 { return 0 }

// Closed form: outside measured = drawn + used - true, inside the other way.
func TestKerfOfExactSizesIsTheTrueOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		used, truth := rapid.Float64Range(0.8, 3).Draw(t, "used"), rapid.Float64Range(0.8, 3).Draw(t, "true")
		scale := rapid.SampledFrom([]float64{0, 0.002, -0.001}).Draw(t, "scale")
		k, err := learn.KerfOf(cut(used, truth, scale, none), 6)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(k.Kerf-truth) > 1e-9 || math.Abs(k.Scale-scale) > 1e-9 || k.N != 6 || len(k.Doubt) > 0 {
			t.Fatalf("%+v, want %v", k, truth)
		}
		if k.Within != 0.025 {
			t.Fatalf("within %v: four readings halve what a calliper is off, six do no better", k.Within)
		}
	})
}

func TestOneSizeTellsTheKerfAsWellAsACalliper(t *testing.T) {
	k, err := learn.KerfOf([]learn.Size{{Label: "width", Drawn: 60, Measured: 60.3, Assumed: 1.5}}, 6)
	if err != nil || math.Abs(k.Kerf-1.2) > 1e-12 || k.Within != 0.05 || !math.IsNaN(k.Spread) {
		t.Errorf("%+v %v", k, err)
	}
	if _, err := learn.KerfOf(nil, 6); err == nil {
		t.Error("a kerf from nothing")
	}
}

// The interval holds the truth in about 95 of 100 cases (its definition).
func TestIntervalHoldsTheTruthAsOftenAsItSays(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	const tries = 4000
	held := 0
	for range tries {
		k, err := learn.KerfOf(cut(1.5, 1.7, 0, func() float64 { return 0.08 * random.NormFloat64() }), 6)
		if err != nil {
			held++ // refused is not wrong
			continue
		}
		if math.Abs(k.Kerf-1.7) <= k.Within {
			held++
		}
	}
	// Three standard errors of 0.95 over 4000 tries are 0.01; the floor of the
	// calliper and the choice of the model move it a little more.
	if part := float64(held) / tries; part < 0.92 || part > 0.985 {
		t.Errorf("held in %.1f %% of the cases, want about 95", 100*part)
	} else {
		t.Logf("held in %.1f %% of %d cases", 100*part, tries)
	}
}

func TestOneWrongReadingIsToldAndMovesLittle(t *testing.T) {
	s := cut(1.5, 1.7, 0, none)
	s = append(s, cut(1.5, 1.7, 0, none)...)
	s[3].Measured += 1 // 1 mm misread
	k, err := learn.KerfOf(s, 6)
	if err != nil || math.Abs(k.Kerf-1.7) > 0.03 {
		t.Fatalf("%+v %v", k, err)
	}
	if len(k.Doubt) != 1 || !strings.Contains(k.Doubt[0], "slot width stands out by") {
		t.Error(k.Doubt)
	}
}

func TestSmallHolesDoNotTellTheKerf(t *testing.T) {
	s := cut(1.5, 1.7, 0, none)
	s = append(s, learn.Size{Label: "hole 10", Drawn: 10, Measured: 9, Assumed: 1.5, Inside: true, Round: true}, learn.Size{Label: "lost"})
	k, err := learn.KerfOf(s, 6)
	if err != nil || k.N != 6 || len(k.LeftOut) != 2 || !strings.Contains(k.LeftOut[0], "narrower than 2 x thickness") {
		t.Errorf("%+v %v", k, err)
	}
}

func TestReadingsThatContradictEachOtherAreRefused(t *testing.T) {
	s := cut(1.5, 1.7, 0, none)
	for i := range s {
		s[i].Measured += []float64{1, -1}[i%2]
	}
	if _, err := learn.KerfOf(s, 6); err == nil || !strings.Contains(err.Error(), "over a third of it") {
		t.Error(err)
	}
	for i := range s {
		s[i].Inside = !s[i].Inside
		s[i].Measured = s[i].Drawn + 3
		if s[i].Inside {
			s[i].Measured = s[i].Drawn - 3
		}
	}
	if k, err := learn.KerfOf(s, 6); err == nil || !strings.Contains(err.Error(), "exchanged") {
		t.Error(k, err)
	}
}

func TestDependentColumnsAreRefused(t *testing.T) {
	x := [][]float64{{1, 2}, {2, 4}, {3, 6}, {4, 8}}
	if _, err := learn.LeastSquares(x, []float64{1, 2, 3, 4}, nil); !errors.Is(err, learn.ErrDependent) {
		t.Error(err)
	}
	for name, bad := range map[string]struct {
		x [][]float64
		y []float64
	}{"none": {nil, nil}, "few": {[][]float64{{1, 2}}, []float64{1}}, "ragged": {[][]float64{{1}, {1, 2}}, []float64{1, 2}},
		"nan": {[][]float64{{math.NaN()}}, []float64{1}}, "zero": {[][]float64{{0}}, []float64{1}}} {
		if _, err := learn.LeastSquares(bad.x, bad.y, nil); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}
