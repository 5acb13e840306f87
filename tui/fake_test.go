package tui

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/layout"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/shape"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// fake is an engine whose answers a test knows. Features come from the real
// planner; drawings, presets, plan and disk are made up: our own shop that
// makes farm-gate hardware.
type fake struct {
	mu      sync.Mutex
	calls   []string // what was asked, in order
	saved   map[string]job.Job
	exists  map[string]bool
	saveErr error
	bands   []job.HoleRule
	badPlan fault.List    // added to every plan
	badDry  bool          // the dry run's proof fails
	gate    chan struct{} // if set, Plan waits for it or for its context
	panics  string        // call that panics
	jobs    map[string]job.Job
	entries map[string][]Entry
	shopDir string // of the shop's own store
	lib     *presets.Library
	prices  cost.Prices // saved last
	since   []Since
}

func (f *fake) note(what string) {
	f.mu.Lock()
	f.calls = append(f.calls, what)
	f.mu.Unlock()
	if f.panics == what {
		panic("a broken promise")
	}
}

func (f *fake) count(what string) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := 0
	for _, c := range f.calls {
		if c == what {
			n++
		}
	}
	return n
}

// hinge is a gate hinge leaf: 160 by 60 mm with round corners, three bolt
// holes, a hole too small to cut, and a slot.
func hinge(name string) *drawing.Loops {
	r := geom.BulgeOf(1.5707963267948966)
	v := func(x, y, b float64) geom.Vertex { return geom.Vertex{P: geom.Pt(x, y), Bulge: b} }
	outline := geom.Path{Closed: true, V: []geom.Vertex{
		v(8, 0, 0), v(152, 0, r), v(160, 8, 0), v(160, 52, r), v(152, 60, 0), v(8, 60, r), v(0, 52, 0), v(0, 8, r)}}
	slot := geom.Path{Closed: true, V: []geom.Vertex{v(90, 22, 0), v(120, 22, 1), v(120, 38, 0), v(90, 38, 1)}}
	l := &drawing.Loops{Name: plain.Of(name), Units: unit.MM, UnitFrom: drawing.UnitInFile, Box: outline.Box(),
		Layers: []drawing.LayerInfo{{Name: plain.Of("CUT"), Entities: 14, Use: job.LayerCut, Why: "a layer that is not named for notes"},
			{Name: plain.Of("NOTES"), Entities: 3, Use: job.LayerIgnore, Why: "holds text and dimensions only"}}}
	for _, p := range []geom.Path{outline, geom.Circle(geom.Pt(20, 30), 7), geom.Circle(geom.Pt(45, 30), 7), geom.Circle(geom.Pt(70, 30), 5),
		geom.Circle(geom.Pt(140, 48), 2), slot} {
		l.Closed = append(l.Closed, drawing.Loop{Path: p, Layer: plain.Of("CUT"), Use: job.LayerCut})
	}
	return l
}

func (f *fake) Read(ctx context.Context, j job.Job, dir string) ([]*drawing.Loops, fault.List) {
	f.note("read")
	out := make([]*drawing.Loops, len(j.Drawings))
	var faults fault.List
	for i, d := range j.Drawings {
		base := filepath.Base(d.File)
		switch {
		case d.Shape != nil && j.Units != unit.Unknown:
			out[i], _ = shape.In(*d.Shape, j.Units)
		case strings.HasPrefix(base, "broken"):
			faults.Errorf(fault.Where{File: d.File, Line: 12}, "dxf", "Save it again from the CAD.", "group code 1O is no number")
		case strings.HasPrefix(base, "nounit"):
			l := hinge(base)
			l.UnitFrom, l.Units = drawing.UnitAsked, unit.Unknown
			if d.Units != unit.Unknown {
				l.UnitFrom, l.Units = drawing.UnitSaid, d.Units
			} else {
				faults.Errorf(fault.Where{File: d.File, Entity: fmt.Sprintf("drawing %d", i+1)}, "drawing-unit", "Say mm or inch.", "the file does not say its unit")
			}
			out[i] = l
		case strings.HasPrefix(base, "open"):
			l := hinge(base)
			l.Open = []drawing.Loop{{Path: geom.Path{V: []geom.Vertex{{P: geom.Pt(10, 10)}, {P: geom.Pt(30, 12)}}}, Layer: plain.Of("CUT"), Use: job.LayerCut}}
			faults.Warnf(fault.Where{File: d.File, Line: 88, Entity: "LINE"}, "open", "Close it in the CAD, or ignore its layer.", "a chain is left open, its ends are 20.1 mm apart")
			out[i] = l
		default:
			out[i] = hinge(base)
		}
		if out[i] != nil {
			for k := range out[i].Closed {
				for _, la := range d.Layers {
					if la.Name == out[i].Closed[k].Layer {
						out[i].Closed[k].Use = la.Use
					}
				}
			}
		}
	}
	return out, faults
}

