package planner_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// awkward are shapes that are hard to lead into, in the sizes of gate and
// trailer hardware.
func awkward() map[string]struct {
	paths []geom.Path
	with  func(*job.Job)
} {
	star := func(c geom.Point, r1, r2 float64, n int) geom.Path {
		var pts []geom.Point
		for i := range 2 * n {
			r := r1
			if i%2 == 1 {
				r = r2
			}
			pts = append(pts, geom.Polar(c, r, math.Pi/2+math.Pi*float64(i)/float64(n)))
		}
		return geom.Polygon(pts...)
	}
	sector := func(c geom.Point, in, out, from, to float64) geom.Path {
		b := geom.BulgeOf(to - from)
		return geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Polar(c, out, from), Bulge: b}, {P: geom.Polar(c, out, to)},
			{P: geom.Polar(c, in, to), Bulge: -b}, {P: geom.Polar(c, in, from)}}}
	}
	keyhole := geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(36, 20)}, {P: geom.Pt(44, 20)}, {P: geom.Pt(44, 52), Bulge: geom.BulgeOf(1.7 * math.Pi)}, {P: geom.Pt(36, 52)}}}
	var teeth []geom.Point
	for i := range 24 {
		r := 50.0
		if i%4 >= 2 {
			r = 42
		}
		teeth = append(teeth, geom.Polar(geom.Pt(60, 60), r, 2*math.Pi*float64(i)/24))
	}
	holes := []geom.Path{rect(0, 0, 176, 40)}
	for i := range 7 {
		holes = append(holes, geom.Circle(geom.Pt(14+float64(i)*24, 20), (6.3+2.2*float64(i))/2))
	}
	type shape = struct {
		paths []geom.Path
		with  func(*job.Job)
	}
	return map[string]shape{
		"01-spear-with-loops":   {[]geom.Path{geom.Polygon(geom.Pt(0, 0), geom.Pt(140, 0), geom.Pt(20, 60))}, func(j *job.Job) { j.Rules.CornerLoop, j.Layout.Margin = 3, 30 }},
		"02-ring-on-tabs":       {[]geom.Path{geom.Circle(geom.Pt(40, 40), 30), geom.Circle(geom.Pt(40, 40), 18)}, func(j *job.Job) { j.Rules.TabUnder, j.Rules.TabCount = 80, 3 }},
		"03-bracket-thin-slot":  {[]geom.Path{geom.Polygon(geom.Pt(0, 0), geom.Pt(90, 0), geom.Pt(90, 25), geom.Pt(25, 25), geom.Pt(25, 80), geom.Pt(0, 80)), slot(10, 9, 60, 6.6)}, nil},
		"04-row-of-small-holes": {holes, func(j *job.Job) { j.Rules.Drill = job.DrillPop }},
		"05-star-window":        {[]geom.Path{rect(0, 0, 110, 110), star(geom.Pt(55, 55), 42, 18, 5)}, nil},
		"06-keyhole":            {[]geom.Path{rect(0, 0, 80, 90), keyhole}, nil},
		"07-ring-segments":      {[]geom.Path{geom.Circle(geom.Pt(60, 60), 58), sector(geom.Pt(60, 60), 30, 46, 0.2, 1.8), sector(geom.Pt(60, 60), 30, 46, 2.3, 3.9), sector(geom.Pt(60, 60), 30, 46, 4.4, 6.0), geom.Circle(geom.Pt(60, 60), 15)}, nil},
		"08-ratchet-wheel":      {[]geom.Path{geom.Polygon(teeth...), geom.Circle(geom.Pt(60, 60), 12)}, func(j *job.Job) { j.Rules.CornerFeed, j.Rules.CornerReach = 0.5, 4 }},
		"09-dumb-bell":          {[]geom.Path{rect(0, 0, 140, 60), geom.Path{Closed: true, V: []geom.Vertex{{P: geom.Pt(40, 27)}, {P: geom.Pt(100, 27), Bulge: geom.BulgeOf(1.75 * math.Pi)}, {P: geom.Pt(100, 33)}, {P: geom.Pt(40, 33), Bulge: geom.BulgeOf(1.75 * math.Pi)}}}}, nil},
		"10-part-in-a-window":   {[]geom.Path{rect(0, 0, 140, 110), rect(15, 15, 110, 80), rect(30, 30, 70, 48), geom.Circle(geom.Pt(65, 54), 14)}, nil},
		"11-blob":               {[]geom.Path{{Closed: true, V: []geom.Vertex{{P: geom.Pt(0, 20), Bulge: 0.5}, {P: geom.Pt(50, 0), Bulge: -0.3}, {P: geom.Pt(90, 10), Bulge: 0.7}, {P: geom.Pt(110, 60), Bulge: 0.4}, {P: geom.Pt(60, 90), Bulge: -0.5}, {P: geom.Pt(20, 70), Bulge: 0.6}}}, slot(45, 40, 26, 12)}, nil},
		"12-wide-slugs":         {[]geom.Path{rect(0, 0, 180, 110), rect(15, 15, 80, 80), geom.Circle(geom.Pt(138, 55), 32)}, func(j *job.Job) { j.Rules.SplitSlugs, j.Rules.EntryFeed = 50, 0.6 }},
	}
}

