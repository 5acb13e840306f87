package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
)

func TestFailedCheckForbidsSaving(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.set("process.feed", "9500")
	d.confirmAll()
	if !d.has(checkStage, "check:feed") {
		t.Errorf("%+v", d.m.blocks)
	}
	d.keys("home")
	d.shows("FAILS")
}

func TestConfirmationsNeedAName(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.at("item:clamp").keys("space")
	if len(d.m.d.Job.Checks) != 0 {
		t.Error("confirmed by nobody")
	}
	d.shows("operator's name first")
	if d.m.spot().id != "operator" {
		t.Errorf("the cursor is on %s", d.m.spot().id)
	}
}

func TestEachLineHasItsOwnKey(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.set("operator", "J. Berg")
	d.keys("b")
	want := job.Confirmation{ID: "earth", At: "2026-03-09T14:05:00+01:00"}
	got := d.m.d.Job.Checks
	if len(got) != 1 || got[0].ID != want.ID || got[0].At != want.At || got[0].By.String() != "J. Berg" || got[0].RestsOn == "" {
		t.Fatalf("%+v", got)
	}
	// Held down or sent in a burst, the key confirms no other line.
	d.send(burst("aaaaa"))
	if got := d.m.d.Job.Checks; len(got) != 2 {
		t.Errorf("%+v", got)
	}
	// Space on a line confirms it and stays there.
	d.at("item:people")
	d.send(burst("   "))
	if got := d.m.d.Job.Checks; len(got) != 3 || d.m.spot().id != "item:people" {
		t.Errorf("%+v on %s", got, d.m.spot().id)
	}
	// And takes it back.
	d.keys("space")
	if got := d.m.d.Job.Checks; len(got) != 2 {
		t.Errorf("%+v", got)
	}
}

func TestWhatIsNotSeenCannotBeConfirmed(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.go_(checkStage)
	d.set("operator", "J. Berg")
	d.keys("home")
	d.frame()
	if strings.Contains(d.frame(), "[o]") {
		t.Fatal("the last line is on the screen: the test says nothing")
	}
	d.keys("o")
	if len(d.m.d.Job.Checks) != 0 {
		t.Errorf("%+v", d.m.d.Job.Checks)
	}
	d.keys("end o")
	if len(d.m.d.Job.Checks) != 1 {
		t.Errorf("%+v", d.m.d.Job.Checks)
	}
}

func TestChangedJobDropsWhatNoLongerHolds(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	ids := func() []string {
		var out []string
		for _, c := range d.m.d.Job.Checks {
			out = append(out, c.ID)
		}
		return out
	}
	if len(ids()) != 9 {
		t.Fatalf("%v", ids())
	}
	// Another current: what rests on the process goes, the rest stays.
	d.go_(processStage)
	d.at("process.amps").keys("right")
	if got, want := strings.Join(ids(), " "), "clamp earth people fire fume dry"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	d.shows("3 confirmations taken back")
	// Another plate: what rests on the stock goes too.
	d.go_(stockStage)
	d.set("stock.width", "600")
	if got, want := strings.Join(ids(), " "), "people fire dry"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	// Another program: the dry run is to be watched again.
	d.set("name", "another")
	if got, want := strings.Join(ids(), " "), "people fire"; got != want {
		t.Errorf("left: %s, want %s", got, want)
	}
	if d.m.shut() == "" {
		t.Error("may be saved")
	}
}

func TestConfirmationsComeBackWithASavedJob(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	j := cloneJob(d.m.d.Job)
	e := &fake{jobs: map[string]job.Job{"/shop/hinge.toml": j}}
	d = start(t, 80, 24, func(s *Session) { s.Engine, s.Paths = e, []string{"/shop/hinge.toml"} })
	if len(d.m.d.Job.Checks) != 9 || d.m.shut() != "" || d.m.d.Operator.String() != "J. Berg" {
		t.Errorf("%d confirmations, shut: %q, operator %q", len(d.m.d.Job.Checks), d.m.shut(), d.m.d.Operator)
	}
}
