package tui

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/exp/golden"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// inShop is a wizard whose shop has a store of its own.
func inShop(t testing.TB, w, h int, change ...func(*Session)) *driver {
	t.Helper()
	eng := &fake{shopDir: filepath.Join(t.TempDir(), "store")}
	return start(t, w, h, append([]func(*Session){func(s *Session) { s.Engine = eng }}, change...)...)
}

// shopJob makes the hinge job of the other tests ready, with a preset of the
// library for its process.
func (d *driver) shopJob() {
	d.t.Helper()
	d.stock()
	d.process()
	lib := d.eng.Library()
	p, _, err := lib.Lookup(job.MildSteel, 6, 45)
	if err != nil {
		d.t.Fatal(err)
	}
	d.run(d.m.change(func(dr *Draft) { dr.Job.Process = p; dr.Operator = plain.Of("J. Berg") }))
}

// shopWalk goes past every page of the shop's own numbers.
func shopWalk(d *driver, look func(name string)) {
	d.t.Helper()
	d.keys("s")
	look("shop-empty")
	d.keys("esc")
	d.shopJob()
	d.keys("s")
	look("shop")
	d.at("sets").keys("enter")
	d.set("set.name", "box 7, no 1")
	d.at("set.fit").keys("enter")
	look("consumables")
	d.keys("esc")
	d.at("log").keys("enter")
	look("log-empty")
	d.set("look0", "160.12")
	d.at("look0").keys("c")
	d.at("look2").keys("e")
	d.set("volts", "118")
	d.at("look1")
	look("log")
	d.at("keep").keys("enter")
	look("learn")
	d.at("accept").keys("enter")
	look("learn-accepted")
	d.keys("esc")
	d.at("presets").keys("enter")
	look("presets")
	d.at("find.material").keys("right")
	d.set("find.thickness", "6")
	d.set("find.amps", "45")
	look("presets-found")
	d.at("preset:mild-steel:45:6").keys("enter")
	look("preset")
	d.set("notes", "drawbar plates")
	d.keys("c")
	d.at("diff0")
	look("preset-compared")
	d.keys("esc esc")
	d.at("coupons").keys("enter")
	d.at("coupon:kerf")
	look("coupons")
	d.keys("esc")
	d.at("profiles").keys("enter")
	look("profiles")
	d.at("new").keys("enter")
	d.set("name", "north table")
	d.at("arc-on:0").keys("enter")
	d.typed("M3 (lit)")
	look("profile-typing")
	d.keys("enter")
	d.at("arc-off:0").keys("enter ctrl+u enter")
	look("profile-unsafe")
	d.keys("enter")
	d.typed("M5")
	d.keys("enter")
	d.at("calibrate").keys("enter")
	for _, v := range []string{"3.1", "3.2", "3.15"} {
		d.set("reading", v)
	}
	look("offset")
	d.at("accept").keys("enter")
	d.at("keep").keys("enter")
	look("profile-kept")
	d.keys("esc esc")
	d.at("store").keys("enter")
	look("store")
	d.keys("esc esc")
}

func TestFramesOfTheShop(t *testing.T) {
	for _, c := range []struct {
		name  string
		w, h  int
		ascii bool
	}{{"80x24", 80, 24, false}, {"120x40", 120, 40, false}, {"200x60", 200, 60, false}, {"80x24-ascii", 80, 24, true}} {
		t.Run(c.name, func(t *testing.T) {
			d := inShop(t, c.w, c.h, func(s *Session) { s.ASCII = c.ascii })
			shopWalk(d, func(name string) {
				t.Run(name, func(t *testing.T) { golden.RequireEqual(t, trimmed(d.frame())) })
			})
		})
	}
}

func TestFramesOfTheShopFitTheScreen(t *testing.T) {
	d := inShop(t, 80, 24, func(s *Session) { s.ASCII = true })
	shopWalk(d, func(name string) {
		for _, s := range [][2]int{{80, 24}, {100, 30}, {120, 32}, {200, 60}, {80, 200}} {
			d.send(tea.WindowSizeMsg{Width: s[0], Height: s[1]})
			frame := d.frame()
			fits(t, frame, s[0], s[1])
			if strings.ContainsFunc(ansi.Strip(frame), func(r rune) bool { return r > 0x7e }) {
				t.Fatalf("%s: more than ASCII:\n%s", name, frame)
			}
		}
		d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	})
}

