package main

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// profile lists, checks and calibrates machine profiles.
func profile(w world, f flags) error {
	verbs := []string{"list", "check", "offset"}
	if len(f.rest) == 0 || !slices.Contains(verbs, f.rest[0]) {
		return usagef("profile takes one of %v", verbs)
	}
	units := unit.MM
	if u := f.one("units"); u != "" {
		var err error
		if units, err = parseUnits(u); err != nil {
			return err
		}
	}
	switch rest := f.rest[1:]; {
	case f.rest[0] == "list" && len(rest) == 0:
		lib, faults := library(w)
		tellWarnings(w, faults)
		r := report.Profiles{Profiles: []report.Profile{}}
		for _, m := range lib.Machines() {
			row := report.Profile{Name: m.Name.String(), TravelX: m.TravelX, TravelY: m.TravelY, Units: m.Program.Units.String(), Notes: m.Notes.String()}
			if m.SensorOffset.Known {
				row.SensorOffset = &m.SensorOffset.Value
			}
			r.Profiles = append(r.Profiles, row)
		}
		return emit(w, f, r, r.Table)
	case f.rest[0] == "check" && len(rest) == 1:
		text, err := presets.ReadFile(rest[0], jobfile.MaxSize)
		if err != nil {
			return fmt.Errorf("open the profile: %w", err)
		}
		m, faults := presets.DecodeMachine(rest[0], text)
		if err := complain(w, faults); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s: %s is good\n", plain.Clean(rest[0]), m.Name)
		return nil
	case f.rest[0] == "offset" && len(rest) >= 2:
		return profileOffset(w, f, rest[0], rest[1:], units)
	}
	return usagef("profile takes list, check FILE.toml, or offset NAME READING...")
}

func profileOffset(w world, f flags, name string, typed []string, units unit.System) error {
	lib, _ := library(w)
	m, ok := lib.Machine(name)
	if !ok {
		return fmt.Errorf("no machine profile %q: kerfwright profile list names them", plain.Clean(name))
	}
	var readings []float64
	for _, s := range typed {
		v, err := unit.ParseLength(s, units)
		if err == nil {
			err = job.MachineSensorOffset.Check(v, units)
		}
		if err != nil {
			return usagef("reading %q: %v", plain.Clean(s), err)
		}
		readings = append(readings, v)
	}
	o := presets.OffsetOf(readings)
	r := report.Calibration{Profile: name, Readings: len(readings), Mean: o.Mean.Mean, Text: o.Why}
	if o.N > 1 {
		r.Spread, r.Within = o.Spread, o.Within
	}
	if f.has("accept") {
		if !o.Ready {
			return fmt.Errorf("%s: %s", plain.Clean(name), o.Why)
		}
		s, err := shopStore(w)
		if err != nil {
			return err
		}
		now := m
		now.SensorOffset = job.Of(o.Value)
		saved, err := s.EditMachine(m, now, units)
		if err != nil {
			return err
		}
		r.File = saved.Item.String()
	}
	return emit(w, f, r, r.Table)
}
