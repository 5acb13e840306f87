package bundle_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"syscall"
	"testing"

	"pgregory.net/rapid"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

const jobName = "gate.toml"

// save is the save of version v of a job with two programs.
func save(m bundle.Dir, v int) (job.Job, error) {
	return bundle.Save(m, jobName, job.Job{Name: plain.Of(fmt.Sprint("gate ", v)), Units: unit.MM}, programs(v))
}

func programs(v int) []bundle.Entry {
	return []bundle.Entry{
		{Name: "gate.nc", Data: []byte(fmt.Sprintf("(version %d)\nM2\n", v))},
		{Name: "gate-dry.nc", Data: []byte(fmt.Sprintf("(dry %d)\nM2\n", v))},
	}
}

var set = []string{"gate.nc", "gate-dry.nc", jobName}

// saved returns a folder that holds version v, nothing for 0.
func saved(t interface{ Fatal(...any) }, v int) *memory {
	m := folder(map[string]string{"other.nc": "not ours"})
	if v > 0 {
		if _, err := save(m, v); err != nil {
			t.Fatal(err)
		}
		m.calls = nil
	}
	return m
}

// version says of which save a file is: 0 for absent, -1 for a broken one.
func version(m *memory, name string) int {
	data, there := m.files[name]
	if !there {
		return 0
	}
	for v := 1; v <= 2; v++ {
		good := saved(panicker{}, v)
		if bytes.Equal(good.files[name], data) {
			return v
		}
	}
	return -1
}

type panicker struct{}

func (panicker) Fatal(args ...any) { panic(fmt.Sprint(args...)) }

func versions(m *memory) (all []int) {
	for _, name := range set {
		all = append(all, version(m, name))
	}
	return all
}

func same(all []int, v int) bool {
	return !slices.ContainsFunc(all, func(x int) bool { return x != v })
}

func mixed(t interface{ Fatal(...any) }, m *memory) bool {
	text, there := m.files[jobName]
	if !there {
		return false
	}
	j, faults := jobfile.Decode(jobName, text)
	if faults.Bad() {
		t.Fatal("the job file is broken:", faults.Err())
	}
	return len(bundle.Mixed(m, jobName, j)) > 0
}

func TestSavedSetIsWholeAndCarriesItsSums(t *testing.T) {
	m := folder(nil)
	j, err := save(m, 1)
	if err != nil {
		t.Fatal(err)
	}
	back, faults := jobfile.Decode(jobName, m.files[jobName])
	if len(faults) > 0 || len(back.Files) != 2 {
		t.Fatal(faults, back.Files)
	}
	// printf '(version 1)\nM2\n' | sha256sum, of coreutils.
	const sum = "5915a64a688ea5cac738383d1af7e4368a1e570cd1e5f2289b77b339ebdb7d93"
	if back.Files[0].Name != "gate.nc" || back.Files[0].SHA256 != sum {
		t.Fatalf("%+v", back.Files)
	}
	if !slices.Equal(back.Files, j.Files) || mixed(t, m) {
		t.Fatal("the set does not match itself")
	}
	if order := renames(m); !slices.Equal(order, []string{"rename to gate.toml", "rename to gate.nc", "rename to gate-dry.nc"}) {
		t.Fatal("renamed the first time in the order", order)
	}
	m.calls = nil
	if _, err := save(m, 2); err != nil {
		t.Fatal(err)
	}
	if order := renames(m); !slices.Equal(order, []string{"rename to gate.nc", "rename to gate-dry.nc", "rename to gate.toml"}) {
		t.Fatal("renamed in the order", order)
	}
}

func renames(m *memory) (order []string) {
	for _, c := range m.calls {
		if strings.HasPrefix(c, "rename") {
			order = append(order, c)
		}
	}
	return order
}

func TestSumsDoNotChangeThePrograms(t *testing.T) {
	m := saved(t, 1)
	before := bytes.Clone(m.files[jobName])
	j, faults := jobfile.Decode(jobName, before)
	if faults.Bad() {
		t.Fatal(faults)
	}
	if _, err := bundle.Save(m, jobName, j, programs(1)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, m.files[jobName]) {
		t.Fatal("saved again unchanged, the job file differs")
	}
}

