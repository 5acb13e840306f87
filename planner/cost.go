package planner

import (
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/report"
)

// Cost reckons what a planned job takes and costs at a shop's prices. Of a
// program that takes a job up again it reckons what is left: metal that the
// lost run began to cut is charged to that run.
func Cost(j job.Job, p *Program, prices cost.Prices) cost.Result {
	in := cost.Input{
		Rest: p.Rest, Material: j.Stock.Material, Thickness: j.Stock.Thickness, Amps: j.Process.Amps, Volts: j.Process.Volts,
		GasFlow: j.Process.GasFlow, Prices: prices, Left: p.TakenUp && (p.begun || len(p.done) > 0),
	}
	blank := j.Stock.Hold == job.Blank
	touched, begun := map[int]bool{}, map[int]bool{}
	if in.Left {
		for _, c := range p.done {
			begun[p.Placed[c.Placed].Blank] = true
		}
		if p.begun {
			begun[p.Placed[p.Cuts[0].Placed].Blank] = true
		}
	}
	for _, c := range p.Cuts {
		touched[c.Placed] = true
		in.Cuts = append(in.Cuts, cost.Cut{N: c.N, Label: c.Label, Part: c.Placed, Times: c.Times})
	}
	used := geom.EmptyBox()
	for k, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		q := cost.Part{Label: pl.Label, Kind: part.ID, Name: part.Name.String(), Area: netArea(p, part)}
		if part.Outline >= 0 {
			f := p.Tree.Features[part.Outline]
			if blank && touched[k] && !begun[pl.Blank] {
				in.Stock += f.Area
			}
			used = used.Union(pl.Move.Path(f.Loop).Box())
		}
		in.Parts = append(in.Parts, q)
	}
	switch {
	case blank:
		in.Used = in.Stock
	case in.Left:
	default:
		metal, _ := layout.MetalOf(j.Stock, max(1, j.Layout.Plate))
		in.Stock = metal.Area()
		// Charged: the rectangle that the parts and their cuts take up. What lies
		// beyond it is an offcut that goes back to the rack.
		if used = used.Union(frame(p)); !used.Empty() {
			in.Used = min(in.Stock, used.Width()*used.Height())
		}
	}
	return cost.Reckon(in)
}

// netArea is the metal of a part once its inside features are cut, mm2. What
// is drilled later still counts.
func netArea(p *Program, part feature.Part) float64 {
	if part.Outline < 0 {
		return 0
	}
	area := p.Tree.Features[part.Outline].Area
	for _, i := range part.Features {
		if f := p.Tree.Features[i]; f.Kind != feature.Outline && (f.Rule == feature.RuleInside || f.Rule == feature.RuleSlow) {
			area -= f.Area
		}
	}
	return max(0, area)
}

// CostReport is a reckoning in the terms of the commands.
func CostReport(r cost.Result, prices cost.Prices) *report.Cost {
	opt := func(v job.Opt) *float64 {
		if !v.Known {
			return nil
		}
		return &v.Value
	}
	out := &report.Cost{
		Currency: prices.Currency.String(), Left: r.Left, Gas: opt(r.Gas), ArcEnergy: opt(r.ArcEnergy), Mains: opt(r.Mains), Starts: r.Starts, Lit: r.Lit(),
		Wear: opt(r.Wear), WearAfter: opt(r.WearAfter), StockKg: opt(r.StockKg), UsedKg: opt(r.UsedKg), PartsKg: opt(r.PartsKg),
		ScrapKg: opt(r.ScrapKg), Yield: opt(r.Yield), Known: r.Known, Total: opt(r.Total), Items: []report.CostItem{}, Parts: []report.CostPart{},
	}
	if o := r.RunsOut; o != nil {
		out.RunsOut = &report.RunsOut{Cut: o.Cut, Part: o.Part, Before: o.Before, By: o.By}
	}
	for _, i := range r.Items {
		out.Items = append(out.Items, report.CostItem{Name: i.Name, Money: opt(i.Money)})
	}
	for _, k := range r.Kinds {
		if k.ID == trimID { // what it takes is in the sums, and it is no part
			continue
		}
		out.Parts = append(out.Parts, report.CostPart{Part: k.ID, Name: k.Name, Count: k.Count, Kg: opt(k.Kg), Time: k.Time, Price: opt(k.Price)})
	}
	return out
}
