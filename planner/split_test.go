package planner_test

import (
	"bytes"
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/proof"
)

// several is a job of some leaves whose controller takes so many lines.
func several(copies, lines int) job.Job {
	j := smallJob()
	j.Stock.Width, j.Stock.Height = 1200, 1000
	j.Drawings[0].Quantity = copies
	j.Machine.Program.MaxLines = lines
	return j
}

func mustParts(t *testing.T, j job.Job) (*planner.Program, fault.List) {
	t.Helper()
	p, faults := planner.Plan(context.Background(), j, leaf())
	if p == nil || faults.Bad() {
		t.Fatal(faults)
	}
	return p, faults
}

// Whatever the limit, every program of the set lies within it, is complete in
// itself, and all of them together cut every cut once, in the order planned.
func TestLongProgramIsPartedBetweenParts(t *testing.T) {
	whole := mustPlan(t, several(6, 0), leaf())
	for _, lines := range []int{bytes.Count(whole.Text, []byte("\n")) - 1, 600, 400, 300, 250} {
		p, faults := mustParts(t, several(6, lines))
		files := p.Files()
		if len(files) < 2 {
			t.Fatalf("%d lines: %d programs", lines, len(files))
		}
		if len(p.Cuts) != len(whole.Cuts) || len(p.Plan.Cuts) != len(p.Cuts) || len(p.Verdict.Cuts) != len(p.Cuts) {
			t.Errorf("%d lines: %d cuts, %d are told, %d read; the whole has %d", lines, len(p.Cuts), len(p.Plan.Cuts), len(p.Verdict.Cuts), len(whole.Cuts))
		}
		begun := map[string]int{}
		to := 0
		for k, f := range files {
			for name, text := range map[string][]byte{"program": f.Text, "dry run": f.Dry} {
				if n := bytes.Count(text, []byte("\n")); n > lines {
					t.Errorf("%d lines: %s %d has %d", lines, name, k+1, n)
				}
				s := string(text)
				for _, want := range []string{fmt.Sprintf("(program %d of %d:", k+1, len(files)), "G17 G21 G40", "G53 G0 Z", "M2\n", "G38.2"} {
					if !strings.Contains(s, want) {
						t.Errorf("%d lines: %s %d has no %q", lines, name, k+1, want)
					}
				}
			}
			if f.From != to || f.To <= f.From {
				t.Errorf("%d lines: program %d has the cuts %d to %d, after %d", lines, k+1, f.From, f.To, to)
			}
			to = f.To
			text := strings.Split(string(f.Text), "\n")
			for i := f.From; i < f.To; i++ {
				c := p.Cuts[i]
				head := fmt.Sprintf("(cut %d of %d: %s ", c.N, len(p.Cuts), c.Label)
				if c.Program != k || !strings.HasPrefix(text[c.First-1], head) {
					t.Errorf("cut %d is said to stand at line %d of program %d: %q", c.N, c.First, c.Program+1, text[c.First-1])
				}
				part, _, _ := strings.Cut(c.Label, ".")
				if was, ok := begun[part]; ok && was != k {
					t.Errorf("%d lines: %s is begun in program %d and goes on in %d", lines, part, was+1, k+1)
				}
				begun[part] = k
				v := p.Verdict.Cuts[i]
				if v.Program != k || v.Feature != c.Label || v.First < c.First || v.Last > c.Last {
					t.Errorf("cut %d: the proof reads %s in program %d, lines %d to %d; planned %s, %d to %d", c.N, v.Feature, v.Program+1, v.First, v.Last, c.Label, c.First, c.Last)
				}
			}
		}
		if to != len(p.Cuts) {
			t.Errorf("%d lines: %d of %d cuts", lines, to, len(p.Cuts))
		}
		told := map[string]bool{}
		for _, f := range faults {
			told[f.Code] = true
		}
		if !told["program-parted"] || told["program-parted-inside"] {
			t.Errorf("%d lines: told %v", lines, faults)
		}
	}
}

// A part that is longer than a program can hold is parted between its cuts,
// and that is warned of; a cut that is longer is refused by name.
func TestPartLongerThanAProgram(t *testing.T) {
	p, faults := mustParts(t, several(1, 120))
	if len(p.Files()) < 2 || len(faults.At(fault.Warning)) == 0 || !slices.ContainsFunc(faults, func(f fault.Fault) bool { return f.Code == "program-parted-inside" }) {
		t.Errorf("%d programs: %v", len(p.Files()), faults)
	}
	j := several(1, 100)
	j.Machine.Program.Arcs, j.Rules.Tolerance = job.ArcsNone, 0.0005
	_, faults = planner.Plan(context.Background(), j, leaf())
	if !faults.Bad() || faults.Sorted()[0].Code != "program-long" || !strings.Contains(faults.Sorted()[0].What, "alone takes") {
		t.Errorf("%v", faults)
	}
}

