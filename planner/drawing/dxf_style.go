package drawing

import (
	"math"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// dxfStyle is a style before BYLAYER and BYBLOCK are looked up.
type dxfStyle struct {
	color  int32 // 0xRRGGBB, byLayer or byBlock
	weight int16 // 1/100 mm, byLayer, byBlock, or -3: the default
	line   int16 // into styleTable.lines, byLayer or byBlock
}

// The values that group codes 62 and 370 give these words differ; ours are
// the same for all three fields.
const (
	byLayer = -1
	byBlock = -2
)

// lineType is an LTYPE.
type lineType struct{ dash, center bool }

type styleTable struct {
	all     []dxfStyle
	of      map[dxfStyle]int32
	lines   []lineType
	lineOf  map[string]int16
	layers  map[int32]dxfStyle // by layer
	blended map[[2]int32]int32
}

func (t *styleTable) init() {
	t.of = map[dxfStyle]int32{}
	t.lineOf = map[string]int16{}
	t.layers = map[int32]dxfStyle{}
	t.blended = map[[2]int32]int32{}
	t.index(dxfStyle{byLayer, byLayer, byLayer})
	t.lineType("CONTINUOUS", false)
}

func (t *styleTable) index(s dxfStyle) int32 {
	if i, ok := t.of[s]; ok {
		return i
	}
	if len(t.all) >= defaultLimits.styles {
		return 0
	}
	i := int32(len(t.all))
	t.all = append(t.all, s)
	t.of[s] = i
	return i
}

// lineType returns the index of a line type; declared says that the LTYPE
// table gave it dashes or not, which beats what its name suggests.
func (t *styleTable) lineType(name string, dashed bool) int16 {
	key := foldName(name)
	switch key {
	case "", "BYLAYER":
		return byLayer
	case "BYBLOCK":
		return byBlock
	}
	if i, ok := t.lineOf[key]; ok {
		t.lines[i].dash = t.lines[i].dash || dashed
		return i
	}
	if len(t.lines) >= math.MaxInt16 {
		return 0
	}
	k := lineType{dash: dashed, center: strings.Contains(key, "CENTER") || strings.Contains(key, "CENTRE")}
	for _, w := range []string{"DASH", "HIDDEN", "CENTER", "CENTRE", "PHANTOM", "DOT", "DIVIDE", "BORDER"} {
		if strings.Contains(key, w) {
			k.dash = true
		}
	}
	i := int16(len(t.lines))
	t.lines = append(t.lines, k)
	t.lineOf[key] = i
	return i
}

// blend gives what is BYBLOCK in style s the look of the INSERT's style.
func (t *styleTable) blend(s, of int32) int32 {
	a := t.all[s]
	if a.color != byBlock && a.weight != byBlock && a.line != byBlock {
		return s
	}
	key := [2]int32{s, of}
	if i, ok := t.blended[key]; ok {
		return i
	}
	b := t.all[of]
	if a.color == byBlock {
		a.color = b.color
	}
	if a.weight == byBlock {
		a.weight = b.weight
	}
	if a.line == byBlock {
		a.line = b.line
	}
	i := t.index(a)
	t.blended[key] = i
	return i
}

// resolveStyles replaces every item's style by a finished one.
func (d *dxf) resolveStyles() {
	t, b := &d.styles, d.out
	finish := func(layer, s int32) Style {
		a := t.all[s]
		l, ok := t.layers[layer]
		if !ok {
			l = dxfStyle{color: aciColor(7), weight: -3}
		}
		if a.color < 0 {
			a.color = l.color
		}
		if a.color < 0 {
			a.color = aciColor(7)
		}
		if a.weight == byLayer || a.weight == byBlock {
			a.weight = l.weight
		}
		if a.line < 0 {
			a.line = l.line
		}
		out := Style{Color: uint32(a.color)}
		if a.weight > 0 {
			out.Weight = float32(a.weight) / 100
		}
		if a.line > 0 && int(a.line) < len(t.lines) {
			out.Dash, out.Center = t.lines[a.line].dash, t.lines[a.line].center
		}
		return out
	}
	done := map[[2]int32]int32{}
	for i := range b.raw.items {
		it := &b.raw.items[i]
		key := [2]int32{it.layer, it.style}
		s, ok := done[key]
		if !ok {
			s = b.style(finish(it.layer, it.style))
			done[key] = s
		}
		it.style = s
	}
	for i := range b.raw.Layers {
		b.raw.Layers[i].Style = b.style(finish(int32(i), 0))
	}
}

// tables reads LAYER and LTYPE.
func (d *dxf) tables() {
	table := ""
	for d.next() {
		if d.code != 0 {
			continue
		}
		switch s := string(d.str()); s {
		case "ENDSEC":
			return
		case "EOF", "SECTION":
			d.back()
			return
		case "TABLE":
			if d.next() {
				if d.code == 2 {
					table = string(d.str())
				} else {
					d.back()
				}
			}
		case "LAYER":
			if table == "LAYER" {
				d.layerEntry()
			}
		case "LTYPE":
			if table == "LTYPE" {
				d.ltypeEntry()
			}
		}
	}
}

// ltypeEntry: 2 name, 73 number of dashes.
func (d *dxf) ltypeEntry() {
	name, dashes := "", 0
	for d.next() && d.code != 0 {
		switch d.code {
		case 2:
			name = d.names.decode(d.str())
		case 73:
			dashes = d.whole()
		}
	}
	d.backAtEntity()
	if dashes == 0 && name != "" {
		// A line type that the file itself says has no dashes is continuous,
		// whatever its name.
		key := foldName(name)
		if _, ok := d.styles.lineOf[key]; !ok && key != "BYLAYER" && key != "BYBLOCK" && len(d.styles.lines) < math.MaxInt16 {
			d.styles.lineOf[key] = int16(len(d.styles.lines))
			d.styles.lines = append(d.styles.lines, lineType{})
		}
		return
	}
	d.styles.lineType(name, dashes > 0)
}

// layerEntry: 2 name, 70 flags (1 frozen, 4 locked), 62 colour (below 0:
// off), 420 true colour, 6 line type, 370 line weight, 290 0: not plotted.
func (d *dxf) layerEntry() {
	s := dxfStyle{color: aciColor(7), weight: -3}
	var name []byte
	off, frozen, locked, noPlot, named := false, false, false, false, false
	for d.next() && d.code != 0 {
		switch d.code {
		case 2:
			name, named = d.str(), true
		case 70:
			f := d.whole()
			frozen, locked = f&1 != 0, f&4 != 0
		case 62:
			c := d.whole()
			off = c < 0
			s.color = aciColor(abs(c))
		case 420:
			s.color = int32(d.whole() & 0xffffff)
		case 6:
			s.line = max(0, d.styles.lineType(d.names.decode(d.str()), false))
		case 370:
			s.weight = int16(max(-3, min(1000, d.whole())))
		case 290:
			noPlot = d.whole() == 0
		}
	}
	d.backAtEntity()
	if !named {
		return
	}
	i := d.layer(name)
	l := &d.out.raw.Layers[i]
	l.Found, l.Locked, l.NoPlot = true, locked, noPlot
	switch {
	case frozen:
		l.Hidden, l.Why = true, "frozen"
	case off:
		l.Hidden, l.Why = true, "off"
	}
	if l.Name.Empty() {
		l.Name = plain.Of("0")
	}
	d.styles.layers[i] = s
}

// backAtEntity gives the group 0 that ended an entity to whoever comes next.
func (d *dxf) backAtEntity() {
	if d.code == 0 && !d.stopped {
		d.back()
	}
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// aciColor returns the colour of an index: 1 to 9 are named, 10 to 249 are 24
// hues in ten shades, 250 to 255 are greys (from memory; a test compares with
// ezdxf where that is installed). They are for the eye only.
func aciColor(i int) int32 {
	named := [...]int32{0xffffff, 0xff0000, 0xffff00, 0x00ff00, 0x00ffff, 0x0000ff, 0xff00ff, 0xffffff, 0x808080, 0xc0c0c0}
	greys := [...]int32{0x000000, 0x656565, 0x666666, 0x999999, 0xcccccc, 0xffffff}
	switch {
	case i < 0 || i > 255:
		return named[7]
	case i < 10:
		return named[i]
	case i >= 250:
		return greys[i-250]
	}
	value := [...]float64{1, 0.65, 0.5, 0.3, 0.15}[i%10/2]
	top := math.Floor(255 * value)
	low := 0.0
	if i%2 == 1 {
		low = math.Floor(top / 2)
	}
	h := float64(i/10-1) / 4 // in sixths of the circle
	ch := func(shift float64) int32 {
		k := math.Mod(h+shift, 6)
		f := 0.0
		switch {
		case k < 1:
			f = k
		case k < 3:
			f = 1
		case k < 4:
			f = 4 - k
		}
		return int32(low + f*(top-low))
	}
	return ch(2)<<16 | ch(0)<<8 | ch(4)
}
