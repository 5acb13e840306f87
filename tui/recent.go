package tui

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

// recentJob is a job that was opened or saved here lately.
type recentJob struct {
	Path      string    `json:"path"`
	Name      string    `json:"name"`
	Material  string    `json:"material"`
	Thickness float64   `json:"thickness_mm"`
	Done      int       `json:"done"`             // pieces cut, of blanks
	Of        int       `json:"of"`               // wanted; 0 for a plate
	Pieces    int       `json:"pieces,omitempty"` // that one run of all its plates cuts
	At        time.Time `json:"at"`

	runs int // of it in the cut log
}

// recentMost is how many are kept; the file is never read past recentSize.
const (
	recentMost = 12
	recentSize = 64 << 10
)

type recentDone struct{ jobs []recentJob }

func recentFile(dir string) string { return filepath.Join(dir, "recent.json") }

// readRecent lists the recent jobs that are still there. A list that cannot be
// read is an empty one: it is a convenience.
func readRecent(dir string) []recentJob {
	text, err := presets.ReadFile(recentFile(dir), recentSize)
	if err != nil {
		return nil
	}
	var all []recentJob
	if json.Unmarshal(text, &all) != nil {
		return nil
	}
	all = slices.DeleteFunc(all, func(r recentJob) bool {
		_, err := os.Stat(r.Path)
		return r.Path == "" || err != nil
	})
	return all[:min(len(all), recentMost)]
}

// logged counts the runs of every job that the cut log holds: who cuts plates
// keeps no other count. A run is known by the job's name and the metal.
func logged(all []recentJob, eng Engine) []recentJob {
	store, err := eng.Shop()
	if err != nil {
		return all
	}
	runs, _ := store.Runs()
	for i := range all {
		r := &all[i]
		for _, run := range runs {
			if run.Kind == presets.LogJob && run.Job.String() == r.Name && string(run.Material) == r.Material && math.Abs(run.Thickness-r.Thickness) < geom.Join {
				r.runs++
			}
		}
	}
	return all
}

// done says how far the job has come, "" where nobody knows.
func (r recentJob) done() (short, long string) {
	switch {
	case r.Of > 0:
		return fmt.Sprintf("%d of %d cut", r.Done, r.Of), ""
	case r.Pieces > 0 && r.runs > 0:
		return fmt.Sprintf("%d cut", r.runs*r.Pieces), fmt.Sprintf("%s of %s in the cut log", count(r.runs, "run"), count(r.Pieces, "piece"))
	case r.Pieces > 0:
		return "", fmt.Sprintf("%s a run, none in the cut log", count(r.Pieces, "piece"))
	}
	return "", ""
}

// noteRecent puts a job at the head of the list.
func noteRecent(dir string, r recentJob) error {
	all := slices.DeleteFunc(readRecent(dir), func(o recentJob) bool { return o.Path == r.Path })
	all = append([]recentJob{r}, all[:min(len(all), recentMost-1)]...)
	text, err := json.MarshalIndent(all, "", " ")
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, "recent-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone already if all went well
	if _, err = f.Write(text); err == nil {
		err = f.Close()
	} else {
		f.Close()
	}
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), recentFile(dir))
}

// remember notes the job that stands in the draft, off the loop.
func (m *Model) remember(path string, j job.Job) tea.Cmd {
	dir := m.stateDir
	if dir == "" {
		return nil
	}
	r := recentJob{Path: path, Name: j.Name.String(), Material: string(j.Stock.Material), Thickness: j.Stock.Thickness, At: m.now()}
	if j.Stock.Hold == job.Blank {
		r.Done, r.Of = j.Stock.Fixture.Done, planner.Pieces(j)
	} else {
		for _, d := range j.Drawings {
			r.Pieces += max(1, d.Quantity)
		}
	}
	eng := m.eng
	return m.work("note the job", func() tea.Msg {
		if noteRecent(dir, r) != nil {
			return nil // a list of recent jobs is worth no alarm
		}
		return recentDone{logged(readRecent(dir), eng)}
	})
}

// recentRows offer the recent jobs while nothing is set up yet.
func (m *Model) recentRows() []row {
	if m.opened != "" || len(m.d.Job.Drawings) > 0 || len(m.recent) == 0 {
		return nil
	}
	rows := []row{{head: true, label: "recent jobs"}}
	for i, r := range m.recent {
		name := plain.Clean(r.Name)
		if name == "" {
			name = plain.Clean(filepath.Base(r.Path))
		}
		metal := plain.Clean(fmt.Sprintf("%s %s", r.Material, m.d.Job.Units.Length(r.Thickness)))
		what, all := metal+", "+dayOf(r.At, m.now()), metal+", "+r.At.Format("2006-01-02 15:04")
		pieces, more := r.done()
		if pieces != "" { // it matters more than the day, where both have no room
			if with := metal + ", " + pieces + ", " + dayOf(r.At, m.now()); cells(with) < recentRoom-8 {
				what = with
			} else {
				what = metal + ", " + pieces
			}
			all += ", " + pieces
		}
		if more != "" {
			all += ", " + more
		}
		wide := max(8, min(17, recentRoom-1-cells(what)))
		rows = append(rows, row{id: fmt.Sprint("recent", i), plain: line{{padRight(cutTo(name, wide), wide+1), inkPlain}, {what, inkFaint}}, verb: "open",
			why: sentence(name+": "+all) + " The file: " + plain.Clean(r.Path), act: func(m *Model) tea.Cmd { return m.open(r.Path) }})
	}
	return rows
}

// recentRoom is what a row of the list has at 80 columns, beside the plate.
const recentRoom = 42

// dayOf is a day as short as it stays clear: the month is a word, since its
// number would be read as the day in some countries.
func dayOf(at, now time.Time) string {
	at = at.In(now.Location())
	switch {
	case at.Format(time.DateOnly) == now.Format(time.DateOnly):
		return "today"
	case at.Year() == now.Year():
		return at.Format("2 Jan")
	}
	return at.Format("Jan 2006")
}
