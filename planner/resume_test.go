package planner_test

import (
	"context"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/presets"
	"pgregory.net/rapid"
)

type files map[string][]byte

func (f files) Drawing(name string) ([]byte, error) { return f[name], nil }

// demo is the job that comes with the program.
func demo(t testing.TB) (job.Job, []*drawing.Loops) {
	t.Helper()
	text, drawings := presets.Demo()
	j, faults := jobfile.Decode(presets.DemoJob, text)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	l, faults := planner.Read(context.Background(), j, files(drawings))
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	return j, l
}

func mustResume(t testing.TB, j job.Job, l []*drawing.Loops, from planner.From) *planner.Program {
	t.Helper()
	p, faults := planner.Resume(context.Background(), j, l, from)
	if faults.Bad() {
		if p != nil {
			t.Log("\n" + string(p.Text))
		}
		t.Fatalf("%+v: %v", from, faults.Err())
	}
	if !p.Verdict.OK || !p.DryVerdict.OK {
		t.Fatalf("%+v: %+v", from, p.Verdict.Findings)
	}
	return p
}

func TestDemoIsTakenUpAtEveryCut(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	j, l := demo(t)
	whole := mustPlan(t, j, l)
	for _, c := range whole.Cuts {
		p := mustResume(t, j, l, planner.From{Cut: c.N})
		if len(p.Cuts) != len(whole.Cuts)-c.N+1 || p.Cuts[0].N != c.N || !p.Cuts[0].TouchOff {
			t.Fatalf("cut %d: %d cuts from %d", c.N, len(p.Cuts), p.Cuts[0].N)
		}
	}
}

func TestDemoIsTakenUpAtEveryLine(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long")
	}
	j, l := demo(t)
	whole := mustPlan(t, j, l)
	ways := map[string]int{}
	step := 7 // all of them take a minute
	if os.Getenv("KERFWRIGHT_LONG") != "" {
		step = 1
	}
	last := whole.Cuts[len(whole.Cuts)-1]
	for line := 1; line <= last.Last; line += step {
		p, faults := planner.Resume(context.Background(), j, l, planner.From{Line: line})
		if faults.Bad() {
			if strings.Contains(faults.Err().Error(), "nothing is left to cut") && line > last.First+15 {
				ways["nothing left"]++
				continue
			}
			t.Fatalf("line %d: %v", line, faults.Err())
		}
		switch c := p.Cuts[0]; {
		case c.Touch != nil:
			ways["kerf"]++
		case c.Pierce != whole.Cuts[c.N-1].Pierce:
			ways["fresh lead"]++
		default:
			ways["as planned"]++
		}
	}
	t.Log(ways)
	if ways["fresh lead"] == 0 || ways["as planned"] == 0 {
		t.Errorf("%v", ways)
	}
	for _, line := range []int{-1, last.Last, last.Last + 1} {
		if _, faults := planner.Resume(context.Background(), j, l, planner.From{Line: line}); !faults.Bad() {
			t.Errorf("line %d is taken up", line)
		}
	}
}

func TestJobIsTakenUpWhereAPersonPoints(t *testing.T) {
	j, l := gateJob(), leaf()
	whole := mustPlan(t, j, l)
	for _, c := range whole.Cuts {
		for _, part := range []float64{0.1, 0.4, 0.7, 0.9} {
			seg := int(part * float64(c.Path.NumSegs()))
			q := c.Path.Seg(seg).Mid().Add(geom.Pt(0.3, 0.2))
			p, faults := planner.Resume(context.Background(), j, l, planner.From{At: &q})
			if faults.Bad() && !strings.Contains(faults.Err().Error(), "nothing is left") {
				t.Errorf("%s at %v: %v", c.Label, q, faults.Err())
			} else if !faults.Bad() && !p.Verdict.OK {
				t.Errorf("%s at %v: %v", c.Label, q, p.Verdict.Findings)
			}
		}
	}
}

// spoil is a harm done to a program that takes a job up, and what the proof
// must say to it.
type spoil struct {
	name string
	code string
	do   func(lines []string) []string
}

// nth returns the index of the nth line, from 0, that begins so.
func nth(lines []string, prefix string, n int) int {
	for i, l := range lines {
		if strings.HasPrefix(l, prefix) {
			if n == 0 {
				return i
			}
			n--
		}
	}
	return -1
}