func TestNoMoreProgramsThanAnOperatorCounts(t *testing.T) {
	j := several(50, 100)
	j.Stock.Width = 2200
	j.Rules.SearchKicks = 1
	_, faults := planner.Plan(context.Background(), j, leaf())
	if !faults.Bad() || !strings.Contains(fmt.Sprint(faults), "more than 99 programs") {
		t.Errorf("%v", faults)
	}
}

func TestBytesLimitTheProgramsToo(t *testing.T) {
	j := several(4, 0)
	j.Machine.Program.MaxBytes = 5000
	p, _ := mustParts(t, j)
	if len(p.Files()) < 2 {
		t.Fatal("one program")
	}
	for _, f := range p.Files() {
		if len(f.Text) > 5000 || len(f.Dry) > 5000 {
			t.Errorf("%d and %d bytes", len(f.Text), len(f.Dry))
		}
	}
	again, _ := mustParts(t, j)
	for k, f := range again.Files() {
		if !bytes.Equal(f.Text, p.Files()[k].Text) || !bytes.Equal(f.Dry, p.Files()[k].Dry) {
			t.Errorf("program %d differs the second time", k+1)
		}
	}
}

// Blanks: the next program begins with the next piece.
func TestProgramsOfBlanks(t *testing.T) {
	j := several(5, 260)
	j.Stock.Hold = job.Blank
	j.Stock.Fixture.Count = 5
	p, _ := mustParts(t, j)
	for k, f := range p.Files() {
		if m := regexp.MustCompile(`\(before the start: piece (\d) of 5`).FindSubmatch(f.Text); m == nil {
			t.Errorf("program %d does not say which piece lies in the fixture", k+1)
		}
	}
	if len(p.Files()) < 2 {
		t.Error("one program")
	}
}

// A cut that is lost in any of the programs is taken up, by its number or by
// the line of its program.
func TestResumeInAnyProgram(t *testing.T) {
	j := several(4, 300)
	whole, _ := mustParts(t, j)
	files := whole.Files()
	if len(files) < 2 {
		t.Fatal("one program")
	}
	for i, c := range whole.Cuts {
		if i == 0 || i%5 != 1 && c.Program == whole.Cuts[i-1].Program {
			continue
		}
		for _, from := range []planner.From{{Cut: c.N}, {Line: c.First, Program: c.Program + 1}, {Line: (c.First + 2*c.Last) / 3, Program: c.Program + 1}} {
			p, faults := planner.TakeUp(j, whole, from)
			if p == nil || faults.Bad() || !p.Verdict.OK || !p.DryVerdict.OK {
				t.Errorf("%+v: %v", from, faults)
				continue
			}
			if p.Before != i {
				t.Errorf("%+v goes on at cut %d, not %d", from, p.Before+1, i+1)
			}
			for _, f := range p.Files() {
				if n := bytes.Count(f.Text, []byte("\n")); n > 300 {
					t.Errorf("%+v: %d lines", from, n)
				}
			}
			var then [][]byte
			for _, f := range p.Files()[1:] {
				then = append(then, f.Text)
			}
			if v, faults := planner.ProveResumed(context.Background(), j, leaf(), p.Files()[0].Text, false, from, then...); faults.Bad() || !v.OK {
				t.Errorf("%+v: read from files: %v %v", from, faults, v.Findings)
			}
		}
	}
	for _, from := range []planner.From{{Line: 60}, {Line: 60, Program: len(files) + 1}, {Line: 0, Program: 1}} {
		if p, faults := planner.TakeUp(j, whole, from); p != nil || !faults.Bad() {
			t.Errorf("%+v is taken up", from)
		}
	}
}

// Names of a set, and of what goes on in it.
func TestNamesOfSets(t *testing.T) {
	j := several(4, 300)
	p, _ := mustParts(t, j)
	out, err := planner.Outputs(j, "leaf", "", []*planner.Program{p})
	n := len(p.Files())
	if err != nil || len(out) != 2*n || out[0].Name != fmt.Sprintf("leaf-1of%d.nc", n) || out[3].Name != fmt.Sprintf("leaf-2of%d-dry.nc", n) {
		t.Fatalf("%v %+v", err, out)
	}
	for _, most := range []int{0, 8, 12} {
		j.Machine.Program.NameLength = most
		out, err := planner.Outputs(j, "gate-hinge-leaf", "-from-7", []*planner.Program{p})
		if err != nil {
			t.Fatal(err)
		}
		for i, o := range out {
			part, of := planner.SetOf(o.Text)
			if part != o.Program+1 || of != n || planner.IsDry(o.Name, o.Text) != o.Dry || o.Dry != (i%2 == 1) {
				t.Errorf("%s: part %d of %d, dry %v", o.Name, part, of, planner.IsDry(o.Name, o.Text))
			}
			for _, q := range out {
				if q.Dry == o.Dry && planner.Sibling(o.Name, part, of, q.Program+1) != q.Name {
					t.Errorf("beside %s lies %q, not %s", o.Name, planner.Sibling(o.Name, part, of, q.Program+1), q.Name)
				}
			}
		}
	}
	j.Machine.Program.NameLength = 4
	if _, err := planner.Outputs(j, "leaf", "-from-line-1234", []*planner.Program{p}); err == nil {
		t.Error("four signs are enough for everything")
	}
}

