package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// These change the good program or its job and say what comes of it.
func TestWalkerFollowsWhatTheWordsMean(t *testing.T) {
	header := func(in *proof.Input, l ...string) { in.Form.Lines.Header = append(in.Form.Lines.Header, l...) }
	raised := func(x *text, in *proof.Input, z string) { // the torch at its top, the plate said to be so far under it
		in.Machine.Reach, in.Machine.HasTop = 100, true
		x.insert(x.find("", "G0 Z25", 0), "G53 G0 Z0", z)
	}
	for _, row := range []struct {
		name  string
		spoil func(x *text, in *proof.Input)
		code  string // "": nothing at all is found
		words string
	}{
		{"the lamp of a torch that is lit already", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "M3") }, "", ""},
		{"a wait at cut height before it moves off", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G1 X", 0), "G4 P0.1") }, "", ""},
		{"ends at travel height", func(x *text, in *proof.Input) { x.insert(x.find("", "M30", 0), "G0 Z12") }, "", ""},
		{"lit on the second spindle word", func(x *text, in *proof.Input) {
			in.Form.Lines.ArcOn = []string{"M03", "G4 P{delay}"}
			for i, l := range x.lines {
				if l == "M3" {
					x.lines[i] = "M03"
				}
			}
		}, "", ""},
		{"lit by an output, put out by M5", func(x *text, in *proof.Input) {
			in.Form.Lines.ArcOn = []string{"M64 P1", "G4 P{delay}"}
			for i, l := range x.lines {
				if l == "M3" {
					x.lines[i] = "M64 P1"
				}
			}
		}, "", ""},

		{"a tool that the profile's head changes", func(x *text, in *proof.Input) {
			header(in, "M6 T1")
			x.insert(2, "M6 T1")
		}, "", ""},
		{"a tool that the profile's foot changes", func(x *text, in *proof.Input) {
			in.Form.Lines.Footer = []string{"m06 t1"}
			x.insert(2, "M6 T1")
		}, "", ""},
		{"a tool changed where the profile sets an output", func(x *text, in *proof.Input) {
			header(in, "M64 P2")
			x.insert(2, "M6 T1")
		}, "tool-change", ""},
		{"a tool changed in the middle of a cut", func(x *text, in *proof.Input) {
			header(in, "M6 T1")
			x.insert(x.find("p1.h1", "G3 X", 1), "M6 T1")
		}, "uncut", ""},

		{"height said of a raised torch", func(x *text, in *proof.Input) { raised(x, in, "G92 Z100") }, "", ""},
		{"another height said of it", func(x *text, in *proof.Input) { raised(x, in, "G92 Z99") }, "first-height", "99 mm over the plate, the profile says 100 mm"},
		{"height said where no reach is known", func(x *text, in *proof.Input) { x.insert(x.find("", "G0 Z25", 0), "G92 Z40") }, "", ""},
		{"offsets taken back at the end", func(x *text, in *proof.Input) { x.insert(x.find("", "M30", 0), "G92.1") }, "", ""},
		{"X zero moved", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G0 Z12", 0), "G92 X0") }, "zero-moved", "by (60 mm, 0 mm)"},
		{"Y zero moved", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G0 Z12", 0), "G92 Y20") }, "zero-moved", "by (0 mm, 40 mm)"},
		{"zero moved once more", func(x *text, in *proof.Input) {
			x.insert(x.find("p1.h1", "G0 Z12", 0), "G92 X0 Y0", "G0 X7 Y9", "G92 X0 Y0")
		}, "zero-moved", "by (7 mm, 9 mm)"},
		{"sensor offset left out", func(x *text, in *proof.Input) { x.sub("p1.h1", "G92", 0, "-1.2000", "0") }, "touch-off-zero", "trips at Z-1.2, not at Z0"},
		{"sensor offset too large", func(x *text, in *proof.Input) { x.sub("p1.h1", "G92", 0, "-1.2000", "-2") }, "touch-off-zero", "trips at Z-1.2, not at Z-2"},
		{"a touch-off that begins where the probe trips", func(x *text, in *proof.Input) {
			x.insert(x.find("p1.h2", "G38.2", 0), "G0 Z-1.2")
		}, "probe", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			x := &text{good().lines}
			in := input(nil)
			row.spoil(x, &in)
			in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
			r := proof.Prove(in)
			switch {
			case row.code == "" && (!r.OK || len(r.Findings) > 0 || len(r.Cuts) != 6):
				t.Error(show(r))
			case row.code != "" && !found(r, row.code, row.words):
				t.Errorf("wanted [%s] %q\n%s", row.code, row.words, show(r))
			}
		})
	}
}

