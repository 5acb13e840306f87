package tui

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
)

// numeric reports whether a row takes numbers: a word of letters is refused,
// what stands there or a figure is not asked for as text.
func numeric(r row) bool {
	if r.begin == nil || r.check == nil {
		return false
	}
	_, no := r.check("never a figure")
	return r.typed || no != "" && r.source != ""
}

// TestEveryNumberGivesReasonAndSource: on every stage and page, ? says of each
// row that takes a number what it is and why it matters, within which limits
// and why, and where those come from.
func TestEveryNumberGivesReasonAndSource(t *testing.T) {
	seen := map[string]bool{}
	ask := func(d *driver) func(string) {
		return func(where string) {
			if d.m.ed != nil || d.m.top().id() == "why" {
				return
			}
			v := d.m.top()
			l := v.list(d.m)
			for i := range l.n {
				r := l.at(i)
				if !numeric(r) {
					continue
				}
				seen[r.id] = true
				told := map[string]string{}
				head := ""
				page := helpPage{of: v, row: r.id}.list(d.m)
				for k := range page.n {
					switch h := page.at(k); {
					case h.head:
						head = h.label
					default:
						told[head] += " " + lineText(h.plain)
					}
				}
				if len(r.why) < 8 || !strings.Contains(flat(told["source"]), "imits") {
					t.Errorf("%s, %s: %q, source %q", where, r.id, r.why, told["source"])
				}
				if all := told["range"] + told["source"]; !strings.Contains(all, ":") && !strings.Contains(all, "rule") || !strings.ContainsAny(all, "0123456789") {
					t.Errorf("%s, %s: no limits with their reason: %q", where, r.id, all)
				}
			}
		}
	}
	d := start(t, 80, 24, withFiles)
	walk(d, ask(d))
	d = start(t, 80, 24)
	walkForms(d, ask(d))
	d = inShop(t, 80, 24)
	shopWalk(d, ask(d))
	for _, f := range []job.Field{job.StockThickness, job.ProcessFeed, job.RulesOverburn, job.MachineSensorOffset, job.LayoutSeed, job.ProgramDecimals, job.PriceSwap, job.DrawingScale} {
		if !seen[string(f)] && !seen["price:"+strings.TrimPrefix(string(f), "prices.")] {
			t.Errorf("%s was not looked at", f)
		}
	}
	if len(seen) < 80 {
		t.Errorf("only %d rows: %v", len(seen), seen)
	}
}

// TestSourceOfALimitIsNamedOnce: what stands in the range's reason as a
// standard stands in its source too.
func TestSourceOfALimitIsNamedOnce(t *testing.T) {
	for _, f := range job.Fields() {
		why, source := f.Range().Why, f.Source()
		for _, standard := range []string{"29 CFR 1910.133", "ISO 9013"} {
			if strings.Contains(why, standard) != strings.Contains(source, standard) {
				t.Errorf("%s: limits because %q, source %q", f, why, source)
			}
		}
	}
}
