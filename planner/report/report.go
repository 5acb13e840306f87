// Package report holds what the commands print, as the structs of their JSON
// contract and as tables for people. Lengths are mm,
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

	Why       string   `json:"why,omitempty"`              // the reason for the rule
	Square    string   `json:"square_side,omitempty"`      // side of the cut that is square: part or scrap
	Spread    *float64 `json:"spread_mm,omitempty"`        // how far from square its face is expected to be (ISO 9013)
	Deviation *float64 `json:"deviation_mm,omitempty"`     // plus or minus, expected of its size (ISO 9013)
	Wanted    *float64 `json:"tolerance_mm,omitempty"`     // plus or minus, wanted
	Advice    string   `json:"tolerance_advice,omitempty"` // if that is not expected
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
	HoldShare   float64  `json:"hold_share"` // part of the cut length over which height is held
	Files       []string `json:"files"`
	Cuts        []Cut    `json:"cuts"`
	Warnings    []string `json:"warnings"`

	// RapidGap is how much longer the rapids are than the bound, as a part of
	// the bound; nil if the bound is 0.
	RapidGap          *float64 `json:"rapid_gap,omitempty"`
	Hot               int      `json:"hot_pairs,omitempty"` // of cuts nearer than the heat spread asks
	Raised            int      `json:"rapids_raised"`
	Round             int      `json:"rapids_round"`
	ExtraTime         float64  `json:"rapid_extra_s"` // what both take more than straight ways at travel height
	TouchOffsSaved    int      `json:"touch_offs_saved"`
	TouchOffTimeSaved float64  `json:"touch_off_saved_s"`
	Plate             int      `json:"plate,omitempty"`  // this one, where the job has more than one
	Plates            int      `json:"plates,omitempty"` // of the job
	Others            []Plan   `json:"other_plates,omitempty"`
	Before            int      `json:"cuts_before,omitempty"` // of the job, made already
	Pieces            *Pieces  `json:"pieces,omitempty"`
	Times             Times    `json:"times"`
	Cost              *Cost    `json:"cost,omitempty"`

	Alignment *Alignment   `json:"alignment,omitempty"` // how the stock lies, if it was measured
	Trimmed   string       `json:"trimmed,omitempty"`   // where the skeleton is cut off behind the last part
	Shared    *SharedEdges `json:"shared,omitempty"`    // edges that one cut parts
}

// SharedEdges is what edges that two parts share save against cutting every part
// all round.
type SharedEdges struct {
	Edges   int     `json:"edges"`
	Length  float64 `json:"cut_length_saved_mm"`
	Time    float64 `json:"time_saved_s"` // along the edge, at its feed
	Pierces int     `json:"pierces_added"`
}

// Times is how the time of a cut, or of a plan, is made up, s. Pauses are
// counted; how long the operator takes in them is not known here.
type Times struct {
	ArcOn  float64 `json:"arc_on_s"`
	Pierce float64 `json:"pierce_s"`
	Probe  float64 `json:"probe_s"`
	Raise  float64 `json:"raise_s"`
	Rapid  float64 `json:"rapid_s"`
	Pauses int     `json:"pauses"`
}

// Pieces is how far a job in a fixture has come.
type Pieces struct {
	Done int `json:"done"` // in earlier runs
	Run  int `json:"run"`  // in this one
	Of   int `json:"of"`
}

// Cost is what a job takes besides time. Null is not known, never nothing.
type Cost struct {
	Currency  string   `json:"currency"`
	Gas       *float64 `json:"gas_l"` // while the arc burns
	ArcEnergy *float64 `json:"arc_kwh"`
	Mains     *float64 `json:"mains_kwh"`
	Starts    int      `json:"starts"`
	Lit       float64  `json:"lit_s"`
	Wear      *float64 `json:"set_life_used"` // part of a set's life
	WearAfter *float64 `json:"set_life_after"`
	RunsOut   *RunsOut `json:"set_runs_out,omitempty"`

	StockKg *float64 `json:"stock_kg"`
	UsedKg  *float64 `json:"used_kg"`
	PartsKg *float64 `json:"parts_kg"`
	ScrapKg *float64 `json:"scrap_kg"`
	Yield   *float64 `json:"yield"`

	Left  bool       `json:"left,omitempty"` // of what is left of a job that was taken up again
	Items []CostItem `json:"items"`
	Known float64    `json:"known"`
	Total *float64   `json:"total"`
	Parts []CostPart `json:"parts"`
}

// RunsOut says where the set of consumables reaches its expected life.
type RunsOut struct {
	Cut    int    `json:"cut"`
	Part   string `json:"part"`
	Before int    `json:"change_before_cut"`
	By     string `json:"by"`
}

// CostItem is one kind of cost.
type CostItem struct {
	Name  string   `json:"name"`
	Money *float64 `json:"money"`
}

// CostPart is one part of the job, all its copies.
type CostPart struct {
	Part  string   `json:"part"`
	Name  string   `json:"name"`
	Count int      `json:"count"`
	Kg    *float64 `json:"kg"`
	Time  float64  `json:"time_s"`
	Price *float64 `json:"price"`
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
	Square    string     `json:"square_side"`    // side of the cut that is square: part or scrap
	HoldShare float64    `json:"hold_share"`     // part of its length over which height is held
	File      string     `json:"file,omitempty"` // the program that its lines are of
	FirstLine int        `json:"first_line"`
	LastLine  int        `json:"last_line"`
	Rapid     string     `json:"rapid"`         // how the torch comes here
	Extra     float64    `json:"rapid_extra_s"` // what that takes more than straight at travel height
	TouchOff  bool       `json:"touch_off"`
	Time      float64    `json:"time_s"`
	Times     Times      `json:"times"`
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
	File    string `json:"file,omitempty"` // the program, where the job has several
	Line    int    `json:"line"`
	Feature string `json:"feature"`
	Text    string `json:"text"`
}
