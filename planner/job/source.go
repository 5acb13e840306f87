package job

import (
	"math"
	"strings"
)

// sources says where the limits of a field come from, if from anywhere.
var sources = map[Field]string{
	ProcessAmps:      shades,
	MarkAmps:         shades,
	MachineMaxAmps:   shades,
	RulesCutRange:    "ISO 9013, ranges of perpendicularity",
	RulesTolerance:   written,
	RulesProofWithin: written,
	LayoutSeed:       exact,
	RulesOrderSeed:   exact,
}

const (
	shades  = "29 CFR 1910.133(a)(5), the table of filter shades"
	exact   = "IEEE 754, the largest whole number that is exact"
	turns   = "geometry"
	written = "reckoned from the decimals that a program is written with"
)

// Source says where a field's limits come from, as a clause without a full
// stop. That of a rule says it of the rule's own figure as well.
func (f Field) Source() string {
	s, known := sources[f]
	if r := f.Range(); r.Dim == Angle && r.Max >= math.Pi-math.Pi/180 {
		s, known = turns, true // as far as anything can turn
	}
	switch rule := strings.HasPrefix(string(f), "rules."); {
	case known && rule:
		return "limits: " + s + "; the rule's own figure: common practice, no source"
	case known:
		return "limits: " + s
	case rule:
		return "limits and the rule's own figure: common practice, no source"
	}
	return "limits: common practice, no source"
}
