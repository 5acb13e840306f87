package proof_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/proof"
)

// text is a program under the knife.
type text struct{ lines []string }

// section returns the lines [from, to) that belong to a feature.
func (x *text) section(id string) (from, to int) {
	from = slices.Index(x.lines, "("+id+")")
	if from < 0 {
		return 0, len(x.lines)
	}
	to = from + 1
	for to < len(x.lines) && !strings.HasPrefix(x.lines[to], "(p") && x.lines[to] != "G0 X0 Y0" {
		to++
	}
	return
}

// find returns the nth line (from 0) of a feature's section that begins so.
func (x *text) find(id, prefix string, nth int) int {
	from, to := x.section(id)
	for i := from; i < to; i++ {
		if strings.HasPrefix(x.lines[i], prefix) {
			if nth == 0 {
				return i
			}
			nth--
		}
	}
	panic("no line " + prefix + " in " + id)
}

func (x *text) set(id, prefix string, nth int, line string) { x.lines[x.find(id, prefix, nth)] = line }

func (x *text) sub(id, prefix string, nth int, old, new string) {
	i := x.find(id, prefix, nth)
	if !strings.Contains(x.lines[i], old) {
		panic(x.lines[i] + " has no " + old)
	}
	x.lines[i] = strings.Replace(x.lines[i], old, new, 1)
}

func (x *text) drop(id, prefix string, nth int) {
	i := x.find(id, prefix, nth)
	x.lines = slices.Delete(x.lines, i, i+1)
}

func (x *text) insert(at int, lines ...string) { x.lines = slices.Insert(x.lines, at, lines...) }

// cuttingOf returns one cut of the good program, to be spoiled.
func cuttingOf(id string) cutting {
	for _, c := range cuttings() {
		if c.id == id {
			return c
		}
	}
	panic(id)
}

// replace writes a feature's section anew from another cutting.
func (x *text) replace(id string, c cutting) {
	from, to := x.section(id)
	w := &writer{k: 1, dec: 4}
	c.id = id
	w.cut(c)
	x.lines = slices.Replace(x.lines, from, to, w.lines...)
}

func moved(c cutting, d geom.Point) cutting {
	c.pierce = c.pierce.Add(d)
	c.way = slices.Clone(c.way)
	for i := range c.way {
		c.way[i].to, c.way[i].centre = c.way[i].to.Add(d), c.way[i].centre.Add(d)
	}
	return c
}

// reversed runs a closed cut the other way round, lead first.
func reversed(c cutting) cutting {
	ring := c.way[1:]
	ends := []geom.Point{c.way[0].to}
	for _, s := range ring {
		ends = append(ends, s.to)
	}
	out := c
	out.way = []step{c.way[0]}
	for i := len(ring) - 1; i >= 0; i-- {
		out.way = append(out.way, step{ends[i], ring[i].centre, -ring[i].turn})
	}
	return out
}

// swapped puts the first section where the second is and the other way round.
func (x *text) swapped(a, b string) {
	af, at := x.section(a)
	bf, bt := x.section(b)
	if af > bf {
		af, at, bf, bt = bf, bt, af, at
	}
	var out []string
	out = append(out, x.lines[:af]...)
	out = append(out, x.lines[bf:bt]...)
	out = append(out, x.lines[at:bf]...)
	out = append(out, x.lines[af:at]...)
	out = append(out, x.lines[bt:]...)
	x.lines = out
}

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

var dryMutants = []struct {
	name  string
	spoil func(x *text)
	code  string
}{
	{"torch lit", func(x *text) { x.insert(x.find("p1.h1", "G1 X", 0), "M3") }, "dry-lit"},
	{"low", func(x *text) { x.insert(x.find("p1.h1", "G1 X", 0), "G0 Z3") }, "low-travel"},
	{"no rectangle", func(x *text) { i := x.find("", "G1 X", 0); x.lines = slices.Delete(x.lines, i-1, i+4) }, "dry-trace"},
	{"rectangle of half the job", func(x *text) {
		x.sub("", "G1 X", 0, "240.7500", "140")
	}, "dry-trace"},
	{"rectangle far too large", func(x *text) {
		x.sub("", "G0 X", 0, "X39.2500", "X10")
		x.sub("", "G1 X", 1, "X39.2500", "X10")
	}, "dry-trace"},
	{"hold line missing", func(x *text) { x.drop("p1.h3", "(height hold on)", 0) }, "hold-missing"},
	{"another path", func(x *text) { x.sub("p1.c1", "G1 X", 2, "Y", "Y1") }, "uncut"},
	{"touch-off without Z set", func(x *text) { x.drop("", "G92", 0) }, "touch-off-zero"},
	{"sensor offset left out", func(x *text) { x.sub("", "G92", 0, "-1.2000", "0") }, "touch-off-zero"},
	{"not raised after the touch-off", func(x *text) { x.drop("", "G0 Z25", 1) }, "low-travel"},
	{"raised a little after the touch-off", func(x *text) { x.sub("", "G0 Z25", 1, "25", "12") }, "low-travel"},
	{"touch-off off the plate", func(x *text) { x.insert(x.find("", "G38.2", 0), "G0 X-5 Y34") }, "touch-off-void"},
	{"touch-off to the side", func(x *text) { x.sub("", "G38.2", 0, "Z-15", "X41 Z-15") }, "touch-off"},
	{"touch-off too fast", func(x *text) { x.sub("", "G38.2", 0, "500", "900") }, "probe-feed"},
	{"a cut missing", func(x *text) { f, e := x.section("p1.h2"); x.lines = slices.Delete(x.lines, f, e) }, "not-cut"},
	{"other direction", func(x *text) { x.sub("p1.h1", "G3 X", 0, "G3", "G2"); x.sub("p1.h1", "G3 X", 0, "G3", "G2") }, "direction"},
}

