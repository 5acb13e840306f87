// Package cost says what a planned job takes: time by kind, gas, current,
// wear of the consumables, metal, and what a part of it costs. Times, areas
// and a shop's prices come in; sums go out. What is not known stays not known
// in every sum that it enters, and is named; it is never taken as nothing.
//
// Times are s, areas mm2, weights kg; money is in the shop's own currency.
package cost

import (
	"math"
	"slices"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Times is what one cut takes, or a whole job, in s.
type Times struct {
	ArcOn  float64 // the arc is lit and the torch goes down to cut height or moves
	Pierce float64 // the arc is lit and waits
	Probe  float64 // touch-off
	Raise  float64 // other moves up and down
	Rapid  float64 // over the plate, torch off
	Pauses int     // stops that wait for the operator
}

// Sum returns the time without what the operator takes in the pauses.
func (t Times) Sum() float64 { return t.ArcOn + t.Pierce + t.Probe + t.Raise + t.Rapid }

// Lit returns how long the arc burns.
func (t Times) Lit() float64 { return t.ArcOn + t.Pierce }

// Add returns both together.
func (t Times) Add(u Times) Times {
	return Times{t.ArcOn + u.ArcOn, t.Pierce + u.Pierce, t.Probe + u.Probe, t.Raise + u.Raise, t.Rapid + u.Rapid, t.Pauses + u.Pauses}
}

// Cut is one pierce to one torch-off.
type Cut struct {
	N     int // as the program numbers it
	Label string
	Part  int // into Input.Parts
	Times Times
}

// Part is one copy of a part.
type Part struct {
	Label string
	Kind  string  // copies of one part share it
	Name  string  // for people
	Area  float64 // mm2 of metal that stays
}

// Input is a planned job.
type Input struct {
	Cuts      []Cut // in order
	Rest      Times // what belongs to no cut: to the park corner
	Parts     []Part
	Material  job.Material
	Thickness float64 // mm
	Stock     float64 // mm2 of the whole plate, or of all blanks; 0 is not known
	Used      float64 // mm2 that the job takes from it: what is charged
	// Left says that this is the rest of a job that was begun and lost: metal
	// that the lost run began was charged to it, so Used is what is begun now,
	// and 0 costs nothing. Weights and prices of whole parts are the job's.
	Left    bool
	Amps    float64
	Volts   float64 // 0 is not known
	GasFlow job.Opt // L/min
	Prices  Prices
}

// Result is what Reckon found. An Opt that is not Known could not be told.
type Result struct {
	Times
	Gas       job.Opt // L while the arc burns; what flows before and after is not counted
	ArcEnergy job.Opt // kWh in the arc
	Mains     job.Opt // kWh that the supply draws for it
	Starts    int
	Wear      job.Opt // part of a consumable set's life that the job takes
	WearAfter job.Opt // the same with what the set has behind it
	RunsOut   *RunOut // nil if the set lasts, or if that is not known

	StockKg, UsedKg, PartsKg, ScrapKg job.Opt // ScrapKg is UsedKg less PartsKg
	Yield                             job.Opt // PartsKg over UsedKg

	Left    bool    // as Input says
	Items   []Item  // what the job costs, by kind
	Known   float64 // sum of the items that are known
	Total   job.Opt // of all items; not known if one is not
	Missing []string

	Kinds []Kind // by part, in the order of Input.Parts
}

// Item is one kind of cost.
type Item struct {
	Name  string
	Money job.Opt
}

// Kind is all copies of one part.
type Kind struct {
	ID, Name string
	Count    int
	Kg       job.Opt // of one
	Time     float64 // s for one, on average, without pauses
	Price    job.Opt // of one, on average
}

// RunOut says where the consumable set's expected life ends.
type RunOut struct {
	Cut  int    // number of the cut in which it ends
	Part string // label
	// Before is the number of the cut before which a new set saves the part:
	// the first one of that part after the last cut of another.
	Before int
	By     string // "starts" or "arc-on"
}

// density returns kg/m3 for weights. Steel: the usual design figure of EN
// 1991-1-1 table A.4 (read in a page quoting it); 304: 8000, read in two data
// sheets; aluminium: 5052, the usual sheet, 2680, read in a data sheet.
func density(m job.Material) job.Opt {
	switch m {
	case job.MildSteel:
		return job.Of(7850)
	case job.Stainless:
		return job.Of(8000)
	case job.Aluminium:
		return job.Of(2680)
	}
	return job.Opt{}
}

// Weight returns the kg of an area (mm2) of plate of a thickness (mm).
func Weight(m job.Material, area, thickness float64) job.Opt {
	d := density(m)
	if !(area > 0 && thickness > 0) {
		return job.Opt{}
	}
	const mm3 = 1e-9 // m3
	return times(d, area*thickness*mm3)
}

// Reckon adds up.
func Reckon(in Input) Result {
	r := Result{Times: in.Rest, Left: in.Left, Starts: len(in.Cuts)}
	for _, c := range in.Cuts {
		r.Times = r.Times.Add(c.Times)
	}
	minutes, hours := r.Lit()/60, r.Lit()/3600
	r.Gas = times(in.GasFlow, minutes)
	if in.Volts > 0 && in.Amps > 0 {
		r.ArcEnergy = job.Of(in.Volts * in.Amps / 1000 * hours)
	}
	if e := in.Prices.Efficiency; e.Known && e.Value > 0 {
		r.Mains = times(r.ArcEnergy, 1/e.Value)
	}
	in.wear(&r)
	in.metal(&r)
	in.money(&r)
	return r
}

// life is how much of a set's life a number of starts and a time take: the
// first limit that is reached ends it.
func (p Prices) life(starts, lit float64) (part job.Opt, by string) {
	if p.LifeStarts.Known && p.LifeStarts.Value > 0 {
		part, by = job.Of(starts/p.LifeStarts.Value), "starts"
	}
	if p.LifeArcOn.Known && p.LifeArcOn.Value > 0 {
		if v := lit / (60 * p.LifeArcOn.Value); !part.Known || v > part.Value {
			part, by = job.Of(v), "arc-on"
		}
	}
	return
}

// wear follows the set through the cuts.
func (in Input) wear(r *Result) {
	p := in.Prices
	r.Wear, _ = p.life(float64(r.Starts), r.Lit())
	starts, lit := p.UsedStarts.Value, 60*p.UsedArcOn.Value // a set of which nothing is said is new
	since := 0                                              // first cut of the run of cuts of one part
	for i, c := range in.Cuts {
		if i > 0 && in.Cuts[i-1].Part != c.Part {
			since = i
		}
		starts++
		lit += c.Times.Lit()
		if life, by := p.life(starts, lit); life.Known && life.Value > 1 && r.RunsOut == nil {
			r.RunsOut = &RunOut{Cut: c.N, Part: in.partLabel(c.Part), Before: in.Cuts[since].N, By: by}
		}
	}
	r.WearAfter, _ = p.life(starts, lit)
}

func (in Input) partLabel(k int) string {
	if k < 0 || k >= len(in.Parts) {
		return ""
	}
	return in.Parts[k].Label
}

func (in Input) metal(r *Result) {
	if in.Left {
		if r.UsedKg = Weight(in.Material, in.Used, in.Thickness); in.Used == 0 {
			r.UsedKg = job.Of(0)
		}
		return
	}
	area := 0.0
	for _, p := range in.Parts {
		area += p.Area
	}
	r.StockKg = Weight(in.Material, in.Stock, in.Thickness)
	r.UsedKg = Weight(in.Material, in.Used, in.Thickness)
	r.PartsKg = Weight(in.Material, area, in.Thickness)
	if r.UsedKg.Known && r.PartsKg.Known {
		r.ScrapKg = job.Of(max(0, r.UsedKg.Value-r.PartsKg.Value))
		r.Yield = job.Of(r.PartsKg.Value / r.UsedKg.Value)
	}
}

// money prices the job, and each part by its own share: metal by area, gas,
// current and wear by the arc, the machine's and the operator's time by time.
func (in Input) money(r *Result) {
	p := in.Prices
	add := func(name string, v job.Opt) job.Opt {
		r.Items = append(r.Items, Item{name, v})
		if v.Known {
			r.Known += v.Value
		} else {
			r.Missing = append(r.Missing, name)
		}
		return v
	}
	price := p.Metal(in.Material)
	if in.Left && in.Used == 0 {
		price = job.Of(0)
	}
	metal := add("metal", product(r.UsedKg, price))
	gas := add("gas", times(product(r.Gas, p.Gas), 1.0/1000)) // m3
	energy := add("electricity", product(r.Mains, p.Electricity))
	wear := add("consumables", product(r.Wear, p.Set))
	hours := job.Of(r.Sum() / 3600)
	if r.Pauses > 0 {
		hours = sum(hours, times(p.Swap, float64(r.Pauses)/3600))
	}
	machine := add("machine", product(hours, p.Machine))
	labour := add("labour", product(hours, p.Labour))
	if len(r.Missing) == 0 {
		r.Total = job.Of(r.Known)
	}

	if in.Left {
		return
	}
	area, lit, took, starts := make([]float64, len(in.Parts)), make([]float64, len(in.Parts)), make([]float64, len(in.Parts)), make([]float64, len(in.Parts))
	for k, part := range in.Parts {
		area[k] = part.Area
	}
	for _, c := range in.Cuts {
		if c.Part >= 0 && c.Part < len(in.Parts) {
			lit[c.Part] += c.Times.Lit()
			took[c.Part] += c.Times.Sum()
			starts[c.Part]++
		}
	}
	worn := lit
	if _, by := p.life(float64(r.Starts), r.Lit()); by == "starts" {
		worn = starts
	}
	each := func(k int) job.Opt {
		all := job.Of(0)
		for _, x := range []struct {
			of    job.Opt
			share float64
		}{{metal, share(area, k)}, {gas, share(lit, k)}, {energy, share(lit, k)}, {wear, share(worn, k)}, {machine, share(took, k)}, {labour, share(took, k)}} {
			all = sum(all, times(x.of, x.share))
		}
		return all
	}
	for k, part := range in.Parts {
		i := slices.IndexFunc(r.Kinds, func(x Kind) bool { return x.ID == part.Kind })
		if i < 0 {
			i = len(r.Kinds)
			r.Kinds = append(r.Kinds, Kind{ID: part.Kind, Name: plain.Clean(part.Name), Kg: Weight(in.Material, part.Area, in.Thickness), Price: job.Of(0)})
		}
		x := &r.Kinds[i]
		x.Count++
		x.Time += took[k]
		x.Price = sum(x.Price, each(k))
	}
	for i := range r.Kinds {
		x := &r.Kinds[i]
		x.Time /= float64(x.Count)
		x.Price = times(x.Price, 1/float64(x.Count))
	}
}

// share returns the part of all that k has; even shares if there is nothing.
func share(v []float64, k int) float64 {
	all := 0.0
	for _, x := range v {
		all += x
	}
	if all == 0 {
		return 1 / float64(len(v))
	}
	return v[k] / all
}

func times(v job.Opt, by float64) job.Opt {
	if !v.Known || math.IsNaN(by) || math.IsInf(by, 0) {
		return job.Opt{}
	}
	return job.Of(v.Value * by)
}

func product(a, b job.Opt) job.Opt {
	if !b.Known {
		return job.Opt{}
	}
	return times(a, b.Value)
}

func sum(a, b job.Opt) job.Opt {
	if !a.Known || !b.Known {
		return job.Opt{}
	}
	return job.Of(a.Value + b.Value)
}
