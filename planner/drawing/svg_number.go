package drawing

import (
	"math"
	"strconv"
	"strings"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/unit"
)

// pxPerInch is CSS's fixed ratio: 1in = 96px (CSS Values and Units, section
// on absolute lengths; SVG 2 takes its units from there).
const pxPerInch = 96

// svgScan reads numbers from attribute text.
type svgScan struct {
	s string
	i int
}

func isSVGSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' }

func (c *svgScan) space() {
	for c.i < len(c.s) && isSVGSpace(c.s[c.i]) {
		c.i++
	}
}

// comma skips blanks and one comma.
func (c *svgScan) comma() {
	c.space()
	if c.i < len(c.s) && c.s[c.i] == ',' {
		c.i++
		c.space()
	}
}

func (c *svgScan) more() bool { c.space(); return c.i < len(c.s) }

// number reads one number by the grammar of SVG: the longest run of sign,
// digits with at most one point, and an exponent.
func (c *svgScan) number() (float64, bool) {
	c.space()
	s, i := c.s, c.i
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
		digits++
	}
	if i < len(s) && s[i] == '.' {
		i++
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
			digits++
		}
	}
	if digits == 0 {
		return 0, false
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		k := i + 1
		if k < len(s) && (s[k] == '+' || s[k] == '-') {
			k++
		}
		if k < len(s) && s[k] >= '0' && s[k] <= '9' {
			for k < len(s) && s[k] >= '0' && s[k] <= '9' {
				k++
			}
			i = k
		}
	}
	v, err := strconv.ParseFloat(s[c.i:i], 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, false
	}
	c.i = i
	return v, true
}

// numbers reads up to most numbers.
func (c *svgScan) numbers(most int) []float64 {
	var out []float64
	for len(out) < most {
		v, ok := c.number()
		if !ok {
			break
		}
		out = append(out, v)
		c.comma()
	}
	return out
}

// svgLength is a length as written: a number and its unit.
type svgLength struct {
	v    float64
	unit string // lower case, "" for user units
}

func parseSVGLength(s string) (svgLength, bool) {
	c := svgScan{s: s}
	v, ok := c.number()
	if !ok {
		return svgLength{}, false
	}
	u := strings.ToLower(strings.TrimSpace(s[c.i:]))
	switch u {
	case "", "px", "pt", "pc", "in", "cm", "mm", "q", "em", "ex", "rem", "ch", "%", "vw", "vh", "vmin", "vmax":
		return svgLength{v, u}, true
	}
	return svgLength{}, false
}

// svgInches returns inches in one unit, 0 for units that are not physical.
func svgInches(u string) float64 {
	switch u {
	case "in":
		return 1
	case "mm":
		return 1 / unit.MMPerInch
	case "cm":
		return 10 / unit.MMPerInch
	case "q":
		return 0.25 / unit.MMPerInch
	case "pt":
		return 1.0 / 72
	case "pc":
		return 1.0 / 6
	}
	return 0
}

// px returns the length in px; size is what per cent are of, font the size of em.
func (l svgLength) px(size, font float64) float64 {
	if in := svgInches(l.unit); in > 0 {
		return l.v * in * pxPerInch
	}
	switch l.unit {
	case "em", "rem":
		return l.v * font
	case "ex", "ch": // half an em where the font is not known (CSS Values and Units)
		return l.v * font / 2
	case "%", "vw", "vh", "vmin", "vmax":
		return l.v * size / 100
	}
	return l.v
}

// svgBox is a viewBox.
type svgBox struct{ x, y, w, h float64 }

func parseViewBox(s string) (svgBox, bool) {
	c := svgScan{s: s}
	v := c.numbers(4)
	if len(v) < 4 || c.more() || !(v[2] > 0) || !(v[3] > 0) {
		return svgBox{}, false
	}
	return svgBox{v[0], v[1], v[2], v[3]}, true
}

// svgAspect is a preserveAspectRatio: which part of the room that is left over
// lies before the drawing, and how it is fitted.
type svgAspect struct {
	x, y        float64
	none, slice bool
}

