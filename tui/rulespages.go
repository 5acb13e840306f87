package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// cornersPage is the care at the beginning of a cut and at sharp corners.
func cornersPage() formPage {
	return formPage{name: "corners", head: "entry and corners",
		about: "What is done beyond the usual where the torch comes in and where an outline turns sharply. All of it is off until you say otherwise. " +
			"A loop goes on past a sharp corner outside the part and comes back in line with the next edge, so that the torch keeps its feed; slowing down instead keeps the corner square at the cost of a wider kerf there. Use one of the two.",
		rows: func(m *Model) []row {
			part := form{percent: true}
			return []row{
				{head: true, label: "coming in"},
				m.rule(job.RulesEntryFeed, "creep on the lead-in", part, func(r *job.Rules) *float64 { return &r.EntryFeed }, "Part of the feed from the pierce to the edge. Slower lets the arc come through thick plate before it meets the part."),
				{head: true, label: "sharp corners of outlines"},
				m.rule(job.RulesCornerLoop, "loop outside", form{}, func(r *job.Rules) *float64 { return &r.CornerLoop }, "Radius of a loop in the skeleton round a sharp corner. It needs room beside the part; where there is none, the corner is cut without."),
				m.rule(job.RulesCornerFeed, "or slow down to", part, func(r *job.Rules) *float64 { return &r.CornerFeed }, "Part of the feed before and behind a sharp corner."),
				m.rule(job.RulesCornerTurn, "sharp from", form{}, func(r *job.Rules) *float64 { return &r.CornerTurn }, "Turn of the path from which a corner counts as sharp: 90 deg is square, more is sharper."),
				m.rule(job.RulesCornerReach, "slow along", form{}, func(r *job.Rules) *float64 { return &r.CornerReach }, "Before and behind the corner."),
				{head: true, label: "height hold"},
				m.rule(job.RulesHoldLeast, "shortest hold", form{}, func(r *job.Rules) *float64 { return &r.HoldLeast }, "Shorter stretches are held this long: control that is switched on and off in a blink only chatters."),
			}
		}}
}

func cornersNow(j *job.Job) string {
	var s []string
	if v := j.Rules.EntryFeed; v != 0 {
		s = append(s, "creep "+form{percent: true}.show(v, j.Units))
	}
	if v := j.Rules.CornerLoop; v != 0 {
		s = append(s, "loop "+j.Units.Length(v))
	}
	if v := j.Rules.CornerFeed; v != 0 {
		s = append(s, "slow "+form{percent: true}.show(v, j.Units))
	}
	return strings.Join(s, ", ")
}

// tabsPage is what keeps small parts in and what makes large slugs fall.
func tabsPage() formPage {
	return formPage{name: "tabs", head: "tabs and slugs",
		about: "A small part that is cut loose may tip up between the slats and catch the torch. Tabs keep it in the plate: short stretches of the outline that are not cut, broken or ground off afterwards. A slug that is wider than the slats are apart may lie on them and stand up; cut across first, it falls in two. " +
			"A feature can have its own number of tabs: features stage, enter on its outline.",
		rows: func(m *Model) []row {
			return []row{
				{head: true, label: "tabs"},
				m.rule(job.RulesTabUnder, "for parts under", form{}, func(r *job.Rules) *float64 { return &r.TabUnder }, "Shorter side of a part. Parts under it are kept in by tabs."),
				m.ruleCount(job.RulesTabCount, "tabs of a part", "", func(r *job.Rules) *int { return &r.TabCount }, "Spread round the outline, on straights where there are some."),
				m.rule(job.RulesTabWidth, "width of a tab", form{behind: "x thickness"}, func(r *job.Rules) *float64 { return &r.TabWidth }, "Along the edge. Too thin it melts away, too thick it does not break. None is under 1 mm."),
				{head: true, label: "slugs"},
				m.rule(job.RulesSplitSlugs, "cut across over", form{}, func(r *job.Rules) *float64 { return &r.SplitSlugs }, "Slugs of cut-outs wider than this are cut across before they are cut out, so that they fall."),
			}
		}}
}

