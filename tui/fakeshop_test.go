package tui

import (
	"errors"

	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/presets"
)

// The shop's own store is a real one in a folder that a test names.
func (f *fake) Shop() (presets.Store, error) {
	if f.shopDir == "" {
		return presets.Store{}, errors.New("no folder for your own presets: set HOME")
	}
	return presets.OpenStore(f.shopDir), nil
}

func (f *fake) Library() *presets.Library {
	if f.lib == nil {
		f.lib = f.Reload()
	}
	return f.lib
}

func (f *fake) Reload() *presets.Library {
	if f.shopDir == "" {
		l, _ := presets.Load(nil)
		return l
	}
	l, _ := presets.OpenStore(f.shopDir).Load()
	return l
}

func (f *fake) UseLibrary(l *presets.Library) { f.lib = l }

func (f *fake) Sample(m job.Machine) []string { return gcode.Sample(m) }
