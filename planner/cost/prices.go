package cost

import (
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
)

// Prices is what a shop pays, and how long its consumables last. Whatever is
// not Known stays not known in the sums.
type Prices struct {
	Currency    plain.Text // as the shop writes it
	MildSteel   job.Opt    // per kg
	Stainless   job.Opt    // per kg
	Aluminium   job.Opt    // per kg
	Gas         job.Opt    // per m3
	Electricity job.Opt    // per kWh
	Machine     job.Opt    // per h
	Labour      job.Opt    // per h
	Swap        job.Opt    // s that a pause takes: another blank in
	Efficiency  job.Opt    // power in the arc over power from the mains

	Set        job.Opt // price of a set of consumables
	LifeStarts job.Opt // starts that a set is expected to last
	LifeArcOn  job.Opt // min of arc that a set is expected to last
	UsedStarts job.Opt // starts that the fitted set has behind it
	UsedArcOn  job.Opt // min of arc that it has behind it
}

// Metal returns the price of a kg.
func (p Prices) Metal(m job.Material) job.Opt {
	switch m {
	case job.MildSteel:
		return p.MildSteel
	case job.Stainless:
		return p.Stainless
	case job.Aluminium:
		return p.Aluminium
	}
	return job.Opt{}
}

// Decode reads a price list; every fault has its line and column.
func Decode(file string, text []byte) (Prices, fault.List) {
	var p Prices
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shape(f, &p) })
	return p, faults
}

// Encode writes a price list that Decode reads back the same.
func Encode(p Prices) ([]byte, fault.List) {
	return jobfile.Write(head, func(f *jobfile.Form) { shape(f, &p) })
}

// pricesFormat is the number of the list's format; a list without one is of
// the first.
const pricesFormat = 1

var head = []string{
	"What this shop pays, and how long its consumables last. Leave out what is not",
	"known: it is then not known in the sums either. metal: per kg. gas: per m3.",
	"electricity: per kWh. machine, labour: per hour. swap: s for another blank.",
	"consumables: price of a set, the starts and the minutes of arc that it lasts,",
	"and what the fitted set has behind it.",
}

func shape(f *jobfile.Form, p *Prices) {
	if _, ok := f.Version(pricesFormat); !ok {
		return
	}
	f.NoUnits()
	f.Text("currency", &p.Currency)
	f.Table("metal", func() {
		f.Opt("mild-steel", &p.MildSteel, job.Price)
		f.Opt("stainless", &p.Stainless, job.Price)
		f.Opt("aluminium", &p.Aluminium, job.Price)
	})
	f.Table("running", func() {
		f.Opt("gas", &p.Gas, job.Price)
		f.Opt("electricity", &p.Electricity, job.Price)
		f.Opt("machine", &p.Machine, job.Price)
		f.Opt("labour", &p.Labour, job.Price)
		f.Opt("swap", &p.Swap, job.PriceSwap)
		f.Opt("efficiency", &p.Efficiency, job.PriceEfficiency)
	})
	f.Table("consumables", func() {
		f.Opt("price", &p.Set, job.Price)
		f.Opt("starts", &p.LifeStarts, job.PriceStarts)
		f.Opt("arc_on", &p.LifeArcOn, job.PriceMinutes)
		f.Opt("used_starts", &p.UsedStarts, job.PriceStarts)
		f.Opt("used_arc_on", &p.UsedArcOn, job.PriceMinutes)
	})
}
