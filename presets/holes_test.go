package presets_test

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// TestShippedBandsSayWhatTheRulesSay: a job with them cuts every hole as a job
// without them does, and each says why.
func TestShippedBandsSayWhatTheRulesSay(t *testing.T) {
	bands, own, faults := presets.HoleBands(nil)
	if own || len(faults) > 0 || len(bands) == 0 {
		t.Fatalf("own %v, %v, %d bands", own, faults, len(bands))
	}
	for i, b := range bands {
		if len(b.Note.String()) < 20 {
			t.Errorf("band %d gives no reason", i+1)
		}
	}
	// A diameter under 0 is a slot of that width.
	build := func(thickness, diameter float64, holes []job.HoleRule) feature.Feature {
		inside, id := geom.Circle(geom.Pt(100, 100), diameter/2), "p1.h1"
		if r := -diameter / 2; r > 0 {
			id = "p1.s1"
			inside = geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(60, 100-r)}, {P: geom.Pt(140, 100-r), Bulge: 1}, {P: geom.Pt(140, 100+r)}, {P: geom.Pt(60, 100+r), Bulge: 1}}}
		}
		l := &drawing.Loops{Closed: []drawing.Loop{
			{Path: geom.Polygon(geom.Pt(0, 0), geom.Pt(200, 0), geom.Pt(200, 200), geom.Pt(0, 200)), Use: job.LayerCut},
			{Path: inside, Use: job.LayerCut}}}
		tree, faults := feature.Build(feature.Input{Drawings: []*drawing.Loops{l}, Units: unit.MM,
			Stock: job.Stock{Material: job.MildSteel, Thickness: thickness, Hold: job.Plate}, Process: job.Process{Kerf: 1.5}, Rules: job.Rules{Holes: holes}})
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		return tree.Features[tree.Find(id)]
	}
	for _, c := range []struct{ thickness, diameter float64 }{{6, 5}, {6, 6}, {6, 9}, {6, 11.9}, {6, 13}, {6, 40}, {15, 14}, {15, 29}, {15, 31}, {15, 33}, {20, 30}, {20, 39}, {11, 31}} {
		a, b := build(c.thickness, c.diameter, nil), build(c.thickness, c.diameter, bands)
		if a.Rule != b.Rule || a.Feed != b.Feed || a.Hold != b.Hold || a.Overburn != b.Overburn || a.Spiral != b.Spiral || a.Against != b.Against {
			t.Errorf("%g mm in %g mm: by the rules %s %g %v %v, by the bands %s %g %v %v", c.diameter, c.thickness, a.Rule, a.Feed, a.Hold, a.Spiral, b.Rule, b.Feed, b.Hold, b.Spiral)
		}
		// The same width as a slot: the rules speak of holes where they name a
		// diameter, so that the bands must leave it alone there.
		a, b = build(c.thickness, -c.diameter, nil), build(c.thickness, -c.diameter, bands)
		if a.Kind != feature.Slot || b.Kind != feature.Slot {
			t.Fatalf("%s, %s", a.Kind, b.Kind)
		}
		if a.Ratio > 1 && (a.Rule != b.Rule || a.Feed != b.Feed || a.Hold != b.Hold || a.Against != b.Against) {
			t.Errorf("slot of %g mm in %g mm: by the rules %s %g %v, by the bands %s %g %v", c.diameter, c.thickness, a.Rule, a.Feed, a.Hold, b.Rule, b.Feed, b.Hold)
		}
		b = build(c.thickness, c.diameter, bands)
		if k := feature.Band(b, bands, job.MildSteel, c.thickness); k >= 0 && !strings.Contains(b.Why, bands[k].Note.String()) {
			t.Errorf("%g mm in %g mm: the reason of band %d is not shown: %s", c.diameter, c.thickness, k+1, b.Why)
		}
	}
}

func TestShopsOwnBandsTakeThePlaceOfAll(t *testing.T) {
	dir := t.TempDir()
	s := presets.OpenStore(filepath.Join(dir, "kerfwright"))
	want := []job.HoleRule{{Material: job.Stainless, UpTo: 1.25, Action: job.HolePop, Note: plain.Of("ours: popped, then drilled")},
		{From: 6, Feed: 0.55, Hold: true, Overburn: job.Of(0), Lead: job.LeadSpiral, Against: true}}
	for _, u := range []unit.System{unit.MM, unit.Inch, unit.Unknown} {
		if err := s.SaveHoleBands(want, u); err != nil {
			t.Fatal(err)
		}
		got, own, faults := s.HoleBands()
		if !own || len(faults) > 0 || !reflect.DeepEqual(got, want) {
			t.Errorf("%v: %v, %+v, want %+v", u, faults, got, want)
		}
	}
	if err := s.SaveHoleBands(nil, unit.MM); err != nil {
		t.Fatal(err)
	}
	if got, own, _ := s.HoleBands(); !own || len(got) != 0 {
		t.Errorf("no bands: own %v, %+v", own, got)
	}
	if entries, _ := os.ReadDir(filepath.Join(dir, "kerfwright", "rules")); len(entries) != 1 {
		t.Errorf("%v lie in the folder", entries)
	}
}

func TestBrokenBandsAreToldAndLeftOut(t *testing.T) {
	for name, text := range map[string]string{
		"no TOML":      "units = ",
		"out of range": "units = \"mm\"\n[[holes]]\nfeed = 9\n",
		"unknown key":  "units = \"mm\"\n[[holes]]\nfeeed = 1\n",
	} {
		bands, own, faults := presets.HoleBands(fstest.MapFS{"rules/holes.toml": {Data: []byte(text)}})
		if own || len(bands) == 0 || !faults.Bad() || faults[0].File != "rules/holes.toml" || faults[0].Line == 0 {
			t.Errorf("%s: own %v, %d bands, %+v", name, own, len(bands), faults)
		}
	}
}

// The bands are kept as everything in the store is: what they replace can be
// brought back, and what cannot be read is moved aside.
func TestBandsHaveAHistoryAndNothingIsWrittenOver(t *testing.T) {
	root := filepath.Join(t.TempDir(), "kerfwright")
	s := presets.OpenStore(root)
	first, second := []job.HoleRule{{UpTo: 1.25, Action: job.HolePop}}, []job.HoleRule{{UpTo: 2, Feed: 0.5, Hold: true}}
	for _, b := range [][]job.HoleRule{first, second} {
		if err := s.SaveHoleBands(b, unit.MM); err != nil {
			t.Fatal(err)
		}
	}
	item := presets.Item{Folder: "rules", Name: "holes.toml"}
	if all, err := s.History(item); err != nil || len(all) != 1 {
		t.Fatalf("%d earlier states, %v", len(all), err)
	}
	if _, err := s.Undo(item, 0); err != nil {
		t.Fatal(err)
	}
	if got, own, faults := s.HoleBands(); !own || len(faults) > 0 || !reflect.DeepEqual(got, first) {
		t.Errorf("brought back: own %v, %+v, %v", own, got, faults)
	}
	// Somebody's own edit with a slip in it.
	const slip = "units = \"mm\"\n[[holes]]\nfeeed = 1\n"
	file := filepath.Join(root, "rules", "holes.toml")
	if err := os.WriteFile(file, []byte(slip), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := s.SaveHoleBands(second, unit.MM); err != nil {
		t.Fatal(err)
	}
	if text, err := os.ReadFile(file + ".damaged-1"); err != nil || string(text) != slip {
		t.Errorf("moved aside: %q, %v", text, err)
	}
	if got, _, _ := s.HoleBands(); !reflect.DeepEqual(got, second) {
		t.Errorf("%+v", got)
	}
}
