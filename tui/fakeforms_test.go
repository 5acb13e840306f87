package tui

import (
	"errors"
	"slices"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

func (f *fake) Pages(j job.Job, n int, dir string) (int, error) {
	f.note("pages")
	if strings.HasPrefix(j.Drawings[n].File, "broken") {
		return 0, errors.New("count the pages: the PDF is damaged")
	}
	return 3, nil
}

func (f *fake) HoleBands() ([]job.HoleRule, bool) {
	if f.bands != nil {
		return f.bands, true
	}
	return []job.HoleRule{{UpTo: 1, Action: job.HoleDrill, Note: plain.Of("too tight a turn")}, {UpTo: 2, Feed: 0.6, Hold: true, Note: plain.Of("the arc trails")}}, false
}

func (f *fake) KeepHoleBands(bands []job.HoleRule, u unit.System) error {
	f.note("keep bands")
	if f.saveErr != nil {
		return f.saveErr
	}
	f.bands = slices.Clone(bands)
	return nil
}