func without(lines []string, i, n int) []string {
	return append(append([]string{}, lines[:i]...), lines[i+n:]...)
}

func spoils() []spoil {
	return []spoil{
		{"first cut left out", "uncut", func(l []string) []string {
			a, b := nth(l, "(cut ", 0), nth(l, "(cut ", 1)
			return without(l, a, b-a)
		}},
		{"last move of the lost cut left out", "", func(l []string) []string {
			i := nth(l, "M5", 1)
			return without(l, i-2, 1)
		}},
		{"a later cut left out", "not-cut", func(l []string) []string {
			a, b := nth(l, "(cut ", 1), nth(l, "(cut ", 2)
			return without(l, a, b-a)
		}},
		{"no touch-off", "no-touch-off", func(l []string) []string {
			i := nth(l, "G38.2", 0)
			return without(l, i, 4)
		}},
		{"touch-off over the old kerf", "touch-off-void", func(l []string) []string {
			i := nth(l, "G38.2", 0)
			return append(append(append([]string{}, l[:i]...), "G0 X@KX Y@KY"), l[i:]...)
		}},
		{"never put out", "", func(l []string) []string {
			i := nth(l, "M5", 1)
			return without(l, i, 1)
		}},
		{"wrong feed", "feed", func(l []string) []string {
			out := append([]string{}, l...)
			for i := range out {
				if strings.HasSuffix(out[i], "F1590") {
					out[i] = strings.Replace(out[i], "F1590", "F1990", 1)
				}
			}
			return out
		}},
	}
}

// A program that takes a job up is held to what is cut already: less done than
// it takes for granted, more done, and harms to the text, are all found.
func TestSpoiledResumesAreCaught(t *testing.T) {
	j, l := demo(t)
	whole := mustPlan(t, j, l)
	var outline planner.Cut
	for _, c := range whole.Cuts {
		if strings.HasSuffix(c.Label, ".outline") {
			outline = c
			break
		}
	}
	line := outline.Last - 6 // most of the outline is cut
	p := mustResume(t, j, l, planner.From{Line: line})
	prove := func(text string, from planner.From) (codes string, ok bool) {
		r, faults := planner.ProveResumed(context.Background(), j, l, []byte(text), false, from)
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		for _, f := range r.Findings {
			codes += f.Code + " "
		}
		return codes, r.OK
	}
	if codes, ok := prove(string(p.Text), planner.From{Line: line}); !ok {
		t.Fatal(codes)
	}
	half := outline.Path.Seg(outline.LeadIn).Mid()
	for _, c := range spoils() {
		text := strings.Join(c.do(strings.Split(string(p.Text), "\n")), "\n")
		text = strings.NewReplacer("@KX", coord(half.X), "@KY", coord(half.Y)).Replace(text)
		if text == string(p.Text) {
			t.Fatalf("%s changes nothing", c.name)
		}
		if codes, ok := prove(text, planner.From{Line: line}); ok || !strings.Contains(codes, c.code) {
			t.Errorf("%s: ok %v, %s", c.name, ok, codes)
		}
	}
	// Less was cut than the program takes for granted.
	for _, from := range []planner.From{{Cut: outline.N}, {Cut: 1}, {Line: outline.First + 14}, {Line: line - 9}} {
		if codes, ok := prove(string(p.Text), from); ok {
			t.Errorf("passes although only %+v was done: %s", from, codes)
		}
	}
	// More was cut: it goes over metal that is gone.
	for _, from := range []planner.From{{Cut: outline.N + 1}, {Cut: outline.N + 3}} {
		if codes, ok := prove(string(p.Text), from); ok {
			t.Errorf("passes although %+v was done: %s", from, codes)
		}
	}
	// The whole program, run again from the start, cuts all of it twice.
	if codes, ok := prove(string(whole.Text), planner.From{Line: line}); ok {
		t.Errorf("the whole program passes: %s", codes)
	}
	// And the program that takes it up is no whole program.
	if r, _ := planner.Prove(context.Background(), j, l, p.Text, false); r.OK {
		t.Error("passes as the whole program")
	}
}

