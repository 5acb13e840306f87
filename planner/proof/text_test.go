package proof_test

import (
	"slices"
	"strings"

	"example.org/kerfwright/planner/geom"
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
