package planner

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/progress"
)

// A layout that leaves a part without a lawful lead is laid out again with
// more room round the drawings that lack one: nestTries times in all, by
// nestWiden each time, and at last by no less than the gap of the rule. Common
// practice, no source.
const (
	nestTries = 4
	nestWiden = 1.3
)

// led is a layout with what it lacks of leads.
type led struct {
	Nested
	lack  []bool // by drawing
	count int    // parts that lack one
	short fault.List
}

// before reports whether a is to be kept rather than b: all leads come first,
// since a part without one is not cut.
func (a led) before(b led) bool {
	if a.count != b.count {
		return a.count < b.count
	}
	return better(a.Nested, b.Nested)
}

// untilLed lays out, and lays out again with a widened gap, until every part
// has its leads. Where no gap helps it returns the layout that lacks fewest,
// and says so.
func (n *nester) untilLed(ctx context.Context, setups [][]*setup, alone fault.List) (Nested, fault.List) {
	var best led
	asked := slices.Clone(n.grow)
	for try := 1; ; try++ {
		part := ctx
		if try > 1 {
			part = progress.Part(ctx, fmt.Sprintf("try %d", try))
		}
		n.rows = nil
		if rows, ok := n.inRows(); ok {
			n.rows = &rows
			n.show(part, rows, true)
		}
		found := []Nested{n.nest(part)}
		if n.rows != nil {
			found = append(found, *n.rows)
			if better(*n.rows, found[0]) {
				slices.Reverse(found)
			}
		}
		lack := make([]bool, len(n.grow))
		for i, out := range found {
			for _, g := range n.grow {
				out.Gap = max(out.Gap, 2*g)
			}
			now := n.look(ctx, out, setups, alone)
			if try == 1 && i == 0 || now.before(best) {
				best = now
			}
			for d := range lack {
				lack[d] = lack[d] || now.lack[d]
			}
			if now.count == 0 {
				break
			}
		}
		if best.count == 0 || ctx.Err() != nil {
			return best.Nested, nil
		}
		if try == nestTries {
			return best.Nested, n.lacking(best)
		}
		for d := range n.grow { // room for a lead beside these
			if !lack[d] {
				continue
			}
			if n.grow[d] *= nestWiden; try == nestTries-1 {
				n.grow[d] = max(n.grow[d], asked[d], layout.Gap(n.need, n.kerf)/2)
			}
		}
	}
}

// show tells whoever waits what would be kept now, unless the rows are better;
// sure says that there is nothing to compare.
func (n *nester) show(ctx context.Context, now Nested, sure bool) {
	now.Length = nil
	n.measure(&now)
	if !sure && n.rows != nil && !better(now, *n.rows) {
		return
	}
	for _, g := range n.grow {
		now.Gap = max(now.Gap, 2*g)
	}
	text := fmt.Sprintf("%d of %d parts", len(now.Places), len(now.Places)+sum(now.Left))
	if k := len(now.Length); k > 0 {
		text += fmt.Sprintf(", %.0f of %.0f mm used", now.Length[k-1], n.metal.Box.Width())
	}
	progress.Best(ctx, text)
	progress.Look(ctx, &now)
}

// lacking says what no gap has cured.
func (n *nester) lacking(l led) fault.List {
	var faults fault.List
	worst := fault.Warning
	for _, f := range l.short {
		worst = max(worst, f.Severity)
	}
	widest := 0.0
	for _, g := range n.grow {
		widest = max(widest, 2*g)
	}
	do := "Use less current or thinner plate, or place them by hand."
	if len(n.locked) > 0 {
		do = "Move what is locked further apart, or unlock it and nest again."
	}
	faults.Add(fault.Fault{Severity: worst, Where: fault.Where{Entity: "layout"}, Code: "nest-leads", Do: do,
		What: several(l.count, "part") + " without a lead that keeps its clearance: the gap was widened from " + n.job.Units.Length(n.gap) + " to " + n.job.Units.Length(widest) + " and that does not help"})
	return append(faults, l.short...)
}

// look tries every place of a layout for its leads. What a feature lacks by
// itself, wherever it lies, is not the layout's fault and left out.
func (n *nester) look(ctx context.Context, out Nested, setups [][]*setup, alone fault.List) led {
	l := led{Nested: out, lack: make([]bool, len(n.grow))}
	for plate := 1; plate <= out.Plates; plate++ {
		j := n.job.On(plate)
		j.Layout.Places = out.Places
		s := newShop(j)
		copies, _, _ := arrange(j, n.tree, s)
		if len(copies) == 0 || ctx.Err() != nil {
			continue
		}
		p := &Program{Tree: n.tree}
		_, faults := s.place(ctx, p, setups, copies)
		for _, pl := range p.Placed {
			part, lacks := n.tree.Parts[pl.Part], false
			for _, f := range faults {
				rest, ok := strings.CutPrefix(f.Where.Feature, pl.Label)
				if f.Severity < fault.Warning || !ok || rest != "" && rest[0] != '.' {
					continue
				}
				own := func(a fault.Fault) bool { return a.Code == f.Code && a.Where.Feature == part.ID+rest }
				if slices.ContainsFunc(alone, own) {
					continue
				}
				lacks = true
				l.short = append(l.short, f)
			}
			if lacks {
				l.count++
				l.lack[part.Drawing] = true
			}
		}
	}
	return l
}

// several is a count with its word.
func several(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprint(n, " ", one, "s")
}
