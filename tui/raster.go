package tui

import (
	"math"

	"example.org/kerfwright/planner/geom"
)

// raster is a field of dots, two across and four down in each cell of the
// screen, as braille has them. A cell knows the uppermost mark in it and the
// directions that pass it, for drawing sets without braille.
type raster struct {
	w, h int // cells
	cell []rasterCell
	// Dots from mm: x right, y down, in dots.
	k      float64 // dots in one mm
	ox, oy float64 // mm at the lower left

	lines *int // straight pieces drawn so far, also on copies: what a frame costs
}

type rasterCell struct {
	dots uint8
	mark mark
	dirs uint8
}

// Directions of a line in a cell.
const (
	dirFlat uint8 = 1 << iota
	dirSteep
	dirUp
	dirDown
)

// newRaster shows the box in w by h cells, magnified about the centre.
func newRaster(w, h int, box geom.Box, zoom float64, center geom.Point) *raster {
	r := &raster{w: w, h: h, cell: make([]rasterCell, w*h), lines: new(int)}
	// Half a dot stays free on each side, so that edges fall into the outermost
	// dots and no rounding puts them outside.
	dw, dh := float64(2*w-1), float64(4*h-1)
	bw, bh := box.Width(), box.Height()
	switch {
	case bw <= geom.Same && bh <= geom.Same: // a point
		r.k = 1
	case bw*dh >= bh*dw:
		r.k = dw / bw
	default:
		r.k = dh / bh
	}
	r.k *= zoom
	r.ox = center.X - float64(2*w)/2/r.k
	r.oy = center.Y - float64(4*h)/2/r.k
	return r
}

func (r *raster) clone() *raster {
	c := *r
	c.cell = append([]rasterCell(nil), r.cell...)
	return &c
}

// dot returns where a point lies, in dots from the upper left.
func (r *raster) dot(p geom.Point) (x, y float64) {
	return (p.X - r.ox) * r.k, float64(4*r.h) - (p.Y-r.oy)*r.k
}

// at returns the cell of a point; ok is false outside the field.
func (r *raster) at(p geom.Point) (cx, cy int, ok bool) {
	x, y := r.dot(p)
	cx, cy = int(math.Floor(x/2)), int(math.Floor(y/4))
	return cx, cy, cx >= 0 && cx < r.w && cy >= 0 && cy < r.h
}

// view is the box of the plane that is seen.
func (r *raster) view() geom.Box {
	return geom.Box{Min: geom.Pt(r.ox, r.oy), Max: geom.Pt(r.ox+float64(2*r.w)/r.k, r.oy+float64(4*r.h)/r.k)}
}

