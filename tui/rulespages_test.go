package tui

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// forms leads a wizard past the pages of drawings and rules.
func walkForms(d *driver, look func(name string)) {
	d.t.Helper()
	d.stock("open.dxf", "lugs.pdf")
	d.run(d.m.change(func(dr *Draft) {
		s := job.NewShape(job.ShapeRectangle)
		s.Holes = []job.ShapeHole{{X: 30, Y: 50, Diameter: 16}}
		s.Slots = []job.ShapeSlot{{X: 120, Y: 50, Length: 60, Width: 14, Angle: math.Pi / 6}}
		dr.Job.Drawings = append(dr.Job.Drawings, job.Drawing{Shape: &s})
	}))
	d.at("drawing0").keys("enter")
	d.at("layer1")
	look("drawing-layer")
	d.at(string(job.DrawingScale)).keys("enter")
	d.at("len:p1.h1.diameter").keys("2 8")
	look("scale-typing")
	d.keys("enter")
	look("scale")
	d.keys("u esc")
	d.at(string(job.DrawingGap)).keys("enter down down")
	look("mended")
	d.keys("esc esc")
	d.at("drawing1").keys("enter")
	d.at(string(job.DrawingPage)).keys("enter down")
	look("pages")
	d.keys("esc esc")
	d.at("drawing2").keys("enter")
	d.at("slot0")
	look("typed-part")
	d.at("add-hole").keys("enter")
	d.typed("20 30")
	look("typed-part-adding")
	d.keys("esc esc")
	d.run(d.m.change(func(dr *Draft) { dr.Job.Drawings = dr.Job.Drawings[:1] }))
	d.process()
	d.at("holes").keys("enter")
	look("holes")
	d.at("shop-bands").keys("enter")
	d.at("band1")
	look("holes-taken")
	d.keys("enter")
	look("band")
	d.keys("esc esc")
	d.at("corners").keys("enter")
	look("corners")
	d.keys("esc")
	d.at("tabs").keys("enter")
	look("tabs")
	d.keys("esc")
	d.at("taper").keys("enter")
	look("taper-empty")
	d.set("add-taper", "1.5 0.3")
	d.set("add-taper", "3 0.1")
	look("taper")
	d.keys("esc")
	d.at("order").keys("enter")
	look("order")
	d.keys("esc")
	d.at("marks").keys("enter")
	d.at("start").keys("enter")
	look("marks")
	d.at("new").keys("enter")
	look("text")
	d.keys("esc esc")
	d.go_(stockStage)
	d.at("layout").keys("enter")
	look("layout")
	d.keys("end")
	look("layout-parts")
	d.keys("esc")
	d.at("alignment").keys("enter")
	look("alignment")
	d.keys("esc u u") // the text and the marks' process
	d.go_(featureStage)
	d.at("f:p1.h1").keys("enter")
	d.set(string(job.OverrideTolerance), "0.5")
	look("feature-hole")
	d.at("advice")
	look("feature-hole-advice")
	d.keys("end")
	look("feature-hole-end")
	d.keys("esc")
	d.at("f:p1.outline").keys("enter")
	d.at("faces").keys("enter down space")
	look("faces")
	d.keys("esc esc")
}

func TestFramesOfForms(t *testing.T) {
	for _, c := range []struct {
		name  string
		w, h  int
		ascii bool
	}{{"80x24", 80, 24, false}, {"80x24-ascii", 80, 24, true}, {"120x40", 120, 40, false}, {"200x60", 200, 60, false}} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, c.w, c.h, func(s *Session) { s.ASCII = c.ascii })
			walkForms(d, func(name string) {
				t.Run(name, func(t *testing.T) {
					fits(t, d.frame(), c.w, c.h)
					golden.RequireEqual(t, trimmed(d.frame()))
				})
			})
		})
	}
}

// TestFormsExplainEachLine: every line under the cursor says why it is there,
// and ? says it in full.
func TestFormsExplainEachLine(t *testing.T) {
	d := start(t, 80, 24)
	walkForms(d, func(name string) {
		if d.m.ed != nil {
			return
		}
		v := d.m.top()
		l := v.list(d.m)
		for i := range l.n {
			if r := l.at(i); r.live() && r.why == "" {
				t.Errorf("%s: %q does not say why: %+v", name, r.id, r)
			}
		}
		if e, ok := v.(explainer); !ok || len(e.explain()) < 80 {
			t.Errorf("%s does not explain itself", name)
		}
	})
}

