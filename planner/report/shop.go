package report

import (
	"fmt"
	"io"
	"strconv"

	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// Preset is one process preset.
type Preset struct {
	Name      string  `json:"name"`
	Material  string  `json:"material"`
	Thickness float64 `json:"thickness_mm"`
	Amps      float64 `json:"amps"`
	Feed      float64 `json:"feed_mm_min"`
	Kerf      float64 `json:"kerf_mm"`
	State     string  `json:"state"`
	Own       bool    `json:"own"` // the shop's own
	Retired   bool    `json:"retired"`
	File      string  `json:"file,omitempty"` // of the store

	ThicknessText, FeedText, KerfText string `json:"-"` // in the units asked for
}

// Presets is a list of them.
type Presets struct {
	Presets []Preset `json:"presets"`
}

func presetRows(all []Preset) [][]string {
	rows := [][]string{{"material", "thickness", "current", "feed", "kerf", "trust", "whose"}}
	for _, p := range all {
		whose, state := "shipped", p.State
		if p.Own {
			whose = "own"
		}
		if p.Retired {
			state = "retired"
		}
		rows = append(rows, []string{p.Material, p.ThicknessText, unit.Number(p.Amps, 1) + " A", p.FeedText, p.KerfText, state, whose})
	}
	return rows
}

// Table prints the list for a person.
func (r Presets) Table(w io.Writer) error {
	if len(r.Presets) == 0 {
		fmt.Fprintln(w, "no preset is like that")
		return nil
	}
	return table(w, presetRows(r.Presets))
}

// Pair is one figure with its name.
type Pair struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// PresetShown is one preset in full with those that it lies between.
type PresetShown struct {
	Preset Preset   `json:"preset"`
	Note   string   `json:"note"`
	Lines  []Pair   `json:"lines"`
	Beside []Preset `json:"beside"`
}

// Table prints it for a person.
func (r PresetShown) Table(w io.Writer) error {
	fmt.Fprintln(w, plain.Clean(r.Preset.Name)+": "+r.Note)
	var rows [][]string
	for _, l := range r.Lines {
		rows = append(rows, []string{l.Name, l.Value})
	}
	if err := table(w, rows); err != nil || len(r.Beside) < 2 {
		return err
	}
	fmt.Fprintln(w, "between:")
	return table(w, presetRows(r.Beside))
}

// Difference is one figure in which two things differ.
type Difference struct {
	Name string `json:"name"`
	A    string `json:"a"`
	B    string `json:"b"`
}

// Comparison is in what two presets differ.
type Comparison struct {
	A           string       `json:"a"`
	B           string       `json:"b"`
	Differences []Difference `json:"differences"`
}

// Table prints it for a person.
func (r Comparison) Table(w io.Writer) error {
	rows := [][]string{{"", r.A, r.B}}
	for _, d := range r.Differences {
		rows = append(rows, []string{d.Name, d.A, d.B})
	}
	return table(w, rows)
}

// Shared says what was exported or imported.
type Shared struct {
	File    string   `json:"file"`
	Presets int      `json:"presets"`
	Names   []string `json:"names"`
	Kept    []string `json:"kept,omitempty"` // the shop's own, left as they are
}

// Table prints it for a person.
func (r Shared) Table(w io.Writer) error {
	fmt.Fprintf(w, "%s: %d presets taken, as starting values\n", plain.Clean(r.File), r.Presets)
	for _, n := range r.Names {
		fmt.Fprintln(w, "  taken  "+plain.Clean(n))
	}
	for _, n := range r.Kept {
		fmt.Fprintln(w, "  the shop has its own, kept (--replace takes this one)  "+plain.Clean(n))
	}
	return nil
}

// Change is one figure that the cut log would change.
type Change struct {
	Figure string `json:"figure"`
	Was    string `json:"was"`
	Now    string `json:"now"`
	Why    string `json:"why"`
}

// Proposal is what the cut log says of a preset.
type Proposal struct {
	Preset   string   `json:"preset"`
	Runs     int      `json:"runs"`
	Changes  []Change `json:"changes"`
	Told     []string `json:"told"`
	Accepted bool     `json:"accepted"`
	File     string   `json:"file,omitempty"`
}

// Table prints it for a person.
func (r Proposal) Table(w io.Writer) error {
	fmt.Fprintf(w, "%s, from %d runs in the cut log\n", plain.Clean(r.Preset), r.Runs)
	rows := [][]string{{"figure", "is", "proposed", "because"}}
	for _, c := range r.Changes {
		rows = append(rows, []string{c.Figure, c.Was, c.Now, c.Why})
	}
	if len(r.Changes) > 0 {
		if err := table(w, rows); err != nil {
			return err
		}
	} else {
		fmt.Fprintln(w, "  nothing to change")
	}
	warnings(w, r.Told)
	switch {
	case r.Accepted:
		fmt.Fprintf(w, "accepted; what stood there is in the history of %s\n", r.File)
	case len(r.Changes) > 0:
		fmt.Fprintln(w, "To take it over: the same call with --accept --by NAME")
	}
	return nil
}

// Run is one entry of the cut log.
type Run struct {
	ID       string  `json:"id"`
	Job      string  `json:"job"`
	At       string  `json:"at"`
	Starts   int     `json:"starts"`
	ArcOn    float64 `json:"arc_on_s"`
	Set      string  `json:"set"`
	Measured int     `json:"measured"`
	Looked   int     `json:"looked"`
}

// Runs is the cut log.
type Runs struct {
	Runs []Run `json:"runs"`
}

// Table prints it for a person.
func (r Runs) Table(w io.Writer) error {
	if len(r.Runs) == 0 {
		fmt.Fprintln(w, "the cut log is empty")
		return nil
	}
	rows := [][]string{{"when", "job", "starts", "arc", "consumables", "sizes", "edges"}}
	for _, x := range r.Runs {
		rows = append(rows, []string{x.At, x.Job, strconv.Itoa(x.Starts), unit.Duration(x.ArcOn), x.Set, strconv.Itoa(x.Measured), strconv.Itoa(x.Looked)})
	}
	return table(w, rows)
}

// Set is one set of consumables.
type Set struct {
	Name   string  `json:"name"`
	Fitted string  `json:"fitted"`
	Ended  string  `json:"ended,omitempty"`
	Why    string  `json:"why,omitempty"`
	Starts int     `json:"starts"`
	ArcOn  float64 `json:"arc_on_s"`
}

// Consumables is every set, the one fitted last first.
type Consumables struct {
	Sets       []Set   `json:"sets"`
	Worn       int     `json:"worn"` // sets that the life rests on
	LifeStarts float64 `json:"life_starts,omitempty"`
	LifeHours  float64 `json:"life_arc_h,omitempty"`
	CountOn    string  `json:"count_on,omitempty"`
}

// Table prints it for a person.
func (r Consumables) Table(w io.Writer) error {
	if len(r.Sets) == 0 {
		fmt.Fprintln(w, "no set of consumables is entered: kerfwright consumables --fit NAME")
		return nil
	}
	rows := [][]string{{"set", "fitted", "ended", "starts", "arc"}}
	for _, s := range r.Sets {
		end := "on the torch"
		if s.Ended != "" {
			end = s.Ended + ", " + s.Why
		}
		rows = append(rows, []string{s.Name, s.Fitted, end, strconv.Itoa(s.Starts), unit.Duration(s.ArcOn)})
	}
	if err := table(w, rows); err != nil {
		return err
	}
	if r.Worn > 0 {
		fmt.Fprintf(w, "%d worn sets lasted %s starts and %s h of arc on average; %s\n", r.Worn, unit.Number(r.LifeStarts, 0), unit.Number(r.LifeHours, 1), r.CountOn)
	} else {
		fmt.Fprintln(w, "no set was worn out yet: how long one lasts is not known")
	}
	return nil
}
