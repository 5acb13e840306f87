package rs274

import "math"

// motion does step 20.
func (r *reader) motion(b *block) *problem {
	if b.hasG(800) {
		r.change().Motion = 800
		return nil
	}
	code := r.motionOf(b)
	if code < 0 {
		return nil
	}
	k, p := r.scale()
	if p != nil {
		return p
	}
	if r.modal.Motion != code {
		r.change().Motion = code
	}
	m := r.start(Rapid)
	if b.hasG(530) {
		m.Machine = true
		m.From, m.To, m.Off = m.From.Add(m.Off), m.To.Add(m.Off), Vec{}
	}
	for i, c := range [3]byte{'X', 'Y', 'Z'} {
		if !b.given(c) {
			continue
		}
		m.Given |= 1 << i
		v := b.value(c) * k
		if r.modal.Incremental {
			v += *m.From.axis(i)
		}
		*m.To.axis(i) = v
	}
	switch code {
	case 0:
	case 10:
		m.Kind = Feed
		p = r.setFeed(b, m, distance(m.From, m.To))
	case 20, 30:
		m.Kind = Arc
		if p = r.arc(b, m, code == 20, k); p == nil {
			p = r.setFeed(b, m, arcLength(m))
		}
	case 382:
		m.Kind = Probe
		p = r.probe(b, m)
	}
	if p != nil {
		return p
	}
	end := m.To
	if m.Machine {
		end = end.Sub(r.off())
	}
	r.pos = end
	if !r.modal.Incremental {
		r.known |= m.Given
	}
	if code == 382 {
		for i := range 3 { // section 3.5.9.1: where the probe tripped
			r.params[5061+i] = *r.pos.axis(i) / k
		}
	}
	r.emit(m)
	return nil
}

func distance(a, b Vec) float64 {
	d := b.Sub(a)
	return math.Sqrt(d.X*d.X + d.Y*d.Y + d.Z*d.Z)
}

// setFeed gives the move its feed along the path.
func (r *reader) setFeed(b *block, m *Move, length float64) *problem {
	if r.modal.InverseTime {
		if !b.given('F') {
			return bad("feed", "Write F on this line.", "no F on a line of inverse time mode (NISTIR 6556 3.5.19)")
		}
		if r.feed == 0 {
			return bad("feed", "Write a feed over 0.", "F is 0")
		}
		m.Feed = r.feed * length
		return nil
	}
	if r.feed == 0 {
		return bad("feed", "Write F with a feed over 0.", "a cutting move without a feed")
	}
	if r.feedIn != r.modal.Units {
		// Table 8 reads F before G20 or G21, and the report does not say that
		// a feed is converted.
		return bad("feed-units", "Write F again after G20 or G21.", "the feed F%s was written before %s: which unit it has is not certain", format(r.feed), r.modal.Units)
	}
	m.Feed = r.feed * r.modal.Units.mm()
	return nil
}

// probe lets G38.2 run until it trips.
func (r *reader) probe(b *block, m *Move) *problem {
	if r.modal.InverseTime {
		return bad("probe", "Use G94.", "G38.2 in inverse time mode (NISTIR 6556 3.5.9.1)")
	}
	way := distance(m.From, m.To)
	if nearest := r.inUnits(ProbeNearestMM, ProbeNearestInch); way < nearest-samePlace {
		return bad("probe", "Start it further away.", "G38.2 with %s mm to go, at least %s mm are needed (NISTIR 6556 3.5.9.1)", format(way), format(nearest))
	}
	if p := r.setFeed(b, m, way); p != nil {
		return p
	}
	if r.o.Probe == nil {
		return nil
	}
	part, ok := r.o.Probe(m)
	if !ok {
		return bad("probe", "Let it search deeper, or start lower.", "G38.2 ends before the probe trips")
	}
	d := m.To.Sub(m.From)
	m.To = m.From.Add(Vec{d.X * part, d.Y * part, d.Z * part})
	return nil
}

// inUnits picks the limit for the units in force, in mm.
func (r *reader) inUnits(mm, inch float64) float64 {
	if r.modal.Units == Inches {
		return inch * mmPerInch
	}
	return mm
}

// samePlace, in mm, is the distance under which an arc ends where it began:
// a hundred times the rounding of two offsets added at 10 m (2 x 1.8e-12),
// a thousandth of the finest step that six decimals can write.
const samePlace = 1e-9

// planeAxes returns the first, second and third axis of the plane, and the
// letters of the centre.
func (p Plane) axes() (a, b, c int, i, j, k byte) {
	switch p {
	case ZX:
		return 2, 0, 1, 'K', 'I', 'J'
	case YZ:
		return 1, 2, 0, 'J', 'K', 'I'
	}
	return 0, 1, 2, 'I', 'J', 'K'
}

