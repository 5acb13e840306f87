package report

import (
	"fmt"
	"io"

	"example.org/kerfwright/planner/plain"
)

// Profile is one machine profile.
type Profile struct {
	Name         string   `json:"name"`
	TravelX      float64  `json:"travel_x_mm"`
	TravelY      float64  `json:"travel_y_mm"`
	Units        string   `json:"units"`            // of its programs
	SensorOffset *float64 `json:"sensor_offset_mm"` // null: not known
	Notes        string   `json:"notes"`
}

// Profiles is a list of them.
type Profiles struct {
	Profiles []Profile `json:"profiles"`
}

// Table prints the list for a person.
func (r Profiles) Table(w io.Writer) error {
	rows := [][]string{{"profile", "table mm", "program", "sensor offset", "notes"}}
	for _, p := range r.Profiles {
		offset := "not known"
		if p.SensorOffset != nil {
			offset = fmt.Sprintf("%.2f mm", *p.SensorOffset)
		}
		rows = append(rows, []string{p.Name, fmt.Sprintf("%.0f x %.0f", p.TravelX, p.TravelY), p.Units, offset, p.Notes})
	}
	return table(w, rows)
}

// Calibration is what readings of a sensor offset say.
type Calibration struct {
	Profile  string  `json:"profile"`
	Readings int     `json:"readings"`
	Mean     float64 `json:"mean_mm"`
	Spread   float64 `json:"spread_mm"` // standard deviation of one reading
	Within   float64 `json:"within_mm"` // of the mean, 95 of 100
	Text     string  `json:"text"`
	File     string  `json:"file,omitempty"` // of the store, if it was kept
}

// Table prints it for a person.
func (r Calibration) Table(w io.Writer) error {
	fmt.Fprintf(w, "%s: %d readings, mean %.3f mm, spread %.3f mm: %s\n", plain.Clean(r.Profile), r.Readings, r.Mean, r.Spread, r.Text)
	if r.File != "" {
		fmt.Fprintf(w, "kept in %s; touch off on scrap and measure the height before the next cut\n", r.File)
	}
	return nil
}
