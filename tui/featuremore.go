package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/unit"
)

// What the page of one feature says beyond its rule: what is wanted of it,
// what can be held, and what came of it in the plan.

// wantedRows are what a person wants of one feature.
func (m *Model) wantedRows(p view, f feature.Feature, edit func(*job.Job, func(*job.Override))) []row {
	at := func(j *job.Job) job.Override { o, _ := override(j, f.ID); return o }
	var rows []row
	rows = append(rows, m.num(num{field: job.OverrideTolerance, label: "tolerance, +/-", empty: "rule: none asked",
		get:  func(j *job.Job) (float64, bool) { v := at(j).Tolerance; return v, v != 0 },
		put:  func(j *job.Job, v float64) { edit(j, func(o *job.Override) { o.Tolerance = v }) },
		none: func(j *job.Job) { edit(j, func(o *job.Override) { o.Tolerance = 0 }) },
		why:  "By how much its size may be off. Below stands what the process can be expected to hold."}))
	opt := func(fd job.Field, label, empty string, of func(*job.Override) *job.Opt, why string) row {
		return m.num(num{field: fd, label: label, empty: empty, why: why,
			get:  func(j *job.Job) (float64, bool) { o := at(j); v := *of(&o); return v.Value, v.Known },
			put:  func(j *job.Job, v float64) { edit(j, func(o *job.Override) { *of(o) = job.Of(v) }) },
			none: func(j *job.Job) { edit(j, func(o *job.Override) { *of(o) = job.Opt{} }) }})
	}
	if f.Rule.Cuts() {
		rows = append(rows, m.num(num{field: job.OverrideFeed, label: "feed", form: form{percent: true}, empty: "rule: " + form{Dim: job.Pure, percent: true}.show(f.Feed, m.d.Job.Units),
			get:  func(j *job.Job) (float64, bool) { v := at(j).Feed; return v, v != 0 },
			put:  func(j *job.Job, v float64) { edit(j, func(o *job.Override) { o.Feed = v }) },
			none: func(j *job.Job) { edit(j, func(o *job.Override) { o.Feed = 0 }) },
			why:  "Part of the job's feed, for this feature alone."}),
			opt(job.OverrideDelay, "pierce delay", "rule: the job's", func(o *job.Override) *job.Opt { return &o.Delay }, "For this feature alone."))
	}
	if f.Kind == feature.Outline && f.Rule == feature.RuleOutline {
		empty := "rule: none"
		if f.Tabs > 0 {
			empty = "rule: " + count(f.Tabs, "tab")
		}
		rows = append(rows, opt(job.OverrideTabs, "tabs", empty, func(o *job.Override) *job.Opt { return &o.Tabs },
			"Stretches of the outline that are not cut and keep the part in the plate. 0 takes those of the rule away."))
	}
	if f.Loop.Closed && f.Rule.Cuts() {
		r := row{id: "faces", label: "faces to keep clean", value: "rule: none", state: stRule, verb: "pick",
			why: "Faces on which no cut should start and no tab should sit: where a part mates or is seen."}
		if n := len(f.Critical); n > 0 {
			r.value, r.state = count(n, "face"), stGood
		}
		r.act = func(m *Model) tea.Cmd { m.lay(facesPage{id_: f.ID}); return nil }
		rows = append(rows, r)
	}
	return rows
}

// forecastRows say what the process can be expected to hold.
func (m *Model) forecastRows(p view, f feature.Feature) []row {
	c, ok := planner.ForecastOf(m.d.Job, f)
	if !ok || m.d.Job.Stock.Thickness == 0 {
		return nil
	}
	u := m.d.Job.Units
	const iso = "ISO 9013, by the plate's thickness; what a class promises, not what your machine does: measure a test piece."
	rows := []row{{head: true, label: "what can be held"}}
	size := info("deviation", "size, +/-", "not covered", "Limit deviation of its size. "+iso)
	if c.Class > 0 {
		size.value, size.note = u.Length(c.Deviation), fmt.Sprintf("class %d", c.Class)
	}
	face := info("spread", "face from square", "not covered", "How far from square the cut face may be, over the whole thickness. "+iso+" Process stage, quality expected, sets the range.")
	if c.Range > 0 {
		face.value, face.note = u.Length(c.Spread), fmt.Sprintf("range %d", c.Range)
	}
	if !f.Rule.Cuts() {
		size.value, size.note, face.value, face.note = "the drill's", "", "the drill's", ""
	}
	rows = append(rows, size, face)
	if f.Rule.Cuts() {
		square := info("square", "square side", "part", "The jet's swirl leaves one side of the kerf square, the other bevelled.")
		square.note = "bevel on scrap"
		if c.Square != "part" {
			square.value, square.note, square.state = "scrap", "bevel on part", stWarn
		}
		rows = append(rows, square)
	}
	switch {
	case c.Wanted == 0:
	case c.Held:
		rows = append(rows, row{id: "held", label: "wanted, +/-", value: u.Length(c.Wanted), note: "held", state: stDone, why: "Not under what can be expected."})
	default:
		rows = append(rows, row{id: "held", label: "wanted, +/-", value: u.Length(c.Wanted), note: "not held", state: stWarn, why: sentence(c.Advice)})
		rows = append(rows, m.says(p, "advice", c.Advice, inkWarn, stGood)...)
	}
	return rows
}