func TestSaveThatFailsAtAnyStepChangesNothing(t *testing.T) {
	for _, before := range []int{0, 1} {
		whole := saved(t, before)
		if _, err := save(whole, 2); err != nil {
			t.Fatal(err)
		}
		failed := 0
		for n := 1; n <= len(whole.calls); n++ {
			m := saved(t, before)
			m.short = n%2 == 0
			m.fail = func(k int, call string) error {
				if k == n {
					return fmt.Errorf("%s: %w", call, syscall.ENOSPC)
				}
				return nil
			}
			_, err := save(m, 2)
			name := fmt.Sprintf("from version %d, call %d (%s)", before, n, whole.calls[n-1])
			if left := m.temps(); len(left) > 0 {
				t.Errorf("%s: %v is left", name, left)
			}
			if string(m.files["other.nc"]) != "not ours" {
				t.Errorf("%s: another file was touched", name)
			}
			var torn *bundle.Torn
			switch all := versions(m); {
			case err == nil && whole.calls[n-1] != "names" && whole.calls[n-1] != "remove":
				t.Errorf("%s: the failure is not told", name)
			case errors.As(err, &torn):
				if !torn.Lost || !same(all, 2) {
					t.Errorf("%s: %v, files of versions %v", name, err, all)
				}
			case err != nil:
				failed++
				if !errors.Is(err, syscall.ENOSPC) || !same(all, before) {
					t.Errorf("%s: %v, files of versions %v", name, err, all)
				}
			case !same(all, 2):
				t.Errorf("%s: said to be good, files of versions %v", name, all)
			}
		}
		if failed < 20 {
			t.Errorf("only %d failures were seen: the test itself is broken", failed)
		}
	}
}

func TestErrorSaysTheTruthWhateverFails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.IntRange(0, 1).Draw(t, "before")
		from := rapid.IntRange(1, 60).Draw(t, "from")
		share := rapid.IntRange(1, 10).Draw(t, "share")
		m := saved(t, before)
		failedRemove := false
		m.fail = func(n int, call string) error {
			if n < from || rapid.IntRange(1, 10).Draw(t, "die") > share {
				return nil
			}
			failedRemove = failedRemove || call == "remove"
			return syscall.EIO
		}
		_, err := save(m, 2)
		all := map[string]int{}
		for _, name := range set {
			all[name] = version(m, name)
		}
		var torn *bundle.Torn
		switch {
		case err == nil:
			if !same(versions(m), 2) {
				t.Fatalf("said to be good: %v", all)
			}
		case errors.As(err, &torn):
			for _, name := range torn.New {
				if all[name] != 2 {
					t.Fatalf("%v: said to be new: %s, %v", err, name, all)
				}
			}
			for _, name := range torn.Old {
				if all[name] != before {
					t.Fatalf("%v: said to be as before: %s, %v", err, name, all)
				}
			}
			if len(torn.New)+len(torn.Old) != len(set) {
				t.Fatalf("%v does not speak of every file", err)
			}
		default:
			if !same(versions(m), before) {
				t.Fatalf("%v, but %v", err, all)
			}
		}
		if left := m.temps(); len(left) > 0 && !failedRemove {
			t.Fatalf("%v is left", left)
		}
		m.fail = func(int, string) error { return nil }
		whole := same(versions(m), all[jobName])
		if named := mixed(t, m); named == whole {
			t.Fatalf("files of versions %v, mixed says %v", all, named)
		}
	})
}

func TestKilledSaveLeavesOldOrNewOrAMixtureThatIsNamed(t *testing.T) {
	for _, before := range []int{0, 1} {
		t.Run(fmt.Sprint("over version ", before), func(t *testing.T) { killEverywhere(t, before) })
	}
}

