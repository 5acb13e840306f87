package report

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// Unknown is what stands for a figure that could not be told.
const Unknown = "not known"

// figure prints a number with its unit, or Unknown.
func figure(v *float64, format string) string {
	if v == nil {
		return Unknown
	}
	return fmt.Sprintf(format, *v)
}

// Lines tells the cost for people, one thing a row.
func (c Cost) Lines() []Row {
	money := func(v *float64) string {
		if v == nil {
			return Unknown
		}
		return strings.TrimSpace(fmt.Sprintf("%.2f %s", *v, plain.Clean(c.Currency)))
	}
	percent := func(v *float64) string {
		if v == nil {
			return Unknown
		}
		return fmt.Sprintf("%.1f %%", 100**v)
	}
	rows := []Row{
		{"gas", figure(c.Gas, "%.0f L") + " while the arc burns"},
		{"energy", figure(c.ArcEnergy, "%.2f kWh") + " in the arc, " + figure(c.Mains, "%.2f kWh") + " from the mains"},
		{"consumables", fmt.Sprintf("%d starts, %.1f min of arc; of a set's life: %s, %s when done", c.Starts, c.Lit/60, percent(c.Wear), percent(c.WearAfter))},
	}
	if c.Gas == nil {
		rows[0].Figure = Unknown
	}
	if r := c.RunsOut; r != nil {
		rows = append(rows, Row{"consumables", fmt.Sprintf("the set's expected life ends in cut %d, in mid-part (%s, %s): put in a new set before cut %d", r.Cut, plain.Clean(r.Part), r.By, r.Before)})
	}
	metal := Row{"metal", fmt.Sprintf("%s of %s used, %s of parts, %s of scrap, yield %s", figure(c.UsedKg, "%.2f kg"), figure(c.StockKg, "%.2f kg"),
		figure(c.PartsKg, "%.2f kg"), figure(c.ScrapKg, "%.2f kg"), percent(c.Yield))}
	if c.Left {
		metal.Figure = "what the lost run began is charged to that run"
		if c.UsedKg == nil || *c.UsedKg > 0 {
			metal.Figure += "; of blanks still to come: " + figure(c.UsedKg, "%.2f kg")
		}
	}
	rows = append(rows, metal)
	var missing []string
	for _, i := range c.Items {
		if i.Money == nil {
			missing = append(missing, i.Name)
		} else {
			rows = append(rows, Row{"cost of " + i.Name, money(i.Money)})
		}
	}
	total := money(c.Total)
	switch {
	case len(missing) == len(c.Items) && c.Total == nil:
		total += ": no price is"
	case c.Total == nil:
		total += fmt.Sprintf(" for want of %s; the rest comes to %s", strings.Join(missing, ", "), money(&c.Known))
	}
	all := "cost in all"
	if c.Left {
		all = "cost of what is left"
	}
	rows = append(rows, Row{all, total})
	for _, p := range c.Parts {
		rows = append(rows, Row{"each " + plain.Clean(p.Part), fmt.Sprintf("%s: %s, %.0f s, %s", plain.Clean(p.Name), figure(p.Kg, "%.3f kg"), p.Time, money(p.Price))})
	}
	return rows
}
