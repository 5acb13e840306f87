package job_test

import (
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/job"
)

func TestUsualNamesOfPrograms(t *testing.T) {
	for want, n := range map[string]job.FileName{
		"leaf.nc":                           {Stem: "leaf"},
		"leaf-dry.nc":                       {Stem: "leaf", Plate: 1, DryRun: true},
		"leaf-plate2.nc":                    {Stem: "leaf", Plate: 2},
		"leaf-2of3.nc":                      {Stem: "leaf", Part: 2, Of: 3},
		"leaf-plate2-2of3-dry.nc":           {Stem: "leaf", Plate: 2, Part: 2, Of: 3, DryRun: true},
		"leaf-from-12.nc":                   {Stem: "leaf", From: "-from-12"},
		"leaf-plate2-from-12-1of2.nc":       {Stem: "leaf", Plate: 2, From: "-from-12", Part: 1, Of: 2},
		"gate hinge leaf-from-x10-y-dry.nc": {Stem: "gate hinge leaf", From: "-from-x10-y", DryRun: true},
	} {
		if got := (job.Program{}).Name(n); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := (job.Program{Extension: "tap"}).Name(job.FileName{Stem: "leaf"}); got != "leaf.tap" {
		t.Error(got)
	}
}

// Names of eight signs (ECMA-119 7.5.1 level 1, and FAT: eight before the dot,
// three behind it): none longer, none twice, letters and digits and a dash,
// whatever the job, the plate and the place where it is taken up.
func TestShortNamesFitAndDiffer(t *testing.T) {
	for _, most := range []int{8, 11, 16} {
		p := job.Program{NameLength: most}
		seen := map[string]job.FileName{}
		for _, stem := range []string{"leaf", "hinge", "gate-hinge-leaf", "gate-hinge-post", "Größe 12", "a", "gatehingeleaf"} {
			for _, from := range []string{"", "-from-3", "-from-4"} {
				for plate := 1; plate <= 3; plate++ {
					for part := 0; part <= 4; part++ {
						for _, dry := range []bool{false, true} {
							n := job.FileName{Stem: stem, From: from, Plate: plate, Part: part, Of: 4, DryRun: dry}
							name := p.Name(n)
							base := strings.TrimSuffix(name, filepath.Ext(name))
							if len([]rune(base)) > most || base == "" {
								t.Fatalf("%q for %+v", name, n)
							}
							// Where hardly a sign of the stem has room the tags alone must differ.
							if old, twice := seen[name]; twice && (old.Stem == n.Stem || plate == 1 && part == 0 && from == "") {
								t.Fatalf("%q twice: %+v and %+v", name, old, n)
							}
							seen[name] = n
						}
					}
				}
			}
		}
	}
	for want, n := range map[string]job.FileName{
		"leaf.nc":     {Stem: "leaf"},
		"leaf-dry.nc": {Stem: "leaf", DryRun: true},
		"leaf-n2.nc":  {Stem: "leaf", Part: 2, Of: 3},
		"leaf-n2d.nc": {Stem: "leaf", Part: 2, Of: 3, DryRun: true},
		"hinge.nc":    {Stem: "hinge"},
		"hinge-d.nc":  {Stem: "hinge", DryRun: true},
	} {
		if got := (job.Program{NameLength: 8}).Name(n); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Every name that a program gets is known again, and no other file's.
func TestNamesOfProgramsAreKnownAgain(t *testing.T) {
	for _, most := range []int{0, 8, 12, 16, 30} {
		p := job.Program{NameLength: most, Extension: "tap"}
		for _, stem := range []string{"leaf", "gate-hinge-leaf", "gate-plate2", "leaf-2of3", "Größe 12", "a"} {
			for plate := 1; plate <= 12; plate++ {
				for of := range 13 {
					for part := min(1, of); part <= of; part++ {
						for _, dry := range []bool{false, true} {
							n := job.FileName{Stem: stem, Plate: plate, Part: part, Of: of, DryRun: dry}
							name := p.Name(n)
							got, ok := p.Parse(stem, name)
							if name != (job.Program{Extension: "tap"}).Name(n) {
								n.Of = got.Of // a short name does not say it
							}
							if !ok || got != n {
								t.Fatalf("%d signs: %q is read as %+v %v, want %+v", most, name, got, ok, n)
							}
						}
					}
				}
			}
		}
	}
	for _, other := range []string{"leaf.nc", "leaf.toml", "leaf-plate1.tap", "leaf-plate02.tap", "leaf-3of.tap", "leaf-dry-dry.tap", "leaf-from-12.tap", "leaf2.tap", "leaf-plate99999999999.tap", "", "-plate2.tap", "leaf-2of3-plate2.tap"} {
		if n, ok := (job.Program{Extension: "tap"}).Parse("leaf", other); ok {
			t.Errorf("%q is taken for %+v", other, n)
		}
	}
}
