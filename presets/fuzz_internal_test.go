package presets

import (
	"bytes"
	"io/fs"
	"reflect"
	"testing"
	"testing/fstest"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/unit"
)

// shipped adds every file of a folder that comes with the program.
func shipped(f *testing.F, folder string) {
	all, err := fs.ReadDir(embedded, folder)
	if err != nil || len(all) == 0 {
		f.Fatal(folder, len(all), err)
	}
	for _, e := range all {
		text, err := fs.ReadFile(embedded, folder+"/"+e.Name())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
}

// spoken fails if a fault says nothing or not where.
func spoken(t *testing.T, faults fault.List) {
	for _, x := range faults {
		if x.What == "" || x.File == "" {
			t.Fatalf("a fault that says nothing: %+v", x)
		}
	}
}

// FuzzPresets: a file of presets is refused with reasons, or what was read of
// it is written and read again the same.
func FuzzPresets(f *testing.F) {
	shipped(f, processFolder)
	f.Add([]byte("units = \"inch\"\n[[presets]]\nmaterial = \"mild-steel\"\nthickness = 0.25\namps = 45\nfeed = 50\nkerf = 0.06\ntaper = [{ ratio = 1, add = 0.01 }]\n"))
	f.Add([]byte("units = \"mm\"\npresets = [{material=\"cheese\"}, {}]\n[[presets]]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		found, faults := decodePresets("p.toml", text)
		spoken(t, faults)
		lib, more := Load(fstest.MapFS{processFolder + "/p.toml": {Data: text}})
		if faults.Bad() != more.Bad() || len(lib.presets) == 0 {
			t.Fatalf("read %v, in a library %v, which holds %d", faults, more, len(lib.presets))
		}
		if faults.Bad() {
			return
		}
		for _, u := range []unit.System{unit.MM, unit.Inch} {
			once, faults := encodePresets(nil, u, found)
			if faults.Bad() {
				t.Fatalf("what was read cannot be written: %v", faults.Err())
			}
			again, faults := decodePresets("p.toml", once)
			if len(faults) > 0 || len(found)+len(again) > 0 && !reflect.DeepEqual(found, again) {
				t.Fatalf("written in %v and read again, differs: %v\n%+v\n%+v\n%s", u, faults, found, again, once)
			}
		}
	})
}

// FuzzMachine: the same of a machine profile.
func FuzzMachine(f *testing.F) {
	shipped(f, machineFolder)
	f.Add([]byte("units = \"mm\"\n[machine]\nname = \"x\"\ntravel_x = 1e3\n[machine.program]\ntouch_off = [\"G38.2 Z{probe_z} F{probe_feed}\", \"(}{\"]\n"))
	f.Add([]byte("units = \"inch\"\n[machine]\nname = \"a\\u001b[2J\"\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, faults := DecodeMachine("m.toml", text)
		spoken(t, faults)
		if _, more := Load(fstest.MapFS{machineFolder + "/m.toml": {Data: text}}); faults.Bad() != more.Bad() {
			t.Fatalf("read %v, in a library %v", faults, more)
		}
		if faults.Bad() {
			return
		}
		for _, u := range []unit.System{unit.MM, unit.Inch} {
			once, faults := EncodeMachine(m, u)
			if faults.Bad() {
				t.Fatalf("what was read cannot be written: %v", faults.Err())
			}
			again, faults := DecodeMachine("m.toml", once)
			if len(faults) > 0 || !reflect.DeepEqual(m, again) {
				t.Fatalf("written in %v and read again, differs: %v\n%+v\n%+v\n%s", u, faults, m, again, once)
			}
			if twice, _ := EncodeMachine(again, u); !bytes.Equal(once, twice) {
				t.Fatalf("written twice, differs:\n%s\n%s", once, twice)
			}
		}
	})
}
