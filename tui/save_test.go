package tui

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
)

func TestSaveWritesAndSaysWhatIsNext(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	d.at("save").keys("enter")
	if got := d.eng.saved["/shop/hinge"]; !samePlan(got, d.m.d.Job) || len(got.Checks) != 9 {
		t.Errorf("%+v", got)
	}
	d.shows("saved: 3 files in /shop")
	d.shows("/shop/hinge-dry.nc")
	d.shows("Load hinge-dry.nc")
	d.keys("enter")
	if d.eng.count("save") != 1 {
		t.Error("saved again though nothing changed")
	}
	d.keys("q")
	if !d.quit || len(d.m.outcome.Saved) != 3 {
		t.Errorf("quit %v, %+v", d.quit, d.m.outcome)
	}
}

func TestSaveThatFailsLosesNothing(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	d.process()
	d.confirmAll()
	d.eng.saveErr = errors.New("no space left on device")
	d.go_(saveStage)
	d.at("save").keys("enter")
	d.shows("not saved: no space left on device")
	if d.m.d.Saved {
		t.Error("counts as saved")
	}
	d.eng.saveErr = nil
	d.keys("enter")
	if !d.m.d.Saved {
		t.Error("cannot be saved afterwards")
	}
}

func TestFilesOfOthersAreReplacedOnlyWhenAskedTwice(t *testing.T) {
	d := start(t, 80, 24)
	d.eng.exists = map[string]bool{filepath.Join("/shop", "hinge.nc"): true}
	d.eng.saved = map[string]job.Job{}
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	d.shows("is there already")
	d.at("save").keys("enter")
	if d.eng.count("save") != 0 {
		t.Fatal("replaced at once")
	}
	d.shows("Enter again replaces")
	d.set("name", "hinge-2")
	d.shows("hinge-2.nc")
	d.at("save").keys("enter")
	if d.eng.count("save") != 1 {
		t.Error("a new name needs no second word")
	}
	d.set("name", "hinge")
	d.at("save").keys("enter enter")
	if d.eng.count("save") != 2 {
		t.Errorf("saved %d times", d.eng.count("save"))
	}
}

func TestProofThatFailsKeepsTheDoorShut(t *testing.T) {
	e := &fake{badDry: true}
	d := start(t, 80, 24, func(s *Session) { s.Engine = e })
	d.stock()
	d.process()
	d.confirmAll()
	d.go_(saveStage)
	if !d.has(saveStage, "proof-dry") {
		t.Errorf("%+v", d.m.blocks)
	}
	d.at("save").keys("enter")
	if e.count("save") != 0 {
		t.Error("saved without proof")
	}
}

func TestLeavingAsksOnlyWhenWorkWouldBeLost(t *testing.T) {
	d := start(t, 80, 24)
	d.keys("q")
	if !d.quit {
		t.Error("an empty job is asked about")
	}
	for _, c := range []struct {
		name  string
		keys  string
		quits bool
		keeps bool
	}{
		{"enter keeps the draft", "q enter", true, true},
		{"esc stays", "q esc esc", false, true},
		{"thrown away", "q down enter", true, false},
		{"ctrl+c asks too", "ctrl+c ctrl+c", false, true},
		{"ctrl+c in the middle of an edit", "enter 7 ctrl+c", false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := start(t, 80, 24)
			d.stock()
			d.at("stock.thickness").keys(c.keys)
			if d.quit != c.quits {
				t.Errorf("quit: %v", d.quit)
			}
			if got := exists(d.m.keep.path); got != c.keeps {
				t.Errorf("draft kept: %v", got)
			}
			if c.quits && c.keeps && d.m.outcome.Draft == "" {
				t.Error("the outcome does not name the draft")
			}
		})
	}
}

// A job that is opened beside programs that are not of it can be saved again
// as it is, and nobody is told that it is saved.
func TestProgramsApartFromTheirJobAreToldAndCanBeSavedAgain(t *testing.T) {
	for _, row := range []struct {
		name   string
		files  []job.FileSum
		faults fault.List
		apart  bool
		told   string
	}{
		{"whole", []job.FileSum{{Name: "leaf.nc"}}, nil, false, ""},
		{"stale", []job.FileSum{{Name: "leaf.nc"}}, fault.List{{Severity: fault.Warning, Code: bundle.CodeStale, What: "x"}}, true, "do not run them"},
		{"mixed", []job.FileSum{{Name: "leaf.nc"}}, fault.List{{Severity: fault.Warning, Code: bundle.CodeMixed, What: "x"}}, true, "do not run them"},
		{"no program yet", nil, nil, true, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			d := start(t, 80, 24, withFiles)
			j := fullJob()
			j.Files = row.files
			d.send(openDone{path: "/shop/leaf.toml", dir: "/shop", job: j, faults: row.faults})
			if row.told != "" {
				d.shows(row.told)
			}
			if got := d.m.d.written(); got == row.apart || !d.m.d.Saved {
				t.Fatalf("written: %v, saved: %v", got, d.m.d.Saved)
			}
			if r := d.m.saveRow(); (r.state == stDone) == row.apart && d.m.shut() == "" {
				t.Errorf("the save row says %q", r.value)
			}
			if got := strings.Contains(d.frame(), "program not saved"); got != row.apart {
				t.Errorf("head of the sheet:\n%s", d.frame())
			}
			d.m.onSave(saveDone{gen: d.m.d.Gen, paths: []string{"/shop/leaf.nc"}})
			if !d.m.d.written() {
				t.Error("saved again, and still apart")
			}
		})
	}
}