func parseAspect(s string) svgAspect {
	a := svgAspect{x: 0.5, y: 0.5}
	f := strings.Fields(s)
	if len(f) > 0 && f[0] == "defer" {
		f = f[1:]
	}
	if len(f) == 0 {
		return a
	}
	a.slice = len(f) > 1 && f[1] == "slice"
	part := map[string]float64{"Min": 0, "Mid": 0.5, "Max": 1}
	switch w := f[0]; {
	case w == "none":
		a.none = true
	case len(w) == 8 && w[0] == 'x' && w[4] == 'Y':
		px, okX := part[w[1:4]]
		py, okY := part[w[5:]]
		if okX && okY {
			a.x, a.y = px, py
		}
	}
	return a
}

// viewMap maps the user units of a viewBox into a viewport (SVG 2, 8.2).
func viewMap(x, y, w, h float64, box svgBox, a svgAspect) affine {
	sx, sy := w/box.w, h/box.h
	if !a.none {
		if a.slice {
			sx = max(sx, sy)
		} else {
			sx = min(sx, sy)
		}
		sy = sx
	}
	return affine{sx, 0, 0, sy,
		x - box.x*sx + a.x*(w-box.w*sx),
		y - box.y*sy + a.y*(h-box.h*sy)}
}

// parseTransform reads a transform list. ok is false if it has a part that
// cannot be read; then the element is not drawn (SVG 2, error processing).
func parseTransform(s string) (m affine, ok bool) {
	m = identity
	c := svgScan{s: s}
	for c.more() {
		open := strings.IndexByte(c.s[c.i:], '(')
		if open < 0 {
			return m, strings.TrimSpace(c.s[c.i:]) == "none"
		}
		name := strings.TrimSpace(c.s[c.i : c.i+open])
		end := strings.IndexByte(c.s[c.i+open:], ')')
		if end < 0 {
			return m, false
		}
		n, ok := oneTransform(name, c.s[c.i+open+1:c.i+open+end])
		if !ok || !n.finite() {
			return m, false
		}
		m = m.after(n)
		c.i += open + end + 1
		c.comma()
	}
	return m, m.finite()
}

// oneTransform reads the arguments of one function. Those of CSS may have
// units: deg, rad, grad and turn for angles, absolute ones for lengths.
func oneTransform(name, args string) (affine, bool) {
	c := svgScan{s: args}
	var v []float64
	for c.more() {
		x, ok := c.number()
		if !ok || len(v) == 6 {
			return identity, false
		}
		k := c.i
		for k < len(args) && (args[k] >= 'a' && args[k] <= 'z' || args[k] >= 'A' && args[k] <= 'Z' || args[k] == '%') {
			k++
		}
		if x, ok = withUnit(x, strings.ToLower(args[c.i:k])); !ok {
			return identity, false
		}
		c.i = k
		v = append(v, x)
		c.comma()
	}
	at := func(i int) float64 {
		if i < len(v) {
			return v[i]
		}
		return 0
	}
	n := len(v)
	switch strings.ToLower(name) {
	case "matrix":
		return affine{at(0), at(1), at(2), at(3), at(4), at(5)}, n == 6
	case "translate":
		return translation(geom.Pt(at(0), at(1))), n == 1 || n == 2
	case "translatex":
		return translation(geom.Pt(at(0), 0)), n == 1
	case "translatey":
		return translation(geom.Pt(0, at(0))), n == 1
	case "scale":
		if n == 1 {
			return scaling(v[0], v[0]), true
		}
		return scaling(at(0), at(1)), n == 2
	case "scalex":
		return scaling(at(0), 1), n == 1
	case "scaley":
		return scaling(1, at(0)), n == 1
	case "rotate":
		if n == 3 {
			p := geom.Pt(v[1], v[2])
			return translation(p).after(rotation(v[0])).after(translation(p.Mul(-1))), true
		}
		return rotation(at(0)), n == 1
	case "skewx":
		return affine{1, 0, math.Tan(at(0) * math.Pi / 180), 1, 0, 0}, n == 1
	case "skewy":
		return affine{1, math.Tan(at(0) * math.Pi / 180), 0, 1, 0, 0}, n == 1
	}
	return identity, false
}

// withUnit returns an angle in degrees or a length in px.
func withUnit(v float64, u string) (float64, bool) {
	switch u {
	case "", "px", "deg":
		return v, true
	case "rad":
		return v * 180 / math.Pi, true
	case "grad":
		return v * 0.9, true
	case "turn":
		return v * 360, true
	}
	if in := svgInches(u); in > 0 {
		return v * in * pxPerInch, true
	}
	return 0, false
}
