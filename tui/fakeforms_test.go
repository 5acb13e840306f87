package tui

import (
	"errors"
	"strings"

	"example.org/kerfwright/planner/job"
)

func (f *fake) Pages(j job.Job, n int, dir string) (int, error) {
	f.note("pages")
	if strings.HasPrefix(j.Drawings[n].File, "broken") {
		return 0, errors.New("count the pages: the PDF is damaged")
	}
	return 3, nil
}
