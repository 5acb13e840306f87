package presets_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/presets"
)

func TestPricesAreTheShopsOwnOrNotKnown(t *testing.T) {
	if p, faults := presets.LoadPrices(nil); p != (cost.Prices{}) || len(faults) > 0 {
		t.Errorf("%+v %v", p, faults)
	}
	if p, faults := presets.LoadPrices(fstest.MapFS{}); p != (cost.Prices{}) || len(faults) > 0 {
		t.Errorf("%+v %v", p, faults)
	}
	p, faults := presets.LoadPrices(fstest.MapFS{"prices.toml": {Data: []byte("[metal]\nmild-steel = 1.4\nzinc = 2\n")}})
	if !faults.Bad() || !strings.Contains(faults.Err().Error(), "prices.toml:3:") || p.MildSteel.Known {
		t.Errorf("%+v %v", p, faults)
	}
	s := presets.OpenStore(filepath.Join(t.TempDir(), "new", "kerfwright"))
	want := cost.Prices{Currency: plain.Of("EUR"), MildSteel: job.Of(1.4), Set: job.Of(28), LifeStarts: job.Of(300)}
	if _, err := s.SavePrices(want); err != nil {
		t.Fatal(err)
	}
	if got, faults := s.Prices(); got != want || len(faults) > 0 {
		t.Errorf("%+v %v", got, faults)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "prices.toml"), []byte("x ="), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, faults := presets.OpenStore(dir).Prices(); !faults.Bad() || !strings.Contains(faults.Err().Error(), dir) {
		t.Error(faults)
	}
}
