package presets_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/coupon"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// table is a machine that nobody knows yet: what it does with a program.
type table struct {
	kerf         float64 // mm, true
	slow, fast   float64 // mm/min: dross under and over
	through      float64 // s that a pierce takes
	lean         float64 // mm that a hole of one thickness comes out too small
	volts, perH  float64
	random       *rand.Rand
	hoursBehind  float64
	measureNoise float64
}

// cut runs a job and looks at what came out.
func (m *table) cut(t *testing.T, j job.Job, at time.Time) presets.Run {
	t.Helper()
	loops, faults := planner.Read(context.Background(), j, nil)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	tree, faults := planner.Features(j, loops)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	r := presets.RunOf(j, tree, len(tree.Features), 60)
	r.At, r.By, r.Set = at.Format(time.RFC3339), plain.Of("J. Berg"), plain.Of("set 7")
	m.hoursBehind += r.ArcOn / 3600
	r.Volts = job.Of(math.Round(m.volts + m.perH*m.hoursBehind))
	for i := range r.Looks {
		l := &r.Looks[i]
		d := j.Process.Kerf - m.kerf
		size := l.Drawn + d
		if l.Kind != feature.Outline {
			size = l.Drawn - d + l.Taper
		}
		if l.Kind == feature.Hole {
			size -= m.lean * math.Max(0, 3-l.Drawn/j.Stock.Thickness)
		}
		l.Measured = math.Round((size+m.measureNoise*m.random.NormFloat64())*100) / 100
		switch feed := j.Process.Feed * l.Part; {
		case l.Delay.Known && l.Delay.Value < m.through:
			l.Dross = learn.NotThrough
		case feed < m.slow:
			l.Dross = learn.EasyDross
		case feed > m.fast:
			l.Dross = learn.HardDross
		default:
			l.Dross = learn.Clean
		}
	}
	return r
}

// TestWalkFromCouponToProvedPreset: a table whose true figures are far from
// the starting preset is learnt piece by piece, until the preset is proved.
func TestWalkFromCouponToProvedPreset(t *testing.T) {
	s := presets.OpenStore(filepath.Join(t.TempDir(), "store"))
	lib, _ := s.Load()
	machine, _ := lib.Machine("plain-mm")
	m := &table{kerf: 1.93, slow: 1250, fast: 1700, through: 0.35, lean: 0.2, volts: 128, perH: 4, random: rand.New(rand.NewPCG(5, 6)), measureNoise: 0.03}
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	by := plain.Of("J. Berg")
	current := func() presets.Preset {
		l, faults := s.Load()
		_, n, err := l.Lookup(job.MildSteel, 6, 45)
		if err != nil || len(faults) > 0 {
			t.Fatal(err, faults)
		}
		return n.Thinner
	}
	if p := current(); p.Process.State != job.Starting || p.Own {
		t.Fatalf("%+v", p)
	}
	step := func(k coupon.Kind) presets.Proposal {
		t.Helper()
		p := current()
		j, err := coupon.Make(coupon.Spec{Kind: k, Stock: job.Stock{Material: job.MildSteel, Thickness: 6}, Process: p.Process, Machine: machine})
		if err != nil {
			t.Fatal(err)
		}
		now = now.Add(20 * time.Minute)
		if _, err := s.LogRun(m.cut(t, j, now), unit.MM); err != nil {
			t.Fatal(err)
		}
		runs, faults := s.Runs()
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		prop := presets.Propose(p, runs, nil, by, now.Format(time.RFC3339), unit.MM)
		t.Logf("%s:", k.Title())
		for _, c := range prop.Changes {
			t.Logf("   %s: %s -> %s (%s)", c.Figure, c.Was, c.Now, c.Why)
		}
		for _, x := range prop.Told {
			t.Logf("   %s", x)
		}
		if len(prop.Changes) > 0 {
			if _, err := s.EditPreset(prop.Was, prop.Now, unit.MM); err != nil {
				t.Fatal(err)
			}
		}
		return prop
	}
	step(coupon.Pierce)
	if d := current().Process.PierceDelay.Value; d < m.through || d > m.through+0.15 {
		t.Errorf("pierce delay %v, true %v", d, m.through)
	}
	step(coupon.Kerf)
	f, _ := current().Figure("kerf")
	if k := current().Process.Kerf; math.Abs(k-m.kerf) > f.Within || f.Within > 0.1 {
		t.Errorf("kerf %v +- %v, true %v", k, f.Within, m.kerf)
	}
	step(coupon.Feeds)
	if v := current().Process.Feed; v < m.slow || v > m.fast {
		t.Errorf("feed %v, clean from %v to %v", v, m.slow, m.fast)
	}
	step(coupon.Holes)
	small := func() float64 { return current().Process.TaperAdd(1.2) }
	if want := m.lean * 1.8; math.Abs(small()-want) > 0.12 {
		t.Errorf("a hole of 1.2 x thickness is made %v larger, want about %v", small(), want)
	}
	if current().Process.State != job.Tried {
		t.Errorf("state %q before anything was proved", current().Process.State)
	}
	var last presets.Proposal
	for range 3 { // until the figures stand still
		if last = step(coupon.Kerf); current().Process.State == job.Proved {
			break
		}
	}
	p := current()
	if p.Process.State != job.Proved || !p.Own || p.By != by || p.At == "" || len(p.Figures) < 4 {
		t.Fatalf("not proved: %v\n%+v", last.Told, p)
	}
	if src := p.Process.Source.String(); !strings.HasPrefix(src, "learnt from this shop's cut log: feed, kerf, pierce delay, volts, taper; the rest: feed: energy balance") || strings.Count(src, "learnt") != 1 {
		t.Errorf("comes from %q", src)
	}
	item, err := presets.ParseItem(p.File)
	if err != nil {
		t.Fatal(err)
	}
	if past, err := s.History(item); err != nil || len(past) < 3 {
		t.Errorf("%d earlier states of the preset are kept: %v", len(past), err)
	}
}

