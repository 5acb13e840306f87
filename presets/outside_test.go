package presets_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
	"github.com/BurntSushi/toml"
)

// reference is testdata/reference.toml.
type reference struct {
	Balance struct {
		Source, Mark string
		Rows         []struct {
			Material              job.Material
			Amps, Volts, Eta      float64
			Thickness_mm, Kerf_mm float64
			V_mm_per_min          float64
		}
	}
	Melt_heat struct {
		Source, Mark string
		Rows         []struct {
			Material  job.Material
			J_per_mm3 float64
		}
	}
	Efficiency struct {
		Source, Mark string
		Rows         []struct {
			Amps, Thickness, Volts, Kerf float64
			Eta_from, Eta_to             float64
		}
	}
	Shade struct {
		Source, Mark string
		Rows         []struct {
			Amps                               float64
			Osha_minimum, Guide_suggested, Say int
		}
	}
	Gauge struct {
		Source, Mark string
		Rows         []struct {
			System     string
			Gauge      int
			Mm, Weight float64
		}
	}
}

func outside(t testing.TB) (r reference) {
	t.Helper()
	md, err := toml.DecodeFile("testdata/reference.toml", &r)
	if err != nil || len(md.Undecoded()) > 0 {
		t.Fatal(err, md.Undecoded())
	}
	if len(r.Balance.Rows) < 20 || len(r.Shade.Rows) < 10 || len(r.Gauge.Rows) < 50 || len(r.Efficiency.Rows) < 20 || len(r.Melt_heat.Rows) != 3 {
		t.Fatal("the reference is cut short")
	}
	return r
}

// close12 is how near a derived figure of 12 printed digits must come.
func close12(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Abs(want) }

func TestEnergyBalanceAgreesWithTheWorkedRows(t *testing.T) {
	for _, r := range outside(t).Balance.Rows {
		got := r.Eta * presets.MeltLimit(r.Material, r.Thickness_mm, r.Kerf_mm, r.Volts*r.Amps)
		if r.Material == job.Aluminium && r.Thickness_mm == 6 {
			continue // a row for 5052
		}
		if !close12(got, r.V_mm_per_min) {
			t.Errorf("%+v: got %v", r, got)
		}
	}
}

func TestMeltHeatAgreesWithTheTable(t *testing.T) {
	for _, r := range outside(t).Melt_heat.Rows {
		m, ok := presets.MetalOf(r.Material)
		if !ok || !close12(m.MeltHeat(), r.J_per_mm3) {
			t.Errorf("%s: %v J/mm3, want %v", r.Material, m.MeltHeat(), r.J_per_mm3)
		}
		for _, p := range []presets.Property{m.Density, m.SpecificHeat, m.Melting, m.LatentHeat, m.Conductivity} {
			if p.Value <= 0 || p.Source == "" || p.Mark == "" {
				t.Errorf("%s: a figure without a source: %+v", r.Material, p)
			}
		}
	}
}

func TestPracticeNeedsTheEfficienciesOfTheTable(t *testing.T) {
	least, most := 1.0, 0.0
	for _, r := range outside(t).Efficiency.Rows {
		p := job.Process{Amps: r.Amps, Volts: r.Volts, Kerf: r.Kerf, Feed: 1000}
		v := presets.Plausible(job.MildSteel, r.Thickness, p)
		if !close12(v.From/v.Limit, r.Eta_from) || !close12(v.To/v.Limit, r.Eta_to) {
			t.Errorf("%+v: got %v and %v", r, v.From/v.Limit, v.To/v.Limit)
		}
		least, most = min(least, r.Eta_from), max(most, r.Eta_to)
	}
	// What plausible.go states as the span of practice.
	if math.Floor(least*100)/100 != 0.10 || math.Ceil(most*100)/100 != 0.57 {
		t.Errorf("efficiencies from %v to %v", least, most)
	}
}