// cutRows say what came of a feature in the plan.
func (m *Model) cutRows(i int) []row {
	p := m.res.prog
	if p == nil || m.res.busy != "" || i >= len(p.Tree.Features) {
		return nil
	}
	d, ok := planner.DetailOf(m.d.Job, p, i)
	if !ok {
		return nil
	}
	u := m.d.Job.Units
	head := "how it is cut"
	if d.Cuts > 1 {
		head += fmt.Sprintf(": %s, the tightest", count(d.Cuts, "cut"))
	}
	lead := info("lead", "lead-in", string(d.Lead), "The form that fits with the most room, and its length from the pierce to the edge.")
	if d.Lead != planner.LeadNone {
		lead.note = u.Length(d.In)
	}
	room := info("clear", "pierce to edge", u.Length(d.Clear), fmt.Sprintf("From the pierce to the nearest edge that stays. It should be %s: a pierce spatters and blows out wider than the kerf.", u.Length(d.Need)))
	// Shown to the hundredth, so that two equal figures do not fight.
	const shown = 0.005 // mm
	if over := d.Margin(); over >= -shown {
		room.note, room.state = u.Length(max(0, over))+" spare", stDone
	} else {
		room.note, room.state = u.Length(-over)+" short", stWarn
	}
	return []row{{head: true, label: head}, lead, room,
		info("feed", "feed", u.Feed(d.Feed), "Along the edge, as programmed."),
		info("held-share", "height held", heldShare(d.Hold)+" of the cut", "Drawn as a line of its own on the plate view."),
		info("arc", "arc on", unit.Duration(d.Time), fmt.Sprintf("Cut %d of the program.", d.Worst))}
}

// facesPage picks the faces of a feature that are to be kept clean.
type facesPage struct {
	page
	id_ string
}

func (p facesPage) id() string          { return "faces:" + p.id_ }
func (p facesPage) title(*Model) string { return "faces of " + p.id_ }
func (p facesPage) explain() string {
	return "Each straight or round piece of the line, as it is drawn; the cross on the picture is in its middle. Space or enter marks a face to be kept clean: no cut starts on it while another place will do, and no tab sits on it."
}

func (p facesPage) keys(*Model, row) []key.Binding { return nil }

func (p facesPage) list(m *Model) list {
	i := m.featureIndex(p.id_)
	if i < 0 {
		return rowsList([]row{{id: "none", plain: text("the drawing has this feature no longer"), why: "Esc goes back."}})
	}
	f := &m.res.tree.Features[i]
	u := m.d.Job.Units
	o, _ := override(&m.d.Job, f.ID)
	on := make([][]int, f.Loop.NumSegs()) // the points of the override on each face
	for k, q := range o.Critical {
		if seg, _, _, _ := f.Loop.Nearest(f.Now(q)); seg < len(on) {
			on[seg] = append(on[seg], k)
		}
	}
	drawing := m.res.tree.Parts[f.Part].Drawing
	return list{n: f.Loop.NumSegs(),
		at: func(k int) row {
			s := f.Loop.Seg(k)
			mid := s.Mid()
			what := "line " + u.Length(s.Length())
			if s.IsArc() {
				what = "arc R " + u.Length(s.Radius())
			}
			r := row{id: faceID(k), label: fmt.Sprintf("face %d", k+1), value: what, aim: &aim{feature: i, drawing: drawing, drawn: true, place: &mid}, verb: "keep clean",
				why: fmt.Sprintf("From X %s, Y %s to X %s, Y %s in the drawing.", u.Length(s.A.X), u.Length(s.A.Y), u.Length(s.B.X), u.Length(s.B.Y))}
			keep := append(slices.Clone(o.Critical), f.AsDrawn(mid))
			if len(on[k]) > 0 {
				r.state, r.note, r.verb = stDone, "clean", "no longer"
				keep = nil
				for n, q := range o.Critical {
					if !slices.Contains(on[k], n) {
						keep = append(keep, q)
					}
				}
			}
			r.act = func(m *Model) tea.Cmd {
				return m.change(func(d *Draft) {
					o, _ := override(&d.Job, f.ID)
					o.Critical = slices.Clone(keep)
					if len(o.Critical) == 0 {
						o.Critical = nil
					}
					setOverride(&d.Job, o)
				})
			}
			r.keys = map[string]func(*Model) tea.Cmd{" ": r.act}
			return r
		},
		find: func(id string) int {
			var k int
			if _, err := fmt.Sscanf(strings.TrimPrefix(id, "face"), "%d", &k); err != nil || k >= f.Loop.NumSegs() {
				return -1
			}
			return k
		}}
}

func faceID(k int) string { return fmt.Sprint("face", k) }