// One key an edge: a cut of six features is recorded in a dozen keys.
func TestCutIsRecordedInSeconds(t *testing.T) {
	d := inShop(t, 80, 24)
	d.shopJob()
	d.keys("s")
	d.at("log").keys("enter")
	d.keys("c c c e b a") // four edges by key, then all clean
	for _, l := range d.m.shop.run.Looks {
		if l.Dross != "none" {
			t.Errorf("%s: %q", l.Name(), l.Dross)
		}
	}
	d.at("look0").keys("6 0 . 1 enter")
	if got := d.m.shop.run.Looks[0].Measured; got != 60.1 {
		t.Errorf("measured %v", got)
	}
	// What was typed stays when the page is left and opened again.
	d.keys("esc")
	d.at("log").keys("enter")
	if got := d.m.shop.run.Looks[0].Measured; got != 60.1 {
		t.Errorf("measured %v after coming back", got)
	}
	d.at("keep").keys("enter")
	d.shows("kept in the cut log")
	store := presets.OpenStore(d.eng.shopDir)
	runs, faults := store.Runs()
	if len(faults) > 0 || len(runs) != 1 || runs[0].Looks[0].Measured != 60.1 || runs[0].By.String() != "J. Berg" || runs[0].At != "2026-03-09T14:05:00+01:00" {
		t.Fatalf("%+v %v", runs, faults)
	}
	// The draft was not touched, and undo has nothing of it.
	if d.m.d.Job.Process.Kerf == 60.1 || len(d.m.shop.run.Looks) > 0 {
		t.Error("the entry is still open, or reached the job")
	}
}

func TestLogWaitsForAPlan(t *testing.T) {
	d := inShop(t, 80, 24)
	d.keys("s")
	d.at("log").keys("enter")
	d.shows("records a job that is planned")
}

func TestShopWithoutAFolderSaysSo(t *testing.T) {
	d := start(t, 80, 24)
	d.keys("s")
	d.shows("cannot be read: no folder for your own presets")
	d.at("presets").keys("enter")
	d.at("preset:mild-steel:45:6").keys("enter")
	d.at("keep").keys("enter")
	d.shows("no folder for your own presets")
}