// TestTradeFactIsPlausible: 45 A cuts 1/8 in of mild steel at about 100
// in/min. Common practice, no source.
func TestTradeFactIsPlausible(t *testing.T) {
	l := library(t)
	p, n, err := l.Lookup(job.MildSteel, unit.Inch.ToMM(0.125), 45)
	if err != nil || !n.Exact || p.Feed != unit.Inch.ToMM(100) {
		t.Fatal(p, n, err)
	}
	for _, row := range []struct {
		inPerMin float64
		worst    fault.Severity
		code     string
	}{
		{100, fault.Note, ""},
		{90, fault.Note, ""},
		{120, fault.Note, ""},
		{400, fault.Error, "feed-impossible"},
		{180, fault.Warning, "feed-range"},
		{40, fault.Warning, "feed-range"},
	} {
		p.Feed = unit.Inch.ToMM(row.inPerMin)
		l := presets.Plausible(job.MildSteel, unit.Inch.ToMM(0.125), p).Faults(unit.Inch)
		if l.Worst() != row.worst || row.code != "" && l[0].Code != row.code || row.code == "" && len(l) > 0 {
			t.Errorf("%v in/min: %v", row.inPerMin, l)
		}
	}
}

func TestImpossibleFeedIsToldWithItsFigures(t *testing.T) {
	p := job.Process{Amps: 45, Volts: 120, Kerf: 1.55, Feed: unit.Inch.ToMM(400)}
	l := presets.Plausible(job.MildSteel, 3.175, p).Faults(unit.Inch)
	want := "process: feed 400 in/min on 0.125 in of mild-steel at 45 A: 120 V x 45 A melts a kerf of 0.061 in at up to 359.3 in/min if all its power goes there (efficiency 1); the feed needs 1.11. Lower the feed, or correct current, voltage, kerf or thickness."
	if len(l) != 1 || l[0].Error() != want {
		t.Errorf("got  %v\nwant %s", l, want)
	}
}

func TestPlausibleWarnsOfEachFigureThatPracticeKnowsNothingLike(t *testing.T) {
	good, _, err := library(t).Lookup(job.MildSteel, 6, 65)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name   string
		change func(*job.Process, *float64)
		code   string
	}{
		{"feed too fast", func(p *job.Process, _ *float64) { p.Feed = 3500 }, "feed-range"},
		{"feed too slow", func(p *job.Process, _ *float64) { p.Feed = 1000 }, "feed-range"},
		{"wide kerf", func(p *job.Process, _ *float64) { p.Kerf = 2.8 }, "kerf-range"},
		{"low voltage", func(p *job.Process, _ *float64) { p.Volts = 90 }, "volts-range"},
		{"too thick to pierce", func(p *job.Process, t *float64) { *t, p.Feed = 18, 300 }, "pierce-thickness"},
		{"high cut", func(p *job.Process, _ *float64) { p.CutHeight, p.PierceHeight = 5, 6 }, "height-range"},
		{"pierce under cut height", func(p *job.Process, _ *float64) { p.PierceHeight = 1 }, "pierce-height"},
		{"long delay", func(p *job.Process, _ *float64) { p.PierceDelay = job.Of(3) }, "delay-range"},
		{"beyond the currents, too fast", func(p *job.Process, _ *float64) { p.Amps, p.Volts, p.Kerf, p.Feed = 200, 150, 3, 12000 }, "feed-range"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p, thickness := good, 6.0
			if l := presets.Plausible(job.MildSteel, thickness, p).Faults(unit.MM); len(l) > 0 {
				t.Fatal("the good one is not good:", l)
			}
			row.change(&p, &thickness)
			l := presets.Plausible(job.MildSteel, thickness, p).Faults(unit.MM)
			if len(l) == 0 || l.Bad() {
				t.Fatalf("%v", l)
			}
			for _, f := range l {
				if f.Code == row.code && f.Do != "" {
					return
				}
			}
			t.Errorf("no %s in %v", row.code, l)
		})
	}
}

func TestPlausibleNamesWhatIsUnknown(t *testing.T) {
	v := presets.Plausible("", 0, job.Process{Kerf: 1})
	if v.Known || fmt.Sprint(v.Missing) != "[material thickness amps volts feed]" || len(v.Faults(unit.MM)) > 0 {
		t.Fatalf("%+v", v)
	}
	if presets.MeltLimit("wood", 1, 1, 1) != 0 || presets.MeltLimit(job.Stainless, math.NaN(), 1, 1) != 0 {
		t.Fatal("a limit out of nothing")
	}
}