func tabsNow(j *job.Job) string {
	var s []string
	if v := j.Rules.TabUnder; v != 0 {
		s = append(s, "tabs under "+j.Units.Length(v))
	}
	if v := j.Rules.SplitSlugs; v != 0 {
		s = append(s, "slugs over "+j.Units.Length(v))
	}
	return strings.Join(s, ", ")
}

// orderPage is in which order the cuts are made, and what that comes to.
func orderPage() formPage {
	return formPage{name: "order", head: "order of the cuts",
		about: "Always kept: what lies inside a part before its outline, parts in a cut-out before the cut-out, marks first. Within that the quickest order is sought; what you ask for here comes before quickness. " +
			"The bound is a length below which no order of the same cuts can come: the gap is how far this order may be from the best there is.",
		rows: func(m *Model) []row {
			none := job.GroupNone
			rows := []row{
				{head: true, label: "what comes together"},
				choose(m, choice[job.Grouping]{id: "rules.grouping", label: "grouping", rule: &none,
					of: []pick[job.Grouping]{{job.GroupNone, "quickest", "nothing is kept together"}, {job.GroupPart, "part by part", "a part is finished before the next is begun"},
						{job.GroupHoles, "holes first", "all inside features of the plate, then all outlines"}},
					get: func(j *job.Job) job.Grouping { return j.Rules.Grouping },
					put: func(j *job.Job, v job.Grouping) { j.Rules.Grouping = v },
					why: "Which cuts stay together."}),
				m.rule(job.RulesSmallFirst, "small first, edge", form{}, func(r *job.Rules) *float64 { return &r.SmallFirst }, "Parts so near to the plate's edge are cut from small to large: a large part gone, the rest of the edge is slack."),
				{head: true, label: "heat, for thin plate"},
				m.ruleCount(job.RulesHeatCuts, "keep from last cuts", "rule: none", func(r *job.Rules) *int { return &r.HeatCuts }, "How many of the cuts before count as still hot. It works together with the distance."),
				m.rule(job.RulesHeatDistance, "by", form{}, func(r *job.Rules) *float64 { return &r.HeatDistance }, "From each of the cuts that still count as hot. It is kept where there is a choice."),
			}
			if r := m.d.Job.Rules; (r.HeatCuts > 0) != (r.HeatDistance > 0) {
				missing := &rows[len(rows)-1]
				if r.HeatCuts == 0 {
					missing = &rows[len(rows)-2]
				}
				missing.state, missing.note = stWarn, "say it too"
			}
			corner := func(id, label, why string, at func(*job.Rules) *job.Corner) row {
				c := choice[job.Corner]{id: id, label: label, of: corners, rule: ptr(job.Corner("")), why: why,
					get: func(j *job.Job) job.Corner { return *at(&j.Rules) },
					put: func(j *job.Job, v job.Corner) { *at(&j.Rules) = v }}
				r := choose(m, c)
				if *at(&m.d.Job.Rules) == "" {
					r.value = "rule: anywhere"
				}
				return r
			}
			rows = append(rows, row{head: true, label: "ways"},
				corner("rules.begin", "begin at", "Corner of the plate from which the torch comes.", func(r *job.Rules) *job.Corner { return &r.Begin }),
				corner("rules.end", "park at", "Corner over which the torch is parked after the last cut.", func(r *job.Rules) *job.Corner { return &r.End }),
				m.rule(job.RulesProbeReuse, "touch-off reach", form{}, func(r *job.Rules) *float64 { return &r.ProbeReuse }, "Within this way of a touch-off it is used again. A plate that is not flat wants it short; none touches off before each cut."),
				m.ruleCount(job.RulesSearchKicks, "search steps", "rule: by cuts", func(r *job.Rules) *int { return &r.SearchKicks }, "How many changes of the order are tried. More take longer and may find a shorter way; the same number gives the same order."),
				m.num(num{field: job.RulesOrderSeed, label: "another start", empty: "rule: 1", only: anyStart,
					get:  func(j *job.Job) (float64, bool) { return float64(j.Rules.OrderSeed), j.Rules.OrderSeed != 0 },
					put:  func(j *job.Job, v float64) { j.Rules.OrderSeed = int64(v) },
					none: func(j *job.Job) { j.Rules.OrderSeed = 0 },
					why:  "Where the search begins. Another number may find another order; the same gives the same."}),
				row{head: true, label: "what it comes to"})
			rows = append(rows, m.orderFigures()...)
			return rows
		}}
}

