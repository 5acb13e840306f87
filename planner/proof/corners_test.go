package proof_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A plain plate of 100 mm by 60 mm, cut clockwise from outside: its corners are
// gone round by quarters of a circle of half a kerf, or by loops of three
// quarters of one, laid out here from their closed form (a loop of radius r on
// a square corner touches both edges' ways r beyond where they cross).
var (
	plateA, plateB = geom.Pt(100, 80), geom.Pt(200, 140)
	creep          = 1000.0
	low            = 1200.0
	reachOfLow     = 6.0
)

// leg is one move of that cut with its feed.
type leg struct {
	step
	feed float64
}

// careful writes the cut: the feed on the lead, the radius of the loops (0 is
// none), and the feed beside corners (0 is the full one).
func careful(lead, loop, corner float64) []leg {
	h := kerf / 2
	lo, hi := plateA.Sub(geom.Pt(h, h)), plateB.Add(geom.Pt(h, h))
	m := 150.0
	if corner == 0 {
		corner = full
	}
	out := []leg{{step{to: geom.Pt(m, lo.Y)}, lead}}
	at := geom.Pt(m, lo.Y)
	// Corners in the order of the cut: where it turns, and the way it then goes.
	for i, q := range []geom.Point{{X: lo.X, Y: lo.Y}, {X: lo.X, Y: hi.Y}, {X: hi.X, Y: hi.Y}, {X: hi.X, Y: lo.Y}} {
		d := []geom.Point{{X: -1}, {Y: 1}, {X: 1}, {Y: -1}}[i] // comes
		e := []geom.Point{{Y: 1}, {X: 1}, {Y: -1}, {X: -1}}[i] // goes
		in, on := q.Sub(d.Mul(h)), q.Add(e.Mul(h))
		if loop > 0 {
			a, b := q.Add(d.Mul(loop)), q.Sub(e.Mul(loop))
			centre := a.Sub(e.Mul(loop))
			half := centre.Add(centre.Sub(q).Unit().Mul(loop))
			out = append(out, leg{step{to: in}, full}, leg{step{to: a}, full}, leg{step{half, centre, 1}, full}, leg{step{b, centre, 1}, full}, leg{step{to: on}, full})
		} else {
			if before := in.Sub(d.Mul(reachOfLow)); before != at {
				out = append(out, leg{step{to: before}, full})
			}
			out = append(out, leg{step{to: in}, corner}, leg{step{on, in.Add(e.Mul(h)), -1}, corner}, leg{step{to: on.Add(e.Mul(reachOfLow))}, corner})
		}
		at = on
	}
	return append(out, leg{step{to: geom.Pt(m, lo.Y)}, full})
}

func textOf(legs []leg) []byte {
	w := &writer{k: 1, dec: 4}
	w.header()
	pierce := geom.Pt(155, plateA.Y-kerf/2-5)
	w.cut(cutting{"p1.outline", pierce, []step{legs[0].step}, legs[0].feed, false})
	at := legs[0].to
	i := len(w.lines)
	for i--; w.lines[i] != "M5"; i-- {
	}
	var rest []string
	for _, s := range legs[1:] {
		g := "G1"
		mid := ""
		if s.turn != 0 {
			g = map[int]string{1: "G3", -1: "G2"}[s.turn]
			mid = fmt.Sprintf(" I%s J%s", w.n(s.centre.X-at.X), w.n(s.centre.Y-at.Y))
		}
		rest = append(rest, fmt.Sprintf("%s %s%s %s", g, w.xy(s.to), mid, w.f(s.feed)))
		at = s.to
	}
	w.lines = append(w.lines[:i:i], append(rest, w.lines[i:]...)...)
	w.footer()
	return w.text()
}

func plainPlate(text []byte, entry, cornerFeed, loop float64) proof.Input {
	in := input(text)
	f := feature("p1.outline", "outline", "outline", rounded(plateA, plateB, 0))
	f.LeadFeed = entry
	f.Corner = proof.Corner{Turn: math.Pi / 3, Loop: loop, Feed: cornerFeed, Reach: reachOfLow}
	in.Parts = []proof.Part{{Label: "p1", Features: []proof.Feature{f}}}
	return in
}