func (f *fake) Features(j job.Job, loops []*drawing.Loops) (feature.Tree, fault.List) {
	f.note("features")
	return planner.Features(j, loops)
}

func (f *fake) Ready(j job.Job) fault.List { return planner.Ready(j) }

func (f *fake) Plan(ctx context.Context, j job.Job, loops []*drawing.Loops) (*planner.Program, fault.List) {
	f.note("plan")
	if f.gate != nil {
		select {
		case <-f.gate:
		case <-ctx.Done():
			f.note("plan cancelled")
			return nil, nil
		}
	}
	tree, faults := planner.Features(j, loops)
	if faults.Bad() {
		return nil, faults
	}
	p := &planner.Program{Tree: tree, Text: []byte("(" + j.Name.String() + ")\nM2\n"), Dry: []byte("M2\n")}
	in := layout.Input{Stock: j.Stock, Layout: j.Layout, Clear: 3, Kerf: j.Process.Kerf}
	for d := range j.Drawings {
		in.Quantity = append(in.Quantity, j.Drawings[d].Quantity)
		in.Boxes = append(in.Boxes, tree.Box(d))
		in.Labels = append(in.Labels, "part")
	}
	copies, more := layout.Arrange(in)
	faults = append(faults, more...)
	var last *geom.Point
	held, length := 0.0, 0.0
	for _, c := range copies {
		for k, part := range tree.Parts {
			if part.Drawing != c.Drawing {
				continue
			}
			p.Placed = append(p.Placed, planner.Placed{Part: k, Copy: c.Number, Move: c.Move, Label: part.ID})
			for _, i := range part.Features {
				ft := tree.Features[i]
				if !ft.Rule.Cuts() {
					continue
				}
				path := c.Move.Path(ft.Loop)
				pierce := path.Box().Center()
				if ft.Kind == feature.Outline {
					pierce = path.V[0].P.Add(geom.Pt(-4, -4))
				}
				segs := append([]geom.Seg{geom.Line(pierce, path.V[0].P)}, path.Segs()...)
				if last != nil {
					p.Rapids = append(p.Rapids, geom.Path{V: []geom.Vertex{{P: *last}, {P: pierce}}})
				}
				end := path.V[0].P
				last = &end
				whole := geom.FromSegs(segs, false).Length()
				h := planner.Hold{To: min(whole, 25), Why: "lead-in"}
				if ft.Hold {
					h = planner.Hold{To: whole, Why: "small hole"}
				}
				held, length = held+h.To, length+whole
				p.Cuts = append(p.Cuts, planner.Cut{Holds: []planner.Hold{h}, N: len(p.Cuts) + 1, Label: ft.ID, Placed: len(p.Placed) - 1, Feature: i, Pierce: pierce,
					Path: geom.FromSegs(segs, false), LeadIn: 1, Kerf: j.Process.Kerf, Feed: j.Process.Feed})
				p.Plan.CutLength += path.Length()
			}
		}
	}
	for _, r := range p.Rapids {
		p.Plan.RapidLength += r.Length()
	}
	if length > 0 {
		p.Plan.HoldShare = held / length
	}
	p.Plan.Pierces, p.Plan.Time, p.Plan.RapidBound = len(p.Cuts), 60*p.Plan.CutLength/max(1, j.Process.Feed), p.Plan.RapidLength
	p.Verdict.OK, p.DryVerdict.OK = true, !f.badDry
	faults = append(faults, f.badPlan...)
	return p, faults
}