func TestRunComesBackAsWritten(t *testing.T) {
	s := presets.OpenStore(t.TempDir())
	r := presets.Run{At: "2026-05-04T10:20:30+02:00", By: plain.Of("J. Berg"), Job: plain.Of("trailer side plate №2"), Kind: presets.LogJob, Material: job.MildSteel,
		Thickness: 6, Process: own().Process, Set: plain.Of("set 7"), Starts: 12, ArcOn: 340.5, Lost: 1, Changed: true, Volts: job.Of(124), Notes: plain.Of("rusty plate"),
		Looks: []presets.Look{{Feature: "p1.outline", Kind: feature.Outline, Side: "width", Drawn: 160, Measured: 160.12, Part: 1, Dross: learn.EasyDross, Bevel: job.Of(-0.02)},
			{Feature: "p1.h1", Kind: feature.Hole, Side: "diameter", Drawn: 10, Part: 0.6, Slow: true, Taper: 0.1, Delay: job.Of(0)}}}
	one, err := s.LogRun(r, unit.Inch)
	if err != nil {
		t.Fatal(err)
	}
	two, err := s.LogRun(r, unit.MM) // the same second: a name of its own
	if err != nil || two.ID == one.ID || one.ID != "20260504T082030Z-trailer-side-plate-2" {
		t.Fatal(one.ID, two.ID, err)
	}
	all, faults := s.Runs()
	if len(faults) > 0 || len(all) != 2 {
		t.Fatal(faults, len(all))
	}
	for i, want := range []presets.Run{one, two} {
		got := all[i]
		got.Process, want.Process = job.Process{}, job.Process{}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%+v\n%+v", got, want)
		}
	}
	one.Looks[0].Measured = 161
	if err := s.ChangeRun(one, unit.MM); err != nil {
		t.Fatal(err)
	}
	if past, err := s.History(presets.Item{Folder: "log", Name: one.ID + ".toml"}); err != nil || len(past) != 1 {
		t.Error("the entry as it was is not kept", err)
	}
	if err := os.WriteFile(filepath.Join(s.Root(), "log", "broken.toml"), []byte("starts = -1\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if all, faults := s.Runs(); len(all) != 2 || !faults.Bad() || !strings.Contains(faults.Err().Error(), "broken.toml:1") {
		t.Error(len(all), faults)
	}
}

func TestNothingIsProposedFromNothing(t *testing.T) {
	p := presets.Propose(own(), nil, nil, plain.Of("x"), "2026-05-04T10:20:30Z", unit.MM)
	if len(p.Changes) > 0 || len(p.Told) != 1 || !p.Now.Same(p.Was) {
		t.Errorf("%+v", p)
	}
	// A run in another current says nothing.
	r := presets.Run{Material: job.Stainless, Thickness: unit.Inch.ToMM(0.125), Process: job.Process{Amps: 30}, Looks: []presets.Look{{Feature: "p1.outline", Kind: feature.Outline, Drawn: 60, Measured: 61}}}
	if p := presets.Propose(own(), []presets.Run{r}, nil, plain.Of("x"), "2026-05-04T10:20:30Z", unit.MM); p.Runs != 0 {
		t.Errorf("%+v", p)
	}
}

