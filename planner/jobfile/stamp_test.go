package jobfile_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
)

func TestOtherSumsKeepThePersonsText(t *testing.T) {
	sums := []job.FileSum{{Name: "leaf.nc", SHA256: strings.Repeat("ab", 32)}}
	own := "# our gate job\nunits = \"mm\" # always\nname = \"leaf\"\n\n[stock]\nthickness = 6 # measured\n"
	for name, text := range map[string]string{
		"no sums yet": own,
		"old sums":    own + "\n[[files]]\nname = \"leaf.nc\"\nsha256 = \"" + strings.Repeat("00", 32) + "\"\n",
		"table after": "units = \"mm\"\nname = \"leaf\"\n[[files]]\nname = \"leaf.nc\"\nsha256 = \"" + strings.Repeat("00", 32) + "\"\n[stock]\nthickness = 6\n",
	} {
		j, faults := jobfile.Decode("leaf.toml", []byte(text))
		if faults.Bad() {
			t.Fatal(faults)
		}
		j.Files = sums
		out, faults := jobfile.Rewrite([]byte(text), j, "files")
		if faults.Bad() {
			t.Fatal(faults)
		}
		back, faults := jobfile.Decode("leaf.toml", out)
		if faults.Bad() || len(back.Files) != 1 || back.Files[0] != sums[0] || back.Stock.Thickness != 6 {
			t.Errorf("%s: %v %+v", name, faults, back.Files)
		}
		if name != "table after" && !strings.HasPrefix(string(out), strings.TrimRight(own, "\n")) {
			t.Errorf("%s: the text above the sums changed:\n%s", name, out)
		}
	}
}