func coord(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

// Whatever job is lost at whatever line, what takes it up is proved, or refused
// with a reason.
func TestRandomJobsAreTakenUpOrRefused(t *testing.T) {
	proved, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		j := anyJob(rt)
		l := loops(anyPart(rt)...)
		whole, faults := planner.Plan(context.Background(), j, l)
		if faults.Bad() {
			return
		}
		first, last := whole.Cuts[0].First, whole.Cuts[len(whole.Cuts)-1].Last
		from := planner.From{Line: rapid.IntRange(first, last).Draw(rt, "line")}
		if rapid.Bool().Draw(rt, "point") {
			c := whole.Cuts[rapid.IntRange(0, len(whole.Cuts)-1).Draw(rt, "cut")]
			if c.Pop {
				return
			}
			q := c.Path.Seg(rapid.IntRange(0, c.Path.NumSegs()-1).Draw(rt, "seg")).At(rapid.Float64Range(0, 1).Draw(rt, "t"))
			from = planner.From{At: &q}
		}
		p, faults := planner.Resume(context.Background(), j, l, from)
		for _, f := range faults.At(2) {
			if f.Code != "resume" && f.Code != "resume-touch-off" && f.Code != "resume-no-metal" {
				if p != nil {
					rt.Log(string(p.Text))
				}
				rt.Fatalf("%+v: %s: %v", from, f.Code, f)
			}
		}
		if faults.Bad() {
			refused++
			return
		}
		proved++
		if !p.Verdict.OK || !p.DryVerdict.OK {
			rt.Fatalf("%v", p.Verdict.Findings)
		}
	})
	t.Logf("%d proved, %d refused", proved, refused)
	if proved == 0 {
		t.Error("none was taken up")
	}
}

// A resumed job has the price of what is left; begun anew at its first cut, it
// is the whole job. Of blanks, those still to come are charged.
func TestResumedJobHasThePriceOfWhatIsLeft(t *testing.T) {
	j := fullPlate()
	l := leaf()
	prices := cost.Prices{MildSteel: job.Of(2), Machine: job.Of(36), Labour: job.Of(45), Swap: job.Of(60)}
	whole := mustPlan(t, j, l)
	all := planner.Cost(j, whole, prices)
	item := func(r cost.Result, name string) float64 {
		for _, i := range r.Items {
			if i.Name == name {
				return i.Money.Value
			}
		}
		t.Fatal(name)
		return 0
	}
	rest := func(j job.Job, from planner.From) cost.Result {
		p, faults := planner.Resume(context.Background(), j, l, from)
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		return planner.Cost(j, p, prices)
	}
	r := rest(j, planner.From{Cut: 13})
	if !r.Left || item(r, "metal") != 0 || r.Starts != len(whole.Cuts)-12 || item(r, "machine") >= item(all, "machine") || len(r.Kinds) != 0 {
		t.Errorf("%+v", r)
	}
	if r := rest(j, planner.From{Cut: 1}); r.Left || item(r, "metal") != item(all, "metal") {
		t.Errorf("%+v", r)
	}

	j.Stock.Hold = job.Blank
	j.Stock.Fixture = job.Fixture{Count: 4, Allowance: job.Of(1)}
	whole = mustPlan(t, j, l)
	each := item(planner.Cost(j, whole, prices), "metal") / 4
	n := len(whole.Cuts) / 4
	for cut, blanks := range map[int]float64{n + 2: 2, 2*n + 1: 2, 3*n + 2: 0} { // in the second, before the third, in the last
		if got := item(rest(j, planner.From{Cut: cut}), "metal"); math.Abs(got-blanks*each) > 1e-9*each {
			t.Errorf("at cut %d of 4 blanks: metal for %g, want %g of them", cut, got/each, blanks)
		}
	}
}