func TestBandsAreTakenChangedMovedAndKept(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.at("holes").keys("enter")
	if d.m.d.Job.Rules.Holes != nil {
		t.Fatal("bands came by themselves")
	}
	d.at("shop-bands").keys("enter")
	if n := len(d.m.d.Job.Rules.Holes); n != 2 {
		t.Fatalf("%d bands", n)
	}
	// The hole of 4 mm in 6 mm plate goes by the first, and shows its reason.
	f := d.m.res.tree.Features[d.m.featureIndex("p1.h4")]
	if f.Rule != "drill" || !strings.Contains(f.Why, "too tight a turn") {
		t.Errorf("%s: %s", f.Rule, f.Why)
	}
	d.at("band1").keys("left") // moved before the first
	if b := d.m.d.Job.Rules.Holes; b[0].Feed != 0.6 || d.m.spot().id != "band0" {
		t.Fatalf("%+v, on %s", b, d.m.spot().id)
	}
	if f := d.m.res.tree.Features[d.m.featureIndex("p1.h4")]; f.Rule != "slow-hole" {
		t.Errorf("the first that fits does not decide: %s", f.Rule)
	}
	d.keys("left") // no further
	d.keys("enter")
	d.at("rules.holes.material").keys("right")
	d.set(string(job.HoleFrom), "4")
	d.set(string(job.HoleUpTo), "2.5")
	d.set(string(job.HoleUnder), "30")
	d.at("rules.holes.round").keys("enter")
	d.set(string(job.HoleFeed), "50")
	d.at("rules.holes.hold").keys("left")
	d.set(string(job.HoleOverburn), "0")
	d.at("rules.holes.lead").keys("right right")
	d.at("rules.holes.against").keys("enter")
	d.set("rules.holes.note", "measured on the brake pedal")
	want := job.HoleRule{Material: job.MildSteel, From: 4, UpTo: 2.5, Under: 30, Round: true, Feed: 0.5, Overburn: job.Of(0), Lead: job.LeadSpiral, Against: true, Note: plain.Of("measured on the brake pedal")}
	if got := d.m.d.Job.Rules.Holes[0]; got != want {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	d.at("rules.holes.action").keys("right right right")
	if l := d.m.top().list(d.m); l.find(string(job.HoleFeed)) >= 0 {
		t.Error("a band that is popped has a feed")
	}
	d.keys("u u u esc")
	d.at("keep-bands").keys("enter")
	d.shows("kept as the shop's own")
	if !slices.Equal(d.eng.bands, d.m.d.Job.Rules.Holes) {
		t.Errorf("%+v", d.eng.bands)
	}
	d.at("band1").keys("d")
	d.at("band0").keys("d")
	if d.m.d.Job.Rules.Holes != nil {
		t.Errorf("%+v", d.m.d.Job.Rules.Holes)
	}
	d.at("add-band").keys("enter")
	if d.m.top().id() != "form:band0" || d.row("caught").state != stWarn {
		t.Errorf("on %s: %+v", d.m.top().id(), d.row("caught"))
	}
	d.at("drop").keys("enter")
	if d.m.top().id() != "form:holes" || d.m.d.Job.Rules.Holes != nil {
		t.Errorf("on %s", d.m.top().id())
	}
}

// TestShopsBandsLieInItsFolder drives the real engine: kept, read again by
// another wizard, and a broken file is told.
func TestShopsBandsLieInItsFolder(t *testing.T) {
	d, _ := shopFloor(t, 80, 24)
	d.at("units").keys("right")
	d.go_(processStage)
	d.at("holes").keys("enter")
	d.at("shop-bands").keys("enter")
	d.at("band0").keys("d")
	d.at("keep-bands").keys("enter")
	d.shows("kept as the shop's own")
	root, err := presets.UserFolder(os.Getenv)
	if err != nil {
		t.Fatal(err)
	}
	if bands, own := RealEngine().HoleBands(); !own || !slices.Equal(bands, d.m.d.Job.Rules.Holes) {
		t.Errorf("own %v, %+v", own, bands)
	}
	if err := os.WriteFile(filepath.Join(root, "rules", "holes.toml"), []byte("units = \"mm\"\n[[holes]]\nfeed = 7\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	e := RealEngine()
	if bands, own := e.HoleBands(); own || len(bands) == 0 || !strings.Contains(e.Notes().At(1).Sorted()[0].Error(), "holes.toml:3") {
		t.Errorf("own %v, %d bands, %v", own, len(bands), e.Notes())
	}
}

func TestRulesOfEveryPageReachTheJob(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	for _, c := range []struct{ page, row, typed string }{
		{"holes", string(job.RulesPopPulse), "0.3"}, {"holes", string(job.RulesThickFrom), "10"}, {"holes", string(job.RulesSlowDiameter), "25"},
		{"corners", string(job.RulesEntryFeed), "50"}, {"corners", string(job.RulesCornerLoop), "4"}, {"corners", string(job.RulesCornerFeed), "70"},
		{"corners", string(job.RulesCornerTurn), "45"}, {"corners", string(job.RulesCornerReach), "6"}, {"corners", string(job.RulesHoldLeast), "2"},
		{"tabs", string(job.RulesTabUnder), "60"}, {"tabs", string(job.RulesTabCount), "3"}, {"tabs", string(job.RulesTabWidth), "0.7"}, {"tabs", string(job.RulesSplitSlugs), "80"},
		{"order", string(job.RulesSmallFirst), "100"}, {"order", string(job.RulesHeatCuts), "4"}, {"order", string(job.RulesHeatDistance), "90"},
		{"order", string(job.RulesProbeReuse), "150"}, {"order", string(job.RulesSearchKicks), "500"}, {"order", string(job.RulesOrderSeed), "7"},
	} {
		d.at(c.page).keys("enter")
		d.set(c.row, c.typed)
		if v := d.row(c.row).value; !strings.HasPrefix(v, c.typed) {
			t.Errorf("%s: %q after %q", c.row, v, c.typed)
		}
		d.keys("esc")
	}
	d.at("order").keys("enter")
	d.at("rules.grouping").keys("right right right")
	d.at("rules.begin").keys("right")
	d.at("rules.end").keys("right right")
	d.keys("esc")
	d.set(string(job.RulesCutRange), "3")
	r := d.m.d.Job.Rules
	r.CornerTurn = math.Round(r.CornerTurn*1e6) / 1e6
	want := job.Rules{PopPulse: 0.3, ThickFrom: 10, SlowDiameter: 25, EntryFeed: 0.5, CornerLoop: 4, CornerFeed: 0.7, CornerTurn: math.Round(math.Pi/4*1e6) / 1e6, CornerReach: 6, HoldLeast: 2,
		TabUnder: 60, TabCount: 3, TabWidth: 0.7, SplitSlugs: 80, SmallFirst: 100, HeatCuts: 4, HeatDistance: 90, ProbeReuse: 150, SearchKicks: 500, OrderSeed: 7,
		Grouping: job.GroupHoles, Begin: job.LowerLeft, End: job.LowerRight, CutRange: 3}
	if !samePlan(job.Job{Rules: r}, job.Job{Rules: want}) {
		t.Errorf("%+v\nwant %+v", r, want)
	}
	for id, value := range map[string]string{"corners": "creep 50 %, loop 4 mm, slow 70 %", "tabs": "tabs under 60 mm, slugs over 80 mm", "order": "holes first, small first, heat spread, corners set"} {
		if v := d.row(id).value; v != value {
			t.Errorf("%s sums up as %q", id, v)
		}
	}
	// A value out of its range on a page shuts the door, and n goes there.
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.HeatCuts = -4 }))
	if !d.has(processStage, string(job.RulesHeatCuts)) {
		t.Errorf("%+v", d.m.blocks)
	}
	d.go_(processStage)
	d.keys("n")
	if d.m.top().id() != "form:order" || d.m.spot().id != string(job.RulesHeatCuts) {
		t.Errorf("n goes to %s, %s", d.m.top().id(), d.m.spot().id)
	}
}

