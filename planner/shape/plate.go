package shape

import (
	"fmt"
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// rectangle draws a plate with sharp, round or cut corners.
func rectangle(m *maker) {
	w, h := m.v(job.ShapeWidth), m.v(job.ShapeHeight)
	r, c := m.v(job.ShapeCornerRadius), m.v(job.ShapeChamfer)
	if r > 0 && c > 0 {
		m.faults.Errorf(m.at, "shape-fit", "Leave one of them out", "it has both a corner radius and a corner chamfer")
	}
	m.atMost(job.ShapeCornerRadius, min(w, h)/2, "half of the shorter side")
	m.atMost(job.ShapeChamfer, min(w, h)/2, "half of the shorter side")
	at := func(x, y float64) corner { return corner{p: geom.Pt(x, y), radius: r, cut: c} }
	m.draw("outline", outline(at(0, 0), at(w, 0), at(w, h), at(0, h)))
}

// array draws copies in rows and columns about the middle of the plate.
func (m *maker) array(what string, pitchX, pitchY float64, draw func(c geom.Point) geom.Path) {
	nx, ny := m.n(job.ShapeAcross), m.n(job.ShapeUp)
	if nx > 1 && pitchX == 0 {
		m.faults.Errorf(m.at, "shape-value", "Give the distance from one to the next", "pitch across is missing for %d across", nx)
	}
	if ny > 1 && pitchY == 0 {
		m.faults.Errorf(m.at, "shape-value", "Give the distance from one to the next", "pitch up is missing for %d up", ny)
	}
	if nx*ny > maxFeatures {
		m.faults.Errorf(m.at, "limit", "Take rows or columns away", "%d across times %d up is more than %d", nx, ny, maxFeatures)
	}
	if m.faults.Bad() {
		return
	}
	c := geom.Pt(m.v(job.ShapeWidth)/2, m.v(job.ShapeHeight)/2)
	for j := range ny {
		for i := range nx {
			p := c.Add(geom.Pt(pitchX*(float64(i)-float64(nx-1)/2), pitchY*(float64(j)-float64(ny-1)/2)))
			m.draw(fmt.Sprintf("%s %d", what, j*nx+i+1), draw(p))
		}
	}
}

func slotted(m *maker) {
	rectangle(m)
	l, w := m.v(job.ShapeSlotLength), m.v(job.ShapeSlotWidth)
	if l < w {
		m.faults.Errorf(m.at, "shape-fit", "Swap them and turn the slots by 90 degrees", "slot length %s is less than its width %s", m.length(l), m.length(w))
	}
	m.array("slot", m.v(job.ShapePitchX), m.v(job.ShapePitchY), func(c geom.Point) geom.Path {
		return slotPath(c, l, w, m.v(job.ShapeSlotAngle))
	})
}

func grid(m *maker) {
	rectangle(m)
	m.array("hole", m.v(job.ShapePitchX), m.v(job.ShapePitchY), func(c geom.Point) geom.Path {
		return geom.Circle(c, m.v(job.ShapeHoleDiameter)/2)
	})
}

// strip is a bar with a hole near each end, on its middle line.
func strip(m *maker) {
	l, w, d, e := m.v(job.ShapeLength), m.v(job.ShapeWidth), m.v(job.ShapeHoleDiameter), m.v(job.ShapeEnd)
	r := m.v(job.ShapeCornerRadius)
	m.atMost(job.ShapeCornerRadius, min(l, w)/2, "half of the shorter side")
	m.under(job.ShapeHoleDiameter, w, "the width")
	m.over(job.ShapeEnd, d/2, "half of the hole")
	m.under(job.ShapeEnd, (l-d)/2, "or the two holes meet")
	m.draw("outline", outline(round(0, 0, r), round(l, 0, r), round(l, w, r), round(0, w, r)))
	m.draw("hole 1", geom.Circle(geom.Pt(e, w/2), d/2))
	m.draw("hole 2", geom.Circle(geom.Pt(l-e, w/2), d/2))
}

func disc(m *maker) {
	r := m.v(job.ShapeDiameter) / 2
	m.draw("outline", geom.Circle(geom.Pt(r, r), r))
}

func ring(m *maker) {
	m.under(job.ShapeBore, m.v(job.ShapeDiameter), "the outside diameter")
	disc(m)
	m.bore(m.v(job.ShapeDiameter) / 2)
}

// bore draws the hole in the middle, if there is one.
func (m *maker) bore(r float64) {
	if d := m.v(job.ShapeBore); d > 0 {
		m.draw("bore", geom.Circle(geom.Pt(r, r), d/2))
	}
}

// flange is a disc with a bore and holes on a circle, the first at an angle
// from the X axis, counter-clockwise.
func flange(m *maker) {
	d, bore, pcd, hole := m.v(job.ShapeDiameter), m.v(job.ShapeBore), m.v(job.ShapeBoltCircle), m.v(job.ShapeBoltHole)
	n := m.n(job.ShapeBoltCount)
	m.under(job.ShapeBore, d, "the outside diameter")
	m.under(job.ShapeBoltCircle, d-hole, "the outside diameter less a bolt hole")
	m.over(job.ShapeBoltCircle, bore+hole, "the bore and a bolt hole")
	if n > 1 {
		// Neighbours lie D sin(180/n) apart.
		m.under(job.ShapeBoltHole, pcd*math.Sin(math.Pi/float64(n)), "the distance between neighbours")
	}
	disc(m)
	m.bore(d / 2)
	for i := range n {
		a := m.v(job.ShapeBoltAngle) + 2*math.Pi*float64(i)/float64(n)
		m.draw(fmt.Sprintf("bolt hole %d", i+1), geom.Circle(geom.Polar(geom.Pt(d/2, d/2), pcd/2, a), hole/2))
	}
}

// polygon is a regular one, a side at the bottom.
func polygon(m *maker) {
	n, r := m.n(job.ShapeSides), m.v(job.ShapeFlats)/2
	m.under(job.ShapeBore, 2*r, "the inscribed circle")
	around := r / math.Cos(math.Pi/float64(n)) // radius through the corners
	var c []corner
	box := geom.EmptyBox()
	for i := range n {
		p := geom.Polar(geom.Point{}, around, -math.Pi/2+math.Pi*float64(2*i+1)/float64(n))
		c = append(c, corner{p: p})
		box = box.Add(p)
	}
	for i := range c {
		c[i].p = c[i].p.Sub(box.Min)
	}
	m.draw("outline", outline(c...))
	if d := m.v(job.ShapeBore); d > 0 {
		m.draw("bore", geom.Circle(box.Min.Mul(-1), d/2))
	}
}
