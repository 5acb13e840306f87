package presets

import (
	"bytes"
	"reflect"
	"testing"

	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// FuzzRun: an entry of the cut log is refused with reasons, or what was read
// of it is written and read again the same. What the log then says of a preset
// never breaks a promise.
func FuzzRun(f *testing.F) {
	f.Add([]byte("version = 1\nunits = \"mm\"\nat = \"2026-05-04T10:20:30Z\"\nmaterial = \"mild-steel\"\nthickness = 6\nvolts = 120\nlooks = [\n{ feature = \"p1.h1\", kind = \"hole\", side = \"diameter\", drawn = 14, measured = 13.8, dross = \"bottom-easy\", delay = 0.2 },\n]\n[process]\namps = 45\nfeed = 970\nkerf = 1.5\n"))
	f.Add([]byte("units = \"inch\"\nkind = \"holes\"\nthickness = 0.25\nmaterial = \"mild-steel\"\nlooks = [{ feature = \"a\", kind = \"hole\", drawn = 0.5, measured = 0.49, taper = 0.01 }]\n[process]\namps = 45\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, faults := DecodeRun("r.toml", text)
		spoken(t, faults)
		if faults.Bad() {
			return
		}
		for _, u := range []unit.System{unit.MM, unit.Inch} {
			once, faults := EncodeRun(r, u)
			if faults.Bad() {
				t.Fatalf("what was read cannot be written: %v", faults.Err())
			}
			again, faults := DecodeRun("r.toml", once)
			if len(faults) > 0 || !reflect.DeepEqual(r, again) {
				t.Fatalf("written in %v and read again, differs: %v\n%+v\n%+v\n%s", u, faults, r, again, once)
			}
		}
		p := Preset{Material: job.MildSteel, Thickness: 6, Process: job.Process{Amps: 45, Feed: 970, Kerf: 1.5}}
		prop := Propose(p, []Run{r, r, r}, nil, plain.Of("x"), "2026-05-04T10:20:30Z", unit.MM)
		if _, faults := encodePresets(nil, unit.MM, []Preset{prop.Now}); faults.Bad() && len(prop.Changes) > 0 {
			t.Fatalf("a proposal that cannot be kept: %v\n%+v", faults.Err(), prop.Changes)
		}
	})
}

// FuzzSet: the same of a set of consumables.
func FuzzSet(f *testing.F) {
	f.Add([]byte("version = 1\nname = \"set 7\"\nfitted = \"2026-05-04T10:20:30Z\"\nstarts = 12\narc_on = 340.5\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, faults := DecodeSet("s.toml", text)
		spoken(t, faults)
		if faults.Bad() {
			return
		}
		once, faults := jobfile.Write(nil, func(f *jobfile.Form) { shapeSet(f, &s) })
		if faults.Bad() {
			t.Fatal(faults.Err())
		}
		again, faults := DecodeSet("s.toml", once)
		twice, _ := jobfile.Write(nil, func(f *jobfile.Form) { shapeSet(f, &again) })
		if len(faults) > 0 || s != again || !bytes.Equal(once, twice) {
			t.Fatalf("%v\n%+v\n%+v", faults, s, again)
		}
	})
}
