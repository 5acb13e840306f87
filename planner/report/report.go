// Package report holds what the commands print, as the structs of their JSON
// contract (design.md section 9) and as tables for people. Lengths are mm,
// areas mm2, times s, whatever the job's units. Field names are stable.
package report

// Inspect is the answer of `inspect --json`.
type Inspect struct {
	Units    string    `json:"units"`
	Loops    int       `json:"loops"`
	Area     float64   `json:"area_mm2"`
	Features []Feature `json:"features"`
	Open     int       `json:"open"`
	Warnings []string  `json:"warnings"`
}

// Feature is one feature of a drawing.
type Feature struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"`
	Rule     string   `json:"rule,omitempty"`
	Area     float64  `json:"area_mm2"`
	Width    float64  `json:"width_mm"`
	Height   float64  `json:"height_mm"`
	Diameter *float64 `json:"diameter_mm,omitempty"`
}

// New is the answer of `new --json`.
type New struct {
	Job      string    `json:"job"`
	Features []Feature `json:"features"`
	Warnings []string  `json:"warnings"`
}

// Plan is the answer of `plan --json`.
type Plan struct {
	CutLength   float64  `json:"cut_length_mm"`
	RapidLength float64  `json:"rapid_length_mm"`
	RapidBound  float64  `json:"rapid_lower_bound_mm"`
	Pierces     int      `json:"pierces"`
	Time        float64  `json:"time_s"`
	Files       []string `json:"files"`
	Cuts        []Cut    `json:"cuts"`
	Warnings    []string `json:"warnings"`
}

// Cut is one cut of a plan, in order.
type Cut struct {
	N         int        `json:"n"`
	Part      string     `json:"part"`
	Feature   string     `json:"feature"`
	Kind      string     `json:"kind"`
	Kerf      float64    `json:"kerf_mm"`
	Pierce    [2]float64 `json:"pierce_mm"`
	Clearance float64    `json:"clearance_mm"`
	FirstLine int        `json:"first_line"`
	LastLine  int        `json:"last_line"`
}

// Proof is the answer of `proof --json`.
type Proof struct {
	OK         bool      `json:"ok"`
	WorstGouge float64   `json:"worst_gouge_mm"`
	Uncut      float64   `json:"uncut_mm"`
	Findings   []Finding `json:"findings"`
}

// Finding is one thing that the proof objects to.
type Finding struct {
	Line    int    `json:"line"`
	Feature string `json:"feature"`
	Text    string `json:"text"`
}
