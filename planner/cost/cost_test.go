package cost_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"pgregory.net/rapid"
)

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(a), math.Abs(b)) }

// Weights of plate: 7.85 kg/m2 for each mm of steel (handbook figure for 7850
// kg/m3, EN 1991-1-1 table A.4), so 1250 x 2500 x 6 weighs 147.1875 kg.
func TestPlateWeighsWhatTheHandbookSays(t *testing.T) {
	for _, c := range []struct {
		name string
		m    job.Material
		area float64 // mm2
		t    float64 // mm
		kg   float64
	}{
		{"sheet 1250 x 2500 x 6", job.MildSteel, 1250 * 2500, 6, 147.1875},
		{"sheet 1000 x 2000 x 1.5: 11.775 kg/m2", job.MildSteel, 2e6, 1.5, 23.55},
		{"1 m2 x 2: 15.7 kg", job.MildSteel, 1e6, 2, 15.7},
		{"1 m2 x 1 of 304 at 8000 kg/m3", job.Stainless, 1e6, 1, 8},
		{"1 m2 x 1 of 5052 at 2680 kg/m3", job.Aluminium, 1e6, 1, 2.68},
	} {
		if got := cost.Weight(c.m, c.area, c.t); !got.Known || !near(got.Value, c.kg) {
			t.Errorf("%s: %v, want %g kg", c.name, got, c.kg)
		}
	}
	if got := cost.Weight("", 1, 1); got.Known {
		t.Error("an unknown metal has a weight")
	}
}

func plate() cost.Input {
	one := cost.Times{ArcOn: 54, Pierce: 6, Probe: 2, Raise: 1, Rapid: 3}
	return cost.Input{
		Cuts:  []cost.Cut{{1, "p1#1.h1", 0, one}, {2, "p1#1.outline", 0, one}, {3, "p1#2.h1", 1, one}, {4, "p1#2.outline", 1, one}},
		Parts: []cost.Part{{"p1#1", "p1", "leaf", 40000}, {"p1#2", "p1", "leaf", 40000}}, Material: job.MildSteel,
		Thickness: 6, Stock: 600 * 300, Used: 400 * 300, Amps: 65, Volts: 130, GasFlow: job.Of(150),
		Prices: cost.Prices{MildSteel: job.Of(1.5), Gas: job.Of(0.02), Electricity: job.Of(0.3), Machine: job.Of(36), Labour: job.Of(45),
			Efficiency: job.Of(0.8), Set: job.Of(30), LifeStarts: job.Of(200), LifeArcOn: job.Of(120)},
	}
}

// Four minutes of arc at 130 V and 65 A: 8.45 kW x 4/60 h = 0.56333 kWh in the
// arc, over 0.8 is 0.70417 kWh from the mains; 150 L/min x 4 = 600 L. Worked
// by hand.
func TestEnergyAndGasAgreeWithHandCalculation(t *testing.T) {
	r := cost.Reckon(plate())
	if !near(r.Lit(), 240) || !near(r.ArcEnergy.Value, 8.45*4/60) || !near(r.Mains.Value, 8.45*4/60/0.8) || !near(r.Gas.Value, 600) {
		t.Errorf("lit %g s, arc %g kWh, mains %g kWh, gas %g L", r.Lit(), r.ArcEnergy.Value, r.Mains.Value, r.Gas.Value)
	}
	if r.Starts != 4 || !near(r.Wear.Value, 4.0/120) { // 4 of 120 min is more than 4 of 200 starts
		t.Errorf("wear %v", r.Wear)
	}
	// 120000 mm2 x 6 mm x 7850 kg/m3 = 5.652 kg; parts 80000 mm2: 3.768 kg.
	if !near(r.UsedKg.Value, 5.652) || !near(r.PartsKg.Value, 3.768) || !near(r.ScrapKg.Value, 1.884) || !near(r.Yield.Value, 2.0/3) {
		t.Errorf("%v %v %v", r.UsedKg, r.PartsKg, r.ScrapKg)
	}
	// 5.652*1.5 + 0.6*0.02 + 0.704166*0.3 + 30/30 + 264/3600*(36+45)
	want := 8.478 + 0.012 + 8.45*4/60/0.8*0.3 + 1 + 264.0/3600*81
	if !r.Total.Known || !near(r.Total.Value, want) {
		t.Errorf("total %v, want %g", r.Total, want)
	}
	if len(r.Kinds) != 1 || r.Kinds[0].Count != 2 || !near(r.Kinds[0].Price.Value, want/2) || !near(r.Kinds[0].Kg.Value, 1.884) {
		t.Errorf("%+v", r.Kinds)
	}
}

// What is left of a lost job is gas, current, wear and time; its metal was
// charged to the run that was lost, and a part has no price but the job's.
func TestWhatIsLeftIsNotChargedForMetalAgain(t *testing.T) {
	in := plate()
	in.Left, in.Used, in.Cuts = true, 0, in.Cuts[2:]
	want := 2.0*0.15*0.02 + 8.45*2/60/0.8*0.3 + 0.5 + 132.0/3600*81 // half of the job by hand, above
	r := cost.Reckon(in)
	if !near(r.Total.Value, want) || !r.Total.Known || !r.Left || len(r.Kinds) != 0 || !near(r.Wear.Value, 2.0/120) {
		t.Errorf("%+v, want %g", r, want)
	}
	in.Prices.MildSteel = job.Opt{} // what costs nothing needs no price
	if r := cost.Reckon(in); !near(r.Total.Value, want) {
		t.Errorf("%v", r.Total)
	}
	in.Used = 1000 // of a blank still to come it does
	if r := cost.Reckon(in); r.Total.Known {
		t.Errorf("%v", r.Total)
	}
}

