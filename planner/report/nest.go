package report

import (
	"fmt"
	"io"

	"example.org/kerfwright/planner/plain"
)

// Nest is the answer of `nest --json`.
type Nest struct {
	Job      string    `json:"job"`
	How      string    `json:"how"` // nest, pairs or rows
	Plates   int       `json:"plates"`
	Used     []float64 `json:"used_mm"` // along X, of each plate
	Density  float64   `json:"density"` // area of the parts over that of the lengths used
	Rounds   int       `json:"rounds"`
	Gap      float64   `json:"gap_mm"`
	Places   []Place   `json:"places"`
	Warnings []string  `json:"warnings"`
}

// Place is one copy on a plate; angle in rad.
type Place struct {
	Drawing int     `json:"drawing"` // from 1
	Plate   int     `json:"plate"`
	X       float64 `json:"x_mm"`
	Y       float64 `json:"y_mm"`
	Angle   float64 `json:"angle_rad"`
	Mirror  bool    `json:"mirror,omitempty"`
	Lock    bool    `json:"lock,omitempty"`
}

// Table writes a nest for people.
func (r Nest) Table(w io.Writer) error {
	fmt.Fprintf(w, "%d parts on %d plates by %s: parts take %.1f %% of the length used, %.1f mm between parts\n", len(r.Places), r.Plates, r.How, 100*r.Density, r.Gap)
	for i, l := range r.Used {
		fmt.Fprintf(w, "plate %d: used to X %.1f mm\n", i+1, l)
	}
	fmt.Fprintf(w, "wrote %s; plan writes the programs\n", plain.Clean(r.Job))
	warnings(w, r.Warnings)
	return nil
}

// Remnants is the answer of `remnant --json`.
type Remnants struct {
	All      []Remnant `json:"remnants"`
	Warnings []string  `json:"warnings"`
}

// Remnant is one piece of plate.
type Remnant struct {
	Name      string  `json:"name"`
	Material  string  `json:"material"`
	Thickness float64 `json:"thickness_mm"`
	Width     float64 `json:"width_mm"`
	Height    float64 `json:"height_mm"`
	Area      float64 `json:"area_mm2"`
	Kept      string  `json:"kept"`
	Job       string  `json:"job"`
	File      string  `json:"file,omitempty"`
}

// Table writes the remnants for people.
func (r Remnants) Table(w io.Writer) error {
	rows := [][]string{{"name", "metal", "mm thick", "within mm", "dm2", "kept", "from job"}}
	for _, x := range r.All {
		name := x.Name
		if name == "" {
			name = "(not kept: give --name)"
		}
		kept := x.Kept
		if len(kept) > 10 {
			kept = kept[:10]
		}
		rows = append(rows, []string{name, x.Material, fmt.Sprintf("%.4g", x.Thickness), fmt.Sprintf("%.0f x %.0f", x.Width, x.Height),
			fmt.Sprintf("%.1f", x.Area/1e4), kept, x.Job})
	}
	if len(r.All) == 0 {
		fmt.Fprintln(w, "no piece of plate worth keeping")
	} else if err := table(w, rows); err != nil {
		return err
	}
	for _, x := range r.All {
		if x.File != "" {
			fmt.Fprintf(w, "wrote %s\n", plain.Clean(x.File))
		}
	}
	warnings(w, r.Warnings)
	return nil
}
