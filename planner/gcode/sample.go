package gcode

import (
	"bytes"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Sample writes a short program through a profile, for a person who makes the
// profile: one hole with its height hold, and a pause before a straight cut.
// It is for reading only and says so. A profile that Check refuses gives the
// reasons instead of a program.
func Sample(m job.Machine) []string {
	if wrong := Problems(m); len(wrong) > 0 {
		out := []string{"no program yet:"}
		for _, p := range wrong {
			out = append(out, p.What+". "+p.Do)
		}
		return out
	}
	for _, v := range []*float64{&m.Reach, &m.SafeZ, &m.TravelZ, &m.ProbeFeed, &m.ProbeSearch, &m.RapidZ} {
		if *v <= 0 {
			*v = 1 // not entered yet: the text is for its form
		}
	}
	circle := geom.Circle(geom.Pt(50, 40), 10)
	hole := geom.FromSegs(append([]geom.Seg{geom.Line(geom.Pt(50, 40), circle.Start())}, circle.Segs()...), false)
	side := geom.Path{V: []geom.Vertex{{P: geom.Pt(90, 10)}, {P: geom.Pt(90, 70)}}}
	text, _, err := Write(Input{
		Machine: m, Name: "sample, not for cutting", Stock: "mild steel 6 mm", Origin: "lower left corner", Process: "45 A", Amps: 45, Fit: 0.01, Time: 12,
		Cuts: []Cut{
			{Label: "p1.h1 hole", Path: hole, Holds: []Span{{From: 0, To: hole.Length()}}, Feed: 600, PierceHeight: 3, CutHeight: 1.5, PierceDelay: 0.5, TouchOff: true, Lift: m.TravelZ},
			{Label: "p1.outline side", Path: side, Holds: []Span{{From: 0, To: 5}}, Feed: 1000, PierceHeight: 3, CutHeight: 1.5, PierceDelay: 0.5, TouchOff: true, Lift: m.SafeZ, Pause: "look at the hole"},
		},
	})
	if err != nil {
		return []string{"no program yet:", err.Error()}
	}
	return strings.Split(string(bytes.ReplaceAll(bytes.TrimRight(text, "\r\n"), []byte("\r"), nil)), "\n")
}
