package presets_test

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/bundle"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// killFolder tells the test binary, started again, to save for ever.
const killFolder = "KERFWRIGHT_TEST_SAVE_INTO"

func TestMain(m *testing.M) {
	if dir := os.Getenv(killFolder); dir != "" {
		saveForEver(dir)
	}
	if dir := os.Getenv(onceFolder); dir != "" {
		saveOnce(dir)
	}
	os.Exit(m.Run())
}

// saveForEver saves one version after another, and writes one byte for each
// step of a save, so that the parent can choose a step to kill it at.
func saveForEver(dir string) {
	for v := 1; ; v++ {
		if err := saveVersion(talking{presets.Folder(dir)}, v); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// talking is a folder that says when it is asked something.
type talking struct{ presets.Folder }

func say() { os.Stdout.Write([]byte{'.'}) }

func (d talking) Temp(name string) (bundle.File, error) { say(); return d.Folder.Temp(name) }
func (d talking) Rename(from, to string) error          { say(); return d.Folder.Rename(from, to) }
func (d talking) Sync() error                           { say(); return d.Folder.Sync() }
func (d talking) Read(name string) ([]byte, error)      { say(); return d.Folder.Read(name) }

var killSet = []string{"gate.nc", "gate-dry.nc", "gate.toml"}

func saveVersion(d bundle.Dir, v int) error {
	_, err := bundle.Save(d, "gate.toml", versionJob(v), []bundle.Entry{
		{Name: "gate.nc", Data: program("cut", v)}, {Name: "gate-dry.nc", Data: program("dry", v)}})
	return err
}

func versionJob(v int) job.Job {
	return job.Job{Name: plain.Of(fmt.Sprint("gate ", v)), Units: unit.MM}
}

// program is some 40 kB that say in every line of which save they are.
func program(what string, v int) []byte {
	return bytes.Repeat([]byte(fmt.Sprintf("(%s %d)\nG1 X1\n", what, v)), 2000)
}

// versionOf says of which save a file is; 0 if it is not there.
func versionOf(t *testing.T, dir, name string) int {
	t.Helper()
	data, err := os.ReadFile(dir + "/" + name)
	if os.IsNotExist(err) {
		return 0
	}
	if err != nil {
		t.Fatal(err)
	}
	var v int
	switch name {
	case "gate.toml":
		j, faults := jobfile.Decode(name, data)
		if faults.Bad() {
			t.Fatalf("a broken job file is left: %v", faults.Err())
		}
		fmt.Sscanf(j.Name.String(), "gate %d", &v)
	default:
		what := map[string]string{"gate.nc": "cut", "gate-dry.nc": "dry"}[name]
		fmt.Sscanf(string(data), "("+what+" %d)", &v)
		if !bytes.Equal(data, program(what, v)) {
			t.Fatalf("%s is broken: %d bytes of version %d", name, len(data), v)
		}
	}
	if v == 0 {
		t.Fatalf("%s is of no version", name)
	}
	return v
}

func TestKilledProcessLeavesOldOrNewOrAMixtureThatIsNamed(t *testing.T) {
	kills := 40
	if testing.Short() {
		kills = 5
	}
	random := rand.New(rand.NewPCG(1, 2)) // always the same steps; the moment after a step is the machine's
	dir := t.TempDir()
	mixtures, leftovers := 0, 0
	for range kills {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), killFolder+"="+dir)
		var complaint bytes.Buffer
		cmd.Stderr = &complaint
		steps, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if _, err := io.ReadFull(steps, make([]byte, 1+random.IntN(60))); err != nil {
			t.Fatal(err, complaint.String())
		}
		cmd.Process.Kill()
		cmd.Wait()
		var all []int
		for _, name := range killSet {
			all = append(all, versionOf(t, dir, name))
		}
		differ := slices.ContainsFunc(all, func(v int) bool { return v != all[0] })
		d := presets.Folder(dir)
		if text, err := d.Read("gate.toml"); err == nil {
			j, _ := jobfile.Decode("gate.toml", text)
			if named := len(bundle.Mixed(d, "gate.toml", j)) > 0; named != differ {
				t.Fatalf("files of versions %v, mixed says %v", all, named)
			}
			if differ {
				mixtures++
			}
		} else if all[2] != 0 {
			t.Fatal(err)
		}
		if left := tempsIn(t, dir); left > 0 {
			leftovers++
		}
	}
	t.Logf("%d kills: %d mixtures, all named; %d times temporary files were left", kills, mixtures, leftovers)
	if err := saveVersion(presets.Folder(dir), 7); err != nil {
		t.Fatal(err)
	}
	for _, name := range killSet {
		if versionOf(t, dir, name) != 7 {
			t.Fatalf("%s is not of the last save", name)
		}
	}
	if left := tempsIn(t, dir); left > 0 {
		t.Fatalf("%d temporary files are left after a good save", left)
	}
	if leftovers == 0 && !testing.Short() {
		t.Error("no kill hit a save: the test itself is broken")
	}
}

func tempsIn(t *testing.T, dir string) (n int) {
	all, err := presets.Folder(dir).Names()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range all {
		if strings.HasPrefix(name, ".") {
			n++
		}
	}
	return n
}