func TestCareThatTheJobAsksForIsDemanded(t *testing.T) {
	plain := careful(full, 0, 0)
	crept := careful(creep, 0, 0)
	slowed := careful(full, 0, low)
	looped := careful(full, 4, 0)
	both := careful(creep, 0, low)
	with := func(l []leg, i int, feed float64) []leg {
		l = append([]leg(nil), l...)
		l[i].feed = feed
		return l
	}
	for _, c := range []struct {
		name               string
		legs               []leg
		entry, corner, rad float64
		code, line         string // the only fault; none if code is ""
	}{
		{"nothing asked", plain, 0, 0, 0, "", ""},
		{"creep asked and made", crept, creep, 0, 0, "", ""},
		{"slow corners asked and made", slowed, 0, low, 0, "", ""},
		{"creep and slow corners asked and made", both, creep, low, 0, "", ""},
		{"loops asked and made", looped, 0, 0, 4, "", ""},
		{"loops serve where slow corners are asked too", looped, 0, low, 4, "", ""},

		{"creep asked, not made", plain, creep, 0, 0, "feed", "G1 X150.0000 Y79.25"},
		{"creep made, not asked", crept, 0, 0, 0, "feed", "G1 X150.0000 Y79.25"},
		{"creep goes on along the edge", with(crept, 1, creep), creep, 0, 0, "feed", "G1 X106"},
		{"slow corners asked, not made", plain, 0, low, 0, "feed", "G1 X100.0000 Y79.25"},
		{"slow corners made, not asked", slowed, 0, 0, 0, "feed", "G1 X100.0000 Y79.25"},
		{"one join at full feed", with(slowed, 3, full), 0, low, 0, "feed", "G2 X99.2500 Y80"},
		{"full feed again too soon", with(slowed, 4, full), 0, low, 0, "feed", "G1 X99.2500 Y86"},
		{"slow too late", with(slowed, 2, full), 0, low, 0, "feed", "G1 X100.0000 Y79.25"},
		{"slow all along", with(slowed, 5, low), 0, low, 0, "feed", "G1 X99.2500 Y134"},
		{"loops asked, not made", plain, 0, 0, 4, "corner-loop", "G2 X99.25"},
		{"loops too small", careful(full, 3.9, 0), 0, 0, 4, "corner-loop", ""},
		{"loops too large", careful(full, 4.1, 0), 0, 0, 4, "off-edge", ""},
		{"loops made, not asked", looped, 0, 0, 0, "off-edge", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := textOf(c.legs)
			r := proof.Prove(plainPlate(text, c.entry, c.corner, c.rad))
			if c.code == "" {
				if !r.OK || len(r.Findings) > 0 {
					t.Fatal(show(r))
				}
				return
			}
			lines := strings.Split(string(text), "\n")
			found := false
			for _, f := range r.Findings {
				if f.Severity == fault.Error && f.Code != c.code && c.code != "off-edge" { // a loop off its place is many things
					t.Errorf("also %s", f.Code)
				}
				found = found || f.Code == c.code && f.Severity == fault.Error && f.Line > 0 && (c.line == "" || strings.HasPrefix(lines[f.Line-1], c.line)) && f.Feature == "p1.outline"
			}
			if !found || r.OK {
				t.Errorf("wanted %s at %q\n%s\n%s", c.code, c.line, show(r), text)
			}
		})
	}
}

