package jobfile_test

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/jobfile"
	"example.org/kerfwright/planner/unit"
	"github.com/BurntSushi/toml"
	"pgregory.net/rapid"
)

func encode(t interface{ Fatal(...any) }, j job.Job) []byte {
	text, faults := jobfile.Encode(j)
	if faults.Bad() {
		t.Fatal(faults.Err())
	}
	return text
}

func TestDecodedJobIsExactlyTheOneThatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := draw{t}.job()
		text := encode(t, want)
		got, faults := jobfile.Decode("hinge.toml", text)
		if len(faults) > 0 {
			t.Fatalf("%v\n%s", faults.Err(), text)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v\n%s", got, want, text)
		}
		if again := encode(t, got); !bytes.Equal(again, text) {
			t.Fatalf("written again, the text differs:\n%s\n%s", text, again)
		}
	})
}

// TestGeneratorReachesEveryFieldOfAJob fails when somebody gives a job a new
// field and forgets the job file: first the generator misses it, and once
// that sets it, the round trip does.
func TestGeneratorReachesEveryFieldOfAJob(t *testing.T) {
	set := map[string]bool{}
	gen := rapid.Custom(func(t *rapid.T) job.Job { return draw{t}.job() })
	for seed := range 60 {
		leaves("Job", reflect.ValueOf(gen.Example(seed)), set)
	}
	n := 0
	for path, seen := range set {
		n++
		if !seen {
			t.Errorf("%s is never set: teach the generator and shape.go about it", path)
		}
	}
	if n < 90 {
		t.Fatalf("only %d fields found: the walk itself is broken", n)
	}
}

// leaves notes which leaf fields below v are set; a leaf seen once as set
// stays so.
func leaves(path string, v reflect.Value, set map[string]bool) {
	switch {
	case v.Type().String() == "plain.Text":
		set[path] = set[path] || !v.IsZero()
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			leaves(path+"."+v.Type().Field(i).Name, v.Field(i), set)
		}
	case v.Kind() == reflect.Slice && v.Len() > 0:
		for i := range v.Len() {
			leaves(path+"[]", v.Index(i), set)
		}
	case v.Kind() == reflect.Slice:
		leaves(path+"[]", reflect.Zero(v.Type().Elem()), set)
	case v.Kind() == reflect.Pointer && v.IsNil():
		leaves(path, reflect.Zero(v.Type().Elem()), set)
	case v.Kind() == reflect.Pointer:
		leaves(path, v.Elem(), set)
	default:
		set[path] = set[path] || !v.IsZero()
	}
}

func TestJobFileIsAlsoWhatAnotherTOMLReaderExpects(t *testing.T) {
	// The library's own decoding into a struct, which shares nothing with
	// shape.go, reads the same figures.
	rapid.Check(t, func(t *rapid.T) {
		j := draw{t}.job()
		var other struct {
			Units string
			Name  string
			Stock struct{ Thickness, Width float64 }
			Files []struct{ Name, Sha256 string }
			Rules struct {
				Order_seed int64
			}
			Layout struct {
				Places []struct {
					Drawing int
					X, Y    float64
				}
			}
		}
		if _, err := toml.Decode(string(encode(t, j)), &other); err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, wantMM float64) {
			want := j.Units.FromMM(wantMM)
			if math.Abs(got-want) > 1e-12*(1+math.Abs(want)) { // two roundings of 1.1e-16, with room
				t.Fatalf("%s: got %v, want %v", what, got, want)
			}
		}
		near("thickness", other.Stock.Thickness, j.Stock.Thickness)
		near("width", other.Stock.Width, j.Stock.Width)
		if other.Units != j.Units.String() || other.Name != j.Name.String() || other.Rules.Order_seed != j.Rules.OrderSeed {
			t.Fatalf("%+v against %+v", other, j)
		}
		if len(other.Files) != len(j.Files) || len(other.Layout.Places) != len(j.Layout.Places) {
			t.Fatal("lists of another length")
		}
		for i, p := range other.Layout.Places {
			near("x", p.X, j.Layout.Places[i].X)
			if p.Drawing != j.Layout.Places[i].Drawing+1 {
				t.Fatal("drawings count from 1 in the file")
			}
		}
		for i, f := range other.Files {
			if f.Name != j.Files[i].Name || f.Sha256 != j.Files[i].SHA256 {
				t.Fatal(f)
			}
		}
	})
}