// braille is the bit of a dot by column and row (Unicode, Braille Patterns).
var braille = [2][4]uint8{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

func (r *raster) plot(x, y int, k mark, dir uint8) {
	if x < 0 || y < 0 || x >= 2*r.w || y >= 4*r.h {
		return
	}
	c := &r.cell[y/4*r.w+x/2]
	c.dots |= braille[x&1][y&3]
	if k > c.mark || c.dirs == 0 {
		c.mark = k
	}
	c.dirs |= dir
}

// draw puts a stroke on the field.
func (r *raster) draw(s *stroke, k mark) {
	if !s.box.Overlaps(r.view()) {
		return
	}
	if k != markAimed && k != markDone && s.box.Width()*r.k < 1 && s.box.Height()*r.k < 1 { // smaller than a dot
		x, y := r.dot(s.box.Center())
		r.plot(int(x), int(y), k, dirFlat)
		return
	}
	phase := 0
	tol := 0.3 / r.k // mm: a third of a dot
	for i := range s.path.NumSegs() {
		seg := s.path.Seg(i)
		n := geom.ArcSteps(seg, tol)
		a := seg.A
		for step := 1; step <= n; step++ {
			b := seg.B
			if step < n {
				b = seg.At(float64(step) / float64(n))
			}
			phase = r.line(a, b, k, phase)
			a = b
		}
	}
}

// line draws a straight piece. Rapids are dashed; phase carries the dash on.
func (r *raster) line(a, b geom.Point, k mark, phase int) int {
	*r.lines++
	x0, y0 := r.dot(a)
	x1, y1 := r.dot(b)
	t0, t1, ok := clip(x0, y0, x1, y1, float64(2*r.w), float64(4*r.h))
	if !ok {
		return phase
	}
	dx, dy := x1-x0, y1-y0
	x0, y0, dx, dy = x0+t0*dx, y0+t0*dy, (t1-t0)*dx, (t1-t0)*dy
	// Half a dot at a time: with whole ones rounding would leave gaps.
	n := int(math.Ceil(2 * max(math.Abs(dx), math.Abs(dy))))
	dir := direction(dx/2, dy/4)
	for i := 0; i <= n; i++ {
		t := 0.0
		if n > 0 {
			t = float64(i) / float64(n)
		}
		x, y := int(math.Floor(x0+t*dx)), int(math.Floor(y0+t*dy))
		phase++
		if k == markRapid && phase%8 > 3 {
			continue
		}
		r.plot(x, y, k, dir)
		if k == markAimed || k == markDone || k == markOpen { // twice as thick, for screens without colour
			r.plot(x+1, y, k, dir)
			r.plot(x, y+1, k, dir)
		}
	}
	return phase
}

func direction(dx, dy float64) uint8 {
	ax, ay := math.Abs(dx), math.Abs(dy)
	switch {
	case ay <= 0.5*ax:
		return dirFlat
	case ax <= 0.5*ay:
		return dirSteep
	case dx*dy < 0:
		return dirUp
	}
	return dirDown
}

// clip returns the part of the line from (x0,y0) to (x1,y1) that lies in the
// field (Liang and Barsky 1984).
func clip(x0, y0, x1, y1, w, h float64) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	dx, dy := x1-x0, y1-y0
	for _, e := range [4][2]float64{{-dx, x0}, {dx, w - x0}, {-dy, y0}, {dy, h - y0}} {
		p, q := e[0], e[1]
		switch {
		case p == 0:
			if q < 0 {
				return 0, 0, false
			}
		case p < 0:
			t0 = max(t0, q/p)
		default:
			t1 = min(t1, q/p)
		}
	}
	return t0, t1, t0 <= t1
}

// picture is how the dots of a cell are drawn.
type picture uint8

const (
	pictureAuto   picture = iota // braille, or ASCII where the drawing set is
	pictureBlocks                // quarter blocks, for fonts without braille
	pictureASCII                 // signs by the direction of the line
	pictures
	pictureBraille = pictureAuto
)

// sign is what stands in a cell.
func (c rasterCell) sign(p picture) rune {
	if c.dots == 0 {
		return ' '
	}
	ascii := p == pictureASCII
	switch {
	case c.mark == markHold && ascii:
		return '~'
	case c.mark == markHold:
		return '≈'
	case p == pictureBlocks:
		return c.block()
	case !ascii:
		return rune(0x2800 + int(c.dots))
	}
	switch c.mark {
	case markAimed, markDone:
		return '#'
	case markOpen:
		return '!'
	case markLead:
		return '*'
	case markRapid, markLoose:
		return '.'
	case markTrace:
		return 'o'
	case markShared:
		return '='
	}
	switch c.dirs {
	case dirFlat:
		return '-'
	case dirSteep:
		return '|'
	case dirUp:
		return '/'
	case dirDown:
		return '\\'
	}
	return '+'
}

// block draws a cell with quarters: each stands for two by one dots of two.
// (Unicode, Block Elements.)
func (c rasterCell) block() rune {
	if c.mark == markLoose {
		return '░'
	}
	q := 0
	for i, mask := range [4]uint8{0x01 | 0x02, 0x08 | 0x10, 0x04 | 0x40, 0x20 | 0x80} { // upper left and right, lower left and right
		if c.dots&mask != 0 {
			q |= 1 << i
		}
	}
	return []rune(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")[q]
}
