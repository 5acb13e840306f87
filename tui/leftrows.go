package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/presets"
)

// leftRows offer to put what is left of the plate in the rack, once the job is
// saved: the next job finds it on its layout page.
func (m *Model) leftRows() []row {
	p, j, u := m.res.prog, m.d.Job, m.d.Job.Units
	if !m.d.Saved || p == nil || m.res.busy != "" || j.Stock.Hold == job.Blank {
		return nil
	}
	r := row{id: "left", label: "put it in the rack", value: "not yet", state: stFree, verb: "type its name",
		why: "Once the program has run: type what is written on the metal, such as R7. It is kept as an outline with its material and thickness, and offered to the next job that fits. Strips under 20 mm are scrap. With the plate cut off on the layout page its edges are straight."}
	if x := p.Trimmed(u); x != "" {
		r.note = "cut off at " + x
	}
	r.begin = func() string { return "" }
	r.check = func(s string) (func(*Draft), string) {
		if strings.TrimSpace(s) == "" {
			return nil, "Type what is written on the metal."
		}
		return nil, ""
	}
	r.take = func(m *Model, s string) tea.Cmd {
		name, when := strings.TrimSpace(s), m.stamp()
		return m.shopWork("put what is left in the rack", func(store presets.Store) (string, error) {
			pieces, err := planner.Remnants(j, p)
			if err != nil {
				return "", err
			}
			all := presets.LeftOf(j, planner.EdgesOf(pieces), name, when)
			if len(all) == 0 {
				return "nothing worth keeping is left", nil
			}
			for _, r := range all {
				if _, err := store.SaveRemnant(r, u); err != nil {
					return "", err
				}
			}
			b := all[0].Stock(job.Stock{})
			box := planner.StockBox(b)
			return fmt.Sprintf("in the rack: %s, %s within", name, sizes(box.Width(), box.Height(), u)), nil
		}, nil)
	}
	return []row{{head: true, label: "what is left of the plate"}, r}
}