func (f *fake) Checks(j job.Job, p *planner.Program, faults fault.List) []Check {
	out := []Check{
		{ID: "fit", Title: "parts on the plate", Figure: "160 × 60 mm used", Limit: "1250 × 625 mm", Verdict: planner.Pass, Why: "Every part and lead lies on the plate."},
		{ID: "feed", Title: "feed of the machine", Figure: unit.MM.Feed(j.Process.Feed), Limit: unit.MM.Feed(j.Machine.MaxFeed), Verdict: planner.Pass, Why: "The machine can run so fast."},
		{ID: "ratio", Title: "smallest hole", Figure: "10 mm, 1.67 x thickness", Limit: "2 x thickness", Verdict: planner.Warn, Why: "Cut slowly, with height held.", Do: "Drill it if it must be true.", Feature: "p1.h3"},
		{ID: "clear", Title: "pierce clearance", Figure: "5 mm", Limit: "3.75 mm", Verdict: planner.Pass, Why: "A pierce spatters: it keeps away from every edge that stays."},
	}
	if j.Process.Feed > 8000 {
		out[1].Verdict, out[1].Do = planner.Fail, "Lower the feed."
	}
	return out
}

// digest is what an item rests on.
func digest(v ...any) string {
	h := sha256.Sum256(fmt.Append(nil, v...))
	return hex.EncodeToString(h[:8])
}

func (f *fake) Checklist(j job.Job, p *planner.Program) []Item {
	s := digest(j.Stock)
	pr := digest(j.Process)
	return []Item{
		{"clamp", AtPlate, "the plate lies flat and is clamped", "", "A plate that lifts takes the torch with it.", s},
		{"earth", AtPlate, "the work clamp sits on bare metal", "on the plate itself", "The current must come back through the plate, not through the slats.", s},
		{"people", AtPlate, "nobody is within reach of table and arc", "", "The gantry does not stop for a hand.", "always"},
		{"fire", AtPlate, "nothing that burns lies near", "11 m (35 ft)", "29 CFR 1910.252(a)(2).", "always"},
		{"tip", AtTorch, "consumables are fitted and made for the current", fmt.Sprintf("%g A", j.Process.Amps), "Others burn or split the arc.", pr},
		{"shade", AtTorch, "a hood or glasses dark enough are on", "shade 8", "29 CFR 1910.133(a)(5).", pr},
		{"gas", AtSupply, "gas pressure is right while it flows", "as the torch's manual says", "Too little burns the nozzle.", pr},
		{"fume", AtSupply, "extraction runs, or the water is up", "", "The fume of cut metal is not for breathing.", s},
		{"dry", AtPC, "the dry run was watched from end to end", "", "It shows what the torch will hit.", digest(string(p.Text))},
	}
}

func (f *fake) Amps(m job.Material, t float64) []float64 {
	if m == "" || t <= 0 || t > 20 {
		return nil
	}
	return []float64{45, 65, 85}
}

func (f *fake) Lookup(j job.Job) (Preset, error) {
	t, a := j.Stock.Thickness, j.Process.Amps
	switch {
	case j.Stock.Material == "" || t == 0:
		return Preset{}, errors.New("material and thickness first")
	case a == 0:
		return Preset{}, errors.New("the current first")
	case t > 20:
		return Preset{}, fmt.Errorf("%g mm is beyond the thickest preset, 20 mm", t)
	}
	row := func(t float64) job.Process {
		return job.Process{Preset: plain.Of(fmt.Sprintf("%s %g mm %g A air", j.Stock.Material, t, a)), Amps: a, Feed: 12000 / t * a / 45, Kerf: 1.4 + t/100,
			PierceHeight: 3.8, CutHeight: 1.5, PierceDelay: job.Of(0.1 * t), Volts: 110 + t, Gas: plain.Of("air"), State: job.Starting,
			Source: plain.Of("derived from the energy balance, not from a chart")}
	}
	return Preset{Process: row(t), Note: "between 4 mm and 8 mm", Beside: []Neighbor{{4, row(4)}, {8, row(8)}}}, nil
}