func TestJobInInchesIsWrittenAsTyped(t *testing.T) {
	text := `units = "inch"

[stock]
thickness = 0.125 # in
width = 48 # in
height = 23.7 # in

[process]
feed = 100 # in/min
kerf = 0.06 # in
`
	j, faults := jobfile.Decode("a.toml", []byte(text))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	// 1 in = 25.4 mm exactly (1959 agreement).
	if j.Stock.Thickness != 3.175 || j.Stock.Width != 1219.2 || j.Stock.Height != 601.98 || j.Process.Feed != 2540 || j.Process.Kerf != 1.524 {
		t.Fatalf("%+v %+v", j.Stock, j.Process)
	}
	if got := string(encode(t, j)); !strings.HasSuffix(got, text) {
		t.Fatalf("got\n%s\nwant\n%s", got, text)
	}
}

func TestRightAngleIsWrittenAsNinetyDegrees(t *testing.T) {
	j := job.Job{Units: unit.MM, Drawings: []job.Drawing{{File: "a.dxf"}}}
	for _, a := range []float64{math.Pi / 2, math.Pi, -math.Pi / 4, 3 * math.Pi / 2} {
		j.Layout.Places = append(j.Layout.Places, job.Place{Angle: a})
	}
	text := string(encode(t, j))
	for _, want := range []string{"angle = 90 }", "angle = 180 }", "angle = -45 }", "angle = 270 }"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

func TestMissingSectionsStayUnknown(t *testing.T) {
	j, faults := jobfile.Decode("a.toml", []byte(`units = "mm"`))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if !reflect.DeepEqual(j, job.Job{Units: unit.MM}) {
		t.Fatalf("something was invented: %+v", j)
	}
}

func TestDecodeFaults(t *testing.T) {
	const head = "units = \"mm\"\n"
	for _, row := range []struct {
		name, text string
		want       []string // whole faults, in order
	}{
		{"units missing", "name = \"x\"\n[stock]\nthickness = 900",
			[]string{`hinge.toml:1:1: file: units is missing. Write units = "mm" or units = "inch" before the first table.`}},
		{"units of another kind", "units = \"cm\"", []string{`hinge.toml:1:1: units = "cm": must be mm or inch`}},
		{"units not text", "units = 3", []string{`hinge.toml:1:1: units = 3: must be text in quotes`}},
		{"empty units", "units = \"\"", []string{`hinge.toml:1:1: units = "": must be mm or inch`}},
		{"negative thickness", head + "[stock]\n  thickness = -0.30",
			[]string{`hinge.toml:3:3: stock.thickness = -0.30: must be 0.2 to 160 mm (thinner is foil that the arc blows away, thicker is beyond plasma cutting)`}},
		{"zero thickness", head + "[stock]\nthickness = 0", []string{`hinge.toml:3:1: stock.thickness = 0: must be 0.2 to 160 mm (thinner is foil that the arc blows away, thicker is beyond plasma cutting)`}},
		{"out of range in inches", "units=\"inch\"\n[stock]\nthickness = 25.4",
			[]string{`hinge.toml:3:1: stock.thickness = 25.4: must be 0.007874 to 6.299 in (thinner is foil that the arc blows away, thicker is beyond plasma cutting)`}},
		{"negative delay", head + "process.pierce_delay = -0.3",
			[]string{`hinge.toml:2:1: process.pierce_delay = -0.3: must be 0 to 60 s (the arc cannot wait less than no time, and a minute burns the plate away)`}},
		{"nan", head + "[process]\nfeed = nan", []string{`hinge.toml:3:1: process.feed = nan: must be 1 to 200000 mm/min (outside it, a slip of the key or of the unit is likely)`}},
		{"inf", head + "[process]\nfeed = +inf", []string{`hinge.toml:3:1: process.feed = +inf: must be 1 to 200000 mm/min (outside it, a slip of the key or of the unit is likely)`}},
		{"number in quotes", head + "[stock]\nthickness = \"6\"", []string{`hinge.toml:3:1: stock.thickness = "6": must be a number, without quotes`}},
		{"text without quotes", head + "name = 7", []string{`hinge.toml:2:1: name = 7: must be text in quotes`}},
		{"date for text", head + "name = 2020-01-01", []string{`hinge.toml:2:1: name = 2020-01-01: must be text in quotes`}},
		{"fraction of a copy", head + "[[drawings]]\nfile = \"a.dxf\"\nquantity = 2.5",
			[]string{`hinge.toml:4:1: drawings[1].quantity = 2.5: must be a whole number, 1 to 100000 (at least one copy)`}},
		{"unknown word", head + "[stock]\nmaterial = \"steel\"", []string{`hinge.toml:3:1: stock.material = "steel": must be one of: mild-steel; stainless; aluminium`}},
		{"control character", head + `name = "gate\u001b[2Jx"`, []string{`hinge.toml:2:1: name = "gate\u001b[2Jx": must not hold control characters or characters that cannot be seen`}},
		{"hidden direction mark", head + "name = \"gate\u202ex\"", []string{`hinge.toml:2:1: name = "gate·x": must not hold control characters or characters that cannot be seen`}},
		{"line break in a template", head + "[machine.program]\narc_on = [\"M3\", \"M3\\nM5\"]",
			[]string{`hinge.toml:3:17: machine.program.arc_on[2] = "M3\nM5": must not hold control characters or characters that cannot be seen`}},
		{"template line too long", head + "[machine.program]\narc_on = [\"" + strings.Repeat("x", 256) + "\"]",
			[]string{`hinge.toml:3:11: machine.program.arc_on[1] = "` + strings.Repeat("x", 59) + `...: must be at most 255 characters long, has 256 (NISTIR 6556 3.3)`}},
		{"text too long", head + "name = \"" + strings.Repeat("x", 1001) + "\"",
			[]string{`hinge.toml:2:1: name = "` + strings.Repeat("x", 59) + `...: must be at most 1000 characters long, has 1001`}},
		{"unknown keys everywhere", head + "colour = 1\n[stock]\nthick = 3\n[sotck]\nx = 1\n[layout]\nplaces = [{ drawing = 1, x = 0, y = 0, z = 1 }]\n[[drawings]]\nfile=\"a\"",
			[]string{
				"hinge.toml:2:1: colour: unknown key. Known here: units, name, stock, drawings, edits, layout, alignment, process, mark, texts, rules, machine, overrides, confirmed, files, kept.",
				"hinge.toml:4:1: stock.thick: unknown key. Known here: material, surface, thickness, hold, width, height, zero, under, outline, from, grain, sheets, keep_outs, fixture, shape.",
				"hinge.toml:5:1: sotck: unknown key. Known here: units, name, stock, drawings, edits, layout, alignment, process, mark, texts, rules, machine, overrides, confirmed, files, kept.",
				"hinge.toml:8:40: layout.places[1].z: unknown key. Known here: drawing, x, y, angle, mirror, plate, lock.",
			}},
		{"key with control characters", head + `"a\u001bb" = 1`,
			[]string{"hinge.toml:2:1: a·b: unknown key. Known here: units, name, stock, drawings, edits, layout, alignment, process, mark, texts, rules, machine, overrides, confirmed, files, kept."}},
		{"table that is a number", head + "stock = 3", []string{`hinge.toml:2:1: stock = 3: must be a table, [stock]`}},
		{"list that is a table", head + "[drawings]\nfile = \"a\"", []string{`hinge.toml:2:1: drawings: must be a list of tables, [[drawings]]`}},
		{"list of numbers", head + "drawings = [1]", []string{`hinge.toml:2:13: drawings[1] = 1: must be a table, {...}`}},
		{"drawing without a file", head + "[[drawings]]\nscale = 1", []string{`hinge.toml:2:1: drawings[1]: file is missing`}},
		{"drawing with an empty file", head + "[[drawings]]\nfile = \"\"", []string{`hinge.toml:3:1: drawings[1].file = "": must not be empty`}},
		{"shape of no kind", head + "[[drawings]]\n[drawings.shape]\nkind = \"blob\"\nwidth = 3", []string{`hinge.toml:4:1: drawings[1].shape.kind = "blob": must be one of: rectangle; disc; ring; flange; slotted-plate; hole-grid; gusset; l-plate; u-plate; l-fold; u-fold; strip; polygon`}},
		{"figure of another shape", head + "[[drawings]]\n[drawings.shape]\nkind = \"disc\"\nbore = 3", []string{`hinge.toml:5:1: drawings[1].shape.bore: unknown key. Known here: kind, diameter, holes, slots.`}},
		{"hole without a diameter", head + "[[drawings]]\n[drawings.shape]\nkind = \"disc\"\nholes = [{ x = 0, y = 0 }]", []string{`hinge.toml:5:10: drawings[1].shape.holes[1]: diameter is missing`}},
		{"place without x", head + "[[drawings]]\nfile=\"a\"\n[layout]\nplaces = [{ drawing = 1, y = 0 }]", []string{`hinge.toml:5:11: layout.places[1]: x is missing`}},
		{"place of no drawing", head + "[layout]\nplaces = [\n{ drawing = 1, x = 0, y = 0 }]", []string{`hinge.toml:4:3: layout.places[1].drawing = 1: there are 0 drawings`}},
		{"point of three numbers", head + "[[overrides]]\nfeature=\"p1.h1\"\nstart=[1,2,3]", []string{`hinge.toml:4:1: overrides[1].start = [1,2,3]: must be a place, [x, y]`}},
		{"point far away", head + "[stock.fixture]\npockets=[[0,0],[1e9,0]]",
			[]string{`hinge.toml:3:16: stock.fixture.pockets[2] = [1e9,0]: must be -50000 to 50000 mm (nothing lies further from zero than the longest table)`}},
		{"flag as a word", head + "[machine.program]\nline_numbers = \"yes\"", []string{`hinge.toml:3:1: machine.program.line_numbers = "yes": must be true or false, without quotes`}},
		{"file that leads out", head + "[[files]]\nname = \"../x.nc\"\nsha256 = \"" + strings.Repeat("0", 64) + "\"",
			[]string{`hinge.toml:3:1: files[1].name = "../x.nc": must be the name of a file in the job's own folder`}},
		{"short sum", head + "[[files]]\nname = \"x.nc\"\nsha256 = \"0\"", []string{`hinge.toml:4:1: files[1].sha256 = "0": must be 64 hexadecimal digits`}},
		{"extension with a path", head + "[machine.program]\nextension = \"../nc\"", []string{`hinge.toml:3:1: machine.program.extension = "../nc": must be up to 8 letters or digits, without a dot`}},
		{"moment", head + "[[confirmed]]\nid=\"x\"\nat=\"yesterday\"", []string{`hinge.toml:4:1: confirmed[1].at = "yesterday": must be a time such as 2026-05-04T10:20:30+02:00 (RFC 3339)`}},
		{"all faults, by place", head + "[stock]\nwidth = -1\nmaterial = 3\nthickness = true",
			[]string{`hinge.toml:3:1: stock.width = -1: must be 1 to 50000 mm (the plate must have a width, and no table is longer than 50 m)`,
				`hinge.toml:4:1: stock.material = 3: must be text in quotes`,
				`hinge.toml:5:1: stock.thickness = true: must be a number, without quotes`}},
		{"table and its key", head + "stock.thickness = 6\nstock = 6", []string{`hinge.toml:3:1: the same key is given twice. Keep one of them.`}},
		{"too deep", "a = " + strings.Repeat("[", 17), []string{`hinge.toml:1:21: nests deeper than 16 levels. Is this the right file?`}},
		{"too many dots", "x = 1\na" + strings.Repeat(".a", 20000) + " = 1", []string{`hinge.toml:2:1: nests deeper than 16 levels. Is this the right file?`}},
		{"too large", strings.Repeat("#", jobfile.MaxSize+1), []string{`hinge.toml: 2097153 bytes long, at most 2097152 are read. Is this the right file?`}},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, faults := jobfile.Decode("hinge.toml", []byte(row.text))
			var got []string
			for _, f := range faults {
				got = append(got, f.Error())
				if f.Severity != fault.Error {
					t.Errorf("%v is no error", f)
				}
			}
			if !reflect.DeepEqual(got, row.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(row.want, "\n"))
			}
		})
	}
}

