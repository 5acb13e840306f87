package presets_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
	"pgregory.net/rapid"
)

func library(t testing.TB) *presets.Library {
	t.Helper()
	l, faults := presets.Load(nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return l
}

func TestEveryEmbeddedPresetIsPlausibleAndSaysWhereItComesFrom(t *testing.T) {
	n := 0
	for _, m := range job.Materials() {
		for _, p := range library(t).Processes(m) {
			n++
			if l := presets.Plausible(m, p.Thickness, p.Process).Faults(unit.MM); len(l) > 0 {
				t.Errorf("%s: %v", p.Name(), l)
			}
			q := p.Process
			if q.State != job.Starting || !strings.Contains(q.Source.String(), "no source") || q.Gas.Empty() || q.Preset.String() != p.Name() {
				t.Errorf("%s: %+v", p.Name(), q)
			}
			if q.Pressure.Known || q.GasFlow.Known {
				t.Errorf("%s: pressure or flow have no source and must stay unknown", p.Name())
			}
			if q.PierceHeight < 1.5*q.CutHeight || q.PierceHeight > 2.5*q.CutHeight {
				t.Errorf("%s: pierce height %v is not 1.5 to 2.5 times the cut height (common practice, no source)", p.Name(), q.PierceHeight)
			}
		}
		for _, amps := range []float64{30, 45, 65, 85} {
			if len(rows(library(t), m, amps)) < 5 {
				t.Errorf("%s at %v A: too few presets", m, amps)
			}
		}
	}
	if n < 60 {
		t.Errorf("only %d presets", n)
	}
}

func rows(l *presets.Library, m job.Material, amps float64) (all []presets.Preset) {
	for _, p := range l.Processes(m) {
		if p.Process.Amps == amps {
			all = append(all, p)
		}
	}
	return all
}

func TestFeedFallsAndDelayGrowsWithThickness(t *testing.T) {
	for _, m := range job.Materials() {
		for _, amps := range []float64{30, 45, 65, 85} {
			all := rows(library(t), m, amps)
			for i := 1; i < len(all); i++ {
				a, b := all[i-1], all[i]
				if !(a.Thickness < b.Thickness) || !(a.Process.Feed > b.Process.Feed) || a.Process.PierceDelay.Value > b.Process.PierceDelay.Value {
					t.Errorf("%s against %s", a.Name(), b.Name())
				}
			}
		}
	}
}

func TestLookupLiesBetweenItsNeighbours(t *testing.T) {
	l := library(t)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(job.Materials()).Draw(t, "material")
		amps := rapid.SampledFrom([]float64{30, 45, 65, 85}).Draw(t, "amps")
		all := rows(l, m, amps)
		at := func(label string) (float64, job.Process, presets.Neighbours) {
			x := rapid.Float64Range(all[0].Thickness, all[len(all)-1].Thickness).Draw(t, label)
			p, n, err := l.Lookup(m, x, amps)
			if err != nil {
				t.Fatal(err)
			}
			return x, p, n
		}
		x, p, n := at("thickness")
		if n.Thinner.Thickness > x+1e-6 || n.Thicker.Thickness < x-1e-6 || n.Exact != (n.Thinner.Thickness == n.Thicker.Thickness) {
			t.Fatalf("%v mm between %v and %v", x, n.Thinner.Thickness, n.Thicker.Thickness)
		}
		a, b := n.Thinner.Process, n.Thicker.Process
		between := func(what string, v, x, y float64) {
			if v < min(x, y) || v > max(x, y) {
				t.Fatalf("%s %v is not between %v and %v", what, v, x, y)
			}
		}
		between("feed", p.Feed, a.Feed, b.Feed)
		between("kerf", p.Kerf, a.Kerf, b.Kerf)
		between("volts", p.Volts, a.Volts, b.Volts)
		between("delay", p.PierceDelay.Value, a.PierceDelay.Value, b.PierceDelay.Value)
		if p.Amps != amps || p.State != job.Starting || !p.PierceDelay.Known || p.Pressure.Known || p.Source.Empty() {
			t.Fatalf("%+v", p)
		}
		if faults := presets.Plausible(m, x, p).Faults(unit.MM); faults.Bad() {
			t.Fatal(faults)
		}
		y, q, _ := at("other")
		if x < y && p.Feed < q.Feed || x > y && p.Feed > q.Feed {
			t.Fatalf("feed %v at %v mm, %v at %v mm", p.Feed, x, q.Feed, y)
		}
	})
}

