package presets

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

const (
	remnantsFolder = "remnants"
	remnantFormat  = 1
)

// Remnant is what was left of a plate and went back to the rack.
type Remnant struct {
	Name      plain.Text // written on the metal
	Material  job.Material
	Surface   job.Surface
	Thickness float64 // mm
	Outline   [][]job.OutlinePoint
	Grain     job.Opt    // rad from X, the way it was rolled
	Kept      string     // RFC 3339, when it was put away
	Job       plain.Text // that it is left from
	Used      string     // RFC 3339, when it was used up; "" is in the rack
}

func shapeRemnant(f *jobfile.Form, r *Remnant, u *unit.System) {
	if _, ok := f.Version(remnantFormat); !ok {
		return
	}
	f.Units(u)
	name := r.Name.String()
	f.Must("name", &name, nil)
	r.Name = plain.Of(name)
	jobfile.Word(f, "material", &r.Material, job.Materials())
	jobfile.Word(f, "surface", &r.Surface, job.Surfaces())
	f.Number("thickness", &r.Thickness, job.StockThickness)
	f.Opt("grain", &r.Grain, job.StockGrain)
	f.Moment("kept", &r.Kept)
	f.Moment("used", &r.Used)
	f.Text("job", &r.Job)
	f.Rings("outline", &r.Outline)
}

// LeftOf makes remnants of what is left of a job's plate, given by the edges of
// its pieces: the first under the label, further ones with a letter behind it.
// when is RFC 3339.
func LeftOf(j job.Job, pieces [][]geom.Path, label, when string) []Remnant {
	var out []Remnant
	for i, piece := range pieces {
		r := Remnant{Material: j.Stock.Material, Surface: j.Stock.Surface, Thickness: j.Stock.Thickness, Grain: j.Stock.Grain, Job: j.Name,
			Outline: layout.RingsOf(piece), Kept: when}
		if label != "" {
			if r.Name = plain.Of(label); i > 0 {
				r.Name = plain.Of(fmt.Sprintf("%s %c", label, 'a'+rune(min(i, 25))))
			}
		}
		out = append(out, r)
	}
	return out
}

// DecodeRemnant reads a remnant.
func DecodeRemnant(file string, text []byte) (Remnant, fault.List) {
	var r Remnant
	u := unit.MM
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shapeRemnant(f, &r, &u) })
	if !faults.Bad() && len(r.Outline) == 0 {
		faults.Errorf(fault.Where{File: file}, "remnant-outline", "Save it again from its job.", "it has no outline")
	}
	return r, faults
}

// SaveRemnant keeps a remnant in place of the one of its name.
func (s Store) SaveRemnant(r Remnant, units unit.System) (Saved, error) {
	text, faults := jobfile.Write([]string{"What was left of a plate: its outline with its cut-outs, corner by corner."},
		func(f *jobfile.Form) { shapeRemnant(f, &r, &units) })
	if faults.Bad() {
		return Saved{}, fmt.Errorf("save the remnant: %w", faults.Err())
	}
	return s.keep(remnantsFolder, slug(r.Name.String()), func(name string, text []byte) standing {
		old, faults := DecodeRemnant(name, text)
		switch {
		case faults.Bad():
			return broken
		case old.Name == r.Name:
			return same
		}
		return other
	}, func() ([]byte, error) { return text, nil })
}

// Remnants reads every remnant, the one put away last first.
func (s Store) Remnants() ([]Remnant, fault.List) {
	var all []Remnant
	var faults fault.List
	each(os.DirFS(s.root), remnantsFolder, &faults, func(name string, text []byte) fault.List {
		r, faults := DecodeRemnant(name, text)
		if !faults.Bad() {
			all = append(all, r)
		}
		return faults
	})
	slices.SortStableFunc(all, func(a, b Remnant) int { return moment(b.Kept).Compare(moment(a.Kept)) })
	return all, s.placed(faults)
}

// thicknessAlike is how far two thicknesses may differ to be of one gauge,
// mm: plates are measured, not cut, to their thickness. Common practice, no
// source.
const thicknessAlike = 0.3

// Fits reports whether a remnant is in the rack and of the metal wanted.
func (r Remnant) Fits(s job.Stock) bool {
	return r.Used == "" && (s.Material == "" || r.Material == s.Material) && (s.Thickness == 0 || math.Abs(r.Thickness-s.Thickness) <= thicknessAlike)
}

// Named finds a remnant by its name, whatever the case of its letters.
func Named(all []Remnant, name string) (Remnant, bool) {
	i := slices.IndexFunc(all, func(r Remnant) bool { return strings.EqualFold(r.Name.String(), strings.TrimSpace(name)) })
	if i < 0 {
		return Remnant{}, false
	}
	return all[i], true
}

// Stock puts the remnant on the table: its outline, metal and grain.
func (r Remnant) Stock(s job.Stock) job.Stock {
	s.Outline, s.Shape, s.Width, s.Height, s.Sheets = r.Outline, nil, 0, 0, 0
	s.From, s.Grain = r.Name, r.Grain
	if r.Material != "" {
		s.Material = r.Material
	}
	if r.Thickness > 0 {
		s.Thickness = r.Thickness
	}
	if r.Surface != "" {
		s.Surface = r.Surface
	}
	return s
}
