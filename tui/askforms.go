package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// formEngine is what the forms of drawings and rules ask beyond the road.
type formEngine interface {
	// Pages counts the pages of drawing n, whose name is relative to dir.
	Pages(j job.Job, n int, dir string) (int, error)
	// HoleBands are the shop's own bands of holes, or those that are shipped.
	HoleBands() (bands []job.HoleRule, own bool)
	// KeepHoleBands keeps bands as the shop's own.
	KeepHoleBands(bands []job.HoleRule, u unit.System) error
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

// shopRules is the part of the shop's folder that the forms read and write.
type shopRules struct {
	mu    sync.Mutex
	bands []job.HoleRule
	own   bool
}

// readBands takes over what was read of the bands.
func (s *shopRules) readBands(bands []job.HoleRule, own bool, faults fault.List) fault.List {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bands, s.own = bands, own
	return faults
}

func (e *real) HoleBands() ([]job.HoleRule, bool) {
	s := &e.rules
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.bands), s.own
}

func (e *real) KeepHoleBands(bands []job.HoleRule, u unit.System) error {
	root, err := presets.UserFolder(os.Getenv)
	if err != nil {
		return err
	}
	if err := presets.OpenStore(root).SaveHoleBands(bands, u); err != nil {
		return err
	}
	e.rules.readBands(presets.OpenStore(root).HoleBands())
	return nil
}