func TestShadeAgreesWithThePublishedTables(t *testing.T) {
	for _, r := range outside(t).Shade.Rows {
		s, ok := presets.ShadeFor(r.Amps)
		if !ok || s.Say != r.Say || s.Legal != r.Osha_minimum || s.Source == "" {
			t.Errorf("%v A: %+v, want %+v", r.Amps, s, r)
		}
		// Between 40 and 60 A two copies of the guide differ, and the stricter is taken.
		if s.Suggested != r.Guide_suggested && (r.Amps < 40 || r.Amps >= 60 || s.Suggested != 8) {
			t.Errorf("%v A: suggested %d, want %d", r.Amps, s.Suggested, r.Guide_suggested)
		}
	}
	for _, amps := range []float64{0, -1, 800, 5000, math.NaN(), math.Inf(1)} {
		if s, ok := presets.ShadeFor(amps); ok {
			t.Errorf("%v A: a shade out of nothing: %v", amps, s)
		}
	}
	if s, _ := presets.ShadeFor(799); s.String() != "shade 14 or darker" {
		t.Error(s)
	}
}

func TestGaugesAgreeWithTheLists(t *testing.T) {
	seen := 0
	for _, r := range outside(t).Gauge.Rows {
		for _, g := range presets.Gauges(r.Gauge) {
			if g.System != r.System {
				continue
			}
			seen++
			if math.Abs(g.Thickness-r.Mm) > 1e-9*r.Mm {
				t.Errorf("%d %s: %v mm, want %v", r.Gauge, r.System, g.Thickness, r.Mm)
			}
			// The law gives weights too: 40 lb/ft2 for each inch, by 15 U.S.C. 206.
			if r.System == "us-standard" && math.Abs(r.Weight/40-g.Inch) > 1e-12 {
				t.Errorf("%d: %v in weighs %v lb/ft2", r.Gauge, g.Inch, r.Weight)
			}
		}
	}
	if seen != len(outside(t).Gauge.Rows) {
		t.Errorf("%d of %d rows are there", seen, len(outside(t).Gauge.Rows))
	}
}

func TestGaugeIsNeverOneThickness(t *testing.T) {
	for n := 7; n <= 20; n++ {
		all := presets.Gauges(n)
		thin, thick := math.Inf(1), 0.0
		for _, g := range all {
			thin, thick = min(thin, g.Thickness), max(thick, g.Thickness)
		}
		if len(all) < 4 || thick/thin < 1.1 {
			t.Errorf("gauge %d: %v", n, all)
		}
	}
	if len(presets.Gauges(6)) != 0 || len(presets.Gauges(21)) != 0 {
		t.Error("a thickness for a gauge that no list has")
	}
	for typed, want := range map[string]int{"16ga": 16, "16 gauge": 16, " 7 GA. ": 7, "16": 0, "1/4in": 0, "ga": 0, "-3ga": 0, "1.5ga": 0} {
		if got, ok := presets.ParseGauge(typed); got != want && ok || ok != (want > 0) {
			t.Errorf("%q: %v %v", typed, got, ok)
		}
	}
}

// TestCopiesAgreeWithTheReferenceFolder runs where that folder lies beside
// the repository, and compares what was copied from it.
func TestCopiesAgreeWithTheReferenceFolder(t *testing.T) {
	name := filepath.Join("..", "..", "shared", "reference", "process.toml")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Skip("no reference folder beside the repository:", err)
	}
	var from struct {
		Feed []struct {
			Amps, Thickness, Feed_from, Feed_to float64
		}
	}
	if _, err := toml.Decode(string(text), &from); err != nil {
		t.Fatal(err)
	}
	for _, r := range from.Feed {
		v := presets.Plausible(job.MildSteel, r.Thickness, job.Process{Amps: r.Amps, Volts: 120, Kerf: 1.5, Feed: 1})
		if v.From != r.Feed_from || v.To != r.Feed_to {
			t.Errorf("%+v: got %v to %v", r, v.From, v.To)
		}
	}
	if len(from.Feed) < 26 || !strings.Contains(string(text), "no source") {
		t.Error("the reference folder has changed its form")
	}
}
