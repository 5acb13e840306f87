package tui

import (
	"slices"
	"testing"
)

// What can be measured follows the features: an edit takes some of them out
// while the loops that were read stay the same.
func TestLengthsFollowTheFeatures(t *testing.T) {
	d := start(t, 80, 24)
	d.stock()
	v := scalePage{n: 0}
	rows := func() int {
		l := v.list(d.m)
		for i := range l.n {
			l.at(i)
		}
		return l.n
	}
	before := rows()
	tree := &d.m.res.tree
	last := len(tree.Features) - 1
	tree.Features = slices.Clone(tree.Features[:last])
	d.m.res.order = slices.DeleteFunc(slices.Clone(d.m.res.order), func(i int) bool { return i == last })
	if after := rows(); after >= before {
		t.Errorf("%d rows with a feature less, %d before", after, before)
	}
}