func orderNow(j *job.Job) string {
	r := j.Rules
	var s []string
	switch r.Grouping {
	case job.GroupPart:
		s = append(s, "part by part")
	case job.GroupHoles:
		s = append(s, "holes first")
	}
	if r.SmallFirst > 0 {
		s = append(s, "small first")
	}
	if r.HeatCuts > 0 && r.HeatDistance > 0 {
		s = append(s, "heat spread")
	}
	if r.Begin != "" || r.End != "" {
		s = append(s, "corners set")
	}
	return strings.Join(s, ", ")
}

// orderFigures are time, ways, bound and gap of the plan.
func (m *Model) orderFigures() []row {
	p := m.res.prog
	if p == nil || m.res.busy != "" {
		return []row{{id: "wait", plain: text("waits for the plan"), why: "n goes to what is open."}}
	}
	u, r := m.d.Job.Units, p.Plan
	rows := []row{
		info("time", "time", "about "+unit.Duration(r.Time), "From the first touch-off to the last rise, by the machine's own limits."),
		info("rapid", "rapids", u.Length(r.RapidLength), "Torch up, all of them together."),
		info("bound", "none can be under", u.Length(r.RapidBound), "No order of the same cuts, with the same starts to choose from, has shorter rapids: a bound that holds, not a guess."),
	}
	gap := info("gap", "gap", "not known", "How much longer the rapids are than the bound, at most. The true best lies between.")
	if r.RapidGap != nil {
		gap.value = "at most " + unit.Number(100**r.RapidGap, 1) + " %"
	}
	rows = append(rows, gap)
	if x := r.Shared; x != nil {
		rows = append(rows, info("shared", "edges shared", fmt.Sprintf("%d, saves %s, %s", x.Edges, u.Length(math.Round(x.Length)), unit.Duration(x.Time)), "Straight edges one kerf apart that one cut parts; the layout page asks for it. More pierces than without: "+fmt.Sprint(x.Pierces)+"."))
	}
	if r.TouchOffsSaved > 0 {
		rows = append(rows, info("saved", "touch-offs saved", fmt.Sprintf("%d, %s", r.TouchOffsSaved, unit.Duration(r.TouchOffTimeSaved)), "An earlier touch-off near by serves for these cuts."))
	}
	if r.Raised+r.Round > 0 {
		rows = append(rows, info("floor", "over loose pieces", fmt.Sprintf("%d raised, %d round", r.Raised, r.Round),
			fmt.Sprintf("Rapids that go high over pieces that may have tipped, or round them. They take %s more.", unit.Duration(r.ExtraTime))))
	}
	return rows
}