// A torch that ends lower than it may travel is warned of.
func TestTorchLeftUnderTravelHeightIsWarnedOf(t *testing.T) {
	x := &text{good().lines}
	x.insert(x.find("", "M30", 0), "G0 Z11.9")
	r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "end-height" {
		t.Error(show(r))
	}
}

// Where an output puts the arc out, M5 does not: the arc burns on.
func TestSpindleWordPutsNoOutputOut(t *testing.T) {
	x := &text{good().lines}
	for i, l := range x.lines {
		switch {
		case l == "M3":
			x.lines[i] = "M64 P1"
		case l == "M5" && i > 5:
			x.lines[i] = "M65 P1"
		}
	}
	use := func() proof.Input {
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		in.Form.Lines.ArcOn, in.Form.Lines.ArcOff = []string{"M64 P1", "G4 P{delay}"}, []string{"M65 P1"}
		return in
	}
	wantGood(t, use())
	x.set("p1.h1", "M65", 0, "M5")
	if r := proof.Prove(use()); !found(r, "lit-rapid", "") {
		t.Error(show(r))
	}
}

// One touch-off is one, though the profile's lines for it begin with the probe.
func TestTouchOffBesideThePlateIsToldOnce(t *testing.T) {
	x := &text{good().lines}
	in := input(nil)
	in.Machine.ProbeReuse = 500
	x.insert(x.find("p1.h1", "G38.2", 0), "G0 X-5 Y60")
	x.insert(x.find("p1.h1", "G0 Z3.8", 0), "G0 Z25", h1Line)
	in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
	n := 0
	r := proof.Prove(in)
	for _, f := range r.Findings {
		if f.Code == "touch-off-void" {
			n++
		}
	}
	if n != 1 {
		t.Errorf("told %d times: %s", n, show(r))
	}
}

const h1Line = "G0 X60 Y60"

// Only where the torch went counts for the travel, not the zero.
func TestTravelIsMeasuredWhereTheTorchGoes(t *testing.T) {
	lines := good().lines
	lines = slices.DeleteFunc(lines, func(l string) bool { return l == "G0 X0 Y0" })
	for _, c := range []struct {
		x, y float64
		ok   bool
	}{{201.6, 146.6, true}, {201.4, 146.6, false}, {201.6, 146.4, false}} { // the kerf's middle: 201.5 wide, and from the lead at 34.25 up to 180.75
		in := input([]byte(strings.Join(lines, "\n") + "\n"))
		in.Machine.TravelX, in.Machine.TravelY = c.x, c.y
		if r := proof.Prove(in); r.OK != c.ok || !c.ok && !found(r, "off-table", "the torch goes from") {
			t.Errorf("%g by %g: %s", c.x, c.y, show(r))
		}
	}
}

// The stop between two blanks is made by the profile's own line, or by a plain
// one that the profile does not name.
func TestEitherPauseIsAStop(t *testing.T) {
	write := func(stop string) []byte {
		w := &writer{k: 1, dec: 4}
		w.header()
		w.cut(hole("p1#1.h1", geom.Pt(80, 60), 20, full, false))
		w.put("%s", stop)
		w.cut(hole("p1#2.h1", geom.Pt(80, 60), 20, full, false))
		w.footer()
		return w.text()
	}
	for _, c := range []struct {
		stop  string
		pause []string
		ok    bool
	}{
		{"M66 P9", []string{"M66 P9"}, true},
		{"(turn the piece)", []string{"(turn the piece)"}, true},
		{"M66 P8", []string{"M66 P9", "", "M66 P8"}, false},
		{"M0", []string{"M66 P9"}, true},
		{"M0", nil, true},
		{"(a word)", nil, false},
	} {
		in := blanks(write(c.stop), 0, 1)
		in.Form.Lines.Pause = c.pause
		if r := proof.Prove(in); r.OK != c.ok {
			t.Errorf("%q for %q: %s", c.stop, c.pause, show(r))
		}
	}
}
