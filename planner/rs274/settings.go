package rs274

import "math"

// settings does the steps 2 to 18 of table 8.
func (r *reader) settings(b *block) *problem {
	if b.hasG(930, 940) {
		m := r.change()
		m.InverseTime = b.hasG(930)
		m.Set |= GroupFeedMode
	}
	if b.given('F') {
		if b.value('F') < 0 {
			return bad("feed", "Write a feed over 0.", "F%s is negative", format(b.value('F')))
		}
		r.feed, r.feedIn = b.value('F'), r.modal.Units
	}
	if b.value('S') < 0 {
		return bad("speed", "Write 0 or more.", "S%s is negative", format(b.value('S')))
	}
	if _, p := whole(b.value('T'), "T", 0, math.MaxInt32); p != nil {
		return p
	}
	r.machineWords(b)
	if len(b.g) == 0 {
		return nil
	}
	if b.hasG(40) {
		m := r.start(Dwell)
		m.Seconds = b.value('P')
		r.emit(m)
	}
	return r.modes(b)
}

// machineWords does the steps 6 to 9.
func (r *reader) machineWords(b *block) {
	if b.hasM(6) {
		r.change().Spindle = 0 // section 3.6.3
		r.event(Tool, "M6")
	}
	if c := b.mOf(3, 4, 5); c != none {
		r.change().Spindle = c % 5
		r.event(Spindle, code('M', c*10))
	}
	for _, m := range b.m { // a dialect's words have no step of their own; here the machine stands still
		if w := r.user('M', m); w != nil && mGroups[m] == noGroup {
			r.userWord(b, w)
		}
	}
}

// modes does the steps 11 to 18.
func (r *reader) modes(b *block) *problem {
	if g := b.gOf(170, 180, 190); g != none {
		m := r.change()
		m.Plane = Plane(g/10 - 17)
		m.Set |= GroupPlane
	}
	if g := b.gOf(200, 210); g != none {
		m := r.change()
		m.Units = Inches
		if g == 210 {
			m.Units = Millimetres
		}
		m.Set |= GroupUnits
	}
	if b.hasG(400) {
		r.change().Set |= GroupComp
	}
	if g := b.gOf(540, 550, 560, 570, 580, 590, 591, 592, 593); g != none {
		s := g/10 - 53 + g%10
		if !r.known54[s] {
			return bad("system", "Use G54, or set the system with G10 first.", "%s: where that coordinate system lies is known only to the machine", code('G', g))
		}
		at := r.pos.Add(r.off())
		r.change().System = s
		r.params[5220] = float64(s)
		r.pos = at.Sub(r.off())
		r.event(Offset, code('G', g))
	}
	if g := b.gOf(610, 611, 640); g != none {
		m := r.change()
		m.Path, m.PathTolerance = g, 0
		m.Set |= GroupPath
		if b.given('P') && !b.hasG(40) {
			k, p := r.scale()
			if p != nil {
				return p
			}
			m.PathTolerance = b.value('P') * k
		}
	}
	if b.hasG(900, 910) {
		m := r.change()
		m.Incremental = b.hasG(910)
		m.Set |= GroupDistance
	}
	if b.hasG(901, 911) && r.o.ArcModes {
		r.change().AbsoluteCentres = b.hasG(901)
	}
	return nil
}

// offsets does step 19: G10 L2 and the G92 family.
func (r *reader) offsets(b *block) *problem {
	at := r.pos.Add(r.off())
	name := ""
	switch {
	case b.hasG(100):
		name = "G10"
		s, p := whole(b.value('P'), "P of G10 L2", 1, 9)
		if p != nil {
			return p
		}
		k, p := r.scale()
		if p != nil {
			return p
		}
		for i, c := range [3]byte{'X', 'Y', 'Z'} {
			if b.given(c) {
				*r.systems[s].axis(i) = b.value(c) * k
				r.params[5201+20*s+i] = b.value(c)
			}
		}
		r.known54[s] = r.known54[s] || b.given('X') && b.given('Y') && b.given('Z')
	case b.hasG(920):
		name = "G92"
		k, p := r.scale()
		if p != nil {
			return p
		}
		for i, c := range [3]byte{'X', 'Y', 'Z'} {
			if b.given(c) {
				*r.g92.axis(i) = *at.axis(i) - *r.systems[r.modal.System].axis(i) - b.value(c)*k
				r.known |= 1 << i
			}
			r.params[5211+i] = *r.g92.axis(i) / k
		}
		// What was written is where the torch now is, to the last digit.
		for i, c := range [3]byte{'X', 'Y', 'Z'} {
			if b.given(c) {
				*r.pos.axis(i) = b.value(c) * k
			}
		}
		r.event(Offset, name)
		return nil
	case b.hasG(921):
		name = "G92.1"
		r.g92 = Vec{}
		r.params[5211], r.params[5212], r.params[5213] = 0, 0, 0
	case b.hasG(922):
		name = "G92.2"
		r.g92 = Vec{}
	default:
		name = "G92.3"
		k, p := r.scale()
		if p != nil {
			return p
		}
		for i := range 3 {
			v, p := r.parameter(5211 + i)
			if p != nil {
				return p
			}
			*r.g92.axis(i) = v * k
		}
	}
	r.pos = at.Sub(r.off())
	r.event(Offset, name)
	return nil
}

func (r *reader) userG(b *block) *problem {
	for _, g := range b.g {
		if w := r.user('G', g); w != nil {
			if gGroups[g] == noGroup {
				r.userWord(b, w)
			}
		}
	}
	return nil
}

// userWord reports a word of the dialect. If it takes axis words, nobody but
// the machine knows where the torch is afterwards.
func (r *reader) userWord(b *block, w *Word) {
	m := r.start(User)
	m.Code = code(w.Letter, w.Tenths)
	for i := range len(w.Letters) {
		c := w.Letters[i]
		if !b.given(c) {
			continue
		}
		m.Args = append(m.Args, Arg{c, b.value(c)})
		if c >= 'X' { // Z is the last letter
			r.known &^= 1 << (c - 'X')
		}
	}
	r.emit(m)
}