func TestHeatSpreadAsksForBoth(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.at("order").keys("enter")
	d.set(string(job.RulesHeatCuts), "4")
	d.shows("~ by")
	d.set(string(job.RulesHeatDistance), "90")
	d.lacks("~ by")
}

func TestTaperTableIsKeptInRisingOrder(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.at("taper").keys("enter")
	d.shows("Presets begin so")
	d.set("add-taper", "3 0.1")
	d.set("add-taper", "1.5 0.3")
	d.set("add-taper", "2 -0.2")
	want := []job.TaperPoint{{Ratio: 1.5, Add: 0.3}, {Ratio: 2, Add: -0.2}, {Ratio: 3, Add: 0.1}}
	if got := d.m.d.Job.Process.Taper; !slices.Equal(got, want) {
		t.Fatalf("%+v", got)
	}
	d.at("add-taper").keys("enter")
	d.typed("2 0.4")
	d.keys("enter")
	d.shows("there is a row for 2 x thickness already")
	d.keys("esc")
	d.set("taper1", "2 0.2") // its own ratio is no clash
	d.at("taper2").keys("d")
	if got := d.m.d.Job.Process.Taper; len(got) != 2 || got[1] != (job.TaperPoint{Ratio: 2, Add: 0.2}) {
		t.Fatalf("%+v", got)
	}
	// The hole of 14 mm in 6 mm plate lies beyond the last row.
	r := d.row("tapered0")
	if r.value != "14.2 mm" || r.label != "2 holes Ø 14 mm" {
		t.Errorf("%+v", r)
	}
	// A process that differs from the preset in its table says so.
	d.keys("esc")
	if r := d.row("preset"); r.state != stWarn {
		t.Errorf("%+v", r)
	}
	d.keys("u u u u u")
	if d.m.d.Job.Process.Taper != nil {
		t.Errorf("%+v", d.m.d.Job.Process.Taper)
	}
}

