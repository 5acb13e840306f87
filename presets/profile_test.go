package presets_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/kerfwright/planner/unit"
	"example.org/kerfwright/presets"
)

// profile is a profile whose templates begin at known lines.
const profile = `units = "mm"
[machine]
name = "north table"
travel_x = 2500
travel_y = 1250
[machine.program]
units = "mm"
touch_off = [
  "G38.2 Z{probe_z} F{probe_feed}",
  "G92 Z{minus_sensor_offset}",
]
arc_on = [
  "M3",
]
arc_off = [
  "M5",
]
control_on = [
  "M110",
]
control_off = [
  "M111",
]
pause = [
  "M0",
]
footer = [
  "M2",
]
`

// Every fault of a template is an error at the line on which it stands.
func TestTemplatesAreCheckedWhenLoadedWithTheirLine(t *testing.T) {
	if _, faults := presets.DecodeMachine("north.toml", []byte(profile)); len(faults) > 0 {
		t.Fatal(faults)
	}
	for name, c := range map[string]struct{ old, new, want string }{
		"unknown field":            {`"M3",`, `"M3 (for {speed})",`, `north.toml:13:3: machine north table, arc-on line 1: "M3 (for {speed})": field {speed} is not known here`},
		"open brace":               {`"M5",`, `"M5 {",`, `north.toml:16:3: machine north table, arc-off line 1: "M5 {": a brace is not closed`},
		"unbalanced comment":       {`"M110",`, `"M110 (may act",`, `north.toml:19:3: machine north table, control-on line 1: "M110 (may act": a comment does not close`},
		"nested comment":           {`"M111",`, `"M111 (held (now))",`, `north.toml:22:3: machine north table, control-off line 1:`},
		"torch never off":          {`"M5",`, `"(off)",`, `north.toml:15:1: machine north table, arc-off: nothing puts the torch out`},
		"torch never lit":          {`"M3",`, `"(on)",`, `north.toml:12:1: machine north table, arc-on: nothing lights the torch`},
		"wrong way round":          {`"M3",`, `"M5",`, `arc on and arc off are the wrong way round`},
		"lights in touch-off":      {`"G92 Z`, `"M3 G92 Z`, `north.toml:10:3: machine north table, touch-off line 2: it lights the torch`},
		"moves before it is out":   {`  "M5",`, "  \"G0 Z20\",\n  \"M5\",", `north.toml:16:3: machine north table, arc-off line 1: it moves before line 2 puts the torch out`},
		"moves with it lit":        {`  "M3",`, "  \"M3\",\n  \"G1 Z2 F500\",", `north.toml:14:3: machine north table, arc-on line 2: it moves with the arc lit`},
		"Z before the touch":       {`  "G38.2`, "  \"G92 Z0\",\n  \"G38.2", `north.toml:9:3: machine north table, touch-off line 1: it sets Z before line 2 has found the plate`},
		"Z never set":              {`  "G92 Z{minus_sensor_offset}",` + "\n", "", `north.toml:8:1: machine north table, touch-off: it finds the plate and does not set Z from it`},
		"no touch-off":             {`"G38.2 Z{probe_z} F{probe_feed}",` + "\n" + `  "G92 Z{minus_sensor_offset}",`, `"(none)",`, `touch-off: nothing finds the plate`},
		"ends in the middle":       {`"M0",`, `"M30",`, `north.toml:25:3: machine north table, pause line 1: it ends the program in the middle`},
		"lines after the end":      {`  "M2",`, "  \"M2\",\n  \"M5\",", `north.toml:28:3: machine north table, footer line 1: lines stand behind the end`},
		"pause that does not":      {`"M0",`, `"(wait)",`, `north.toml:24:1: machine north table, pause: it does not stop the program`},
		"too long":                 {`"M3",`, `"M3 (` + strings.Repeat("x", 260) + `)",`, `north.toml:13:3:`},
		"G0 spelt with two digits": {`  "M3",`, "  \"M03\",\n  \"G00 X5\",", `arc-on line 2: it moves with the arc lit`},
	} {
		text := strings.Replace(profile, c.old, c.new, 1)
		if text == profile {
			t.Fatalf("%s: changes nothing", name)
		}
		_, faults := presets.DecodeMachine("north.toml", []byte(text))
		if !faults.Bad() || !strings.Contains(faults.Err().Error(), c.want) {
			t.Errorf("%s: %v\nwant %s", name, faults, c.want)
		}
		// What is unsafe is not offered.
		lib, _ := presets.Load(fstest.MapFS{"machines/north.toml": {Data: []byte(text)}})
		if _, ok := lib.Machine("north table"); ok {
			t.Errorf("%s: the profile is offered", name)
		}
	}
}

func TestEveryShippedProfilePassesTheChecks(t *testing.T) {
	for _, m := range library(t).Machines() {
		text, faults := presets.EncodeMachine(m, unit.MM)
		if faults.Bad() {
			t.Fatal(faults)
		}
		if _, faults := presets.DecodeMachine(fmt.Sprint(m.Name), text); len(faults) > 0 {
			t.Error(faults)
		}
	}
}