// Every awkward shape is planned with all its clearance and proved. With
// KERFWRIGHT_PICTURES set to a folder, a picture of each is written there.
func TestAwkwardShapesAreProved(t *testing.T) {
	folder := os.Getenv("KERFWRIGHT_PICTURES")
	for name, s := range awkward() {
		t.Run(name, func(t *testing.T) {
			j := gateJob()
			if s.with != nil {
				s.with(&j)
			}
			l := loops(s.paths...)
			p, faults := planner.Plan(context.Background(), j, l)
			if faults.Bad() {
				t.Fatal(faults.Err())
			}
			for _, f := range faults {
				t.Log(f)
			}
			if folder != "" {
				if err := os.WriteFile(filepath.Join(folder, name+".svg"), []byte(pictureOf(p, l)), 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

// pictureOf draws kerfs in their true width, leads apart, holds and pierces.
func pictureOf(p *planner.Program, _ []*drawing.Loops) string {
	box := geom.EmptyBox()
	var b strings.Builder
	d := func(path geom.Path) string {
		var s strings.Builder
		for i, q := range path.Flatten(0.02) {
			fmt.Fprintf(&s, "%c%.3f %.3f", "ML"[min(i, 1)], q.X, -q.Y)
		}
		if path.Closed {
			s.WriteString("Z")
		}
		return s.String()
	}
	for _, pl := range p.Placed {
		part := p.Tree.Parts[pl.Part]
		all := ""
		for _, i := range part.Features {
			all += d(pl.Move.Path(p.Tree.Features[i].Loop))
		}
		fmt.Fprintf(&b, `<path d="%s" fill="#cfd8dc" fill-rule="evenodd" stroke="#37474f" stroke-width="0.15"/>`+"\n", all)
	}
	for _, c := range p.Cuts {
		box = box.Union(c.Path.Box().Grow(6))
		at := 0.0
		for i := range c.Path.NumSegs() {
			colour := "#e53935"
			switch {
			case i < c.LeadIn:
				colour = "#1e88e5"
			case i >= c.Path.NumSegs()-c.Tail:
				colour = "#8e24aa"
			case c.Feeds != nil && c.Feeds[i] < c.Feed:
				colour = "#fb8c00"
			}
			seg := geom.FromSegs([]geom.Seg{c.Path.Seg(i)}, false)
			fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="%s" stroke-opacity="0.45" stroke-width="%.2f" stroke-linecap="round"/>`+"\n", d(seg), colour, c.Kerf)
			l := c.Path.Seg(i).Length()
			for _, h := range c.Holds {
				if from, to := max(0, h.From-at), min(l, h.To-at); to > from {
					part := geom.FromSegs([]geom.Seg{c.Path.Seg(i).Part(from/l, to/l)}, false)
					fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="#000" stroke-width="0.3"/>`+"\n", d(part))
				}
			}
			at += l
		}
		fmt.Fprintf(&b, `<circle cx="%.3f" cy="%.3f" r="1" fill="#000"/><text x="%.3f" y="%.3f" font-size="4">%d</text>`+"\n", c.Pierce.X, -c.Pierce.Y, c.Pierce.X+1.2, -c.Pierce.Y-1, c.N)
	}
	for _, way := range p.Rapids {
		fmt.Fprintf(&b, `<path d="%s" fill="none" stroke="#43a047" stroke-width="0.2" stroke-dasharray="1 1"/>`+"\n", d(way))
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="%.2f %.2f %.2f %.2f"><rect x="-999" y="-999" width="2999" height="2999" fill="#fff"/>`+"\n%s</svg>\n",
		box.Min.X, -box.Max.Y, box.Width(), box.Height(), b.String())
}