func TestFeedBetweenTwoPresetsIsAPowerOfThickness(t *testing.T) {
	// Rows on feed = 12000 t^-1.25 give it back between them (closed form); the
	// kerf, on 1 + 0.1 t, its straight line.
	law := func(x float64) float64 { return 12000 * math.Pow(x, -1.25) }
	text := "units = \"mm\"\n"
	for _, x := range []float64{2, 3, 5, 9} {
		text += fmt.Sprintf("[[presets]]\nmaterial = \"stainless\"\nthickness = %v\namps = 33\nfeed = %.9f\nkerf = %v\n", x, law(x), 1+0.1*x)
	}
	l, faults := presets.Load(fstest.MapFS{"process/law.toml": {Data: []byte(text)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, x := range []float64{2.1, 2.5, 3.7, 4.9, 6, 8.8} {
		p, n, err := l.Lookup(job.Stainless, x, 33)
		if err != nil || n.Exact || math.Abs(p.Feed-law(x)) > 0.5 || math.Abs(p.Kerf-1-0.1*x) > 0.005 {
			t.Errorf("at %v mm: feed %v, want %.1f; kerf %v; %v", x, p.Feed, law(x), p.Kerf, err)
		}
	}
	_, n, _ := library(t).Lookup(job.MildSteel, 2.5, 45)
	if got := n.Text(unit.MM); got != "between 2 mm and 3.17 mm" && got != "between 2 mm and 3.18 mm" {
		t.Error(got)
	}
}

func TestPresetHoldsOverItsRangeAndNoFurther(t *testing.T) {
	text := `version = 2
units = "mm"
[[presets]]
material = "stainless"
thickness = 4
holds_from = 3.5
holds_to = 4.5
amps = 33
feed = 2000
[[presets]]
material = "stainless"
thickness = 6
amps = 33
feed = 1000
`
	l, faults := presets.Load(fstest.MapFS{"process/range.toml": {Data: []byte(text)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for x, want := range map[float64]float64{3.5: 2000, 4.2: 2000, 4.5: 2000, 6: 1000} {
		if p, n, err := l.Lookup(job.Stainless, x, 33); err != nil || p.Feed != want || !n.Exact {
			t.Errorf("%v mm: %v %v", x, p.Feed, err)
		}
	}
	if p, n, err := l.Lookup(job.Stainless, 5, 33); err != nil || n.Exact || p.Feed >= 2000 || p.Feed <= 1000 {
		t.Errorf("between: %v %v", p.Feed, err)
	}
	if _, _, err := l.Lookup(job.Stainless, 3.4, 33); err == nil {
		t.Error("beyond the range there is an answer")
	}
	if got := l.Amps(job.Stainless, 3.6); !slices.Contains(got, 33) {
		t.Error(got)
	}
	bad := strings.Replace(text, "holds_to = 4.5", "holds_to = 3.9", 1)
	if _, faults := presets.Load(fstest.MapFS{"process/range.toml": {Data: []byte(bad)}}); !faults.Bad() || !strings.Contains(faults.Err().Error(), "range.toml:6:1: presets[1].holds_from = 3.5: the range") {
		t.Error(faults)
	}
}

func TestRetiredPresetIsKeptButNotOffered(t *testing.T) {
	text := "version = 2\nunits = \"mm\"\n[[presets]]\nmaterial = \"mild-steel\"\nthickness = 3.175\namps = 45\nfeed = 999\nretired = true\n"
	l, faults := presets.Load(fstest.MapFS{"process/old.toml": {Data: []byte(text)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if _, n, err := l.Lookup(job.MildSteel, 3.175, 45); err != nil || n.Exact {
		t.Errorf("it is offered: %+v %v", n, err)
	}
	q := presets.Query{Material: job.MildSteel, Thickness: 3.175, Amps: 45}
	if got := l.Search(q); len(got) != 2 || got[0].Thickness != 2 {
		t.Errorf("%+v", got)
	}
	q.Retired = true
	if got := l.Search(q); len(got) != 1 || !got[0].Retired || got[0].Process.Feed != 999 {
		t.Errorf("%+v", got)
	}
}

func TestSearchFindsWhatHoldsOrTheNeighbours(t *testing.T) {
	l := library(t)
	for _, c := range []struct {
		q    presets.Query
		want string
	}{
		{presets.Query{Material: job.MildSteel, Thickness: 6, Amps: 45}, "45A/6"},
		{presets.Query{Material: job.MildSteel, Thickness: 2.5, Amps: 45}, "45A/2 45A/3.175"},
		{presets.Query{Material: job.MildSteel, Thickness: 90, Amps: 45}, "45A/10"},
		{presets.Query{Material: job.MildSteel, Thickness: 0.3, Amps: 45}, "45A/1.5"},
		{presets.Query{Material: job.MildSteel, Amps: 777}, ""},
	} {
		var got []string
		for _, p := range l.Search(c.q) {
			got = append(got, fmt.Sprintf("%gA/%g", p.Process.Amps, p.Thickness))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%+v: %v, want %v", c.q, got, c.want)
		}
	}
	if n := len(l.Search(presets.Query{})); n != len(l.Presets()) {
		t.Errorf("%d of %d", n, len(l.Presets()))
	}
}

func TestSharedPresetsComeBackAsStartingValues(t *testing.T) {
	l := library(t)
	all := l.Search(presets.Query{Material: job.Stainless, Amps: 45})
	all[0].Process.State, all[0].Notes = job.Proved, plain.Of("our north table")
	all[0] = all[0].WithFigure(presets.Figure{Of: "kerf", Within: 0.05, From: plain.Of("kerf coupon"), At: "2026-05-04T10:20:30Z"})
	text, faults := presets.ExportPresets(all, unit.Inch)
	if faults.Bad() {
		t.Fatal(faults)
	}
	back, faults := presets.ImportPresets("north.toml", text)
	if faults.Bad() || len(back) != len(all) {
		t.Fatal(faults)
	}
	for i, p := range back {
		q := all[i]
		if p.Process.State != job.Starting || !strings.HasPrefix(p.Process.Source.String(), "imported from north.toml; there: ") {
			t.Errorf("%+v", p)
		}
		p.Process.State, p.Process.Source = q.Process.State, q.Process.Source
		if !p.Same(q) {
			t.Errorf("%v", presets.Compare(q, p, unit.MM))
		}
	}
	if d := presets.Compare(all[0], all[1], unit.MM); len(d) < 4 || d[0].Name != "thickness" {
		t.Errorf("%+v", d)
	}
	if d := presets.Compare(all[0], all[0], unit.MM); len(d) > 0 {
		t.Errorf("%+v", d)
	}
}

func TestLookupNeverGoesBeyondItsPresets(t *testing.T) {
	l := library(t)
	for _, row := range []struct {
		m               job.Material
		thickness, amps float64
		in              unit.System
		want            string
	}{
		{job.MildSteel, 12, 45, unit.MM, "no preset for 12 mm of mild-steel at 45 A: those at 45 A reach from 1.5 mm to 10 mm. There is one at 65 A, 85 A"},
		{job.MildSteel, 0.5, 45, unit.MM, "no preset for 0.5 mm of mild-steel at 45 A: those at 45 A reach from 1.5 mm to 10 mm. No other current has one either: enter your own figures"},
		{job.Aluminium, 6, 50, unit.Inch, "no preset for 0.236 in of aluminium at 50 A. There is one at 45 A, 65 A, 85 A"},
		{"", 6, 45, unit.MM, "no preset for 6 mm of  at 45 A. No other current has one either: enter your own figures"},
		{job.MildSteel, math.NaN(), 45, unit.MM, "no preset for NaN mm"},
	} {
		p, n, err := l.Lookup(row.m, row.thickness, row.amps)
		var none *presets.NoPreset
		if !errors.As(err, &none) || !reflect.DeepEqual(p, job.Process{}) || !reflect.DeepEqual(n, presets.Neighbours{}) || !strings.HasPrefix(none.Text(row.in), row.want) {
			t.Errorf("%v mm at %v A: %v", row.thickness, row.amps, err)
		}
	}
}

func TestAmpsAreThoseWhosePresetsReach(t *testing.T) {
	l := library(t)
	for _, row := range []struct {
		m         job.Material
		thickness float64
		want      string
	}{
		{job.MildSteel, 1, "[30]"}, {job.MildSteel, 3, "[30 45 65]"}, {job.MildSteel, 6, "[45 65 85]"},
		{job.MildSteel, 20, "[85]"}, {job.MildSteel, 21, "[]"}, {job.Stainless, 20, "[]"}, {"", 6, "[]"},
	} {
		amps := l.Amps(row.m, row.thickness)
		if fmt.Sprint(amps) != row.want {
			t.Errorf("%s %v mm: %v, want %s", row.m, row.thickness, amps, row.want)
		}
		for _, a := range amps {
			if _, _, err := l.Lookup(row.m, row.thickness, a); err != nil {
				t.Error(err)
			}
		}
	}
}

const ownPreset = `units = "mm"
[[presets]]
material = "mild-steel"
thickness = 6
amps = 65
feed = 1800
kerf = 1.7
state = "proved on this machine"
source = "test cut of a trailer bracket"
`

func TestOwnFigureReplacesOursAndWhatItDoesNotSayStaysUnknown(t *testing.T) {
	l, faults := presets.Load(fstest.MapFS{"process/mine.toml": {Data: []byte(ownPreset)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	p, n, err := l.Lookup(job.MildSteel, 6, 65)
	if err != nil || !n.Thinner.Own || p.Feed != 1800 || p.State != job.Proved || p.PierceDelay.Known || p.Volts != 0 {
		t.Fatalf("%+v %v", p, err)
	}
	// Between it and the next of ours: what one does not know stays unknown,
	// and a thickness that nobody has cut is a starting value.
	p, n, err = l.Lookup(job.MildSteel, 7, 65)
	if err != nil || n.Exact || p.Feed == 0 || p.Kerf == 0 || p.State != job.Starting || p.PierceDelay.Known || p.Volts != 0 || p.CutHeight != 0 {
		t.Fatalf("%+v %v", p, err)
	}
}

func TestBrokenFileIsNamedAndHidesNoOther(t *testing.T) {
	l, faults := presets.Load(fstest.MapFS{
		"process/a.toml":      {Data: []byte("units = \"mm\"\n[[presets]]\nmaterial = \"mild-steel\"\nthickness = 6\namps = 65\nfeed = -4\n")},
		"process/b.toml":      {Data: []byte(ownPreset)},
		"process/c.toml":      {Data: []byte("[[[")},
		"process/d.txt":       {Data: []byte("not a preset")},
		"process/.e.toml":     {Data: []byte("[[[")},
		"machines/f.toml":     {Data: []byte("units = \"mm\"\n[machine]\nname = \"yard\"\ntravel_z = 12\n[machine.program]\narc_on = [\"M3\"]\narc_off = [\"M5\"]\ntouch_off = [\"G38.2 Z{probe_z}\", \"G92 Z0\"]\n")},
		"machines/g.toml":     {Data: []byte("units = \"mm\"\n[machine]\ntravel_z = 12\n")},
		"machines/h.toml":     {Data: []byte("units = \"mm\"\n[machine]\nname = \"x\"\ntravel = 12\n")},
		"machines/dir.toml/x": {Data: nil},
	})
	var got []string
	for _, f := range faults {
		text := f.Error()
		got = append(got, text[:min(len(text), 40)])
	}
	for i, want := range []string{"process/a.toml:6:1: presets[1].feed = -4", "process/c.toml:1:", "machines/dir.toml: cannot be read", "machines/g.toml:1:1: file: machine.name", "machines/h.toml:4:1: machine.travel: unk"} {
		if i >= len(got) || !strings.HasPrefix(got[i], want[:min(len(want), len(got[i]))]) {
			t.Fatalf("got %q, want %q", got, want)
		}
	}
	if len(got) != 5 {
		t.Errorf("%q", got)
	}
	if p, _, err := l.Lookup(job.MildSteel, 6, 65); err != nil || p.Feed != 1800 {
		t.Error("the good preset is gone", err)
	}
	if _, ok := l.Machine("yard"); !ok {
		t.Error("the good profile is gone")
	}
	if len(l.Machines()) != 4 {
		t.Error(l.Machines())
	}
}

func TestEveryProfileHoldsOnlyWordsOfTheStandardAndWhatTheWriterKnows(t *testing.T) {
	all := library(t).Machines()
	if len(all) != 3 {
		t.Fatal(len(all))
	}
	for _, m := range all {
		if faults := gcode.Check(m); len(faults) > 0 {
			t.Errorf("%s: %v", m.Name, faults)
		}
		if m.TopZ.Known || m.MaxAmps != 0 {
			t.Errorf("%s: only the operator can know top and current", m.Name)
		}
		// The plain ones feel the nozzle's own contact, the third has a switch.
		if contact := m.Name.String() != "height-pair"; m.SensorOffset.Known != contact || m.SensorOffset.Value != 0 {
			t.Errorf("%s: sensor offset %+v", m.Name, m.SensorOffset)
		}
		if m.Name.String() != "height-pair" && (!gcode.OnlyComments(m.Program.ControlOn) || !gcode.OnlyComments(m.Program.ControlOff)) {
			t.Errorf("%s: the standard has no word for height control", m.Name)
		}
		if m.Name.String() == "height-pair" && (gcode.OnlyComments(m.Program.ControlOn) || gcode.OnlyComments(m.Program.ControlOff)) {
			t.Errorf("%s: no pair", m.Name)
		}
		if m.TravelZ >= m.SafeZ || m.SafeZ >= m.Reach || m.ProbeSearch <= m.TravelZ || m.Notes.Empty() {
			t.Errorf("%s: heights do not go together: %+v", m.Name, m)
		}
	}
	if m, ok := library(t).Machine(presets.DefaultMachine); !ok || m.Program.Units != unit.MM {
		t.Error("no default profile")
	}
	if m, _ := library(t).Machine("plain-inch"); m.Program.Units != unit.Inch || m.TravelZ != 15.24 { // 0.6 in, 25.4 mm each
		t.Errorf("%+v", m)
	}
}

func TestMachineProfileComesBackAsWritten(t *testing.T) {
	for _, m := range library(t).Machines() {
		for _, in := range []unit.System{unit.MM, unit.Inch} {
			text, faults := presets.EncodeMachine(m, in)
			if faults.Bad() {
				t.Fatal(faults)
			}
			back, faults := presets.DecodeMachine("m.toml", text)
			if len(faults) > 0 || fmt.Sprint(back) != fmt.Sprint(m) {
				t.Errorf("%v\n%+v\n%+v", faults, back, m)
			}
		}
	}
}

func TestDemoIsAGoodJobWithItsDrawing(t *testing.T) {
	text, drawings := presets.Demo()
	j, faults := jobfile.Decode(presets.DemoJob, text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if len(j.Drawings) != 1 || drawings[j.Drawings[0].File] == nil {
		t.Fatal(j.Drawings)
	}
	if faults := presets.Plausible(j.Stock.Material, j.Stock.Thickness, j.Process).Faults(unit.MM); len(faults) > 0 {
		t.Error(faults)
	}
	if !j.Machine.SensorOffset.Known || len(gcode.Check(j.Machine)) > 0 || len(j.Checks) > 0 {
		t.Errorf("%+v", j.Machine)
	}
}

func TestCautionsFitTheMetal(t *testing.T) {
	ids := func(m job.Material, s job.Surface, u job.Under, amps float64) string {
		var all []string
		seen := map[string]bool{}
		for _, c := range presets.Cautions(m, s, u, amps) {
			if seen[c.ID] || c.Text == "" || c.Source == "" || !plain.IsClean(c.Text+c.Figure+c.Source) {
				t.Errorf("%+v", c)
			}
			seen[c.ID] = true
			all = append(all, c.ID)
		}
		return strings.Join(all, " ")
	}
	const before, after = "stock work-clamp fume ", "flammables people consumables power-off gas shade hearing fire-watch zero dry-run"
	for _, row := range []struct {
		m     job.Material
		s     job.Surface
		u     job.Under
		extra string
	}{
		{job.MildSteel, job.Bare, job.OpenBed, ""},
		{job.MildSteel, job.Galvanised, job.WaterTable, "galvanised "},
		{job.MildSteel, job.Painted, job.DownDraft, "painted "},
		{job.Stainless, job.Bare, job.WaterTable, "stainless "},
		{job.Aluminium, job.Bare, job.WaterTable, "aluminium-water "},
		{job.Aluminium, job.Bare, job.DownDraft, ""},
		{"", "", "", ""},
	} {
		if got := ids(row.m, row.s, row.u, 45); got != before+row.extra+after {
			t.Errorf("%+v: %s", row, got)
		}
	}
}

func TestCautionsGiveTheFiguresOfTheirSources(t *testing.T) {
	find := func(id string, amps float64) presets.Caution {
		for _, c := range presets.Cautions(job.Stainless, job.Galvanised, job.WaterTable, amps) {
			if c.ID == id {
				return c
			}
		}
		t.Fatal(id)
		return presets.Caution{}
	}
	for id, want := range map[string]string{
		"flammables":  "35 ft (11 m)",                                          // 29 CFR 1910.252(a)(2); 11 m from memory of NFPA 51B
		"fire-watch":  "60 min",                                                // NFPA 51B:2019 5.6.1.1, stricter than the half hour of 29 CFR 1910.252
		"stainless":   "Cr(VI) 5 ug/m3 over 8 h; NIOSH advises 0.2",            // 29 CFR 1910.1026(c); NIOSH 2013-128
		"galvanised":  "zinc oxide fume 5 mg/m3 over 8 h, 10 mg/m3 for 15 min", // 29 CFR 1910.1000 Z-1; NIOSH Pocket Guide
		"hearing":     "85 dBA over 8 h",                                       // 29 CFR 1910.95(c)
		"shade":       "shade 9 or darker",                                     // ANSI Z49.1:2012 at 85 A
		"consumables": "85 A",
	} {
		if got := find(id, 85).Figure; got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
	if c := find("shade", 0); c.Figure != "" || !strings.Contains(c.Text, "no filter shade") {
		t.Errorf("a shade for an unknown current: %+v", c)
	}
}