func killEverywhere(t *testing.T, before int) {
	whole := saved(t, before)
	if _, err := save(whole, 2); err != nil {
		t.Fatal(err)
	}
	sawMixed := false
	for n := 1; n <= len(whole.calls); n++ {
		m := saved(t, before)
		m.kill = n
		func() {
			defer func() {
				if r := recover(); r != (killed{}) {
					t.Fatal(r)
				}
			}()
			save(m, 2)
			panic("not killed")
		}()
		m.kill = 0
		all := versions(m)
		if slices.Contains(all, -1) || before > 0 && slices.Contains(all, 0) {
			t.Errorf("killed at call %d: a broken or lost file: %v", n, all)
		}
		isMixed := !same(all, before) && !same(all, 2)
		sawMixed = sawMixed || isMixed
		if got := mixed(t, m); got != isMixed {
			t.Errorf("killed at call %d: files of versions %v, mixed says %v", n, all, got)
		}
		// The next save cleans up and makes the set whole.
		if _, err := save(m, 2); err != nil || !same(versions(m), 2) || len(m.temps()) > 0 {
			t.Errorf("after call %d: saved again: %v, %v, %v", n, err, versions(m), m.temps())
		}
	}
	if !sawMixed {
		t.Error("no kill left a mixture: the test itself is broken")
	}
}

func TestWriteThatKeepsHalfIsNoticed(t *testing.T) {
	m := saved(t, 1)
	m.lie = true
	if _, err := save(m, 2); err == nil || !strings.Contains(err.Error(), "bytes") {
		t.Fatal(err)
	}
	if !same(versions(m), 1) || len(m.temps()) > 0 {
		t.Fatal(versions(m), m.temps())
	}
}

func TestSaveRefusesWhatItWouldCutOrHide(t *testing.T) {
	for _, row := range []struct {
		name    string
		kind    bundle.Kind
		entries []bundle.Entry
		want    string
	}{
		{"link", bundle.Link, nil, "a link to another file"},
		{"read-only", bundle.Protected, nil, "read-only"},
		{"folder", bundle.Other, nil, "folder or device"},
		{"path", 0, []bundle.Entry{{Name: "../gate.nc"}}, "name of a file in the"},
		{"hidden", 0, []bundle.Entry{{Name: ".bashrc"}}, "name of a file in the"},
		{"no name", 0, []bundle.Entry{{Name: ""}}, "name is missing"},
		{"two of one name", 0, []bundle.Entry{{Name: "a.nc"}, {Name: "A.nc"}}, "two files"},
		{"job and program of one name", 0, []bundle.Entry{{Name: jobName}}, "two files"},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := saved(t, 1)
			entries := row.entries
			if entries == nil {
				m.kinds["gate-dry.nc"] = row.kind
				entries = programs(2)
			}
			_, err := bundle.Save(m, jobName, job.Job{Units: unit.MM}, entries)
			if err == nil || !strings.Contains(err.Error(), row.want) {
				t.Fatalf("got %v, want %q", err, row.want)
			}
			if !same(versions(m), 1) || len(m.temps()) > 0 || len(renames(m)) > 0 {
				t.Fatal("something was written")
			}
		})
	}
}

func TestSaveRefusesAJobThatCouldNotBeReadAgain(t *testing.T) {
	m := saved(t, 1)
	if _, err := bundle.Save(m, jobName, job.Job{}, programs(2)); err == nil || !same(versions(m), 1) {
		t.Fatal(err, versions(m))
	}
}

func TestMixedNamesTheFile(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*memory)
		want   string
	}{
		{"changed", func(m *memory) { m.files["gate.nc"] = []byte("M3") }, "gate.nc: is not the file that gate.toml was saved with"},
		{"missing", func(m *memory) { delete(m.files, "gate-dry.nc") }, "gate-dry.nc: is missing beside gate.toml"},
		{"link", func(m *memory) { m.kinds["gate.nc"] = bundle.Link }, "gate.nc: is no regular file"},
		{"unreadable", func(m *memory) {
			m.fail = func(_ int, call string) error {
				if call == "read gate.nc" {
					return fs.ErrPermission
				}
				return nil
			}
		}, "gate.nc: cannot be read"},
	} {
		t.Run(row.name, func(t *testing.T) {
			m := saved(t, 1)
			j, _ := jobfile.Decode(jobName, m.files[jobName])
			if l := bundle.Mixed(m, jobName, j); len(l) > 0 {
				t.Fatal("a whole set is called mixed:", l)
			}
			row.change(m)
			l := bundle.Mixed(m, jobName, j)
			if len(l) != 1 || !l.Bad() || !strings.HasPrefix(l[0].Error(), row.want) {
				t.Fatalf("got %v, want %q", l, row.want)
			}
		})
	}
}