func TestReadingsInTheWrongUnitAreNotProposed(t *testing.T) {
	r := presets.Run{Material: job.Stainless, Thickness: own().Thickness, Process: own().Process}
	for range 3 { // inches typed into a job in mm
		r.Looks = append(r.Looks, presets.Look{Feature: "p1.outline", Kind: feature.Outline, Side: "width", Drawn: 60, Measured: 2.36})
	}
	p := presets.Propose(own(), []presets.Run{r}, nil, plain.Of("x"), "2026-05-04T10:20:30Z", unit.MM)
	if len(p.Changes) > 0 || !p.Now.Same(p.Was) || !strings.Contains(strings.Join(p.Told, " "), "the readings give a figure that cannot be: presets[1].kerf") {
		t.Errorf("%+v %q", p.Changes, p.Told)
	}
}

func TestBadEdgeKeepsAPresetFromBeingProved(t *testing.T) {
	p := own()
	p.Process.State = job.Tried
	p = p.WithFigure(presets.Figure{Of: "kerf", Within: 0.05}).WithFigure(presets.Figure{Of: "feed", Within: 100})
	run := func(d learn.Dross, off float64, lost int) presets.Run {
		return presets.Run{Material: p.Material, Thickness: p.Thickness, Process: p.Process, Lost: lost, Job: plain.Of("gate latch"),
			Looks: []presets.Look{{Feature: "p1.outline", Kind: feature.Outline, Side: "width", Drawn: 60, Measured: 60 + off, Part: 1, Dross: d}}}
	}
	state := func(r presets.Run) (job.State, string) {
		q := presets.Propose(p, []presets.Run{r}, nil, plain.Of("x"), "2026-05-04T10:20:30Z", unit.MM)
		return q.Now.Process.State, strings.Join(q.Told, "; ")
	}
	if s, told := state(run(learn.Clean, 0.02, 0)); s != job.Proved {
		t.Error(s, told)
	}
	for name, c := range map[string]struct {
		r    presets.Run
		want string
	}{
		"top dross": {run(learn.TopDross, 0.02, 0), "spatter on top"},
		"lost arc":  {run(learn.Clean, 0.02, 2), "the arc went out 2 times"},
	} {
		if s, told := state(c.r); s == job.Proved || !strings.Contains(told, c.want) {
			t.Errorf("%s: %s, %s", name, s, told)
		}
	}
}

func TestSetsAreCountedFromTheLogAndWarnInTime(t *testing.T) {
	s := presets.OpenStore(t.TempDir())
	at := func(day int) string { return fmt.Sprintf("2026-05-%02dT08:00:00Z", day) }
	logged := func(set string, day, starts int, arcOn float64) {
		r := presets.Run{At: at(day), Job: plain.Of("gates"), Kind: presets.LogJob, Set: plain.Of(set), Starts: starts, ArcOn: arcOn}
		if _, err := s.LogRun(r, unit.MM); err != nil {
			t.Fatal(err)
		}
	}
	lasts := func(starts int, arcOn float64) presets.Lasting {
		sets, faults := s.Sets()
		runs, more := s.Runs()
		if len(faults)+len(more) > 0 {
			t.Fatal(faults, more)
		}
		return presets.Lasts(sets, runs, starts, arcOn)
	}
	if l := lasts(10, 60); l.Known || !strings.Contains(l.Text(), "no set of consumables") {
		t.Error(l.Text())
	}
	for i, name := range []string{"set 1", "set 2", "set 3"} {
		if err := s.FitSet(presets.Set{Name: plain.Of(name), Fitted: at(3*i + 1)}, presets.SetWorn); err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			if l := lasts(10, 60); l.Known || !strings.Contains(l.Text(), "not known") {
				t.Error(l.Text())
			}
		}
		if i < 2 {
			logged(name, 3*i+2, []int{400, 500}[i], []float64{7200, 9000}[i])
		}
	}
	if err := s.FitSet(presets.Set{Name: plain.Of("SET 3"), Fitted: at(20)}, presets.SetWorn); err == nil {
		t.Error("two sets of one name")
	}
	// 400 and 500 starts: mean 450, spread 70.7; prudent 379.
	if l := lasts(370, 60); !l.Known || !l.Enough {
		t.Error(l.Text())
	}
	logged("set 3", 9, 50, 600)
	l := lasts(340, 60)
	if !l.Known || l.Enough || l.Wear.Starts != 50 || l.Life.Starts.Mean != 450 {
		t.Errorf("%+v", l)
	}
	if want := "set 3 has 50 starts and"; !strings.Contains(l.Text(), want) {
		t.Error(l.Text())
	}
	if l := lasts(10, 6600); l.Enough { // 2.25 h mean of 2 and 2.5, spread 0.35: prudent 1.9
		t.Error("arc-on time is not looked at")
	}
}
