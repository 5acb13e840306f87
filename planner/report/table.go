package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// JSON writes v as one object on lines of its own, the form that scripts read.
func JSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// table writes rows with aligned columns; the first row is the head. Cells
// are cleaned of control runes.
func table(w io.Writer, rows [][]string) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		for i := range r {
			r[i] = plain.Clean(r[i])
		}
		fmt.Fprintln(t, strings.Join(r, "\t"))
	}
	return t.Flush()
}

func warnings(w io.Writer, lines []string) {
	for _, l := range lines {
		fmt.Fprintln(w, "  "+plain.Clean(l))
	}
}

// Table prints an inspection for a person.
func (r Inspect) Table(w io.Writer) error {
	fmt.Fprintf(w, "units %s, %d closed loops, %.2f mm2 of metal, %d open chains\n", r.Units, r.Loops, r.Area, r.Open)
	if err := featureTable(w, r.Features); err != nil {
		return err
	}
	warnings(w, r.Warnings)
	return nil
}

func featureTable(w io.Writer, features []Feature) error {
	rows := [][]string{{"feature", "kind", "width mm", "height mm", "diameter mm", "area mm2", "rule"}}
	for _, f := range features {
		d := "-"
		if f.Diameter != nil {
			d = fmt.Sprintf("%.3f", *f.Diameter)
		}
		rule := f.Rule
		if rule == "" {
			rule = "-"
		}
		rows = append(rows, []string{f.ID, f.Kind, fmt.Sprintf("%.3f", f.Width), fmt.Sprintf("%.3f", f.Height), d, fmt.Sprintf("%.2f", f.Area), rule})
	}
	return table(w, rows)
}

// Table prints what a new job holds.
func (r New) Table(w io.Writer) error {
	fmt.Fprintf(w, "wrote %s\n", plain.Clean(r.Job))
	if err := featureTable(w, r.Features); err != nil {
		return err
	}
	warnings(w, r.Warnings)
	return nil
}

// Table prints a plan.
func (r Plan) Table(w io.Writer) error {
	if r.Plates > 1 {
		fmt.Fprintf(w, "plate %d of %d\n", r.Plate, r.Plates)
	}
	rows := [][]string{{"cut", "part", "feature", "kind", "pierce X", "pierce Y", "clearance mm", "lines", "comes", "touch", "s"}}
	for _, c := range r.Cuts {
		touch := "-"
		if c.TouchOff {
			touch = "yes"
		}
		rows = append(rows, []string{fmt.Sprint(c.N), c.Part, c.Feature, c.Kind, fmt.Sprintf("%.2f", c.Pierce[0]), fmt.Sprintf("%.2f", c.Pierce[1]),
			fmt.Sprintf("%.2f", c.Clearance), fmt.Sprintf("%d-%d", c.FirstLine, c.LastLine), c.Rapid, touch, fmt.Sprintf("%.1f", c.Time)})
	}
	if n := len(r.Cuts); n > 0 && r.Cuts[0].File != r.Cuts[n-1].File { // several programs
		for i := range rows {
			file := "program"
			if i > 0 {
				file = r.Cuts[i-1].File
			}
			rows[i] = append(rows[i], file)
		}
	}
	if err := table(w, rows); err != nil {
		return err
	}
	gap := ""
	if r.RapidGap != nil {
		gap = fmt.Sprintf(", %.1f %% over that", 100**r.RapidGap)
	}
	fmt.Fprintf(w, "%d pierces, %.0f mm cut, %.0f mm rapid (none under %.0f mm can be%s), about %.0f s\n", r.Pierces, r.CutLength, r.RapidLength, r.RapidBound, gap, r.Time)
	for _, l := range r.lines() {
		fmt.Fprintln(w, l)
	}
	for _, o := range r.Others {
		o.Files, o.Warnings = nil, nil // told once, below
		if err := o.Table(w); err != nil {
			return err
		}
	}
	for _, f := range r.Files {
		fmt.Fprintf(w, "wrote %s\n", plain.Clean(f))
	}
	warnings(w, r.Warnings)
	return nil
}

// lines tells what a plan takes, one thing a line.
func (r Plan) lines() []string {
	t := r.Times
	out := []string{fmt.Sprintf("time: arc %.1f s, pierce %.1f s, touch-off %.1f s, up and down %.1f s, rapid %.1f s, %d pauses", t.ArcOn, t.Pierce, t.Probe, t.Raise, t.Rapid, t.Pauses)}
	if r.HoldShare > 0 {
		out = append(out, fmt.Sprintf("height: held on %.0f %% of the cut", 100*r.HoldShare))
	}
	if p := r.Pieces; p != nil {
		out = append(out, fmt.Sprintf("pieces: %d of %d done before, %d in this run", p.Done, p.Of, p.Run))
	}
	if r.Raised+r.Round > 0 {
		out = append(out, fmt.Sprintf("loose pieces: %d rapids raised over them, %d led round them, %.1f s more than straight", r.Raised, r.Round, r.ExtraTime))
	}
	if r.Trimmed != "" {
		out = append(out, "trim: the plate is cut off at "+r.Trimmed+", last")
	}
	if x := r.Shared; x != nil {
		out = append(out, "shared edges: "+x.In(unit.MM))
	}
	if r.TouchOffsSaved > 0 {
		out = append(out, fmt.Sprintf("touch-off: %d of %d cuts use an earlier one, %.1f s saved", r.TouchOffsSaved, r.Pierces, r.TouchOffTimeSaved))
	}
	if r.Hot > 0 {
		out = append(out, fmt.Sprintf("heat: %d pairs of cuts are nearer than asked", r.Hot))
	}
	if r.Cost != nil {
		for _, l := range r.Cost.Lines() {
			out = append(out, strings.TrimSpace(l.Name+": "+l.Figure))
		}
	}
	return out
}

// Table prints a proof.
func (r Proof) Table(w io.Writer) error {
	verdict := "the program is proved"
	if !r.OK {
		verdict = "the program is NOT proved"
	}
	fmt.Fprintf(w, "%s: worst gouge %.4f mm, worst uncut %.4f mm, %d findings\n", verdict, r.WorstGouge, r.Uncut, len(r.Findings))
	if len(r.Findings) == 0 {
		return nil
	}
	rows := [][]string{{"line", "feature", "finding"}}
	for _, f := range r.Findings {
		line := fmt.Sprint(f.Line)
		if f.File != "" {
			line = f.File + ":" + line
		}
		rows = append(rows, []string{line, f.Feature, f.Text})
	}
	return table(w, rows)
}

// In says in a few words what shared edges save.
func (x SharedEdges) In(u unit.System) string {
	text := fmt.Sprintf("%d parted by one cut each: %s and %s of cutting less", x.Edges, u.Length(x.Length), unit.Duration(x.Time))
	if x.Pierces > 0 {
		text += fmt.Sprintf(", %d more pierces", x.Pierces)
	}
	return text
}