// What may happen to a set on its way to the machine: each is found, and each
// only by the demand that is made of sets.
func TestMutantsOfSets(t *testing.T) {
	j := several(4, 300)
	p, _ := mustParts(t, j)
	var set [][]byte
	for _, f := range p.Files() {
		set = append(set, f.Text)
	}
	n := len(set)
	prove := func(set ...[]byte) proof.Result {
		v, faults := planner.Prove(context.Background(), j, leaf(), set[0], false, set[1:]...)
		if faults.Bad() {
			t.Fatal(faults)
		}
		return v
	}
	if v := prove(set...); !v.OK {
		t.Fatalf("%v", v.Findings)
	}
	sub := func(text []byte, old, now string) []byte {
		if !bytes.Contains(text, []byte(old)) {
			t.Fatalf("no %q", old)
		}
		return bytes.Replace(text, []byte(old), []byte(now), 1)
	}
	second := p.Cuts[p.Files()[1].From]
	lines := strings.SplitAfter(string(set[1]), "\n")
	twice := []byte(strings.Join(slices.Insert(slices.Clone(lines), second.Last, lines[second.First-1:second.Last]...), ""))
	gone := []byte(strings.Join(slices.Delete(slices.Clone(lines), second.First-1, second.Last), ""))
	swapped := slices.Clone(set)
	swapped[0], swapped[1] = swapped[1], swapped[0]
	with := func(k int, text []byte) [][]byte {
		out := slices.Clone(set)
		out[k] = text
		return out
	}
	for name, c := range map[string]struct {
		set  [][]byte
		code string
		only bool // no other error
	}{
		"programs swapped":             {swapped, "set-place", true},
		"a program missing":            {set[:n-1], "not-cut", false},
		"a program twice":              {slices.Insert(slices.Clone(set), 1, set[0]), "cut-twice", false},
		"a part missing from the set":  {with(1, gone), "not-cut", false},
		"a cut twice, in two programs": {with(1, twice), "cut-twice", false},
		"says nothing of the set":      {with(1, sub(set[1], fmt.Sprintf("(program 2 of %d:", n), "(see the sheet:")), "set-place", true},
		"says another number":          {with(1, sub(set[1], fmt.Sprintf("program 2 of %d:", n), fmt.Sprintf("program 1 of %d:", n))), "set-place", true},
		"no units in the second":       {with(1, sub(set[1], "G17 G21 G40", "G17 G40")), "units", false},
		"not raised in the second":     {with(1, sub(set[1], "G53 G0 Z0.0\n", "")), "", false},
		"no touch-off in the second":   {with(1, sub(set[1], "G38.2", "(no) G0")), "", false},
		"lit at the end of the first":  {with(0, []byte(regexp.MustCompile(`(?s)M5\n(G0 Z[\d.]+\n)M5\n(.*)M2\n$`).ReplaceAllString(string(set[0]), "${1}${2}M2\n"))), "", false},
		"without its end":              {with(0, sub(set[0], "M2\n", "")), "", false},
	} {
		v := prove(c.set...)
		codes := map[string]bool{}
		for _, f := range v.Findings {
			if f.Severity == fault.Error {
				codes[f.Code] = true
			}
		}
		if v.OK || c.code != "" && !codes[c.code] || c.only && len(codes) > 1 {
			t.Errorf("%s: %v", name, codes)
		}
	}
	// Inside before outside, also from one program to the next: the first cut of
	// the set goes to its end, where its part is out already.
	last := slices.Clone(set)
	first := strings.SplitAfter(string(set[0]), "\n")
	a, b := p.Cuts[0].First-1, p.Cuts[0].Last
	end := strings.SplitAfter(string(set[n-1]), "\n")
	at := p.Cuts[len(p.Cuts)-1].Last
	last[n-1] = []byte(strings.Join(slices.Insert(slices.Clone(end), at, first[a:b]...), ""))
	last[0] = []byte(strings.Join(slices.Delete(slices.Clone(first), a, b), ""))
	v := prove(last...)
	if !slices.ContainsFunc(v.Findings, func(f proof.Finding) bool { return f.Code == "order" && f.Program == n-1 && f.Line > 0 }) {
		t.Errorf("a hole after its part: %v", v.Findings)
	}
}
