package presets

import (
	"strconv"
	"strings"
	"sync"

	"example.org/kerfwright/planner/unit"
)

// Gauge is one thickness that a sheet gauge number may mean.
type Gauge struct {
	Number    int
	System    string  // stable id, such as "galvanised"
	Name      string  // of the list, for people
	Thickness float64 // mm
	Inch      float64
	Source    string
}

type gaugeFile struct {
	System []struct {
		ID     string `toml:"id"`
		Name   string `toml:"name"`
		Source string `toml:"source"`
		Mark   string `toml:"mark"`
		Rows   []struct {
			Gauge int     `toml:"gauge"`
			Inch  float64 `toml:"inch"`
		} `toml:"rows"`
	} `toml:"system"`
}

var gaugeTable = sync.OnceValue(func() gaugeFile {
	var f gaugeFile
	mustRead("materials/gauges.toml", &f)
	return f
})

// Gauges returns every thickness that a gauge number may mean, one for each
// list that has it; none outside 7 to 20. It never chooses: the lists differ
// by up to a quarter, and only the operator knows which one the sheet was
// sold by.
func Gauges(number int) []Gauge {
	var all []Gauge
	for _, s := range gaugeTable().System {
		for _, r := range s.Rows {
			if r.Gauge == number {
				all = append(all, Gauge{number, s.ID, s.Name, unit.Inch.ToMM(r.Inch), r.Inch, s.Source + "; " + s.Mark})
			}
		}
	}
	return all
}

// ParseGauge recognises a gauge number as people type it: "16ga", "16 gauge",
// "16 ga.". It says nothing about a thickness.
func ParseGauge(typed string) (number int, ok bool) {
	t := strings.TrimSpace(strings.ToLower(typed))
	for _, suffix := range []string{"gauge", "gage", "ga.", "ga"} {
		if n, found := strings.CutSuffix(t, suffix); found {
			v, err := strconv.Atoi(strings.TrimSpace(n))
			return v, err == nil && v > 0 && v < 100
		}
	}
	return 0, false
}
