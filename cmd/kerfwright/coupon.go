package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/coupon"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// Options that name a cut.
var (
	materialOf  = option{name: "material", arg: "M", what: "the metal: mild-steel, stainless or aluminium", of: []string{"mild-steel", "stainless", "aluminium"}}
	thicknessOf = option{name: "thickness", arg: "T", what: "thickness of the metal"}
	ampsOf      = option{name: "amps", arg: "A", what: "cutting current"}
	unitsOfShop = option{name: "units", arg: "U", what: "units of what is written and printed: mm or inch", of: []string{"mm", "inch"}}
)

func needed(o option) option { o.must = true; return o }

func kindWords() (all []string) {
	for _, k := range coupon.Kinds() {
		all = append(all, string(k))
	}
	return all
}

// cutOf reads the options that name a cut; what is not given is 0.
func cutOf(f flags) (presets.Query, unit.System, error) {
	var q presets.Query
	units := unit.MM
	var err error
	if s := f.one("units"); s != "" {
		if units, err = parseUnits(s); err != nil {
			return q, units, err
		}
	}
	if s := f.one("material"); s != "" {
		if q.Material = job.Material(s); !slices.Contains(job.Materials(), q.Material) {
			return q, units, usagef("--material %q: must be one of %v", plain.Clean(s), job.Materials())
		}
	}
	if q.Thickness, err = length(f, "thickness", job.StockThickness); err != nil {
		return q, units, err
	}
	if s := f.one("amps"); s != "" {
		q.Amps, err = strconv.ParseFloat(s, 64)
		if err != nil || job.ProcessAmps.Check(q.Amps, unit.MM) != nil {
			return q, units, usagef("--amps %q: must be a current in A", plain.Clean(s))
		}
	}
	return q, units, nil
}

// wholeCut is cutOf where all three must be given.
func wholeCut(f flags, what string) (presets.Query, unit.System, error) {
	q, u, err := cutOf(f)
	if err == nil && (q.Material == "" || q.Thickness == 0 || q.Amps == 0) {
		err = usagef("%s needs --material, --thickness and --amps", what)
	}
	return q, u, err
}

// couponJob writes the job of a test piece.
func couponJob(w world, f flags) error {
	if len(f.rest) != 1 || !slices.Contains(coupon.Kinds(), coupon.Kind(f.rest[0])) {
		return usagef("coupon takes one of %v", coupon.Kinds())
	}
	q, units, err := wholeCut(f, "coupon")
	if err != nil {
		return err
	}
	spec := coupon.Spec{Kind: coupon.Kind(f.rest[0]), Units: units,
		Stock: job.Stock{Material: q.Material, Thickness: q.Thickness}}
	if s := f.one("steps"); s != "" {
		if spec.Steps, err = parseCount("steps", s); err != nil {
			return err
		}
	}
	if s := f.one("step"); s != "" {
		v, err := unit.ParseNumber(s)
		if err != nil || v <= 0 {
			return usagef("--step %q: must be over 0: %% of the feed, or s of delay", plain.Clean(s))
		}
		if spec.Step = v; spec.Kind == coupon.Feeds {
			spec.Step = v / 100
		}
	}
	lib, faults := library(w)
	j := job.Job{Units: units, Stock: spec.Stock}
	j.Process.Amps = q.Amps
	if err := fromLibrary(lib, &j, f); err != nil {
		return err
	}
	spec.Process, spec.Machine = j.Process, j.Machine
	if j, err = coupon.Make(spec); err != nil {
		return err
	}
	loops, more := planner.Read(context.Background(), j, nil)
	faults = append(faults, more...)
	tree, more := planner.Features(j, loops)
	if faults = append(faults, more...); faults.Bad() {
		return complain(w, faults)
	}
	out := f.one("o")
	if err := saveJob(out, j); err != nil {
		return err
	}
	r := report.New{Job: out, Features: planner.FeatureReport(tree, true), Warnings: lines(faults)}
	return emit(w, f, r, func(to io.Writer) error {
		if err := r.Table(to); err != nil {
			return err
		}
		s := j.Stock
		fmt.Fprintf(to, "%s\nIt needs a plate of %s by %s. Then: kerfwright plan %s, cut it, and kerfwright log %s\n",
			spec.Kind.What(), units.Length(s.Width), units.Length(s.Height), plain.Clean(out), plain.Clean(out))
		return nil
	})
}
