package planner

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/gcode"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/report"
	"example.org/kerfwright/planner/unit"
)

// SetupSheet makes the setup sheet of a planned job, with what it costs at the
// shop's prices. cautions are lines that the caller knows for this metal and
// process. It carries the picture of the plate for the forms that can show one.
func SetupSheet(j job.Job, p *Program, faults fault.List, cautions []string, prices cost.Prices) report.Sheet {
	u := j.Units
	s := report.Sheet{Title: "SETUP SHEET  " + plateName(p, j.Name.String())}
	row := func(name, format string, args ...any) report.Row {
		return report.Row{Name: name, Figure: fmt.Sprintf(format, args...)}
	}

	stock := report.Section{Head: "STOCK AND ZERO", Rows: []report.Row{row("stock", "%s", StockLine(j)), row("XY zero", "%s, X right, Y up", originLine(j))}}
	b := frame(p)
	if p.Lie != nil {
		stock.Rows[1].Figure = "as when the stock was measured on the table, X right, Y up"
		stock.Rows = append(stock.Rows, row("as it lies", "%s", LieLine(j, p.Lie)))
		b = p.Lie.frame(p)
	}
	if !b.Empty() {
		stock.Rows = append(stock.Rows, row("the job needs", "X %s to %s, Y %s to %s", u.Length(b.Min.X), u.Length(b.Max.X), u.Length(b.Min.Y), u.Length(b.Max.Y)))
	}
	if j.Stock.Hold == job.Blank {
		stock.Rows = append(stock.Rows, row("blanks", "%d, one after the other; the program waits between them", blanks(p)))
		if r := p.Plan.Pieces; r != nil {
			stock.Rows = append(stock.Rows, row("pieces", "%d of %d done before, %d in this run", r.Done, r.Of, r.Run))
		}
	}

	pr := j.Process
	process := report.Section{Head: "PROCESS", Rows: []report.Row{
		row("preset", "%s", pr.Preset), row("state", "%s", pr.State),
		row("current", "%.0f A", pr.Amps), row("feed", "%s", u.Feed(pr.Feed)), row("kerf", "%s", u.Length(pr.Kerf)),
		row("pierce height", "%s, delay %s s", u.Length(pr.PierceHeight), unit.Number(pr.PierceDelay.Value, 2)),
		row("cut height", "%s", u.Length(pr.CutHeight)),
	}}
	if pr.Volts > 0 {
		process.Rows = append(process.Rows, row("arc voltage", "about %.0f V", pr.Volts))
	}
	if !pr.Gas.Empty() {
		process.Rows = append(process.Rows, row("gas", "%s", pr.Gas))
	}
	if pr.Pressure.Known {
		process.Rows = append(process.Rows, row("pressure", "%.1f bar", pr.Pressure.Value))
	} else {
		process.Rows = append(process.Rows, row("pressure", "not known here: as the torch's manual says"))
	}

	machine := report.Section{Head: "MACHINE", Rows: []report.Row{
		row("profile", "%s", j.Machine.Name), row("touch-off", "sensor trips %s after contact", u.Length(j.Machine.SensorOffset.Value)),
		row("heights", "travel %s, safe %s over the plate", u.Length(j.Machine.TravelZ), u.Length(j.Machine.SafeZ)),
		row("height control", "%s", controlLine(j)),
	}}

	parts := report.Section{Head: "PARTS"}
	count := map[int]int{}
	for _, pl := range p.Placed {
		count[pl.Part]++
	}
	for k, part := range p.Tree.Parts {
		if count[k] == 0 || part.Drawing < 0 && !part.Text { // the trim is no part
			continue
		}
		parts.Rows = append(parts.Rows, row(part.ID, "%s x %d: %s", part.Name, count[k], kindCounts(p.Tree, part)))
	}
	edits := report.Section{Head: "EDITED AT THE CONTROLLER, the drawing's own file is as it was"}
	for _, l := range EditLines(j, p.Tree) {
		edits.Rows = append(edits.Rows, report.Row{Name: l.Line()})
	}
	drill := report.Section{Head: "NOT CUT, TO BE DRILLED"}
	for k, part := range p.Tree.Parts {
		for _, i := range part.Features {
			if f := p.Tree.Features[i]; f.Rule == feature.RuleDrill && count[k] > 0 {
				drill.Rows = append(drill.Rows, row(f.ID, "%s in each of %d", u.Length(f.Diameter), count[k]))
			}
		}
	}
	work := report.Section{Head: "THE CUT", Rows: []report.Row{
		row("pierces", "%d", p.Plan.Pierces), row("length", "%s cut, %s rapid", u.Length(p.Plan.CutLength), u.Length(p.Plan.RapidLength)),
		row("time", "about %s", unit.Duration(p.Plan.Time)), row("loose pieces", "%d rapids raised over, %d led round, %.1f s for it", p.Raised, p.Round, p.ExtraTime),
	}}
	if files := p.Files(); len(files) > 1 {
		var each []string
		for _, f := range files {
			each = append(each, fmt.Sprintf("%d to %d", p.Cuts[f.From].N, p.Cuts[f.To-1].N))
		}
		work.Rows = append(work.Rows, row("programs", "%d, run in their order, each after its dry run: cuts %s", len(files), strings.Join(each, ", ")))
	}
	if x := p.Trimmed(u); x != "" {
		work.Rows = append(work.Rows, row("trim", "last, at %s: the skeleton is loose after it", x))
	}
	if x := p.Plan.Shared; x != nil {
		work.Rows = append(work.Rows, row("shared edges", "%s", x.In(u)))
	}
	if p.TouchOffsSaved > 0 {
		work.Rows = append(work.Rows, row("touch-offs", "%d saved, %.1f s", p.TouchOffsSaved, p.TouchOffTimeSaved))
	}
	all := p.Times()
	work.Rows = append(work.Rows, row("of that", "arc %.1f s, pierce %.1f s, touch-off %.1f s, up and down %.1f s, rapid %.1f s", all.ArcOn, all.Pierce, all.Probe, all.Raise, all.Rapid))
	if p.Plan.RapidGap != nil {
		work.Rows = append(work.Rows, row("rapids", "none under %s can be: at most %.1f %% too long", u.Length(p.Plan.RapidBound), 100**p.Plan.RapidGap))
	}
	takes := report.Section{Head: "WHAT IT TAKES", Rows: CostReport(Cost(j, p, prices), prices).Lines()}
	watch := report.Section{Head: "WATCH"}
	for _, f := range faults.At(fault.Warning) {
		watch.Rows = append(watch.Rows, report.Row{Name: f.Error()})
	}
	check := checker{j: j, p: p, faults: faults, rules: j.Rules.WithDefaults()}
	if p.Plan.Shared != nil {
		k := check.shared()
		watch.Rows = append(watch.Rows, report.Row{Name: k.Title + ": " + k.Do})
	}
	if p.Trimmed(u) != "" {
		k := check.trim()
		watch.Rows = append(watch.Rows, report.Row{Name: k.Title + ": " + k.Do})
	}
	care := report.Section{Head: "BEFORE THE ARC, tick each (not a substitute for local codes, the machine's manual and training)"}
	for _, c := range cautions {
		care.Rows = append(care.Rows, report.Row{Name: "[ ] " + c})
	}
	s.Sections = []report.Section{stock, process, machine, parts, edits, drill, work, takes, watch, care}
	s.Features, s.Picture = featureRows(j, p), Picture(j, p)
	return s
}

func controlLine(j job.Job) string {
	switch {
	case j.Rules.WithDefaults().Control == job.ControlOff:
		return "off for the whole job: touch-off alone sets the height"
	case gcode.OnlyComments(j.Machine.Program.ControlOff):
		return "holds are comments only: this profile has no words for height control"
	}
	return "on, held where the program says so"
}

func blanks(p *Program) int {
	n := 0
	for _, pl := range p.Placed {
		n = max(n, pl.Blank)
	}
	return n
}

func kindCounts(t feature.Tree, part feature.Part) string {
	var out []string
	for _, k := range [...]feature.Kind{feature.Hole, feature.Slot, feature.CutOut, feature.Mark} {
		n := 0
		for _, i := range part.Features {
			if t.Features[i].Kind == k {
				n++
			}
		}
		if n > 0 {
			plural := "s"
			if n == 1 {
				plural = ""
			}
			out = append(out, fmt.Sprintf("%d %s%s", n, k, plural))
		}
	}
	if len(out) == 0 {
		return "outline only"
	}
	return strings.Join(out, ", ")
}
