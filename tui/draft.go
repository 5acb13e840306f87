package tui

import (
	"reflect"
	"slices"
	"sync/atomic"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/keep"
	"example.org/kerfwright/planner/plain"
)

// Draft is the job as it stands in the wizard. A draft that was published is
// never written to again: an edit makes a new one.
type Draft struct {
	Gen      uint64 // grows with every edit
	Job      job.Job
	Dir      string      // folder that the drawings' names are relative to, absolute
	Name     string      // of the files without extension; "" is not said yet
	Operator plain.Text  // who confirms
	Prices   cost.Prices // the shop's, not the job's; kept in its own folder
	Saved    bool        // as it stands it is on the disk
	Apart    string      // why the programs beside it are not of this job; "" if they are
	Stage    int         // where the person was
}

// Holder lets another goroutine see the draft while the wizard works: main
// reads it when a signal arrives. The zero value is ready for use.
type Holder struct {
	p atomic.Pointer[Draft]
	k atomic.Pointer[keeper]
}

// Load returns the newest draft, nil before the first.
func (h *Holder) Load() *Draft { return h.p.Load() }

// Keep writes the newest draft to its recovery file, unless it is saved or
// empty. It may be called at any time from any goroutine, and returns the
// path, "" if nothing was written.
func (h *Holder) Keep() (path string, err error) {
	d, k := h.p.Load(), h.k.Load()
	if d == nil || k == nil || !d.worth() {
		return "", nil
	}
	return k.write(d)
}

func (h *Holder) publish(d *Draft) { h.p.Store(d) }

// worth reports whether losing the draft would lose work.
func (d *Draft) worth() bool {
	if d.Saved {
		return false
	}
	return !reflect.DeepEqual(d.Job, job.Job{})
}

// written reports whether job and programs lie on the disk as they stand.
func (d *Draft) written() bool { return d.Saved && d.Apart == "" }

// edit returns the next draft, with the change made to a deep copy of the job.
func (d *Draft) edit(change func(*Draft)) *Draft {
	next := *d
	next.Job = cloneJob(d.Job)
	change(&next)
	next.Gen = d.Gen + 1
	return &next
}

// sameFiles reports whether saving either draft would write the same job file
// in the same place.
func sameFiles(a, b *Draft) bool {
	return a.Dir == b.Dir && a.Name == b.Name && reflect.DeepEqual(a.Job, b.Job)
}

// samePlan reports whether two jobs give the same program: all but the
// confirmations and the sums of the last save are equal.
func samePlan(a, b job.Job) bool {
	a.Checks, b.Checks, a.Files, b.Files, a.Kept, b.Kept = nil, nil, nil, nil, nil, nil
	return reflect.DeepEqual(a, b)
}

// sameReading reports whether two jobs read the same shapes from their drawings.
func sameReading(a, b job.Job) bool {
	strip := func(j job.Job) []job.Drawing {
		out := slices.Clone(j.Drawings)
		for i := range out {
			if _, kept := keep.Of(j, out[i]); !kept { // it says nothing of what is read
				out[i].SHA256 = ""
			}
			out[i].Quantity, out[i].Name = 0, plain.Text{}
			out[i].Turns, out[i].Grain, out[i].Flip = "", job.Opt{}, false
		}
		return out
	}
	return a.Rules.Tolerance == b.Rules.Tolerance && reflect.DeepEqual(strip(a), strip(b))
}

// removeDrawing takes a drawing out. What was said about features goes too:
// their ids count the drawings before them.
func (d *Draft) removeDrawing(n int) {
	d.Job.Drawings = slices.Delete(d.Job.Drawings, n, n+1)
	if len(d.Job.Drawings) == 0 {
		d.Job.Drawings = nil
	}
	d.Job.Edits, d.Job.Overrides, d.Job.Layout.Places = nil, nil, nil
	d.Job.Texts = slices.DeleteFunc(d.Job.Texts, func(t job.Text) bool { return t.Drawing == n+1 })
	for i := range d.Job.Texts {
		if d.Job.Texts[i].Drawing > n+1 {
			d.Job.Texts[i].Drawing--
		}
	}
}

// override returns the operator's word on a feature, and where it stands.
func override(j *job.Job, id string) (job.Override, int) {
	for i, o := range j.Overrides {
		if o.Feature == id {
			return o, i
		}
	}
	return job.Override{Feature: id}, -1
}

// setOverride stores the word on a feature; one that says nothing is removed.
func setOverride(j *job.Job, o job.Override) {
	_, i := override(j, o.Feature)
	empty := reflect.DeepEqual(o, job.Override{Feature: o.Feature})
	switch {
	case empty && i >= 0:
		j.Overrides = slices.Delete(j.Overrides, i, i+1)
		if len(j.Overrides) == 0 {
			j.Overrides = nil
		}
	case empty:
	case i >= 0:
		j.Overrides[i] = o
	default:
		j.Overrides = append(j.Overrides, o)
	}
}
