package jobfile_test

import (
	"slices"
	"testing"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
)

func TestOverrideWordsAreThoseOfPackageFeature(t *testing.T) {
	kinds := []feature.Kind{feature.Outline, feature.Hole, feature.Slot, feature.CutOut, feature.Mark}
	rules := []feature.Rule{feature.RuleOutline, feature.RuleInside, feature.RuleSlow, feature.RuleDrill,
		feature.RuleMark, feature.RuleLocate, feature.RuleLeave, feature.RuleRefuse}
	if !slices.Equal(words(kinds), job.Kinds()) || !slices.Equal(words(rules), job.FeatureRules()) {
		t.Errorf("%v %v against %v %v", kinds, rules, job.Kinds(), job.FeatureRules())
	}
}

func words[T ~string](all []T) (out []string) {
	for _, w := range all {
		out = append(out, string(w))
	}
	return out
}
