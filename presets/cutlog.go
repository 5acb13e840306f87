package presets

import (
	"cmp"
	"fmt"
	"math"
	"os"
	"slices"
	"time"

	"example.org/kerfwright/planner/coupon"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// logFolder holds the cut log: one file for each run, so that two sessions
// never write to the same one.
const (
	logFolder = "log"
	logFormat = 1
)

// LogKind says what was run.
type LogKind string

const (
	LogJob     LogKind = "job"
	LogKerf    LogKind = "kerf"   // kerf coupon
	LogFeeds   LogKind = "feeds"  // feed ladder
	LogHoles   LogKind = "holes"  // hole ladder
	LogPierces LogKind = "pierce" // pierce-delay row
	LogHold    LogKind = "hold"   // height-hold corner piece
)

// LogKinds lists every LogKind.
func LogKinds() []LogKind {
	return []LogKind{LogJob, LogKerf, LogFeeds, LogHoles, LogPierces, LogHold}
}

// Run is one entry of the cut log: what was seen after one run of a job.
type Run struct {
	ID        string // file name without .toml; "" until it is kept
	At        string // RFC 3339
	By        plain.Text
	Job       plain.Text
	Kind      LogKind
	Material  job.Material
	Thickness float64     // mm
	Process   job.Process // as the program was made with
	Set       plain.Text  // consumables that were fitted; "" is not said
	Starts    int         // of the run
	ArcOn     float64     // s of the run
	Lost      int         // arcs that went out before the cut was done
	Changed   bool        // consumables were changed afterwards
	Volts     job.Opt     // V, seen on a long straight cut
	Notes     plain.Text
	Looks     []Look
}

// Look is one thing that was looked at or measured.
type Look struct {
	Feature  string
	Kind     feature.Kind
	Side     string      // what was measured: width, height, diameter or length
	Drawn    float64     // mm; 0 where there is nothing to measure
	Measured float64     // mm; 0 is not measured
	Part     float64     // of the process's feed; 0 is 1
	Delay    job.Opt     // s, its own pierce delay
	Slow     bool        // cut slowly by rule: says nothing of the feed
	Taper    float64     // mm by which its path was changed
	Dross    learn.Dross // "" is not looked at
	Bevel    job.Opt     // rad, over 0 is cut away on top
}

// Name says what a look is of.
func (l Look) Name() string {
	if l.Side == "" {
		return l.Feature
	}
	return l.Feature + " " + l.Side
}

// RunOf makes the entry for a job, with everything on it that could be looked
// at and nothing filled in. starts and arcOn (s) are those of the plan.
func RunOf(j job.Job, t feature.Tree, starts int, arcOn float64) Run {
	r := Run{Job: j.Name, Kind: KindOfJob(j), Material: j.Stock.Material, Thickness: j.Stock.Thickness, Process: j.Process, Starts: starts, ArcOn: arcOn}
	for _, f := range t.Features {
		if !f.Rule.Cuts() {
			continue
		}
		l := Look{Feature: f.ID, Kind: f.Kind, Part: f.Feed, Delay: f.Delay, Slow: f.Rule == feature.RuleSlow, Taper: f.Taper}
		sides := []struct {
			name string
			mm   float64
		}{{"width", f.Width}, {"height", f.Height}}
		switch f.Kind {
		case feature.Hole:
			sides = sides[:1]
			sides[0].name, sides[0].mm = "diameter", f.Diameter
		case feature.Slot:
			sides[0].name, sides[0].mm = "length", f.Length
			sides[1].name, sides[1].mm = "width", f.Diameter
		}
		for _, s := range sides {
			l.Side, l.Drawn = s.name, round3(s.mm)
			r.Looks = append(r.Looks, l)
		}
	}
	return r
}

// round3 drops what no calliper shows: thousandths of a millimetre stay.
func round3(mm float64) float64 { return math.Round(mm*1000) / 1000 }

func shapeRun(f *jobfile.Form, units *unit.System, r *Run) {
	if _, ok := f.Version(logFormat); !ok {
		return
	}
	f.Units(units)
	f.Moment("at", &r.At)
	f.Text("by", &r.By)
	f.Text("job", &r.Job)
	jobfile.Word(f, "kind", &r.Kind, LogKinds())
	jobfile.Word(f, "material", &r.Material, job.Materials())
	f.Number("thickness", &r.Thickness, job.StockThickness)
	f.Text("set", &r.Set)
	jobfile.Count(f, "starts", &r.Starts, job.LogStarts)
	f.Number("arc_on", &r.ArcOn, job.LogArcOn)
	jobfile.Count(f, "lost", &r.Lost, job.LogLost)
	f.Flag("changed", &r.Changed)
	f.Opt("volts", &r.Volts, job.ProcessVolts)
	f.Text("notes", &r.Notes)
	jobfile.Rows(f, "looks", &r.Looks, func(l *Look) {
		f.Must("feature", &l.Feature, nil)
		kinds := []feature.Kind{feature.Outline, feature.Hole, feature.Slot, feature.CutOut}
		jobfile.Word(f, "kind", &l.Kind, kinds)
		jobfile.Word(f, "side", &l.Side, []string{"width", "height", "diameter", "length"})
		f.Number("drawn", &l.Drawn, job.LogSize)
		f.Number("measured", &l.Measured, job.LogSize)
		f.Number("part", &l.Part, job.LogPart)
		f.Opt("delay", &l.Delay, job.ProcessPierceDelay)
		f.Flag("slow", &l.Slow)
		f.Number("taper", &l.Taper, job.TaperAdd)
		jobfile.Word(f, "dross", &l.Dross, learn.Drosses())
		f.Opt("bevel", &l.Bevel, job.LogBevel)
	})
	f.Table("process", func() { jobfile.ShapeProcess(f, &r.Process) })
}

// DecodeRun reads an entry of the cut log.
func DecodeRun(file string, text []byte) (Run, fault.List) {
	var units unit.System
	var r Run
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shapeRun(f, &units, &r) })
	return r, faults
}