func TestUnknownPriceIsNotKnownAndNeverNothing(t *testing.T) {
	in := plate()
	in.Prices.Gas = job.Opt{}
	r := cost.Reckon(in)
	if r.Total.Known || r.Kinds[0].Price.Known || !slices.Equal(r.Missing, []string{"gas"}) {
		t.Errorf("total %v, part %v, missing %v", r.Total, r.Kinds[0].Price, r.Missing)
	}
	in.Prices.Gas = job.Of(0)
	if r := cost.Reckon(in); !r.Total.Known {
		t.Error("a price of 0 is known")
	}
	if r := cost.Reckon(cost.Input{Cuts: in.Cuts}); r.Total.Known || r.Gas.Known || r.Mains.Known || r.Wear.Known || r.RunsOut != nil || len(r.Missing) != 6 {
		t.Errorf("%+v", r)
	}
	in.Cuts[2].Times.Pauses = 1 // how long the operator takes is not said
	if r := cost.Reckon(in); r.Total.Known || !slices.Equal(r.Missing, []string{"machine", "labour"}) {
		t.Errorf("missing %v", r.Missing)
	}
}

func TestWornSetIsWarnedOfBeforeThePartItWouldSpoil(t *testing.T) {
	for _, c := range []struct {
		name                  string
		starts, minutes       float64
		cut, before           int
		by                    string
		lifeStarts, lifeArcOn job.Opt
	}{
		{"lasts", 196, 0, 0, 0, "", job.Of(200), job.Opt{}},
		{"starts end in the second part", 197, 0, 4, 3, "starts", job.Of(200), job.Opt{}},
		{"starts end in the first", 199, 0, 2, 1, "starts", job.Of(200), job.Opt{}},
		{"arc ends first", 197, 118.5, 2, 1, "arc-on", job.Of(200), job.Of(120)},
		{"nothing is known", 1000, 1000, 0, 0, "", job.Opt{}, job.Opt{}},
	} {
		in := plate()
		in.Prices.UsedStarts, in.Prices.UsedArcOn = job.Of(c.starts), job.Of(c.minutes)
		in.Prices.LifeStarts, in.Prices.LifeArcOn = c.lifeStarts, c.lifeArcOn
		r := cost.Reckon(in).RunsOut
		switch {
		case c.cut == 0 && r != nil:
			t.Errorf("%s: %+v", c.name, r)
		case c.cut > 0 && (r == nil || r.Cut != c.cut || r.Before != c.before || r.By != c.by):
			t.Errorf("%s: %+v, want cut %d, before %d, by %s", c.name, r, c.cut, c.before, c.by)
		}
	}
}

// What the parts cost is what the job costs.
func TestPartsShareTheWholePrice(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		in := plate()
		n := rapid.IntRange(1, 5).Draw(rt, "parts")
		in.Parts, in.Cuts = nil, nil
		for k := range n {
			in.Parts = append(in.Parts, cost.Part{Kind: rapid.SampledFrom([]string{"p1", "p2"}).Draw(rt, "kind"), Area: rapid.Float64Range(1, 1e5).Draw(rt, "area")})
			for range rapid.IntRange(1, 4).Draw(rt, "cuts") {
				in.Cuts = append(in.Cuts, cost.Cut{Part: k, Times: cost.Times{ArcOn: rapid.Float64Range(0.1, 100).Draw(rt, "arc"), Rapid: 1}})
			}
		}
		r := cost.Reckon(in)
		all := 0.0
		for _, k := range r.Kinds {
			all += k.Price.Value * float64(k.Count)
		}
		if !r.Total.Known || math.Abs(all-r.Total.Value) > 1e-6*r.Total.Value {
			rt.Fatalf("parts %g, job %v", all, r.Total)
		}
	})
}

func TestPriceListReadsBackAndNamesItsFaults(t *testing.T) {
	p := plate().Prices
	p.Currency = plain.Of("EUR")
	p.UsedStarts = job.Of(0)
	text, faults := cost.Encode(p)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	back, faults := cost.Decode("prices.toml", text)
	if faults.Bad() || back != p {
		t.Errorf("%v\n%+v\n%+v", faults, back, p)
	}
	for text, want := range map[string]string{
		"[metal]\nmild-steel = -1":         "prices.toml:2:",
		"[metal]\ncopper = 1":              "copper: unknown key",
		"[running]\nefficiency = 85":       "efficiency",
		"[running]\ngas = \"cheap\"":       "must be a number",
		"[consumables]\nstarts = 200.5":    "whole number",
		"[running]\ngas = 1\nunits = 'mm'": "units",
	} {
		_, faults := cost.Decode("prices.toml", []byte(text))
		if !faults.Bad() || !strings.Contains(faults.Err().Error(), want) {
			t.Errorf("%q: %v, want %s", text, faults.Err(), want)
		}
	}
}

func FuzzPrices(f *testing.F) {
	f.Add("currency = \"EUR\"\n[metal]\nmild-steel = 1.2\n")
	f.Add("[consumables]\nprice = 30\nstarts = 200\narc_on = 90\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, faults := cost.Decode("p", []byte(text))
		if faults.Bad() {
			return
		}
		out, more := cost.Encode(p)
		if more.Bad() {
			t.Fatal(more.Err())
		}
		if back, _ := cost.Decode("p", out); back != p {
			t.Fatalf("%+v\n%+v", p, back)
		}
	})
}
