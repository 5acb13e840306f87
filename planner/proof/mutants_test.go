package proof_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// A mutant spoils the good program. It must be caught with the code, naming
// the feature, in a line of that feature's section; line, if set, is the text
// of the very line.
var mutants = []struct {
	name    string
	spoil   func(x *text, in *proof.Input)
	code    string
	feature string
	line    string
}{
	{"hole moved by 0.05", func(x *text, in *proof.Input) { x.replace("p1.h1", moved(cuttingOf("p1.h1"), geom.Pt(0.05, 0))) }, "gouge", "p1.h1", ""},
	{"hole moved by 0.05, the other side", func(x *text, in *proof.Input) { x.replace("p1.h1", moved(cuttingOf("p1.h1"), geom.Pt(0, -0.05))) }, "uncut", "p1.h1", ""},
	{"outline moved by 0.05", func(x *text, in *proof.Input) {
		x.replace("p1.outline", moved(cuttingOf("p1.outline"), geom.Pt(0, 0.05)))
	}, "gouge", "p1.outline", ""},
	{"window moved by 0.05", func(x *text, in *proof.Input) { x.replace("p1.c1", moved(cuttingOf("p1.c1"), geom.Pt(-0.04, 0.03))) }, "gouge", "p1.c1", ""},
	{"one arc's centre and end moved", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.outline")
		c.way[2].centre.X += 0.05
		c.way[2].to.X += 0.05
		x.replace("p1.outline", c)
	}, "gouge", "p1.outline", "G2 X39.3"},
	{"one corner of the window moved outwards", func(x *text, in *proof.Input) { c := cuttingOf("p1.c1"); c.way[2].to.X += 0.05; x.replace("p1.c1", c) }, "gouge", "p1.c1", ""},
	{"one corner of the window moved inwards", func(x *text, in *proof.Input) { c := cuttingOf("p1.c1"); c.way[2].to.X -= 0.05; x.replace("p1.c1", c) }, "uncut", "p1.c1", ""},
	{"hole run clockwise", func(x *text, in *proof.Input) {
		for i := range 3 {
			x.sub("p1.h2", "G3 X", 0, "G3", "G2")
			_ = i
		}
		x.drop("p1.h2", "G2 X", 2) // its overburn would be nearly a lap
	}, "direction", "p1.h2", "G2"},
	{"window run clockwise", func(x *text, in *proof.Input) { x.replace("p1.c1", reversed(cuttingOf("p1.c1"))) }, "direction", "p1.c1", ""},
	{"outline run counter-clockwise", func(x *text, in *proof.Input) { x.replace("p1.outline", reversed(cuttingOf("p1.outline"))) }, "direction", "p1.outline", ""},
	{"hole cut on the outside", func(x *text, in *proof.Input) { x.replace("p1.h1", hole("", h1, 20+2*kerf, full, false)) }, "kerf-side", "p1.h1", "G3"},
	{"outline cut on the inside", func(x *text, in *proof.Input) {
		x.replace("p1.outline", frame("", p1a.Add(geom.Pt(kerf, kerf)), p1b.Sub(geom.Pt(kerf, kerf)), 10-kerf))
	}, "kerf-side", "p1.outline", ""},
	{"kerf doubled in a hole", func(x *text, in *proof.Input) { x.replace("p1.h1", hole("", h1, 20-kerf, full, false)) }, "uncut", "p1.h1", ""},
	{"kerf doubled at the outline", func(x *text, in *proof.Input) {
		x.replace("p1.outline", frame("", p1a.Sub(geom.Pt(kerf/2, kerf/2)), p1b.Add(geom.Pt(kerf/2, kerf/2)), 10+kerf/2))
	}, "off-edge", "p1.outline", ""},
	{"no offset at all", func(x *text, in *proof.Input) { x.replace("p1.h1", hole("", h1, 20+kerf, full, false)) }, "gouge", "p1.h1", ""},
	{"M5 missing", func(x *text, in *proof.Input) { x.drop("p1.h1", "M5", 0) }, "lit-rapid", "p1.h1", "G0 Z25"},
	{"M5 after the rapid", func(x *text, in *proof.Input) {
		i := x.find("p1.h1", "M5", 0)
		x.lines[i], x.lines[i+1] = x.lines[i+1], x.lines[i]
	}, "lit-rapid", "p1.h1", "G0 Z25"},
	{"M5 missing at the end", func(x *text, in *proof.Input) {
		x.drop("p1.outline", "M5", 0)
		x.drop("p1.outline", "G0 Z25", 0)
		x.drop("", "G0 X0 Y0", 0)
	}, "lit-end", "p1.outline", "M30"},
	{"torch lifted while lit", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "M5", 0), "G1 Z10") }, "lit-lift", "p1.h1", "G1 Z10"},
	{"torch lifted while it moves", func(x *text, in *proof.Input) { x.sub("p1.c1", "G1 X", 2, "Y", "Z2.5 Y") }, "lit-lift", "p1.c1", ""},
	{"rapid along the cut", func(x *text, in *proof.Input) { x.sub("p1.c1", "G1 X", 2, "G1", "G0") }, "lit-rapid", "p1.c1", "G0 X"},
	{"no pierce delay", func(x *text, in *proof.Input) { x.drop("p1.h1", "G4", 0) }, "pierce-delay", "p1.h1", "M3"},
	{"pierce delay too short", func(x *text, in *proof.Input) { x.sub("p1.h1", "G4", 0, "0.400", "0.200") }, "pierce-delay", "p1.h1", "M3"},
	{"pierce delay after going down", func(x *text, in *proof.Input) {
		i := x.find("p1.h1", "G4", 0)
		x.lines[i], x.lines[i+1] = x.lines[i+1], x.lines[i]
	}, "pierce-delay", "p1.h1", "M3"},
	{"pierced at cut height", func(x *text, in *proof.Input) { x.sub("p1.h1", "G0 Z3.8", 0, "3.8", "1.5") }, "pierce-height", "p1.h1", "M3"},
	{"lit before it is down", func(x *text, in *proof.Input) {
		x.drop("p1.h1", "M3", 0)
		x.insert(x.find("p1.h1", "G0 Z3.8", 0), "M3")
	}, "lit-rapid", "p1.h1", "G0 Z3.8"},
	{"lit at travel height", func(x *text, in *proof.Input) {
		x.drop("p1.h1", "G0 Z3.8", 0)
		x.insert(x.find("p1.h1", "M3", 0), "G0 Z12")
	}, "pierce-height", "p1.h1", "M3"},
	{"not down to cut height", func(x *text, in *proof.Input) { x.drop("p1.h1", "G1 Z", 0) }, "cut-height", "p1.h1", ""},
	{"down while moving", func(x *text, in *proof.Input) {
		x.drop("p1.h1", "G1 Z", 0)
		x.sub("p1.h1", "G1 X", 0, "X", "Z1.5 X")
	}, "cut-height", "p1.h1", "G1 Z1.5 X"},
	{"cut height wrong", func(x *text, in *proof.Input) { x.sub("p1.h1", "G1 Z", 0, "1.5", "1.6") }, "cut-height", "p1.h1", ""},
	{"outline first", func(x *text, in *proof.Input) { x.swapped("p1.h1", "p1.outline") }, "order", "p1.h1", "M3"},
	{"hole after its outline", func(x *text, in *proof.Input) { x.swapped("p1.h3", "p1.outline") }, "order", "p1.h3", "M3"},
	{"window before the part in it", func(x *text, in *proof.Input) { x.swapped("p2.outline", "p1.c1") }, "order", "p2.outline", "M3"},
	{"hole left out", func(x *text, in *proof.Input) { f, e := x.section("p1.h2"); x.lines = slices.Delete(x.lines, f, e) }, "not-cut", "p1.h2", "M30"},
	{"outline left out", func(x *text, in *proof.Input) {
		f, e := x.section("p1.outline")
		x.lines = slices.Delete(x.lines, f, e)
	}, "not-cut", "p1.outline", "M30"},
	{"half of a hole left out", func(x *text, in *proof.Input) { x.drop("p1.h1", "G3 X", 1); x.drop("p1.h1", "G3 X", 1) }, "uncut", "p1.h1", ""},
	{"one side left out", func(x *text, in *proof.Input) { c := cuttingOf("p1.c1"); c.way = c.way[:4]; x.replace("p1.c1", c) }, "uncut", "p1.c1", ""},
	{"corner cut short", func(x *text, in *proof.Input) { x.drop("p1.c1", "G1 X", 2) }, "uncut", "p1.c1", ""},
	{"cut twice", func(x *text, in *proof.Input) { f, e := x.section("p1.h1"); x.insert(e, x.lines[f:e]...) }, "cut-twice", "", "M3"},
	{"gone round twice", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.outline")
		c.way = append(slices.Clone(c.way), c.way[1:]...)
		x.replace("p1.outline", c)
	}, "cut-twice", "p1.outline", "M3"},
	{"a cut that nobody wants", func(x *text, in *proof.Input) {
		w := &writer{k: 1, dec: 4}
		w.cut(hole("p1.x", geom.Pt(270, 200), 20, full, false))
		f, _ := x.section("p1.h2")
		x.insert(f, w.lines...)
	}, "stray-cut", "", "M3"},
	{"feed too high", func(x *text, in *proof.Input) { x.sub("p1.h1", "G1 X", 0, "F2500", "F2600") }, "feed", "p1.h1", "G1 X"},
	{"slow hole at full feed", func(x *text, in *proof.Input) { x.sub("p1.h3", "G1 X", 0, "F1500", "F2500") }, "feed", "p1.h3", "G1 X"},
	{"feed changed in the middle", func(x *text, in *proof.Input) { i := x.find("p1.outline", "G2", 2); x.lines[i] += " F900" }, "feed", "p1.outline", "G2"},
	{"feed of the descent kept", func(x *text, in *proof.Input) { x.sub("p1.h1", "G1 X", 0, " F2500.0", "") }, "feed", "p1.h1", "G1 X"},
	{"faster than the machine", func(x *text, in *proof.Input) { x.sub("p1.h1", "G1 X", 0, "F2500", "F7000") }, "max-feed", "p1.h1", "G1 X"},
	{"touch-off too fast", func(x *text, in *proof.Input) { x.sub("p1.h1", "G38.2", 0, "500", "900") }, "probe-feed", "p1.h1", "G38.2"},
	{"plate shorter than the job", func(x *text, in *proof.Input) {
		in.Stock.Shapes[0] = rounded(geom.Pt(0, 0), geom.Pt(241, 220), 0)
	}, "off-plate", "p1.outline", ""},
	{"plate with a bite out of it", func(x *text, in *proof.Input) {
		in.Stock.Shapes[0] = geom.Polygon(geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 220), geom.Pt(90, 220), geom.Pt(30, 150), geom.Pt(0, 150))
	}, "off-plate", "p1.outline", ""},
	{"pierce off the plate", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.outline")
		c.pierce = geom.Pt(145, -2)
		x.replace("p1.outline", c)
	}, "off-plate", "p1.outline", ""},
	{"rapid off the table", func(x *text, in *proof.Input) { x.sub("", "G0 X0 Y0", 0, "X0", "X-1100") }, "off-table", "", "G0 X-1100"},
	{"rapid off the told table", func(x *text, in *proof.Input) {
		in.Machine.Table = geom.Box{Min: geom.Pt(-10, -10), Max: geom.Pt(1250, 1250)}
		x.sub("", "G0 X0 Y0", 0, "Y0", "Y-20")
	}, "off-table", "", "G0 X0 Y-20"},
	{"G2 for G3 in a hole", func(x *text, in *proof.Input) { x.sub("p1.h1", "G3 X", 2, "G3", "G2") }, "direction", "p1.h1", "G2 X"},
	{"G3 for G2 at a corner", func(x *text, in *proof.Input) { x.sub("p1.outline", "G2", 1, "G2", "G3") }, "gouge", "p1.outline", "G3"},
	{"pierced in the part, lead through it", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.outline")
		c.pierce.Y += 12
		x.replace("p1.outline", c)
	}, "gouge", "p1.outline", ""},
	{"lead 0.1 into the part", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.c1")
		c.way = slices.Insert(slices.Clone(c.way), 0, step{to: geom.Pt(139, win1.Y+kerf/2-0.1)})
		x.replace("p1.c1", c)
	}, "gouge", "p1.c1", "G1 X139"},
	{"lead through another part", func(x *text, in *proof.Input) {
		c := cuttingOf("p1.c1")
		c.pierce = geom.Pt(140, 130)
		x.replace("p1.c1", c)
	}, "gouge", "p1.c1", ""},
	{"touch-off missing", func(x *text, in *proof.Input) { x.drop("p1.h2", "G38.2", 0); x.drop("p1.h2", "G92", 0) }, "no-touch-off", "p1.h2", "M3"},
	{"every touch-off missing", func(x *text, in *proof.Input) {
		x.lines = slices.DeleteFunc(x.lines, func(l string) bool { return strings.HasPrefix(l, "G38.2") })
	}, "no-touch-off", "p1.h1", "M3"},
	{"Z not set after the touch-off", func(x *text, in *proof.Input) { x.drop("p1.h1", "G92", 0) }, "touch-off-zero", "p1.h1", "M3"},
	{"touch-off elsewhere", func(x *text, in *proof.Input) {
		i := x.find("p1.h2", "G0 X", 0)
		x.insert(i, "G0 X20 Y20")
		x.lines[i+1], x.lines[i+2], x.lines[i+3], x.lines[i+4] = x.lines[i+2], x.lines[i+3], x.lines[i+4], "G0 Z25 X220 Y60"
	}, "no-touch-off", "p1.h2", "M3"},
	{"touch-off over the last hole's slug", func(x *text, in *proof.Input) {
		in.Machine.ProbeReuse = 500
		i := x.find("p1.h2", "G38.2", 0)
		x.insert(i, "G0 X62 Y60", "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25", "G0 X220 Y60")
		x.drop("p1.h2", "G38.2", 1)
		x.drop("p1.h2", "G92", 1)
	}, "touch-off-void", "p1.h2", "G38.2"},
	{"touch-off over the last cut", func(x *text, in *proof.Input) {
		in.Machine.ProbeReuse = 500
		i := x.find("p2.outline", "G38.2", 0)
		x.insert(i, "G0 X53.2 Y53.2", "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25", "G0 X145 Y94.25")
		x.drop("p2.outline", "G38.2", 1)
		x.drop("p2.outline", "G92", 1)
	}, "touch-off-void", "p2.outline", "G38.2"},
	{"touch-off off the plate", func(x *text, in *proof.Input) {
		in.Machine.ProbeReuse = 500
		i := x.find("p1.h1", "G38.2", 0)
		x.insert(i, "G0 X-5 Y60", "G38.2 Z-15 F500", "G92 Z-1.2", "G0 Z25", "G0 X60 Y60")
		x.drop("p1.h1", "G38.2", 1)
		x.drop("p1.h1", "G92", 1)
	}, "touch-off-void", "p1.h1", "G38.2"},
	{"sensor offset left out", func(x *text, in *proof.Input) { x.sub("p1.h1", "G92", 0, "-1.2000", "0") }, "touch-off-zero", "p1.h1", "G92"},
	{"sensor offset with the wrong sign", func(x *text, in *proof.Input) { x.sub("p1.h1", "G92", 0, "-1.2", "1.2") }, "touch-off-zero", "p1.h1", "G92"},
	{"sensor offset of another machine", func(x *text, in *proof.Input) { in.Machine.SensorOffset = 1.5 }, "touch-off-zero", "p1.h1", "G92"},
	{"touch-off that ends too high", func(x *text, in *proof.Input) { x.sub("p1.h2", "G38.2", 0, "Z-15", "Z8") }, "probe", "p1.h2", "G38.2"},
	{"hold lines swapped", func(x *text, in *proof.Input) {
		x.set("p1.h3", "(height hold on)", 0, "(x)")
		x.set("p1.h3", "(height hold off)", 0, "(height hold on)")
		x.set("p1.h3", "(x)", 0, "(height hold off)")
	}, "hold-missing", "p1.h3", "G1 X"},
	{"hold line missing", func(x *text, in *proof.Input) { x.drop("p1.h3", "(height hold on)", 0) }, "hold-missing", "p1.h3", "G1 X"},
	{"hold ends too soon", func(x *text, in *proof.Input) {
		x.drop("p1.h3", "(height hold off)", 0)
		x.insert(x.find("p1.h3", "G3 X", 1), "(height hold off)")
	}, "hold-missing", "p1.h3", "G3"},
	{"hold never ends", func(x *text, in *proof.Input) { x.drop("p1.h3", "(height hold off)", 0) }, "hold-end", "p1.h3", "(height hold on)"},
	{"hold not thoughout", func(x *text, in *proof.Input) { in.Holds = proof.HoldsThroughout }, "hold-missing", "p1.h1", "G1 X"},
	{"units word swapped", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G21", "G20") }, "units", "", "G0 Z25"},
	{"units word missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G21 ", "") }, "units", "", "G0 Z25"},
	{"G90 missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G90 ", "") }, "preamble", "", "G0 Z25"},
	{"G17 missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G17 ", "") }, "preamble", "", "G0 Z25"},
	{"G40 missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G40 ", "") }, "preamble", "", "G0 Z25"},
	{"G94 missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G94 ", "") }, "preamble", "", "G0 Z25"},
	{"G91 for G90", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G90", "G91") }, "preamble", "", "G0 Z25"},
	{"placed by the machine's own coordinates", func(x *text, in *proof.Input) {
		x.insert(x.find("p1.h1", "M3", 0), "G53 "+x.lines[x.find("p1.h1", "G0 X", 0)])
	}, "place-unknown", "p1.h1", "M3"},
	{"G64 missing", func(x *text, in *proof.Input) { x.sub("", "G21", 0, " G64", "") }, "preamble", "", "G0 Z25"},
	{"exact path", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G64", "G61") }, "path-mode", "p1.h1", "G1 X"},
	{"exact stop", func(x *text, in *proof.Input) { x.sub("", "G21", 0, "G64", "G61.1") }, "path-mode", "p1.h1", "G1 X"},
	{"corners cut short", func(x *text, in *proof.Input) {
		in.Form.Lines.Header = append(in.Form.Lines.Header, "G64 P0.1")
		x.sub("", "G21", 0, "G64", "G64 P0.5")
	}, "path-mode", "p1.h1", "G1 X"},
	{"no Z before the first rapid", func(x *text, in *proof.Input) { x.drop("", "G0 Z25", 0) }, "height-unknown", "p1.h1", "G0 X60"},
	{"end missing", func(x *text, in *proof.Input) { x.drop("", "M30", 0) }, "no-end", "", ""},
	{"not raised after a cut", func(x *text, in *proof.Input) { x.drop("p1.h1", "G0 Z25", 0) }, "low-travel", "p1.h2", "G0 X220"},
	{"raised a little", func(x *text, in *proof.Input) { x.sub("p1.h1", "G0 Z25", 0, "25", "5") }, "low-travel", "p1.h2", "G0 X220"},
	{"travel height over a slug", func(x *text, in *proof.Input) {
		x.sub("p1.h1", "G0 Z25", 0, "25", "12")
		x.insert(x.find("p1.h2", "G0 X", 0), "G0 X52 Y60")
	}, "low-over-loose", "p1.h2", "G0 X52"},
	{"travel height over a part", func(x *text, in *proof.Input) {
		x.sub("p2.outline", "G0 Z25", 0, "25", "12")
		x.sub("p1.c1", "G0 X", 0, "X135.0000 Y86.7500", "X140 Y130")
	}, "low-over-loose", "p1.c1", "G0 X140"},
	{"down while travelling", func(x *text, in *proof.Input) { x.sub("p1.h2", "G0 X", 0, " Y", " Z3 Y") }, "low-travel", "p1.h2", "G0 X220"},
	{"arc centre off by 0.05", func(x *text, in *proof.Input) { x.sub("p1.h1", "G3 X", 0, "I-9.25", "I-9.30") }, "arc-radius", "p1.h1", "G3"},
	{"down into the plate", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G0 Z25", 0), "G0 Z-3") }, "into-plate", "", "G0 Z-3"},
	{"cut in machine coordinates", func(x *text, in *proof.Input) { x.sub("p1.c1", "G1 X", 2, "G1", "G53 G1") }, "place-unknown", "p1.c1", "G53"},
	{"line that a switch may skip", func(x *text, in *proof.Input) { x.sub("p1.h1", "M5", 0, "M5", "/M5") }, "block-delete", "p1.h1", "/M5"},
	{"arc that stands upright", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G1 X", 0), "G18 G2 X64 Z1.5 I2 F2500 (bow)") }, "arc-plane", "p1.h1", "G18"},
	{"Z set with the torch lit", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G1 Z", 0), "G92 Z3.8") }, "lit-offset", "p1.h1", "G92 Z3.8"},
	{"touch-off to the side", func(x *text, in *proof.Input) { x.sub("p1.h1", "G38.2", 0, "Z-15", "X61 Z-15") }, "touch-off", "p1.h1", "G38.2"},
	{"pierced over another cut", func(x *text, in *proof.Input) {
		in.Machine.ProbeReuse = 500
		c := cuttingOf("p1.c1")
		c.pierce = geom.Pt(124.3, 110) // beside the latch plate
		x.replace("p1.c1", c)
	}, "pierce-void", "p1.c1", "M3"},
	{"XY zero moved", func(x *text, in *proof.Input) { x.sub("p1.h1", "G92", 0, "G92", "G92 X0 Y0") }, "zero-moved", "", "G92"},
	{"compensation switched on", func(x *text, in *proof.Input) { x.sub("p1.h1", "G1 X", 0, "G1", "G41 G1") }, "not-followed", "p1.h1", "G41"},
	{"word of another controller", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "M3", 0), "M62 P0") }, "unknown-word", "p1.h1", "M62"},
	{"a wait in the middle of a cut", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G3 X", 1), "G4 P0.5") }, "lit-dwell", "p1.h1", "G4"},
	{"first height astray", func(x *text, in *proof.Input) {
		in.Machine.Reach = 100
		x.insert(x.find("", "G0 Z25", 0), "G92 Z1000")
	}, "first-height", "", "G92 Z1000"},
	{"height said of a torch that was not raised", func(x *text, in *proof.Input) {
		in.Machine.Reach, in.Machine.HasTop = 100, true
		x.insert(x.find("", "G0 Z25", 0), "G92 Z100")
	}, "first-height", "", "G92 Z100"},
	{"height taken back before the first touch-off", func(x *text, in *proof.Input) {
		x.insert(x.find("", "G0 Z25", 0), "G92 Z100")
		x.insert(x.find("p1.h1", "G0 X", 0), "G92.1")
	}, "first-height", "", "G92.1"},
	{"tool change that no profile asks for", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "G0 X", 0), "M6 T1") }, "tool-change", "p1.h1", "M6 T1"},
	{"stop with the torch lit", func(x *text, in *proof.Input) { x.insert(x.find("p1.h1", "M5", 0), "M0") }, "lit-stop", "p1.h1", "M0"},
	{"another part of the drawing is meant", func(x *text, in *proof.Input) { kit(in); in.Meant[0].Part = 1 }, "other-part", "p1.outline", "M3"},
	{"the drawing has a hole that the part has not", func(x *text, in *proof.Input) {
		kit(in)
		in.Drawings[0] = append(in.Drawings[0], proof.Line{Loop: geom.Circle(geom.Pt(150-900, 60-40), 4)})
	}, "other-part", "p2.outline", "M3"},
	{"a hole of the part is not in the drawing", func(x *text, in *proof.Input) {
		kit(in)
		in.Drawings[0] = slices.DeleteFunc(in.Drawings[0], func(d proof.Line) bool { return d.Loop.Box().Center().Dist(h2.Sub(geom.Pt(900, 40))) < 1 })
	}, "other-part", "p1.h2", "M3"},
	{"the part that is meant is turned over", func(x *text, in *proof.Input) {
		kit(in)
		for k := range in.Parts {
			in.Parts[k].Place = geom.Move{Mirror: true, Shift: geom.Pt(900-1520, 40)}
		}
	}, "other-part", "p1.h3", "M3"},
	{"touch-off with the torch lit", func(x *text, in *proof.Input) {
		x.drop("p1.h1", "M3", 0)
		x.insert(x.find("p1.h1", "G38.2", 0), "M3")
	}, "lit-probe", "p1.h1", "G38.2"},
}

