package planner

import (
	"bytes"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
)

// Output is one file of a job's programs.
type Output struct {
	Name    string
	Text    []byte
	Plate   int // from 1
	Program int // into Program.Files
	Dry     bool
}

// Outputs names the programs of every plate, each with its dry run behind it.
// stem is the job file's name without its ending, from the tag of the place
// where they go on, "" for the whole. It fails where the signs that the
// profile allows cannot tell them apart.
func Outputs(j job.Job, stem, from string, plates []*Program) ([]Output, error) {
	var out []Output
	seen := map[string]bool{}
	most := j.Machine.Program.NameLength
	for _, p := range plates {
		files := p.Files()
		for k, f := range files {
			n := job.FileName{Stem: stem, Plate: max(1, p.Plate), From: from}
			if len(files) > 1 {
				n.Part, n.Of = k+1, len(files)
			}
			program, dry := j.Machine.Program.Pair(n)
			for _, o := range []Output{{program, f.Text, n.Plate, k, false}, {dry, f.Dry, n.Plate, k, true}} {
				base := []rune(strings.TrimSuffix(o.Name, filepath.Ext(o.Name)))
				if most > 0 && len(base) > most || seen[o.Name] {
					return nil, fmt.Errorf("%s: names of %d signs cannot tell the programs of this job apart. Allow longer names in the machine profile, or cut fewer plates in one job", plain.Clean(o.Name), most)
				}
				seen[o.Name] = true
				out = append(out, o)
			}
		}
	}
	return out, nil
}

// Leftovers warns of programs of earlier saves of a job that lie beside those
// of this one under names that it does not use: a job that was whole and is
// parted now, or into fewer, or cuts fewer plates. names is the folder.
func Leftovers(names []string, j job.Job, stem string, now []Output) fault.List {
	var faults fault.List
	var old []string
	for _, name := range names {
		_, ours := j.Machine.Program.Parse(stem, name)
		if ours && !slices.ContainsFunc(now, func(o Output) bool { return o.Name == name }) && !ofAnother(names, j, stem, name) {
			old = append(old, name)
		}
	}
	slices.Sort(old)
	if len(old) > 0 {
		what := strings.Join(old[:min(3, len(old))], ", ")
		if more := len(old) - 3; more > 0 {
			what += fmt.Sprintf(" and %d more", more)
		}
		faults.Warnf(fault.Where{}, "program-left", "Remove them, so that nobody runs them.", "%s: of an earlier save, and no program of this job any more", plain.Clean(what))
	}
	return faults
}

// ofAnother tells whether a program may be that of another job in the folder:
// "gate-plate2.nc" is the only program of "gate-plate2.toml", if that is there.
func ofAnother(names []string, j job.Job, stem, program string) bool {
	return slices.ContainsFunc(names, func(name string) bool {
		other, ok := strings.CutSuffix(name, ".toml")
		if !ok || other == stem {
			return false
		}
		_, its := j.Machine.Program.Parse(other, program)
		return its
	})
}

// IsDry tells a dry run from a program by its name or by its own head. A text
// that is taken for the wrong one is never proved: a dry run cuts nothing, and
// a program lights the torch.
func IsDry(name string, text []byte) bool {
	base := strings.TrimSuffix(name, filepath.Ext(name))
	if strings.HasSuffix(strings.ToLower(base), "-dry") {
		return true
	}
	for _, line := range head(text) {
		if dryHead.Match(line) {
			return true
		}
	}
	return false
}

var (
	dryHead = regexp.MustCompile(`^(?:N\d+ )?\(DRY RUN`)
	setHead = regexp.MustCompile(`^(?:N\d+ )?\(program (\d{1,4}) of (\d{1,4})[:)]`)
)

func head(text []byte) [][]byte {
	const lines = 10
	all := bytes.SplitN(text, []byte("\n"), lines+1)
	return all[:min(len(all), lines)]
}

// SetOf reads from a program's head which of how many programs of a job it is,
// from 1; 1 and 1 where it says nothing.
func SetOf(text []byte) (part, of int) {
	for _, line := range head(text) {
		if m := setHead.FindSubmatch(line); m != nil {
			part, _ = strconv.Atoi(string(m[1]))
			of, _ = strconv.Atoi(string(m[2]))
			if of >= 1 && of <= mostFiles && part >= 1 && part <= of {
				return part, of
			}
		}
	}
	return 1, 1
}

// Sibling is the name of another program of the same set.
func Sibling(name string, part, of, other int) string {
	ext := filepath.Ext(name)
	base := strings.TrimSuffix(name, ext)
	if long := fmt.Sprintf("-%dof%d", part, of); strings.Contains(base, long) {
		i := strings.LastIndex(base, long)
		return base[:i] + fmt.Sprintf("-%dof%d", other, of) + base[i+len(long):] + ext
	}
	bare, d := strings.CutSuffix(base, "d")
	if cut, ok := strings.CutSuffix(bare, fmt.Sprintf("n%d", part)); ok {
		base = cut + fmt.Sprintf("n%d", other)
		if d {
			base += "d"
		}
		return base + ext
	}
	return ""
}
