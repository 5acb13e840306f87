package planner

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
)

// Ready says what a job still lacks before anything can be planned, and which
// of its numbers do not go together. An unknown value stays unknown: it is an
// Error that names it, never a guess.
func Ready(j job.Job) fault.List {
	var faults fault.List
	r := ready{j, &faults}
	p, m, s := j.Process, j.Machine, j.Stock
	if len(j.Drawings) == 0 {
		faults.Errorf(fault.Where{Entity: "drawings"}, "unknown", "Choose a drawing.", "the job has no drawing")
	}
	if s.Material == "" {
		faults.Errorf(fault.Where{Entity: "stock.material"}, "unknown", "Choose the material.", "unknown")
	}
	if s.Hold == "" {
		faults.Errorf(fault.Where{Entity: "stock.hold"}, "unknown", "Say whether parts are cut from a plate or a blank sits in a fixture.", "unknown")
	}
	r.known(job.StockThickness, s.Thickness)
	if s.Hold != job.Blank {
		if s.Shape == nil && len(s.Outline) == 0 {
			r.known(job.StockWidth, s.Width)
			r.known(job.StockHeight, s.Height)
		}
		_, more := layout.MetalOf(s, max(1, j.Layout.Plate))
		faults = append(faults, more...)
		for i, d := range j.Drawings {
			if d.Grain.Known && !s.Grain.Known {
				faults.Errorf(fault.Where{File: PartName(j.Drawings[i]).String()}, "grain-unknown", "Enter the direction in which the sheet was rolled, or drop the wish.", "it wants to lie along the grain, and the stock's grain is not known")
			}
		}
	}
	r.known(job.ProcessAmps, p.Amps)
	r.known(job.ProcessFeed, p.Feed)
	r.known(job.ProcessKerf, p.Kerf)
	r.known(job.ProcessPierceHeight, p.PierceHeight)
	r.known(job.ProcessCutHeight, p.CutHeight)
	r.opt(job.ProcessPierceDelay, p.PierceDelay)
	if m.Name.Empty() && m.MaxFeed == 0 {
		faults.Errorf(fault.Where{Entity: "machine"}, "unknown", "Choose a machine profile.", "no machine profile")
		return faults
	}
	r.known(job.MachineMaxFeed, m.MaxFeed)
	r.known(job.MachineRapidXY, m.RapidXY)
	r.known(job.MachineRapidZ, m.RapidZ)
	r.known(job.MachineAccelXY, m.AccelXY)
	r.known(job.MachineAccelZ, m.AccelZ)
	r.known(job.MachineSafeZ, m.SafeZ)
	r.known(job.MachineTravelZ, m.TravelZ)
	r.known(job.MachineReach, m.Reach)
	r.known(job.MachineProbeFeed, m.ProbeFeed)
	r.known(job.MachineProbeSearch, m.ProbeSearch)
	r.opt(job.MachineSensorOffset, m.SensorOffset)
	if m.SensorOffset.Known && m.SensorOffset.Value == 0 {
		faults.Warnf(fault.Where{Entity: string(job.MachineSensorOffset)}, "sensor-offset", "Measure it unless the nozzle's own contact is what trips the sensor.",
			"0: the torch is taken to touch where the sensor trips")
	}
	r.under(job.ProcessCutHeight, p.CutHeight, job.ProcessPierceHeight, p.PierceHeight, "pierce from above the cut height, or metal splashes into the nozzle")
	r.under(job.ProcessFeed, p.Feed, job.MachineMaxFeed, m.MaxFeed, "the machine cannot run so fast")
	r.under(job.ProcessPierceHeight, p.PierceHeight, job.MachineTravelZ, m.TravelZ, "the torch must rise between cuts")
	r.under(job.MachineTravelZ, m.TravelZ, job.MachineSafeZ, m.SafeZ, "safe height is for going over what may have tipped")
	r.under(job.MachineTravelZ, m.TravelZ, job.MachineProbeSearch, m.ProbeSearch, "a touch-off from travel height would not reach the plate")
	r.under(job.MachineSafeZ, m.SafeZ, job.MachineReach, m.Reach, "the raised torch would be under safe height")
	if m.MaxAmps > 0 {
		r.under(job.ProcessAmps, p.Amps, job.MachineMaxAmps, m.MaxAmps, "the supply does not give so much")
	}
	faults = append(faults, gcode.Check(m)...)
	return faults
}

type ready struct {
	job    job.Job
	faults *fault.List
}

func (r ready) known(f job.Field, v float64) {
	if v == 0 {
		r.faults.Errorf(fault.Where{Entity: string(f)}, "unknown", "Enter it.", "unknown")
		return
	}
	if err := f.Check(v, r.job.Units); err != nil {
		r.faults.Errorf(fault.Where{Entity: string(f)}, "range", "Correct it.", "%v", err)
	}
}

func (r ready) opt(f job.Field, v job.Opt) {
	if !v.Known {
		r.faults.Errorf(fault.Where{Entity: string(f)}, "unknown", "Enter it; 0 is an answer too.", "unknown")
		return
	}
	if err := f.Check(v.Value, r.job.Units); err != nil {
		r.faults.Errorf(fault.Where{Entity: string(f)}, "range", "Correct it.", "%v", err)
	}
}

// under demands a <= b where both are known.
func (r ready) under(a job.Field, va float64, b job.Field, vb float64, why string) {
	if va == 0 || vb == 0 || va <= vb {
		return
	}
	in := r.job.Units
	r.faults.Errorf(fault.Where{Entity: string(a)}, "order", "Lower it, or raise "+string(b)+".",
		"%.4g %s is over %s, %.4g %s: %s", a.Range().Dim.Show(va, in), a.Range().Dim.Unit(in), b, b.Range().Dim.Show(vb, in), b.Range().Dim.Unit(in), why)
}