func TestDryRunWithoutAnyTouchOffIsWarnedOf(t *testing.T) {
	x := &text{goodDry().lines}
	x.drop("", "G38.2", 0)
	x.drop("", "G92", 0)
	in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
	in.Dry = true
	r := proof.Prove(in)
	if !r.OK || len(r.Findings) != 1 || r.Findings[0].Code != "dry-height" || r.Findings[0].Feature != "p1.h1" || r.Findings[0].Line == 0 {
		t.Error(show(r))
	}
}

// The dry run of a program that goes on finds the plate as the earlier one
// left it.
func TestDryTouchOffOverAnEarlierProgramsKerfIsCaught(t *testing.T) {
	whole := &text{good().lines}
	for _, at := range []struct {
		place string
		ok    bool
	}{{"G0 X69.25 Y60", false}, {"G0 X80 Y60", true}} {
		x := &text{goodDry().lines}
		from, to := x.section("p1.h1")
		x.lines = slices.Delete(x.lines, from, to)
		x.insert(x.find("", "G38.2", 0), at.place)
		in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
		in.Dry = true
		line, _ := whole.section("p1.h2")
		in.Done = &proof.Done{Text: good().text(), Line: line + 1}
		r := proof.Prove(in)
		found := slices.ContainsFunc(r.Findings, func(f proof.Finding) bool {
			return f.Code == "touch-off-void" && f.Line == x.find("", "G38.2", 0)+1 && strings.Contains(f.Text, "p1.h1")
		})
		if found == at.ok || r.OK != at.ok {
			t.Errorf("%s: %s", at.place, show(r))
		}
	}
}

func TestTravelHeightPastASlugIsEnough(t *testing.T) {
	x := &text{good().lines}
	x.sub("p1.h1", "G0 Z25", 0, "25", "12") // the hole ends on its right, the next lies to the right
	if r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n"))); !r.OK {
		t.Error(show(r))
	}
}

func TestEveryMutantOfTheDryRunIsCaught(t *testing.T) {
	for _, m := range dryMutants {
		t.Run(m.name, func(t *testing.T) {
			x := &text{goodDry().lines}
			m.spoil(x)
			in := input([]byte(strings.Join(x.lines, "\n") + "\n"))
			in.Dry = true
			r := proof.Prove(in)
			for _, f := range r.Findings {
				if f.Code == m.code && f.Severity == fault.Error && f.Line > 0 && !r.OK {
					return
				}
			}
			t.Errorf("wanted [%s]\n%s", m.code, show(r))
		})
	}
}

// A file cut short anywhere is no program.
func TestTruncatedFileIsCaughtWhereverItEnds(t *testing.T) {
	text := good().text()
	for n := range len(text) - len("M30\n") + 1 {
		r := proof.Prove(input(text[:n]))
		missing := false
		for _, f := range r.Findings {
			missing = missing || f.Code == "no-end" || f.Code == "not-cut"
		}
		if r.OK || !missing {
			t.Fatalf("cut short after %d bytes: %s", n, show(r))
		}
	}
}

// Any line left out is caught, or does no harm, and the list below says why.
func TestLinesLeftOutAreCaught(t *testing.T) {
	// Comments; words in force anyway; a lift that the next one repeats; an
	// overburn; the point at which a side that goes on straight closes.
	harmless := []string{"(p", "(gate", "G0 X0 Y0", "G0 Z12", "G3 X68.3985", "G3 X228.3985", "G3 X61.0839", "G1 X140.0000 Y80.7500$", "G1 X144.0000 Y80.7500"}
	lines := good().lines
	for i, l := range lines {
		x := &text{slices.Delete(slices.Clone(lines), i, i+1)}
		r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
		want := i == slices.Index(lines, "M5") || slices.ContainsFunc(harmless, func(h string) bool { return strings.HasPrefix(l+"$", h) })
		if r.OK != want {
			t.Errorf("without line %d %q: wanted ok = %v: %s", i+1, l, want, show(r))
		}
	}
}

