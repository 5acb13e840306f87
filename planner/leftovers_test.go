package planner_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/job"
)

// What an earlier save left is told under long and short names alike; what
// belongs to another job, to a resumed program or to the operator is not.
func TestLeftoversAreOursAndUnused(t *testing.T) {
	for _, c := range []struct {
		most  int
		names []string
		told  []string
	}{
		{0, []string{"gate.toml", "gate.nc", "gate-dry.nc", "gate-plate2.nc", "gate-1of2.nc", "gate-from-12.nc", "notes.nc"}, []string{"gate-1of2.nc", "gate-plate2.nc"}},
		{0, []string{"gate.toml", "gate.nc", "gate-plate2.toml", "gate-plate2.nc", "gate-plate2-dry.nc"}, nil},
		{8, []string{"gate.nc", "gate-p2.nc", "gate-n2d.nc", "gate-f12.nc", "gate-plate2.nc"}, []string{"gate-n2d.nc", "gate-p2.nc"}},
	} {
		j := job.Job{}
		j.Machine.Program.NameLength = c.most
		faults := planner.Leftovers(c.names, j, "gate", []planner.Output{{Name: "gate.nc"}, {Name: "gate-dry.nc"}})
		want := strings.Join(c.told, ", ")
		if len(faults) == 0 && want == "" {
			continue
		}
		if len(faults) != 1 || !strings.HasPrefix(faults[0].What, want+": ") {
			t.Errorf("%v: %v, want %q", c.names, faults, want)
		}
	}
}
