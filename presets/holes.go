package presets

import (
	"embed"
	"fmt"
	"io/fs"
	"os"
	"path"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
)

//go:embed rules
var embeddedRules embed.FS

// holesFile is where the hole bands lie, in the embedded files and in the
// user's folder.
const holesFile = "rules/holes.toml"

// HoleBands returns the bands by which holes are cut: the shop's own, if its
// folder has any, else those that are shipped. A file with a fault is left out
// and told; user may be nil.
func HoleBands(user fs.FS) (bands []job.HoleRule, own bool, faults fault.List) {
	if user != nil {
		_, err := fs.Stat(user, holesFile)
		if err == nil {
			var text []byte
			if text, err = readSmall(user, holesFile); err == nil {
				if bands, faults = DecodeHoleBands(holesFile, text); !faults.Bad() {
					return bands, true, faults
				}
			} else {
				faults.Errorf(fault.Where{File: holesFile}, "preset-file", "Correct or remove the file.", "cannot be read: %v", err)
			}
		}
	}
	text, err := fs.ReadFile(embeddedRules, holesFile)
	if err != nil {
		panic("presets: internal: " + err.Error())
	}
	shipped, more := DecodeHoleBands(holesFile, text)
	if more.Bad() {
		panic("presets: internal: " + more.Err().Error())
	}
	return shipped, false, faults
}

// DecodeHoleBands reads a file of [[holes]].
func DecodeHoleBands(file string, text []byte) ([]job.HoleRule, fault.List) {
	var units unit.System
	var bands []job.HoleRule
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shapeHoles(f, &units, &bands) })
	return bands, faults
}

func shapeHoles(f *jobfile.Form, units *unit.System, bands *[]job.HoleRule) {
	if _, ok := f.Version(holesFormat); !ok {
		return
	}
	f.Units(units)
	jobfile.Tables(f, "holes", bands, func(h *job.HoleRule) { jobfile.ShapeHoleRule(f, h) })
}

// HoleBands is HoleBands with the store's file.
func (s Store) HoleBands() ([]job.HoleRule, bool, fault.List) {
	bands, own, faults := HoleBands(os.DirFS(s.root))
	return bands, own, s.placed(faults)
}

// SaveHoleBands keeps bands as the shop's own, in place of those it had, which
// go into the file's history. No bands are an answer too: then every
// hole goes by the rules for every hole.
func (s Store) SaveHoleBands(bands []job.HoleRule, units unit.System) error {
	if units == unit.Unknown {
		units = unit.MM
	}
	text, faults := jobfile.Write([]string{"Hole bands of this shop. The first that fits decides."},
		func(f *jobfile.Form) { shapeHoles(f, &units, &bands) })
	if faults.Bad() {
		return fmt.Errorf("save the hole bands: %w", faults.Err())
	}
	if _, err := s.replaceWhole(Item{path.Dir(holesFile), path.Base(holesFile)}, text, func(old []byte) bool {
		_, faults := DecodeHoleBands(holesFile, old)
		return !faults.Bad()
	}); err != nil {
		return fmt.Errorf("save the hole bands: %w", err)
	}
	return nil
}