func TestSyntaxFaultHasItsPlace(t *testing.T) {
	for _, row := range []struct{ name, text, place string }{
		{"no value", "units = \"mm\"\n[stock]\nthickness =\n", "hinge.toml:3:"},
		{"key twice", "units = \"mm\"\nname=\"a\"\nname=\"b\"", "hinge.toml:3:"},
		{"not TOML at all", "G0 X0 Y0\n", "hinge.toml:1:"},
		{"broken UTF-8", "units = \"m\xff\"", "hinge.toml:1:"},
		{"raw control character", "units = \"mm\"\nname = \"\x07\"", "hinge.toml:2:"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, faults := jobfile.Decode("hinge.toml", []byte(row.text))
			if len(faults) != 1 || !faults.Bad() || !strings.HasPrefix(faults[0].Error(), row.place) {
				t.Fatalf("got %v, want one at %s", faults, row.place)
			}
			if strings.ContainsAny(faults[0].Error(), "\x07\n") {
				t.Fatalf("raw text in %q", faults[0].Error())
			}
		})
	}
}

func TestEncodeRefusesWhatDecodeWouldRefuse(t *testing.T) {
	good := job.Job{Units: unit.MM}
	for _, row := range []struct {
		name   string
		change func(*job.Job)
		want   string
	}{
		{"no units", func(j *job.Job) { j.Units = unit.Unknown }, "units: must be mm or inch"},
		{"nan", func(j *job.Job) { j.Process.Feed = math.NaN() }, "process.feed: must be 1 to"},
		{"negative", func(j *job.Job) { j.Stock.Width = -4 }, "stock.width: must be 1 to"},
		{"word", func(j *job.Job) { j.Stock.Material = "wood" }, "stock.material: must be one of"},
		{"control character", func(j *job.Job) { j.Drawings = []job.Drawing{{File: "a\n.dxf"}} }, "drawings[1].file: must not hold"},
		{"no file", func(j *job.Job) { j.Drawings = []job.Drawing{{}} }, "drawings[1]: file is missing"},
		{"place of no drawing", func(j *job.Job) { j.Layout.Places = []job.Place{{Drawing: 3}} }, "layout.places[1].drawing: there are 0 drawings"},
		{"template", func(j *job.Job) { j.Machine.Program.ArcOn = []string{"M3", "\r"} }, "machine.program.arc_on[2]: must not hold"},
		{"path for a file", func(j *job.Job) { j.Files = []job.FileSum{{Name: "a/b", SHA256: strings.Repeat("0", 64)}} }, "files[1].name: must be the name"},
	} {
		t.Run(row.name, func(t *testing.T) {
			j := good
			row.change(&j)
			text, faults := jobfile.Encode(j)
			if text != nil || !faults.Bad() || !strings.Contains(faults.Err().Error(), row.want) {
				t.Fatalf("got %q, %v, want %q", text, faults.Err(), row.want)
			}
		})
	}
	if _, faults := jobfile.Encode(good); len(faults) > 0 {
		t.Fatal("the good job is refused:", faults)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte("units = \"inch\"\nname = \"gate\"\n[stock]\nthickness = 0.25\n[[drawings]]\nfile = \"a.dxf\"\nlayers = [{ name = \"0\", use = \"cut\" }]\n[layout]\nplaces = [{ drawing = 1, x = 1, y = -2.5, angle = 90 }]\n"))
	f.Add([]byte("units = \"mm\"\nstock.fixture.pockets = [[1, 2], [3e1, 0x10]]\nprocess.pierce_delay = 0\nrules.order_seed = 1_000\n"))
	f.Add([]byte("units = \"mm\"\n[machine.program]\narc_on = ['''M3''', \"\"\"M3 \\\n   S45\"\"\"]\nline_numbers = true\n[[files]]\nname = 'a.nc'\n"))
	f.Add([]byte("\"a\\\"b\".'c' . d = [[{x={y=1}},],] # c\n[a.\"b\"]\n[[q]]\n[[q.r]]\nz=1979-05-27T07:32:00Z\n"))
	f.Add([]byte("units = \"mm\"\n[stock]\nthickness = nan\n"))
	f.Add([]byte("units = \"inch\"\n[[drawings]]\n[drawings.shape]\nkind = \"flange\"\nbolt_angle = 45\ndiameter = 6\nbore = 0\nholes = [{ x = 1, y = 2, diameter = 0.5 }]\n"))
	f.Add([]byte("\ufeffunits='mm'\r\nname=\"\"\"\r\na\"\"\"\"\"\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		j, faults := jobfile.Decode("f.toml", text)
		if faults.Bad() {
			return
		}
		once, faults := jobfile.Encode(j)
		if faults.Bad() {
			t.Fatalf("what was read cannot be written: %v", faults.Err())
		}
		again, faults := jobfile.Decode("f.toml", once)
		if len(faults) > 0 {
			t.Fatalf("what was written cannot be read: %v\n%s", faults.Err(), once)
		}
		if !reflect.DeepEqual(j, again) {
			t.Fatalf("read twice, differs:\n%+v\n%+v\n%s", j, again, once)
		}
		if twice := encode(t, again); !bytes.Equal(once, twice) {
			t.Fatalf("written twice, differs:\n%s\n%s", once, twice)
		}
	})
}

func BenchmarkDecodeJobWithManyPlaces(b *testing.B) {
	j := job.Job{Units: unit.MM, Drawings: []job.Drawing{{File: "a.dxf"}}}
	for i := range 2000 {
		j.Layout.Places = append(j.Layout.Places, job.Place{X: float64(i) * 1.1, Y: float64(i) / 3, Angle: float64(i%7) / 7})
	}
	text := encode(b, j)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, faults := jobfile.Decode("a.toml", text); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}

func BenchmarkDecodeLargestRefusedFile(b *testing.B) {
	var text strings.Builder
	for i := 0; text.Len() < jobfile.MaxSize-20; i++ {
		fmt.Fprintf(&text, "k%d = %d\n", i, i)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, faults := jobfile.Decode("a.toml", []byte(text.String())); !faults.Bad() {
			b.Fatal("unknown keys are not refused")
		}
	}
}
