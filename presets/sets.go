package presets

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/learn"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

const (
	setsFolder = "sets"
	setFormat  = 1
)

// SetEnd says why a set of consumables was taken off.
type SetEnd string

const (
	SetWorn    SetEnd = "worn"
	SetFailed  SetEnd = "failed"  // burnt through or broken in the middle of a cut
	SetChanged SetEnd = "changed" // still good: for another current, or lost
)

// SetEnds lists every SetEnd.
func SetEnds() []SetEnd { return []SetEnd{SetWorn, SetFailed, SetChanged} }

// Set is one set of consumables: electrode, nozzle and what goes with them.
// How much it has behind it is counted from the cut log.
type Set struct {
	Name   plain.Text
	Amps   float64 // A it is made for; 0 is not said
	Fitted string  // RFC 3339
	Ended  string  // RFC 3339; "" is fitted still
	Why    SetEnd
	Starts int     // before the log began
	ArcOn  float64 // s, before the log began
	Notes  plain.Text
}

// Wear is what a set has behind it.
type Wear struct {
	Starts int
	ArcOn  float64 // s
}

func shapeSet(f *jobfile.Form, s *Set) {
	if _, ok := f.Version(setFormat); !ok {
		return
	}
	f.NoUnits()
	name := s.Name.String()
	f.Must("name", &name, nil)
	s.Name = plain.Of(name)
	f.Number("amps", &s.Amps, job.ProcessAmps)
	f.Moment("fitted", &s.Fitted)
	f.Moment("ended", &s.Ended)
	jobfile.Word(f, "why", &s.Why, SetEnds())
	jobfile.Count(f, "starts", &s.Starts, job.LogStarts)
	f.Number("arc_on", &s.ArcOn, job.LogArcOn)
	f.Text("notes", &s.Notes)
}

// DecodeSet reads a set of consumables.
func DecodeSet(file string, text []byte) (Set, fault.List) {
	var s Set
	faults := jobfile.Read(file, text, func(f *jobfile.Form) { shapeSet(f, &s) })
	return s, faults
}

// SaveSet keeps a set in place of the one of its name.
func (s Store) SaveSet(set Set) (Saved, error) {
	text, faults := jobfile.Write([]string{"A set of consumables. What it has behind it is counted from the cut log."},
		func(f *jobfile.Form) { shapeSet(f, &set) })
	if faults.Bad() {
		return Saved{}, fmt.Errorf("save the set of consumables: %w", faults.Err())
	}
	return s.keep(setsFolder, slug(set.Name.String()), func(name string, text []byte) standing {
		old, faults := DecodeSet(name, text)
		switch {
		case faults.Bad():
			return broken
		case old.Name == set.Name:
			return same
		}
		return other
	}, func() ([]byte, error) { return text, nil })
}

// Sets reads every set of consumables, the one fitted last first.
func (s Store) Sets() ([]Set, fault.List) {
	var all []Set
	var faults fault.List
	each(os.DirFS(s.root), setsFolder, &faults, func(name string, text []byte) fault.List {
		set, faults := DecodeSet(name, text)
		if !faults.Bad() {
			all = append(all, set)
		}
		return faults
	})
	slices.SortStableFunc(all, func(a, b Set) int { return moment(b.Fitted).Compare(moment(a.Fitted)) })
	return all, s.placed(faults)
}

func moment(s string) time.Time {
	t, _ := time.Parse(time.RFC3339, s)
	return t
}

// FitSet ends the fitted set and puts a new one in its place. why says what
// became of the old one.
func (s Store) FitSet(set Set, why SetEnd) error {
	all, faults := s.Sets()
	if faults.Bad() {
		return faults.Err()
	}
	for _, old := range all {
		if strings.EqualFold(old.Name.String(), set.Name.String()) {
			return fmt.Errorf("there was a set %q already: give the new one another name", set.Name)
		}
	}
	if old, ok := Fitted(all); ok {
		old.Ended, old.Why = set.Fitted, why
		if _, err := s.SaveSet(old); err != nil {
			return err
		}
	}
	_, err := s.SaveSet(set)
	return err
}

// Fitted returns the set that is on the torch: the newest that has not ended.
func Fitted(all []Set) (Set, bool) {
	for _, s := range all {
		if s.Ended == "" {
			return s, true
		}
	}
	return Set{}, false
}

// WearOf counts what a set has behind it.
func WearOf(set Set, runs []Run) Wear {
	w := Wear{set.Starts, set.ArcOn}
	for _, r := range runs {
		if r.Set == set.Name {
			w.Starts += r.Starts
			w.ArcOn += r.ArcOn
		}
	}
	return w
}

// LifeOfSets returns how long this shop's sets lasted until they were worn or
// failed. One that was taken off while still good says nothing.
func LifeOfSets(all []Set, runs []Run) learn.Life {
	var starts, hours []float64
	for _, s := range all {
		if s.Ended == "" || s.Why == SetChanged || s.Why == "" {
			continue
		}
		w := WearOf(s, runs)
		starts, hours = append(starts, float64(w.Starts)), append(hours, w.ArcOn/3600)
	}
	return learn.LifeOf(starts, hours)
}

// Lasting is whether the fitted set is likely to last for a job.
type Lasting struct {
	Known  bool
	Why    string // what is not known
	Set    Set
	Wear   Wear
	Starts int     // of the job
	ArcOn  float64 // s of the job
	Life   learn.Life
	Enough bool
}

// Lasts holds a job's starts and arc-on time in s against what is left of the
// fitted set, by the life of this shop's own sets.
func Lasts(all []Set, runs []Run, starts int, arcOn float64) Lasting {
	l := Lasting{Starts: starts, ArcOn: arcOn}
	set, ok := Fitted(all)
	if !ok {
		l.Why = "no set of consumables is entered"
		return l
	}
	l.Set, l.Wear, l.Life = set, WearOf(set, runs), LifeOfSets(all, runs)
	if l.Life.Starts.N == 0 {
		l.Why = "no set of this shop was worn out yet: how long one lasts is not known"
		return l
	}
	l.Known = true
	l.Enough = float64(l.Wear.Starts+starts) <= l.Life.Starts.Prudent() && (l.Wear.ArcOn+arcOn)/3600 <= l.Life.Hours.Prudent()
	return l
}

// Faults warns of a set that would not last.
func (l Lasting) Faults() fault.List {
	var faults fault.List
	if l.Known && !l.Enough {
		faults.Warnf(fault.Where{Entity: "consumables"}, "set-life", "Fit a new set before this job, or keep one at hand and watch the cut.", "%s", l.Text())
	}
	return faults
}

// Text says it to a person.
func (l Lasting) Text() string {
	if !l.Known {
		return l.Why
	}
	return fmt.Sprintf("%s has %d starts and %s of arc behind it, this job adds %d and %s; %d worn sets lasted %s starts and %s h",
		l.Set.Name, l.Wear.Starts, unit.Duration(l.Wear.ArcOn), l.Starts, unit.Duration(l.ArcOn), l.Life.Starts.N, spanText(l.Life.Starts, 0), spanText(l.Life.Hours, 1))
}

func spanText(m learn.Mean, decimals int) string {
	s := unit.Number(m.Mean, decimals)
	if m.N > 1 {
		s += " +- " + unit.Number(m.Spread, decimals)
	}
	return s
}