func (f *fake) Notes() fault.List { return nil }

func (f *fake) Plausible(j job.Job) (Check, bool) {
	if j.Process.Feed == 0 || j.Process.Kerf == 0 || j.Stock.Thickness == 0 {
		return Check{ID: "plausible"}, false
	}
	c := Check{ID: "plausible", Figure: "takes 41 % of the arc", Limit: "usual 20 to 60 %", Verdict: planner.Pass, Why: "Power to heat and melt the kerf's metal against the power of the arc"}
	if j.Process.Feed > 8000 {
		c.Figure, c.Verdict, c.Do = "takes 164 % of the arc", planner.Warn, "Lower the feed or raise the current."
	}
	return c, true
}

func (f *fake) Machines() []job.Machine {
	m := job.Machine{Name: plain.Of("plain table 1250"), Notes: plain.Of("Words of the standard only."),
		TravelX: 1300, TravelY: 1300, MaxFeed: 10000, RapidXY: 12000, RapidZ: 3000, AccelXY: 1000, AccelZ: 800, CornerDeviation: 0.05,
		SafeZ: 30, TravelZ: 10, Reach: 80, ProbeFeed: 500, ProbeSearch: 30}
	m.Program = job.Program{Units: unit.MM, Arcs: job.ArcsFromStart,
		Header: []string{"G21 G90 G40 G17 G94"}, Footer: []string{"M2"}, TouchOff: []string{"G38.2 Z{probe_z} F{probe_feed}", "G92 Z{minus_sensor_offset}"},
		ArcOn: []string{"M3"}, ArcOff: []string{"M5"}, ControlOn: []string{"(height control may act)"}, ControlOff: []string{"(height hold)"}, Pause: []string{"M0"}}
	n := cloneMachine(m)
	n.Name, n.TravelX = plain.Of("long table 3000"), 3050
	n.SensorOffset = job.Of(1.2)
	return []job.Machine{m, n}
}

func (f *fake) List(dir string) ([]Entry, error) {
	f.note("list")
	if e, ok := f.entries[dir]; ok {
		return e, nil
	}
	return nil, errors.New("no such folder")
}

func (f *fake) Open(path string) (job.Job, fault.List) {
	f.note("open")
	if j, ok := f.jobs[path]; ok {
		return cloneJob(j), nil
	}
	return job.Job{}, fault.List{{Severity: fault.Error, Where: fault.Where{File: path, Line: 4, Column: 1}, What: "key thicknes is not known", Do: "Correct or delete it."}}
}

func (f *fake) Files(dir, name string, j job.Job, _ *planner.Program) []Target {
	f.mu.Lock()
	defer f.mu.Unlock()
	t := func(n, what string) Target { return Target{n, what, f.exists[filepath.Join(dir, n)]} }
	return []Target{t(name+".toml", "job"), t(name+".nc", "program"), t(name+"-dry.nc", "dry run")}
}

func (f *fake) Save(ctx context.Context, dir, name string, j job.Job, loops []*drawing.Loops, p *planner.Program) ([]string, fault.List, error) {
	f.note("save")
	if f.saveErr != nil {
		return nil, nil, f.saveErr
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.saved == nil {
		f.saved, f.exists = map[string]job.Job{}, map[string]bool{}
	}
	var out []string
	for _, n := range []string{name + ".nc", name + "-dry.nc", name + ".toml"} {
		f.exists[filepath.Join(dir, n)] = true
		out = append(out, filepath.Join(dir, n))
	}
	f.saved[filepath.Join(dir, name)] = cloneJob(j)
	return out, nil, nil
}