// taperPage is the table by which holes are drawn larger so that they come
// out right.
func taperPage() formPage {
	return formPage{name: "taper", head: "taper of holes",
		about: "A hole is wider on one side of the plate than on the other, or smaller than drawn, by an amount that hangs on torch, current and plate. What was measured on a test piece stands here, by the diameter over the thickness: the path of such holes is made wider by so much (or, below zero, narrower), between two rows in proportion, beyond them as the last. " +
			"Presets begin with an empty table: what a torch does to a hole cannot be known before one was cut with it and measured.",
		rows: func(m *Model) []row {
			t := m.d.Job.Process.Taper
			figs := []figure{{name: "ratio", field: job.TaperRatio, form: form{behind: "x thick"}}, {name: "add", field: job.TaperAdd}}
			put := func(d *Draft, i int, v []float64) {
				all := slices.Clone(d.Job.Process.Taper)
				if i >= 0 {
					all = slices.Delete(all, i, i+1)
				}
				all = append(all, job.TaperPoint{Ratio: v[0], Add: v[1]})
				slices.SortStableFunc(all, func(a, b job.TaperPoint) int {
					if a.Ratio < b.Ratio {
						return -1
					}
					return 1
				})
				d.Job.Process.Taper = all
			}
			judge := func(own int) func([]float64) string {
				return func(v []float64) string {
					for i, p := range t {
						const near = 1e-6 // of a ratio: no more decimals are shown
						if i != own && math.Abs(p.Ratio-v[0]) < near {
							return fmt.Sprintf("there is a row for %s x thickness already: change it", unit.Number(v[0], 6))
						}
					}
					return ""
				}
			}
			const why = "Diameter over thickness, and what is added to the diameter of the path; under 0 takes away. Measure the narrowest place of a hole that was cut, and add what it lacks."
			rows := []row{{head: true, label: "measured, by diameter over thickness"}}
			for i, p := range t {
				rows = append(rows, m.numbers(numbers{id: fmt.Sprint("taper", i), label: fmt.Sprint("row ", i+1), of: figs, now: []float64{p.Ratio, p.Add}, why: why, judge: judge(i),
					put:  func(d *Draft, v []float64) { put(d, i, v) },
					drop: func(d *Draft) { d.Job.Process.Taper = lessOne(d.Job.Process.Taper, i) }}))
			}
			if len(t) == 0 {
				rows = append(rows, m.says(formPage{}, "empty", "Empty: every hole is cut as drawn, half a kerf off. Presets begin so, since taper cannot be known before a hole was cut with this torch and measured.", inkFaint, stGood)...)
			}
			rows = append(rows, m.numbers(numbers{id: "add-taper", label: "add a row", empty: "  ratio add", of: figs, why: why, judge: judge(-1),
				put: func(d *Draft, v []float64) { put(d, -1, v) }}))
			rows = append(rows, m.taperedRows()...)
			return rows
		}}
}

// taperedRows list what the table does to the holes of the job, one line for
// each size.
func (m *Model) taperedRows() []row {
	u := m.d.Job.Units
	type size struct {
		n, first int
	}
	var sizes []size
	at := map[int]int{} // sizes by diameter in thousandths of a mm, as they are shown
	for _, i := range m.res.order {
		f := &m.res.tree.Features[i]
		if f.Taper == 0 {
			continue
		}
		k := int(math.Round(f.Diameter * 1000))
		if _, ok := at[k]; !ok {
			at[k] = len(sizes)
			sizes = append(sizes, size{first: i})
		}
		sizes[at[k]].n++
	}
	var rows []row
	for k, s := range sizes {
		if rows == nil {
			rows = append(rows, row{head: true, label: "what it does here"})
		}
		f := &m.res.tree.Features[s.first]
		r := info(fmt.Sprint("tapered", k), count(s.n, "hole")+" Ø "+u.Length(f.Diameter), u.Length(f.Diameter+f.Taper), "The path is laid for this diameter.")
		r.aim = &aim{feature: s.first, drawing: m.res.tree.Parts[f.Part].Drawing}
		rows = append(rows, r)
	}
	return rows
}

// orderLine is the line of the process stage that opens the page of the order.
func (m *Model) orderLine(why string) row {
	r := opens("order", "cut order", orderNow(&m.d.Job), "quick", why, orderPage())
	if p := m.res.prog; p != nil && m.res.busy == "" && p.Plan.RapidGap != nil {
		r.note = "gap " + unit.Number(math.Ceil(100**p.Plan.RapidGap), 0) + " %"
		r.bounds = fmt.Sprintf("Now: about %s, rapids %s; no order of the same cuts can do with less than %s.", unit.Duration(p.Plan.Time), m.d.Job.Units.Length(p.Plan.RapidLength), m.d.Job.Units.Length(p.Plan.RapidBound))
	}
	return r
}