// TestOrderShowsTimeBoundAndGap on the real planner.
func TestOrderShowsTimeBoundAndGap(t *testing.T) {
	text, _ := presets.Demo()
	d, dir := shopFloor(t, 80, 24)
	path := filepath.Join(dir, presets.DemoJob)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	d.run(d.m.open(path))
	d.go_(processStage)
	d.at("order").keys("enter")
	p := d.m.res.prog.Plan
	if p.RapidGap == nil || p.RapidBound <= 0 || p.RapidBound > p.RapidLength {
		t.Fatalf("%+v", p)
	}
	for _, id := range []string{"time", "rapid", "bound", "gap"} {
		if r := d.row(id); r.value == "" {
			t.Errorf("%s: %+v", id, r)
		}
	}
	if r := d.row("bound"); r.value != d.m.d.Job.Units.Length(p.RapidBound) {
		t.Errorf("%+v", r)
	}
}

// TestOwnBandsComeWithThePreset, and only they, and only into a job without.
func TestOwnBandsComeWithThePreset(t *testing.T) {
	own := []job.HoleRule{{UpTo: 3, Feed: 0.4}}
	d := start(t, 80, 24, func(s *Session) { s.Engine = &fake{bands: own} })
	d.stock()
	d.process()
	if got := d.m.d.Job.Rules.Holes; !slices.Equal(got, own) {
		t.Fatalf("%+v", got)
	}
	d.shows("the shop's own 1 band")
	d.keys("u")
	if j := d.m.d.Job; j.Rules.Holes != nil || j.Process.Feed != 0 {
		t.Errorf("one undo takes both back: %+v", j.Rules.Holes)
	}
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.Holes = []job.HoleRule{{UpTo: 1, Action: job.HolePop}} }))
	d.at("preset").keys("enter")
	if got := d.m.d.Job.Rules.Holes; len(got) != 1 || got[0].Action != job.HolePop {
		t.Errorf("%+v", got)
	}
}

// TestForeignTextOfTheFormsIsMadeHarmless: notes of bands and names of layers
// and files come from outside.
func TestForeignTextOfTheFormsIsMadeHarmless(t *testing.T) {
	x := hostile()
	d := start(t, 80, 24, func(s *Session) { s.Engine = &fake{bands: []job.HoleRule{{UpTo: 3, Note: plain.Of(x)}}} })
	d.stock()
	d.process()
	d.run(d.m.change(func(dr *Draft) {
		dr.Job.Drawings[0].File = "/" + x + ".pdf"
		dr.Job.Rules.Holes = []job.HoleRule{{Material: job.Material(x), Lead: job.LeadForm(x), Action: job.HoleCut, Note: plain.Of(x)}}
		dr.Job.Overrides = []job.Override{{Feature: "p1.h1", Kind: x, Rule: x}}
	}))
	look := func(where string) {
		t.Helper()
		for range 24 {
			frame := d.frame()
			fits(t, frame, 80, 24)
			for _, r := range frame {
				if r != '\n' && (r < 0x20 || r >= 0x7f && r <= 0x9f || r == '\u202e' || r == '\u2028' || r == 0xfffd) {
					t.Fatalf("%s: rune %U is on the screen:\n%q", where, r, frame)
				}
			}
			d.keys("down")
		}
	}
	for _, v := range []view{holesPage{}, bandPage{n: 0}, orderPage(), taperPage(), featurePage{id_: "p1.h1"}, facesPage{id_: "p1.h1"}, drawingPage{n: 0}, scalePage{n: 0}, mendedPage{n: 0}, pagesPage{n: 0}} {
		d.m.pages = []view{v}
		look(v.id())
		d.keys("?")
		look("why " + v.id())
	}
}

// TestEveryRuleHasARow: a field of the rules that no page shows can only be
// set in the file.
func TestEveryRuleHasARow(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.run(d.m.change(func(dr *Draft) { dr.Job.Rules.Holes = []job.HoleRule{{UpTo: 1}} }))
	shown := map[string]bool{}
	for _, v := range append(rulePages(d.m), processView{}) {
		l := v.list(d.m)
		for i := range l.n {
			shown[l.at(i).id] = true
		}
	}
	n := 0
	for _, f := range job.Fields() {
		if s := string(f); strings.HasPrefix(s, "rules.") {
			n++
			if !shown[s] {
				t.Errorf("%s has no row", s)
			}
		}
	}
	if n < 25 {
		t.Errorf("%d rules", n)
	}
}