// along lays points along a cut, lead included, no further apart than gap.
func along(c cutting, gap float64) []geom.Point {
	out := []geom.Point{c.pierce}
	at := c.pierce
	for _, s := range c.way {
		if s.turn == 0 {
			n := int(math.Hypot(s.to.X-at.X, s.to.Y-at.Y)/gap) + 1
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				out = append(out, geom.Pt(at.X+t*(s.to.X-at.X), at.Y+t*(s.to.Y-at.Y)))
			}
		} else {
			r := math.Hypot(at.X-s.centre.X, at.Y-s.centre.Y)
			a0 := math.Atan2(at.Y-s.centre.Y, at.X-s.centre.X)
			a1 := math.Atan2(s.to.Y-s.centre.Y, s.to.X-s.centre.X)
			for s.turn > 0 && a1 <= a0 {
				a1 += 2 * math.Pi
			}
			for s.turn < 0 && a1 >= a0 {
				a1 -= 2 * math.Pi
			}
			n := int(math.Abs(a1-a0)*r/gap) + 1
			for i := 1; i <= n; i++ {
				a := a0 + (a1-a0)*float64(i)/float64(n)
				out = append(out, geom.Pt(s.centre.X+r*math.Cos(a), s.centre.Y+r*math.Sin(a)))
			}
		}
		at = s.to
	}
	return out
}

func least(q geom.Point, pts []geom.Point) float64 {
	d := math.Inf(1)
	for _, p := range pts {
		d = min(d, (p.X-q.X)*(p.X-q.X)+(p.Y-q.Y)*(p.Y-q.Y))
	}
	return math.Sqrt(d)
}

// Numbers of lit lines, moved by 0.05 mm and more: whatever a plain sampling
// of the kerf says gouges a part or leaves an edge, the proof must see too.
func TestNudgedNumbersAreCaught(t *testing.T) {
	const gap = 0.03
	edges := map[string][]geom.Point{}
	for _, p := range parts() {
		for _, f := range p.Features {
			if f.Rule != "drill" {
				loop := f.Loop.Flatten(1e-5)
				for i, a := range loop {
					b := loop[(i+1)%len(loop)]
					n := int(a.Dist(b)/gap) + 1
					for k := range n {
						edges[f.ID] = append(edges[f.ID], a.Lerp(b, float64(k)/float64(n)))
					}
				}
			}
		}
	}
	rng := rand.New(rand.NewPCG(1, 2))
	// Small features, so that a plain sampling does not take for ever.
	targets := []string{"p1.h1", "p1.h3", "p2.outline"}
	harmful, quiet, seen := 0, 0, 0
	for round := range 90 {
		id := targets[round%len(targets)]
		c := cuttingOf(id)
		was := along(c, gap)
		c.way = slices.Clone(c.way)
		k := rng.IntN(len(c.way))
		d := (0.05 + 0.3*rng.Float64()*rng.Float64()) * float64(1-2*rng.IntN(2))
		whole := rng.IntN(3) == 0
		switch {
		case whole && rng.IntN(2) == 0:
			c = moved(c, geom.Pt(d, 0))
		case whole:
			c = moved(c, geom.Pt(0, d))
		case rng.IntN(2) == 0:
			c.way[k].to.X += d
		default:
			c.way[k].to.Y += d
		}
		x := &text{good().lines}
		x.replace(id, c)
		r := proof.Prove(input([]byte(strings.Join(x.lines, "\n") + "\n")))
		now := along(c, gap)
		bad := ""
		// Half a step of sampling is worth 0.0002 mm beside a kerf of 1.5.
		const clear = 0.021
		for other, e := range edges {
			if other != id && len(e) > 2000 {
				continue
			}
			for _, q := range e {
				n := least(q, now)
				if n < kerf/2-clear {
					bad = fmt.Sprintf("gouges %s by %.3f", other, kerf/2-n)
				}
				if other == id && n > kerf/2+clear && least(q, was) < kerf/2+0.001 {
					bad = fmt.Sprintf("leaves %.3f of %s", n-kerf/2, id)
				}
			}
			if bad != "" {
				break
			}
		}
		switch {
		case bad != "" && r.OK:
			t.Errorf("%s, step %d by %.3f: %s, not seen: %s", id, k, d, bad, show(r))
		case bad != "":
			harmful++
			named := false
			from, to := x.section(id)
			for _, f := range r.Findings {
				named = named || f.Feature == id && f.Line > from && f.Line <= to
			}
			if !named {
				t.Errorf("%s, step %d by %.3f: no finding names feature and line: %s", id, k, d, show(r))
			}
		case r.OK:
			quiet++
		default:
			seen++ // such as an arc whose radii no longer agree
		}
	}
	t.Logf("%d harmful, all caught; %d more caught; %d without harm", harmful, seen, quiet)
	if harmful < 45 {
		t.Errorf("only %d of 90 nudges do harm", harmful)
	}
}