func TestTempNamesAreTheirOwnOnly(t *testing.T) {
	for _, row := range []struct {
		file, name string
		want       bool
	}{
		{bundle.TempName("gate.nc", "k3x"), "gate.nc", true},
		{bundle.TempName("gate.nc", "k3x"), "gate", false},
		{bundle.TempName("gate-dry.nc", "k3x"), "gate", false},
		{bundle.TempName("gate-dry.nc", "k3x"), "dry.nc", false},
		{"gate.nc", "gate.nc", false},
		{".kerfwright-gate.nc-.part", "gate.nc", false},
	} {
		if got := bundle.IsTemp(row.file, row.name); got != row.want {
			t.Errorf("%s for %s: %v", row.file, row.name, got)
		}
	}
}

// marked saves version v of a job whose program carries its mark.
func marked(t *testing.T, m *memory, j job.Job) {
	t.Helper()
	text := "(gate)\n(" + jobfile.SumComment(jobfile.Sum(j)) + ")\nM2\n"
	if _, err := bundle.Save(m, jobName, j, []bundle.Entry{{Name: "gate.nc", Data: []byte(text)}}); err != nil {
		t.Fatal(err)
	}
}

func TestProgramOfAnotherStateOfTheJobIsNamed(t *testing.T) {
	j := job.Job{Name: plain.Of("gate"), Units: unit.MM, Stock: job.Stock{Thickness: 6}}
	m := folder(nil)
	marked(t, m, j)
	for _, row := range []struct {
		name   string
		change func(string) string
		want   string // "" is nothing
	}{
		{"as saved", func(s string) string { return s }, ""},
		{"a comment and spaces", func(s string) string { return "# mine\n" + strings.ReplaceAll(s, " = ", "=") }, ""},
		{"a confirmed check", func(s string) string {
			return strings.Replace(s, "[stock]", "[[confirmed]]\nid = \"fumes\"\nby = \"A\"\nat = \"2026-05-04T10:20:30+02:00\"\n\n[stock]", 1)
		}, ""},
		{"another thickness", func(s string) string { return strings.Replace(s, "thickness = 6", "thickness = 8", 1) }, "gate.nc:2: was written for another state of gate.toml"},
		{"another name", func(s string) string { return strings.Replace(s, "\"gate\"", "\"door\"", 1) }, "gate.nc:2: was written for another state of gate.toml"},
	} {
		t.Run(row.name, func(t *testing.T) {
			before := string(m.files[jobName])
			text := row.change(before)
			if (text == before) != (row.name == "as saved") {
				t.Fatalf("the change changes nothing in\n%s", text)
			}
			changed, faults := jobfile.Decode(jobName, []byte(text))
			if faults.Bad() {
				t.Fatal(faults.Err())
			}
			l := bundle.Mixed(m, jobName, changed)
			if row.want == "" && len(l) > 0 || row.want != "" && (len(l) != 1 || !l.Bad() || !strings.HasPrefix(l[0].Error(), row.want)) {
				t.Fatalf("got %v, want %q", l, row.want)
			}
		})
	}
}

func TestProgramWithoutAMarkIsWarnedOf(t *testing.T) {
	j := job.Job{Units: unit.MM}
	l := bundle.Stale(fault.Where{File: "x.nc"}, []byte("(gate)\nM2\n"), jobName, j)
	if len(l) != 1 || l[0].Severity != fault.Warning || l[0].Code != "program-unmarked" {
		t.Fatal(l)
	}
	// A mark far down is not one of ours: the head has some ten lines.
	text := strings.Repeat("G1 X1\n", 500) + "(" + jobfile.SumComment(jobfile.Sum(j)) + ")\n"
	if l := bundle.Stale(fault.Where{}, []byte(text), jobName, j); len(l) != 1 || l[0].Code != "program-unmarked" {
		t.Fatal(l)
	}
	for _, line := range []string{"(job sum: %s)", "N7 (job sum: %s)", "(job sum: %s)\r"} {
		text := fmt.Sprintf("%%\n"+line+"\nM2\n", jobfile.Sum(j))
		if l := bundle.Stale(fault.Where{}, []byte(text), jobName, j); len(l) > 0 {
			t.Errorf("%q: %v", line, l)
		}
	}
}
