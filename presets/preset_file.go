package presets

import (
	"fmt"
	"slices"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Formats of the store's files. A file without a number is of format 1, which
// had no provenance, no range and no notes; it is read as ever, and becomes
// format 2 when it is next saved. Its old text is then in its history.
const (
	presetFormat  = 2
	machineFormat = 1
	holesFormat   = 1
)

// Preset is one way to cut one thickness of one material.
type Preset struct {
	Material  job.Material
	Thickness float64 // mm
	Process   job.Process
	Own       bool   // from the user's folder
	File      string // of the store, such as process/mild-steel-45a-3mm.toml; "" is embedded

	From, To float64    // mm of thickness over which it holds as it is; 0 is its own thickness
	By       plain.Text // who entered or measured it
	At       string     // RFC 3339, when; "" is unknown
	Notes    plain.Text
	Retired  bool // kept, but no longer offered
	Figures  []Figure
}

// Figure says of one figure of a preset how well it is known and where it
// came from, if that differs from the rest.
type Figure struct {
	Of     string     // key of the process, such as "kerf"
	Within float64    // half width of the interval that holds it in 95 of 100 cases; mm, mm/min, s or V
	From   plain.Text // how it was found
	By     plain.Text
	At     string // RFC 3339
}

// figureFields are the figures that may be known within something.
func figureFields() []string {
	return []string{"feed", "kerf", "pierce_height", "cut_height", "pierce_delay", "volts", "taper"}
}

// within returns the field that a figure's uncertainty is held to.
func within(of string) job.Field {
	switch of {
	case "feed":
		return job.WithinFeed
	case "pierce_delay":
		return job.WithinTime
	case "volts":
		return job.WithinVolts
	}
	return job.WithinLength
}

// Figure returns what is known of one figure; ok is false if nothing is.
func (p Preset) Figure(of string) (f Figure, ok bool) {
	i := slices.IndexFunc(p.Figures, func(f Figure) bool { return f.Of == of })
	if i < 0 {
		return Figure{}, false
	}
	return p.Figures[i], true
}

// WithFigure returns the preset with what is known of one figure replaced.
func (p Preset) WithFigure(f Figure) Preset {
	p.Figures = slices.DeleteFunc(slices.Clone(p.Figures), func(g Figure) bool { return g.Of == f.Of })
	p.Figures = append(p.Figures, f)
	order := figureFields()
	slices.SortStableFunc(p.Figures, func(a, b Figure) int { return slices.Index(order, a.Of) - slices.Index(order, b.Of) })
	return p
}

// Holds reports whether the preset is for a thickness in mm as it stands.
func (p Preset) Holds(thickness float64) bool {
	if sameThickness(p.Thickness, thickness) {
		return true
	}
	return p.From > 0 && p.To > 0 && (p.From <= thickness || sameThickness(p.From, thickness)) && (thickness <= p.To || sameThickness(p.To, thickness))
}

// Name returns what a preset is called if nobody has named it.
func (p Preset) Name() string {
	return fmt.Sprintf("%s %s A %s mm", p.Material, unit.Shortest(p.Process.Amps), unit.Shortest(p.Thickness))
}

// cuts reports whether p and q are presets for the same cut.
func (p Preset) cuts(q Preset) bool {
	return p.Material == q.Material && p.Process.Amps == q.Process.Amps && sameThickness(p.Thickness, q.Thickness)
}

// decodePresets reads a file of [[presets]].
func decodePresets(file string, text []byte) ([]Preset, fault.List) {
	var units unit.System
	var found []Preset
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shapePresets(f, &units, &found) })
	return found, faults
}

func encodePresets(head []string, units unit.System, all []Preset) ([]byte, fault.List) {
	return jobfile.Write(head, func(f *jobfile.Form) { shapePresets(f, &units, &all) })
}

func shapePresets(f *jobfile.Form, units *unit.System, all *[]Preset) {
	if _, ok := f.Version(presetFormat); !ok {
		return
	}
	f.Units(units)
	jobfile.Tables(f, "presets", all, func(p *Preset) {
		material := string(p.Material)
		f.Must("material", &material, func(s string) error {
			if !slices.Contains(job.Materials(), job.Material(s)) {
				return fmt.Errorf("must be one of: %v", job.Materials())
			}
			return nil
		})
		p.Material = job.Material(material)
		f.Given("thickness", &p.Thickness, job.StockThickness)
		f.Number("holds_from", &p.From, job.StockThickness)
		f.Number("holds_to", &p.To, job.StockThickness)
		jobfile.ShapeProcess(f, &p.Process)
		if p.Process.Amps == 0 {
			f.Missing("amps")
		}
		if p.Process.Preset.Empty() {
			p.Process.Preset = plain.Of(p.Name())
		}
		f.Text("by", &p.By)
		f.Moment("at", &p.At)
		f.Text("notes", &p.Notes)
		f.Flag("retired", &p.Retired)
		jobfile.Rows(f, "figures", &p.Figures, func(g *Figure) {
			f.Must("of", &g.Of, func(s string) error {
				if !slices.Contains(figureFields(), s) {
					return fmt.Errorf("must be one of: %v", figureFields())
				}
				return nil
			})
			if slices.Contains(figureFields(), g.Of) {
				f.Given("within", &g.Within, within(g.Of))
			}
			f.Text("from", &g.From)
			f.Text("by", &g.By)
			f.Moment("at", &g.At)
		})
		if (p.From > 0 || p.To > 0) && !(p.From <= p.Thickness && p.Thickness <= p.To) {
			f.Refuse("holds_from", "preset-range", "the range over which a preset holds must hold its own thickness: give holds_from and holds_to on both sides of it")
		}
	})
}

// ExportPresets writes presets as one file to share. What is this shop's own
// business, such as files, stays out.
func ExportPresets(all []Preset, units unit.System) ([]byte, fault.List) {
	return encodePresets([]string{
		"Process presets of a shop. Another shop's figures are starting values here: prove",
		"them with a test cut. Read them with: kerfwright preset import FILE",
	}, units, all)
}

// ImportPresets reads presets that somebody shared. None of them was ever cut
// with here: each becomes a starting value, and says what it was there.
func ImportPresets(file string, text []byte) ([]Preset, fault.List) {
	all, faults := decodePresets(file, text)
	for i := range all {
		p := &all[i]
		was := "not said"
		if p.Process.State != "" {
			was = string(p.Process.State)
		}
		note := fmt.Sprintf("imported from %s; there: %s", plain.Clean(file), was)
		if !p.Process.Source.Empty() {
			note += "; " + p.Process.Source.String()
		}
		p.Process.Source = plain.Of(clip(note))
		p.Process.State = job.Starting
	}
	return all, faults
}

// clip keeps a text to what a file may hold.
func clip(s string) string {
	const most = 900 // runes; a file's text may have 1000
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}
