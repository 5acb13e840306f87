package proof_test

import (
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
	"example.org/kerfwright/planner/unit"
)

// Good programs that move in other ways.
func TestMovesThatDoNoHarmAreNotFound(t *testing.T) {
	for name, spoil := range map[string]func(x *text, in *proof.Input){
		"a place said twice, low":     func(x *text, _ *proof.Input) { x.insert(x.find("p1.h1", "M3", 0), "G0 X60 Y60") },
		"cut height said again":       func(x *text, _ *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "G1 Z1.5") },
		"the first move axis by axis": func(x *text, _ *proof.Input) { x.set("p1.h1", "G0 X", 0, "G0 X60\nG0 Y60") },
		"the same on a table with sides": func(x *text, in *proof.Input) {
			x.set("p1.h1", "G0 X", 0, "G0 X60\nG0 Y60")
			in.Machine.Table = geom.Box{Max: geom.Pt(300, 220)}
		},
		"travel that is not known": func(_ *text, in *proof.Input) { in.Machine.TravelX, in.Machine.TravelY = 0, 0 },
		"travel as far as it goes": func(_ *text, in *proof.Input) { in.Machine.TravelX, in.Machine.TravelY = 240.75, 180.75 },
		"parked in machine coordinates": func(x *text, in *proof.Input) {
			in.Machine.HasTop = true
			x.insert(x.find("", "M30", 0), "G53 G0 Z0", "G53 G0 X-5000 Y-5000")
			in.Machine.Table = geom.Box{Max: geom.Pt(300, 220)}
		},
	} {
		x, in := &text{good().lines}, input(nil)
		spoil(x, &in)
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 {
			t.Errorf("%s: %s", name, show(r))
		}
	}
}

// What is wrong with one move is told by its own code, once, and nothing is
// made up from a place that is not known.
func TestWrongMovesAreTold(t *testing.T) {
	for _, v := range []struct {
		name  string
		spoil func(x *text, in *proof.Input)
		code  string
		words string
		times int
		not   string // a code that would be wrong
	}{
		{"no G64", func(x *text, _ *proof.Input) { x.sub("", "G21", 0, " G64", "") }, "preamble", "G64", 1, ""},
		{"inches for mm", func(_ *text, in *proof.Input) { in.Form.Units = unit.Inch }, "units", "", 1, "uncut"},
		{"height from where the torch stood", func(x *text, _ *proof.Input) { x.set("", "G0 Z25", 0, "G91\nG0 Z25\nG90") }, "height-unknown", "before the program has said", 1, ""},
		{"place from where the torch stood", func(x *text, _ *proof.Input) { x.set("p1.h1", "G0 X", 0, "G91\nG0 X60 Y60\nG90") }, "place-unknown", "lit before", 1, "gouge"},
		{"rapid up while lit", func(x *text, _ *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "G0 Z2", "G0 Z1.5") }, "lit-rapid", "", 1, ""},
		{"rapid aside while lit", func(x *text, _ *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "G0 X51.5 Y60", "G0 X50.75 Y60") }, "lit-rapid", "", 1, ""},
		{"down and up again in the cut", func(x *text, _ *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "G1 Z1.2", "G1 Z1.5") }, "lit-lift", "while it moves along", 1, ""},
		{"machine coordinates while lit", func(x *text, _ *proof.Input) {
			x.insert(x.find("p1.h1", "G3 X", 1), "G53 G1 X140 Y60", "G1 X50.75 Y60")
		}, "place-unknown", "G53 with the torch lit", 1, "gouge"},
		{"exact path", func(x *text, _ *proof.Input) { x.sub("", "G21", 0, "G64", "G61") }, "path-mode", "Write", 0, ""},
		{"corners cut short", func(x *text, in *proof.Input) {
			in.Form.Dialect.PathTolerance = true
			x.sub("", "G21", 0, "G64", "G64 P0.2")
		}, "path-mode", "corners may be cut 0.2 mm short", 1, ""},
		{"the only move is off the table", func(x *text, in *proof.Input) {
			x.lines = append(x.lines[:x.find("p1.h1", "G0 X", 0)], "G0 X-50 Y-50", "M30")
			in.Machine.Table = geom.Box{Max: geom.Pt(300, 220)}
		}, "off-table", "the torch goes to (-50, -50)", 1, ""},
		{"off the table on one axis, then on the other", func(x *text, in *proof.Input) {
			x.lines = append(x.lines[:x.find("p1.h1", "G0 X", 0)], "G0 X-50", "G0 Y10", "M30")
			in.Machine.Table = geom.Box{Max: geom.Pt(300, 220)}
		}, "off-table", "the torch goes to X-50, off the table, which ends at X0 and X300", 1, ""},
		{"an arc that leaves the table between its ends", func(x *text, in *proof.Input) {
			_, end := x.section("p1.h1")
			x.lines = append(x.lines[:end], "M30")
			in.Machine.Table = geom.Box{Min: geom.Pt(0, 51), Max: geom.Pt(300, 220)}
		}, "off-table", "50.75), off the table, which ends at (0, 51)", 1, ""},
		{"from a place of the machine over what is loose", func(x *text, in *proof.Input) {
			x.insert(x.find("p1.outline", "G0 X", 0), "G53 G0 X400 Y110", "G0 Z12")
		}, "low-travel", "12 mm over the plate, safe height is 25 mm", 1, ""},
		{"onto an earlier program's plate from where nobody knows", func(x *text, in *proof.Input) {
			in.Done = &proof.Done{Text: good().text(), Line: lineOf("p1.outline", "(p1.outline", 0)}
			x.lines = append(x.lines[:4], x.lines[x.find("p1.outline", "(p1.outline", 0):]...)
			x.sub("", "G0 Z25", 0, "25", "12")
		}, "low-travel", "12 mm over the plate, safe height is 25 mm", 1, ""},
		{"X travel too short", func(_ *text, in *proof.Input) { in.Machine.TravelX = 240.7 }, "off-table", "from X0 to X240.75, 240.75 mm, the table has 240.7 mm", 1, ""},
		{"Y travel too short", func(_ *text, in *proof.Input) { in.Machine.TravelY = 180.7 }, "off-table", "from Y0 to Y180.75, 180.75 mm, the table has 180.7 mm", 1, ""},
		{"to a place of the machine over what is loose", func(x *text, in *proof.Input) {
			x.insert(x.find("p1.outline", "G0 X", 0), "G0 Z12", "G53 G0 X400 Y110", "G0 Z25")
		}, "low-travel", "12 mm over the plate, safe height is 25 mm", 1, ""},
	} {
		x, in := &text{good().lines}, input(nil)
		v.spoil(x, &in)
		in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
		r := proof.Prove(in)
		n := 0
		for _, f := range r.Findings {
			if f.Code == v.code {
				n++
			}
			if v.not != "" && f.Code == v.not {
				t.Errorf("%s: [%s] is made up: %s", v.name, v.not, show(r))
			}
		}
		if r.OK || v.times > 0 && (n != v.times || !found(r, v.code, v.words)) || v.times == 0 && n != 1 {
			t.Errorf("%s: %d [%s]: %s", v.name, n, v.code, show(r))
		}
	}
}
