package jobfile_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
)

const fixtureJob = `units = "mm" # of this shop
name = "Spring hanger"
[stock]
hold = "blank"
[stock.fixture] # welded up in May
datum = "lower-left"
count = 20
done = 7 # until Friday
pockets = [[10, 10], [10, 120]]

# ours
[process]
amps = 45
`

func TestCountOfPiecesChangesOneLine(t *testing.T) {
	j, faults := jobfile.Decode("hanger.toml", []byte(fixtureJob))
	if faults.Bad() || j.Stock.Fixture.Done != 7 {
		t.Fatal(faults.Err(), j.Stock.Fixture)
	}
	for _, n := range []int{0, 1, 8, 20} {
		j.Stock.Fixture.Done = n
		out, faults := jobfile.Recount([]byte(fixtureJob), j)
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		back, _ := jobfile.Decode("hanger.toml", out)
		if back.Stock.Fixture.Done != n {
			t.Errorf("%d reads back as %d", n, back.Stock.Fixture.Done)
		}
		for _, keep := range []string{"# of this shop", "# welded up in May", "# ours", "count = 20"} {
			if !strings.Contains(string(out), keep) {
				t.Errorf("%d: %q is lost", n, keep)
			}
		}
	}
}

func TestCountGoesIntoAJobWithoutAFixtureTable(t *testing.T) {
	j := job.Job{Units: unit.MM}
	text, _ := jobfile.Encode(j)
	j.Stock.Fixture = job.Fixture{Done: 3, Count: 5, Pockets: []geom.Point{{X: 1, Y: 2}}}
	out, faults := jobfile.Recount(text, j)
	if back, _ := jobfile.Decode("", out); faults.Bad() || back.Stock.Fixture.Done != 3 || back.Stock.Fixture.Count != 5 {
		t.Errorf("%v\n%s", faults, out)
	}
}
