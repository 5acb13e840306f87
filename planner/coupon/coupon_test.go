package coupon_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/coupon"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

func spec(t *testing.T, k coupon.Kind, m job.Material, thickness, amps float64, u unit.System) coupon.Spec {
	t.Helper()
	lib, faults := presets.Load(nil)
	if faults.Bad() {
		t.Fatal(faults)
	}
	p, _, err := lib.Lookup(m, thickness, amps)
	if err != nil {
		t.Fatal(err)
	}
	name := presets.DefaultMachine
	if u == unit.Inch {
		name = presets.DefaultInchMachine
	}
	machine, _ := lib.Machine(name)
	return coupon.Spec{Kind: k, Stock: job.Stock{Material: m, Thickness: thickness}, Process: p.Rounded(u), Machine: machine, Units: u}
}

func planned(t *testing.T, j job.Job) *planner.Program {
	t.Helper()
	loops, faults := planner.Read(context.Background(), j, nil)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	p, faults := planner.Plan(context.Background(), j, loops)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	if !p.Verdict.OK || !p.DryVerdict.OK {
		t.Fatal("not proved")
	}
	return p
}

// Every piece, in every metal from thin to thick, in mm and inches, plans and
// proves.
func TestEveryPiecePlansAndProves(t *testing.T) {
	cuts := []struct {
		m       job.Material
		t, amps float64
	}{{job.MildSteel, 1.5, 30}, {job.MildSteel, 6, 45}, {job.MildSteel, 10, 65}, {job.Stainless, 3, 45}, {job.Aluminium, 12, 85}}
	if testing.Short() {
		cuts = cuts[1:2]
	}
	for _, k := range coupon.Kinds() {
		for _, c := range cuts {
			for _, u := range []unit.System{unit.MM, unit.Inch} {
				t.Run(fmt.Sprintf("%s %s %g mm %v", k, c.m, c.t, u), func(t *testing.T) {
					j, err := coupon.Make(spec(t, k, c.m, c.t, c.amps, u))
					if err != nil {
						t.Fatal(err)
					}
					if got, ok := coupon.KindOf(j); !ok || got != k {
						t.Errorf("%q is taken for %q", j.Name, got)
					}
					planned(t, j)
				})
			}
		}
	}
}

// The written feeds are the steps of the ladder, from left to right.
func TestFeedLadderIsCutAtItsSteps(t *testing.T) {
	s := spec(t, coupon.Feeds, job.MildSteel, 6, 45, unit.MM)
	j, err := coupon.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	p := planned(t, j)
	var at []float64
	feeds := map[float64]float64{}
	for _, c := range p.Cuts {
		if f := p.Tree.Features[c.Feature]; f.Kind == feature.Slot {
			at = append(at, f.Center.X)
			feeds[f.Center.X] = c.Feed
			if want := fmt.Sprintf("F%s", unit.Number(c.Feed, 0)); !strings.Contains(string(p.Text), want) {
				t.Errorf("the program has no %s", want)
			}
		}
	}
	slices.Sort(at)
	if len(at) != 7 {
		t.Fatal(len(at), "slots")
	}
	for i, x := range at {
		if want := s.Process.Feed * (0.7 + 0.1*float64(i)); math.Abs(feeds[x]-want) > 0.5 {
			t.Errorf("slot %d: %v mm/min, want %v", i+1, feeds[x], want)
		}
	}
	// A machine that is not so fast gets a ladder that ends at what it can do.
	s.Machine.MaxFeed = 1.1 * s.Process.Feed
	if j, err = coupon.Make(s); err != nil {
		t.Fatal(err)
	}
	if last := j.Overrides[6].Feed; math.Abs(last-1.1) > 1e-3 { // written with three decimals
		t.Errorf("the last step is %v of the feed", last)
	}
	planned(t, j)
}

// The proof reads the delays back: a program with another one is not proved.
func TestPierceRowIsWrittenWithItsDelays(t *testing.T) {
	s := spec(t, coupon.Pierce, job.MildSteel, 6, 45, unit.MM)
	j, err := coupon.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	p := planned(t, j)
	var delays []float64
	for _, o := range j.Overrides {
		delays = append(delays, o.Delay.Value)
		if word := "G4 P" + unit.Number(o.Delay.Value, 2) + "\n"; o.Delay.Value > 0 && !strings.Contains(string(p.Text), word) {
			t.Errorf("the program has no %q", word)
		}
	}
	if !slices.IsSorted(delays) || len(delays) != 6 || delays[0] >= s.Process.PierceDelay.Value || delays[5] <= s.Process.PierceDelay.Value {
		t.Errorf("%v round %v", delays, s.Process.PierceDelay.Value)
	}
	word := "G4 P" + unit.Number(delays[4], 2) + "\n"
	bent := strings.Replace(string(p.Text), word, "G4 P9.99\n", 1)
	loops, _ := planner.Read(context.Background(), j, nil)
	verdict, _ := planner.Prove(context.Background(), j, loops, []byte(bent), false)
	if verdict.OK {
		t.Error("a wrong delay is proved")
	}
}

func TestHoleLadderLiesOnBothSidesOfTheRules(t *testing.T) {
	j, err := coupon.Make(spec(t, coupon.Holes, job.MildSteel, 6, 45, unit.MM))
	if err != nil {
		t.Fatal(err)
	}
	p := planned(t, j)
	rules := map[feature.Rule]int{}
	for _, f := range p.Tree.Features {
		if f.Kind == feature.Hole {
			rules[f.Rule]++
		}
	}
	if rules[feature.RuleSlow] < 2 || rules[feature.RuleInside] < 2 || rules[feature.RuleDrill] > 0 {
		t.Errorf("%v", rules)
	}
}

func TestKerfCouponHasAnOutsideAndAnInsideToMeasure(t *testing.T) {
	j, err := coupon.Make(spec(t, coupon.Kerf, job.MildSteel, 6, 45, unit.Inch))
	if err != nil {
		t.Fatal(err)
	}
	p := planned(t, j)
	kinds := map[feature.Kind]int{}
	for _, f := range p.Tree.Features {
		kinds[f.Kind]++
		if in := f.Width / 25.4 * 4; f.Kind == feature.Outline && math.Abs(in-math.Round(in)) > 1e-9 {
			t.Errorf("%v in wide: must be quarters of an inch", f.Width/25.4)
		}
	}
	if kinds[feature.Outline] != 1 || kinds[feature.Slot] != 1 || len(p.Tree.Features) != 2 {
		t.Errorf("%v", kinds)
	}
}

func TestWishesThatMakeNoPieceAreRefused(t *testing.T) {
	good := spec(t, coupon.Feeds, job.MildSteel, 6, 45, unit.MM)
	for name, c := range map[string]struct {
		change func(*coupon.Spec)
		want   string
	}{
		"no metal": {func(s *coupon.Spec) { s.Stock.Material = "" }, "material and thickness"},
		"no feed":  {func(s *coupon.Spec) { s.Process.Feed = 0 }, "feed and kerf come first"},
		"few":      {func(s *coupon.Spec) { s.Steps = 2 }, "must be 3 to 15"},
		"steep":    {func(s *coupon.Spec) { s.Step, s.Machine.MaxFeed = 0.5, 1e6 }, "must stay within 5 to 300 %"},
		"unknown":  {func(s *coupon.Spec) { s.Kind = "bend" }, "is no test piece"},
		"long":     {func(s *coupon.Spec) { s.Kind, s.Step = coupon.Pierce, 30 }, "must stay under 60 s"},
	} {
		s := good
		c.change(&s)
		if _, err := coupon.Make(s); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