// arc finds centre and sweep (section 3.5.3). k is the mm in one unit.
func (r *reader) arc(b *block, m *Move, clockwise bool, k float64) *problem {
	a1, a2, _, i, j, off := r.modal.Plane.axes()
	letters := [3]byte{'X', 'Y', 'Z'}
	if !b.given(letters[a1]) && !b.given(letters[a2]) {
		return bad("arc", "Write the end point.", "an arc without %c or %c (NISTIR 6556 3.5.3)", letters[min(a1, a2)], letters[max(a1, a2)])
	}
	if b.given(off) {
		return bad("arc", "Remove it.", "%c on an arc in a plane that has no use for it", off)
	}
	x0, y0 := *m.From.axis(a1), *m.From.axis(a2)
	x1, y1 := *m.To.axis(a1), *m.To.axis(a2)
	var cx, cy float64
	switch centre := b.given(i) || b.given(j); {
	case centre && b.given('R'):
		return bad("arc", "Write one or the other.", "an arc with R and a centre")
	case b.given('R'):
		var p *problem
		if cx, cy, p = radiusCentre(x0, y0, x1, y1, b.value('R')*k, clockwise); p != nil {
			return p
		}
	case centre:
		cx, cy = b.value(i)*k, b.value(j)*k
		if !r.modal.AbsoluteCentres {
			cx, cy = cx+x0, cy+y0
		} else if !b.given(i) || !b.given(j) {
			return bad("arc", "Write both.", "an absolute arc centre needs %c and %c", i, j)
		}
	default:
		return bad("arc", "Write the centre or R.", "an arc without %c, %c or R (NISTIR 6556 3.5.3)", min(i, j), max(i, j))
	}
	r0, r1 := math.Hypot(x0-cx, y0-cy), math.Hypot(x1-cx, y1-cy)
	if r0 == 0 || r1 == 0 {
		return bad("arc", "Correct the centre.", "an arc of radius 0")
	}
	if tol := r.inUnits(ArcToleranceMM, ArcToleranceInch); math.Abs(r0-r1) > tol {
		// Followed all the same: what comes after starts at its end.
		r.problem(bad("arc-radius", "Correct the centre or write more decimals.", "an arc whose radius is %.4f mm at the start and %.4f mm at the end, %.4f mm apart, at most %.4g mm is allowed (NISTIR 6556 3.5.3.2)",
			r0, r1, math.Abs(r0-r1), tol))
	}
	*m.Center.axis(a1), *m.Center.axis(a2) = cx, cy
	sweep := math.Atan2((x0-cx)*(y1-cy)-(y0-cy)*(x1-cx), (x0-cx)*(x1-cx)+(y0-cy)*(y1-cy))
	switch full := math.Hypot(x1-x0, y1-y0) <= samePlace; {
	case full && clockwise:
		sweep = -2 * math.Pi
	case full:
		sweep = 2 * math.Pi
	case clockwise && sweep > 0:
		sweep -= 2 * math.Pi
	case !clockwise && sweep < 0:
		sweep += 2 * math.Pi
	}
	m.Sweep = sweep
	return nil
}

// radiusCentre finds the centre of an arc given by R: up to half a circle if
// positive, more if negative (section 3.5.3.1).
func radiusCentre(x0, y0, x1, y1, radius float64, clockwise bool) (cx, cy float64, p *problem) {
	half := math.Hypot(x1-x0, y1-y0) / 2
	size := math.Abs(radius)
	switch {
	case size == 0:
		return 0, 0, bad("arc", "Write a radius over 0.", "an arc of radius 0")
	case half <= samePlace:
		return 0, 0, bad("arc", "Write the centre.", "an arc with R that ends where it starts (NISTIR 6556 3.5.3.1)")
	case half > size+ArcToleranceMM/2: // an end moved by the tolerance makes this much
		return 0, 0, bad("arc-radius", "Correct R or the end point.", "an arc of radius %.4f mm cannot span %.4f mm", size, 2*half)
	}
	h := math.Sqrt(max(0, (size-half)*(size+half)))
	// The centre lies left of the chord for a counter-clockwise arc up to half
	// a circle, right of it for a clockwise one.
	if clockwise != (radius < 0) {
		h = -h
	}
	cx = (x0+x1)/2 - (y1-y0)/(2*half)*h
	cy = (y0+y1)/2 + (x1-x0)/(2*half)*h
	return cx, cy, nil
}

// arcLength is measured along the helix (section 2.1.2.6).
func arcLength(m *Move) float64 {
	a1, a2, a3, _, _, _ := m.Modal.Plane.axes()
	radius := math.Hypot(*m.From.axis(a1)-*m.Center.axis(a1), *m.From.axis(a2)-*m.Center.axis(a2))
	return math.Hypot(radius*m.Sweep, *m.To.axis(a3)-*m.From.axis(a3))
}