// EncodeRun writes an entry, its numbers in the given units.
func EncodeRun(r Run, units unit.System) ([]byte, fault.List) {
	return jobfile.Write([]string{"What was seen after one run of a job."}, func(f *jobfile.Form) { shapeRun(f, &units, &r) })
}

// LogRun keeps a new entry under a name of its own, and returns it with its
// ID. At must be said.
func (s Store) LogRun(r Run, units unit.System) (Run, error) {
	at, err := time.Parse(time.RFC3339, r.At)
	if err != nil {
		return r, fmt.Errorf("keep the cut: %q is no time", r.At)
	}
	text, faults := EncodeRun(r, units)
	if faults.Bad() {
		return r, fmt.Errorf("keep the cut: %w", faults.Err())
	}
	base := at.UTC().Format(versionTime) + "-" + slug(r.Job.String())
	err = s.locked(func() error {
		for n := 1; ; n++ {
			if r.ID = base; n > 1 {
				r.ID = fmt.Sprintf("%s-%d", base, n)
			}
			i := Item{logFolder, r.ID + ".toml"}
			switch old, err := s.read(i); {
			case err != nil:
				return fmt.Errorf("keep the cut: %w", err)
			case old != nil:
				continue
			}
			return s.put(i, text)
		}
	})
	return r, err
}

// ChangeRun keeps a corrected entry in place of the one with its ID; the old
// one goes into its history.
func (s Store) ChangeRun(r Run, units unit.System) error {
	text, faults := EncodeRun(r, units)
	if faults.Bad() {
		return fmt.Errorf("keep the cut: %w", faults.Err())
	}
	return s.Change(Item{logFolder, r.ID + ".toml"}, func([]byte) ([]byte, error) { return text, nil })
}

// Runs reads the cut log, oldest first. An entry with a fault is told and left
// out.
func (s Store) Runs() ([]Run, fault.List) {
	var all []Run
	var faults fault.List
	each(os.DirFS(s.root), logFolder, &faults, func(name string, text []byte) fault.List {
		r, faults := DecodeRun(name, text)
		if !faults.Bad() {
			r.ID = name[len(logFolder)+1 : len(name)-len(".toml")]
			all = append(all, r)
		}
		return faults
	})
	when := func(r Run) int64 {
		t, err := time.Parse(time.RFC3339, r.At)
		if err != nil {
			return 0
		}
		return t.Unix()
	}
	slices.SortStableFunc(all, func(a, b Run) int { return cmp.Or(cmp.Compare(when(a), when(b)), cmp.Compare(a.ID, b.ID)) })
	return all, s.placed(faults)
}

// KindOfJob tells a test piece from a job of parts.
func KindOfJob(j job.Job) LogKind {
	if k, ok := coupon.KindOf(j); ok {
		return LogKind(k)
	}
	return LogJob
}