// TestWalkFromCouponToProvedPresetInTheWizard: the pieces are made the job,
// recorded and accepted with the wizard's own keys.
func TestWalkFromCouponToProvedPresetInTheWizard(t *testing.T) {
	const kerf, slow, fast = 1.80, 850.0, 1150.0
	clock := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	d := inShop(t, 100, 40, func(s *Session) {
		s.Now = func() time.Time { clock = clock.Add(time.Minute); return clock }
	})
	d.shopJob()
	preset := func() presets.Preset {
		_, n, err := d.eng.Library().Lookup(job.MildSteel, 6, 45)
		if err != nil {
			t.Fatal(err)
		}
		return n.Thinner
	}
	piece := func(kind string) {
		t.Helper()
		// The job takes what the preset says now, then becomes the test piece.
		p := preset().Process
		d.run(d.m.change(func(dr *Draft) { dr.Job.Process = p }))
		d.keys("s")
		d.at("coupons").keys("enter")
		d.at("coupon:" + kind).keys("enter")
		if len(d.m.pages) > 0 || !strings.HasPrefix(d.m.d.Job.Name.String(), map[string]string{"kerf": "kerf coupon", "feeds": "feed ladder"}[kind]) {
			t.Fatalf("%q is the job:\n%s", d.m.d.Job.Name, d.frame())
		}
		d.keys("s")
		d.at("log").keys("enter")
		run := d.m.shop.run
		for i, l := range run.Looks {
			off := run.Process.Kerf - kerf
			if l.Kind != "outline" {
				off = -off
			}
			d.set(fmt.Sprint("look", i), unit.Number(math.Round((l.Drawn+off)*100)/100, 2))
			key := "c"
			switch feed := run.Process.Feed * l.Part; {
			case feed < slow:
				key = "e"
			case feed > fast:
				key = "b"
			}
			d.at(fmt.Sprint("look", i)).keys(key)
		}
		d.at("keep").keys("enter")
		if len(d.m.shop.prop.Changes) > 0 {
			d.at("accept").keys("enter")
			d.shows("accepted, kept in process/mild-steel-45a-6mm.toml")
		}
		t.Logf("%s:\n%s", kind, d.frame())
		d.keys("esc esc")
	}
	piece("kerf")
	if k := preset().Process.Kerf; math.Abs(k-kerf) > 0.03 || preset().Process.State != job.Tried {
		t.Fatalf("kerf %v, %s", k, preset().Process.State)
	}
	piece("feeds")
	if v := preset().Process.Feed; v < slow || v > fast {
		t.Fatalf("feed %v", v)
	}
	piece("kerf")
	if p := preset(); p.Process.State != job.Proved || p.By.String() != "J. Berg" {
		t.Fatalf("%s by %q, %v", p.Process.State, p.By, d.m.shop.prop.Told)
	}
	// Its history holds every state before, and the store page brings one back.
	d.keys("s")
	d.at("store").keys("enter")
	d.at("process/mild-steel-45a-6mm.toml").keys("enter")
	d.shows("is again as it was until")
	if preset().Process.State == job.Proved {
		t.Error("the earlier state is not back")
	}
}

func TestProfileThatIsNotSafeIsNotKept(t *testing.T) {
	d := inShop(t, 120, 40)
	d.keys("s")
	d.at("profiles").keys("enter")
	d.at("new").keys("enter")
	d.at("keep").keys("enter")
	d.shows("not kept: waits for a name")
	d.set("name", "north table")
	d.set("arc-on:0", "M3 {speed}")
	d.at("arc-on:0")
	d.shows("field {speed} is not known here")
	d.at("keep").keys("enter")
	d.shows("not kept: 1 fault in its lines")
	if _, err := os.Stat(d.eng.shopDir); err == nil {
		t.Error("something was written")
	}
	d.set("arc-on:0", "M3")
	d.at("arc-on:1").keys("enter")
	d.typed("G4 P0.3 (wait for the arc)")
	// While it is typed the program beside it has it already.
	d.shows("│ G4 P0.3 (wait for the arc)")
	d.keys("enter")
	d.at("keep").keys("enter")
	d.shows("kept in machines/north-table.toml")
	if m, ok := d.eng.Library().Machine("north table"); !ok || len(m.Program.ArcOn) != 2 {
		t.Errorf("%+v", m.Program.ArcOn)
	}
	// A second one of the name is refused.
	d.keys("esc")
	d.at("new").keys("enter")
	d.set("name", "north table")
	d.at("keep").keys("enter")
	d.shows("there is a profile of this name")
}

func TestCheckWarnsOfConsumablesThatWouldNotLast(t *testing.T) {
	sets := []presets.Set{{Name: plain.Of("b"), Fitted: "2026-05-02T08:00:00Z"}, {Name: plain.Of("a"), Fitted: "2026-05-01T08:00:00Z", Ended: "2026-05-02T08:00:00Z", Why: presets.SetWorn}}
	runs := []presets.Run{{Set: plain.Of("a"), Starts: 400, ArcOn: 7200}}
	if c := lastingCheck(presets.Lasts(sets, runs, 100, 60)); c.Verdict != 0 || !strings.Contains(c.Limit, "count on 200") {
		t.Errorf("%+v", c)
	}
	if c := lastingCheck(presets.Lasts(sets, runs, 300, 60)); c.Verdict == 0 || c.Do == "" {
		t.Errorf("%+v", c)
	}
	if c := lastingCheck(presets.Lasts(sets[:1], runs, 300, 60)); c.Figure != "not worked out" {
		t.Errorf("%+v", c)
	}
}