// A loop is demanded only where its kerf has room, and none where the job
// keeps the part in by tabs.
func TestLoopIsAskedForOnlyWhereItHasRoom(t *testing.T) {
	text := textOf(careful(full, 0, 0))
	asked := func(change func(in *proof.Input)) bool {
		in := plainPlate(text, 0, 0, 4)
		change(&in)
		r := proof.Prove(in)
		return strings.Contains(show(r), "corner-loop")
	}
	// A square corner's loop of 4 mm has its middle (0.75 + 4) sqrt 2 = 6.7 out,
	// that is 4.75 along either axis, and reaches 8.75; with its kerf 9.5, and a
	// kerf to spare 11.
	box := func(a, b geom.Point) func(in *proof.Input) {
		return func(in *proof.Input) { in.Stock.Shapes[0] = rounded(a, b, 0) }
	}
	beside := func(d float64) func(in *proof.Input) { // of all corners: in the way of each
		return func(in *proof.Input) {
			for i, q := range []geom.Point{plateA, {X: plateA.X, Y: plateB.Y}, plateB, {X: plateB.X, Y: plateA.Y}} {
				out := q.Sub(geom.Pt(150, 110))
				at := q.Add(geom.Pt(math.Copysign(d+2, out.X), math.Copysign(d+2, out.Y)))
				f := feature(fmt.Sprintf("p%d.outline", i+2), "outline", "leave", geom.Circle(at, 2))
				f.Rule = "locate"
				in.Parts = append(in.Parts, proof.Part{Label: f.ID[:2], Features: []proof.Feature{f}})
			}
		}
	}
	far, near := 12.0, 9.0
	for _, c := range []struct {
		name   string
		change func(in *proof.Input)
		want   bool
	}{
		{"room on all sides", func(*proof.Input) {}, true},
		{"plate that ends far away", box(plateA.Sub(geom.Pt(far, far)), plateB.Add(geom.Pt(far, far))), true},
		{"plate that ends near by", box(plateA.Sub(geom.Pt(near, near)), plateB.Add(geom.Pt(near, near))), false},
		{"other parts far away", beside(far), true},
		{"other parts near by", beside(5), false},
		{"a hole in the plate at every corner", func(in *proof.Input) {
			for _, q := range []geom.Point{{X: 93, Y: 73}, {X: 93, Y: 147}, {X: 207, Y: 147}, {X: 207, Y: 73}} {
				in.Stock.Voids = append(in.Stock.Voids, proof.Void{Path: geom.Circle(q, 1), Name: "a hole"})
			}
		}, false},
		{"a hole of the plate far away", func(in *proof.Input) {
			in.Stock.Voids = []proof.Void{{Path: geom.Circle(geom.Pt(20, 20), 1), Name: "a hole"}}
		}, true},
		{"a tab of a neighbour far away", func(in *proof.Input) {
			f := feature("p2.outline", "outline", "leave", geom.Circle(geom.Pt(30, 30), 5))
			f.Tabs = []proof.Tab{{At: geom.Pt(30, 35), Width: 3}}
			in.Parts = append(in.Parts, proof.Part{Label: "p2", Features: []proof.Feature{f}})
		}, true},
		{"edges shared with neighbours", func(in *proof.Input) { in.Shared = true }, false},
		{"an inside feature", func(in *proof.Input) { in.Parts[0].Features[0].Rule = "inside" }, false},
		{"tabs of its own", func(in *proof.Input) {
			in.Parts[0].Features[0].Tabs = []proof.Tab{{At: geom.Pt(130, 140), Width: 3}}
		}, false},
		{"a tab of a neighbour at every corner", func(in *proof.Input) {
			f := feature("p2.outline", "outline", "leave", geom.Circle(geom.Pt(30, 30), 5))
			for _, q := range []geom.Point{{X: 92, Y: 72}, {X: 92, Y: 148}, {X: 208, Y: 148}, {X: 208, Y: 72}} {
				f.Tabs = append(f.Tabs, proof.Tab{At: q, Width: 3})
			}
			in.Parts = append(in.Parts, proof.Part{Label: "p2", Features: []proof.Feature{f}})
		}, false},
		{"corners that the job does not call sharp", func(in *proof.Input) { in.Parts[0].Features[0].Corner.Turn = math.Pi/2 + 0.01 }, false},
		{"corners on the limit may be either", func(in *proof.Input) { in.Parts[0].Features[0].Corner.Turn = math.Pi / 2 }, false},
	} {
		if got := asked(c.change); got != c.want {
			t.Errorf("%s: asked %v", c.name, got)
		}
	}
}

// A lead that on its way comes along the edge cuts it as well: against the
// direction of the cut, the square side would be the scrap's there.
func TestLeadAlongTheEdgeTheWrongWayIsCaught(t *testing.T) {
	// A slot of 60 mm by 14 mm; the torch runs 6.25 from its middle line.
	r := 7 - kerf/2
	left, right := geom.Pt(77, 110), geom.Pt(123, 110)
	edge := geom.Path{Closed: true, V: []geom.Vertex{
		{P: left.Add(geom.Pt(0, -7))}, {P: right.Add(geom.Pt(0, -7)), Bulge: 1}, {P: right.Add(geom.Pt(0, 7))}, {P: left.Add(geom.Pt(0, 7)), Bulge: 1}}}
	prove := func(way ...step) proof.Result {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(cutting{"p1.s1", left.Add(geom.Pt(6, 0)), way, full, false})
		w.footer()
		in := input(w.text())
		in.Parts = []proof.Part{{Label: "p1", Features: []proof.Feature{feature("p1.s1", "slot", "inside", edge)}}}
		return proof.Prove(in)
	}
	start := geom.Polar(left, r, math.Pi*1.1)
	lap := []step{
		{geom.Polar(left, r, math.Pi*1.5), left, 1}, {to: right.Add(geom.Pt(0, -r))}, {right.Add(geom.Pt(r, 0)), right, 1}, {right.Add(geom.Pt(0, r)), right, 1},
		{to: left.Add(geom.Pt(0, r))}, {start, left, 1},
	}
	if res := prove(append([]step{{to: start}}, lap...)...); !res.OK {
		t.Fatal(show(res))
	}
	// Round the end of the slot and through the slug first, in one arc.
	for name, turn := range map[string]int{"against": -1, "along": 1} {
		from := geom.Polar(left, r, math.Pi*(1.1+0.05*float64(turn)))
		res := prove(append([]step{{to: from}, {start, left, turn}}, lap...)...)
		against := false
		for _, f := range res.Findings {
			against = against || f.Code == "direction" && f.Line > 0
		}
		if against != (turn < 0) || res.OK != (turn > 0) {
			t.Errorf("%s: %s", name, show(res))
		}
	}
}

