package tui

import (
	"fmt"
	"path/filepath"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/presets"
)

// formEngine is what the forms of drawings and rules ask beyond the road.
type formEngine interface {
	// Pages counts the pages of drawing n, whose name is relative to dir.
	Pages(j job.Job, n int, dir string) (int, error)
}

func (e *real) Pages(j job.Job, n int, dir string) (int, error) {
	name := filepath.FromSlash(j.Drawings[n].File)
	if !filepath.IsAbs(name) {
		name = filepath.Join(dir, name)
	}
	data, err := presets.ReadFile(name, presets.MaxDrawing)
	if err != nil {
		return 0, fmt.Errorf("count the pages: %w", err)
	}
	return drawing.Pages(data)
}