// A cut that is taken up keeps the care that the job asks for: creep on its new
// lead, and loops or less feed at its sharp corners. The proof knows the feeds
// and the loops that are asked for, and no others.
func TestTakenUpCutsKeepTheirCare(t *testing.T) {
	l := loops(geom.Polygon(geom.Pt(0, 0), geom.Pt(160, 0), geom.Pt(80, 120)))
	take := func(j job.Job, share float64) planner.Cut {
		t.Helper()
		whole := mustPlan(t, j, l)
		c := whole.Cuts[0]
		q := c.Path.Seg(c.LeadIn).At(0.001)
		if share > 0 {
			way := share * c.Path.Length()
			for i := range c.Path.NumSegs() {
				sg := c.Path.Seg(i)
				if way <= sg.Length() {
					q = sg.At(way / sg.Length())
					break
				}
				way -= sg.Length()
			}
		}
		p, faults := planner.Resume(context.Background(), j, l, planner.From{At: &q})
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		return p.Cuts[0]
	}
	j := gateJob()
	j.Process.Feed, j.Layout.Margin = 2000, 20
	j.Rules.EntryFeed, j.Rules.CornerFeed = 0.5, 0.6
	for _, share := range []float64{0, 0.3, 0.6} {
		c := take(j, share)
		if len(c.Feeds) != c.Path.NumSegs() {
			t.Fatalf("lost at %g: %d feeds for %d segments", share, len(c.Feeds), c.Path.NumSegs())
		}
		slow := 0.0
		for i, f := range c.Feeds {
			want := 2000.0
			if i < c.LeadIn {
				want = 1000
			}
			if i >= c.LeadIn && f == 1200 {
				slow += c.Path.Seg(i).Length()
			} else if f != want {
				t.Errorf("lost at %g: %g mm/min on segment %d, %d of them lead in", share, f, i, c.LeadIn)
			}
		}
		if c.LeadIn == 0 || slow == 0 {
			t.Errorf("lost at %g: %d segments of lead, %g mm of corners", share, c.LeadIn, slow)
		}
	}
	j.Rules.EntryFeed, j.Rules.CornerFeed, j.Rules.CornerLoop = 0, 0, 3
	for share, want := range map[float64]int{0: 2, 0.3: 1} { // all round again; what is left of two loops
		c := take(j, share)
		loops := 0
		for i := range c.Path.NumSegs() {
			if sg := c.Path.Seg(i); sg.IsArc() && math.Abs(sg.Radius()-3) < 1e-6 {
				loops++
			}
		}
		if loops < 2*want { // each is of two arcs
			t.Errorf("lost at %g: %d arcs of loops, want %d loops", share, loops, want)
		}
	}
}

// Of parts close together, a stretch of an outline between tabs is taken up
// from where its own lead ended: the lead to there comes from no side on which
// it would cut the edge the wrong way.
func TestStretchBetweenTabsIsTakenUpTheRightWay(t *testing.T) {
	proved, heights := 0, []float64{33, 41.5}
	if testing.Short() {
		heights = heights[:1]
	}
	for _, h := range heights {
		j := gateJob()
		j.Stock.Width, j.Stock.Height, j.Stock.Thickness = 900, 600, 1
		j.Process.Kerf, j.Drawings[0].Quantity, j.Layout.Gap = 2.04, 2, 6
		j.Rules.TabUnder, j.Rules.TabCount, j.Rules.SmallFirst, j.Rules.ProbeReuse = 2000, 4, 80, 60
		l := loops(geom.Polygon(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, h/2), geom.Pt(15, h/2), geom.Pt(15, h), geom.Pt(0, h)))
		whole := mustPlan(t, j, l)
		for _, c := range whole.Cuts {
			for seg := range c.Path.NumSegs() {
				q := c.Path.Seg(seg).A
				p, faults := planner.Resume(context.Background(), j, l, planner.From{At: &q})
				for _, f := range faults.At(2) {
					if f.Code != "resume" && f.Code != "resume-touch-off" && f.Code != "resume-no-metal" {
						t.Errorf("%s at %v: %v", c.Label, q, f)
					}
				}
				if p != nil && !faults.Bad() {
					proved++
				}
			}
		}
	}
	if proved < 25*len(heights) {
		t.Error(proved, "proved")
	}
}

// A lead that was lost in a slug which is to be cut across may have been the
// lead or the cut across: the hole goes on in its kerf all the same.
func TestLeadLostInASlugToBeCutAcrossIsTakenUp(t *testing.T) {
	j := gateJob()
	j.Stock.Thickness, j.Process.Kerf, j.Process.Feed, j.Rules.SplitSlugs = 2.94, 2.6, 364, 7.13
	l := loops(rect(0, 0, 199, 95), geom.Circle(geom.Pt(25, 27), 4.27))
	whole := mustPlan(t, j, l)
	for part := 0.1; part < 1; part += 0.1 {
		q := whole.Cuts[0].Path.Seg(0).At(part)
		mustResume(t, j, l, planner.From{At: &q})
	}
}