// kit says that all parts of the good program are the second part of a drawing
// that holds a square beside them.
func kit(in *proof.Input) {
	away := geom.Pt(900, 40)
	lines := []proof.Line{{Loop: geom.Polygon(geom.Pt(-2000, 0), geom.Pt(-1900, 0), geom.Pt(-1900, 100), geom.Pt(-2000, 100))}}
	m := proof.Meant{Part: 2}
	for k, p := range in.Parts {
		in.Parts[k].Place.Shift = away
		m.Parts = append(m.Parts, k)
		for _, f := range p.Features {
			lines = append(lines, proof.Line{Loop: geom.Move{Shift: away.Mul(-1)}.Path(f.Loop)})
		}
	}
	in.Drawings, in.Meant = [][]proof.Line{lines}, []proof.Meant{m}
}

// Without damage the part is found, however its lines are ordered.
func TestPartThatIsMeantIsFoundInItsDrawing(t *testing.T) {
	in := input(good().text())
	kit(&in)
	for range 2 {
		if r := proof.Prove(in); !r.OK || len(r.Findings) > 0 {
			t.Fatal(show(r))
		}
		slices.Reverse(in.Drawings[0])
		in.Meant[0].Part = 1
		in.Drawings[0] = append(in.Drawings[0], proof.Line{Loop: geom.Circle(geom.Pt(-500, -500), 10), Mark: true})
	}
}

// caught returns the finding that a mutant must raise.
func caught(r proof.Result, x *text, code, feature, line string) *proof.Finding {
	from, to := 0, len(x.lines)
	if feature != "" && line != "M30" {
		from, to = x.section(feature)
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Severity == fault.Error && f.Code == code && (f.Feature == feature || feature == "") && f.Line > from && f.Line <= to && strings.HasPrefix(x.lines[f.Line-1], line) {
			return f
		}
	}
	return nil
}

func TestEveryMutantIsCaught(t *testing.T) {
	for _, m := range mutants {
		t.Run(m.name, func(t *testing.T) {
			x := &text{good().lines}
			in := input(nil)
			m.spoil(x, &in)
			in.Text = []byte(strings.Join(x.lines, "\n") + "\n")
			r := proof.Prove(in)
			f := caught(r, x, m.code, m.feature, m.line)
			if r.OK || f == nil {
				t.Fatalf("wanted [%s] for %q in a line %q\n%s", m.code, m.feature, m.line, show(r))
			}
			if f.Text == "" || f.Do == "" {
				t.Errorf("a finding without text or advice: %+v", f)
			}
		})
	}
}
