package shape

import (
	"math"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// gusset is a right-angled triangle. Its right angle can be cut off, so that
// it clears a weld, and its two toes made blunt, so that the arc does not melt
// them away.
func gusset(m *maker) {
	w, h := m.v(job.ShapeWidth), m.v(job.ShapeHeight)
	cut, toe := m.v(job.ShapeCornerCut), m.v(job.ShapeToe)
	if cut > 0 || toe > 0 {
		m.under(job.ShapeCornerCut, min(w, h)-toe, "the shorter leg less a toe")
		m.under(job.ShapeToe, min(w, h)-cut, "the shorter leg less the cut")
	}
	c := []corner{{p: geom.Pt(0, 0), cut: cut}, sharp(w, 0)}
	if toe > 0 {
		c = append(c, sharp(w, toe), sharp(toe, h))
	}
	m.draw("outline", outline(append(c, sharp(0, h))...))
}

// lPlate is a flat L: a foot along X and an upright along Y.
func lPlate(m *maker) {
	w, h, arm, foot, r := m.v(job.ShapeWidth), m.v(job.ShapeHeight), m.v(job.ShapeArm), m.v(job.ShapeFoot), m.v(job.ShapeInsideRadius)
	m.under(job.ShapeArm, w, "the width overall")
	m.under(job.ShapeFoot, h, "the height overall")
	m.atMost(job.ShapeInsideRadius, min(w-arm, h-foot), "the shorter inside edge")
	m.draw("outline", outline(sharp(0, 0), sharp(w, 0), sharp(w, foot), round(arm, foot, r), sharp(arm, h), sharp(0, h)))
}

// uPlate is a flat U: a foot along X with an upright at each end.
func uPlate(m *maker) {
	w, h, arm, foot, r := m.v(job.ShapeWidth), m.v(job.ShapeHeight), m.v(job.ShapeArm), m.v(job.ShapeFoot), m.v(job.ShapeInsideRadius)
	m.under(job.ShapeArm, w/2, "half of the width overall")
	m.under(job.ShapeFoot, h, "the height overall")
	m.atMost(job.ShapeInsideRadius, min((w-2*arm)/2, h-foot), "half of the gap between the uprights, and their inside height")
	m.draw("outline", outline(sharp(0, 0), sharp(w, 0), sharp(w, h), sharp(w-arm, h), round(w-arm, foot, r), round(arm, foot, r), sharp(arm, h), sharp(0, h)))
}

// markInset keeps fold marks off the edge, mm; common practice, no source.
const markInset = 2.0

// fold is what a fold of 90 degrees takes: setback from the outside corner to
// where the bend begins, radius + thickness, and the length of the neutral
// line in it, pi/2 (radius + k thickness). Bend allowance as handbooks of sheet
// metal give it (from memory).
func (m *maker) fold() (setback, allowance float64) {
	t, r := m.v(job.ShapeFoldStock), m.v(job.ShapeFoldRadius)
	setback = r + t
	allowance = math.Pi / 2 * (r + m.v(job.ShapeNeutral)*t)
	m.over(job.ShapeLegA, setback, "the inside radius and the thickness")
	m.over(job.ShapeLegB, setback, "the inside radius and the thickness")
	return setback, allowance
}

// blank draws a flat blank with the middles of its folds.
func (m *maker) blank(length float64, folds ...float64) {
	w := m.v(job.ShapeWidth)
	m.draw("outline", outline(sharp(0, 0), sharp(length, 0), sharp(length, w), sharp(0, w)))
	if m.n(job.ShapeFoldMarks) == 0 {
		return
	}
	m.over(job.ShapeWidth, 2*markInset, "or there is no room for a mark")
	for _, x := range folds {
		p := geom.Path{V: []geom.Vertex{{P: geom.Pt(x, markInset)}, {P: geom.Pt(x, w-markInset)}}}
		m.out = append(m.out, figure{what: "fold mark", path: p, mark: true})
	}
}

// lFold is the blank of an L of two outside legs.
func lFold(m *maker) {
	setback, allowance := m.fold()
	a := m.v(job.ShapeLegA) - setback
	m.blank(a+allowance+m.v(job.ShapeLegB)-setback, a+allowance/2)
}

// uFold is the blank of a U: a leg, a base and a leg, measured outside.
func uFold(m *maker) {
	setback, allowance := m.fold()
	m.over(job.ShapeBase, 2*setback, "both inside radii and both thicknesses")
	a, b := m.v(job.ShapeLegA)-setback, m.v(job.ShapeBase)-2*setback
	m.blank(a+allowance+b+allowance+m.v(job.ShapeLegB)-setback, a+allowance/2, a+allowance+b+allowance/2)
}