// polygonCut cuts a polygon, given counter-clockwise, from outside and
// clockwise, from the middle of its last side: sides half a kerf out, joined by
// arcs about the corners (closed form of an offset).
func polygonCut(id string, pts ...geom.Point) cutting {
	h := kerf / 2
	n := len(pts)
	out := func(a, b geom.Point) geom.Point { return b.Sub(a).Unit().Left().Mul(-h) }
	side := out(pts[n-1], pts[0])
	m := pts[n-1].Lerp(pts[0], 0.5)
	c := cutting{id, m.Add(side.Mul(6)), []step{{to: m.Add(side)}}, full, false}
	c.pierce = c.pierce.Add(pts[0].Sub(m).Unit().Mul(3))
	for i := n - 1; i >= 0; i-- {
		now, next := out(pts[i], pts[(i+1)%n]), out(pts[(i+n-1)%n], pts[i])
		if now.Cross(next) > 0 { // goes in: the sides meet
			c.way = append(c.way, step{to: pts[i].Add(now.Add(next).Mul(h * h / (h*h + now.Dot(next))))})
			continue
		}
		c.way = append(c.way, step{to: pts[i].Add(now)}, step{pts[i].Add(next), pts[i], -1})
	}
	c.way = append(c.way, step{to: m.Add(side)})
	return c
}

// Corners that turn by as much as the job says, those that stick out only; a
// point of under 12 degrees gets no loop.
func TestWhichCornersAreSharp(t *testing.T) {
	for _, c := range []struct {
		name string
		pts  []geom.Point
		turn float64 // degrees
		want string  // start of the line of the corner that is asked about; "" is none
	}{
		// Its tails turn by 164 degrees, its point by 139, the notch by 106 inwards.
		{"arrow", []geom.Point{{X: 100, Y: 100}, {X: 130, Y: 140}, {X: 160, Y: 100}, {X: 130, Y: 180}}, 104, "G2"},
		{"arrow, limit over all its corners", []geom.Point{{X: 100, Y: 100}, {X: 130, Y: 140}, {X: 160, Y: 100}, {X: 130, Y: 180}}, 175, ""},
		{"thin point, alone under the limit", []geom.Point{{X: 100, Y: 100}, {X: 200, Y: 110}, {X: 100, Y: 120}}, 168, ""}, // inner angle 11.4
		{"less thin", []geom.Point{{X: 100, Y: 100}, {X: 200, Y: 112}, {X: 100, Y: 124}}, 165, "G2"},                       // 13.7
	} {
		text := program(polygonCut("p1.outline", c.pts...))
		f := feature("p1.outline", "outline", "outline", geom.Polygon(c.pts...))
		in := single(text, f)
		in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(600, 400), 0)
		in.Machine.TravelX = 2000
		if r := proof.Prove(in); !r.OK {
			t.Fatalf("%s: %s", c.name, show(r))
		}
		in.Parts[0].Features[0].Corner = proof.Corner{Turn: c.turn * math.Pi / 180, Loop: 2}
		r := proof.Prove(in)
		line := ""
		for _, f := range r.Findings {
			if f.Code == "corner-loop" {
				line = strings.Split(string(text), "\n")[f.Line-1]
			}
		}
		if (line == "") != (c.want == "") || !strings.HasPrefix(line, c.want) {
			t.Errorf("%s: asked at %q\n%s", c.name, line, show(r))
		}
	}
}

// The corner at which a cut begins and ends needs no loop: the lead passed it.
func TestCornerOfTheStartNeedsNoLoop(t *testing.T) {
	l := careful(full, 4, 0)
	start, before := l[5].to, l[1].to
	h := kerf / 2
	legs := append([]leg{{step{to: start}, full}}, l[6:21]...)
	legs = append(legs, leg{step{to: before}, full}, leg{step{start, before.Add(geom.Pt(0, h)), -1}, full})
	text := strings.Replace(string(textOf(legs)), "G0 X155.0000 Y74.2500", "G0 X94.0000 Y76.0000", 1)
	if r := proof.Prove(plainPlate([]byte(text), 0, 0, 4)); !r.OK {
		t.Errorf("%s\n%s", show(r), text)
	}
}
