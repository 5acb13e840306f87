package tui

// back goes one step back and never gives anything up.
func (m *Model) back() bool {
	if n := len(m.pages); n > 0 {
		m.pages = m.pages[:n-1]
		return true
	}
	return false
}

// lay puts a page on top, once.
func (m *Model) lay(v view) bool {
	if m.top().id() == v.id() {
		return false
	}
	m.pages = append(m.pages, v)
	m.whole = false
	return true
}

func (m *Model) setStage(s stage) bool {
	if s < 0 || s >= stages {
		return false
	}
	if int(s) == m.d.Stage && len(m.pages) == 0 {
		return false
	}
	m.pages, m.whole = nil, false
	d := *m.d
	d.Stage = int(s)
	m.d = &d
	m.holder.publish(m.d)
	return true
}

// top is the view that is on top.
func (m *Model) top() view {
	if n := len(m.pages); n > 0 {
		return m.pages[n-1]
	}
	return stage(m.d.Stage).view()
}

// spot is the place of the cursor on the view on top.
func (m *Model) spot() *spot { return m.spotOf(m.top()) }

func (m *Model) spotOf(v view) *spot {
	s := m.spots[v.id()]
	if s == nil {
		s = &spot{}
		m.spots[v.id()] = s
	}
	return s
}

// aimed is what the row under the cursor points at on the plate.
func (m *Model) aimed() *aim {
	v := m.top()
	l := v.list(m)
	if i := m.spotOf(v).settle(l); i >= 0 {
		return l.at(i).aim
	}
	return nil
}

// scene is the picture that the row under the cursor asks for: the plate, or
// the drawings as they were read.
func (m *Model) scene() *scene {
	switch a := m.aimed(); {
	case a == nil:
	case a.scene != nil:
		return a.scene
	case a.drawn && m.res.drawn != nil:
		return m.res.drawn
	}
	return m.res.scene
}

// aimedDrawing is the drawing to show while nothing is laid out.
func (m *Model) aimedDrawing() int {
	if a := m.aimed(); a != nil && a.drawing < len(m.d.Job.Drawings) {
		return a.drawing
	}
	return 0
}

// featureIndex finds a feature of the tree by its id, -1 if there is none.
func (m *Model) featureIndex(id string) int {
	if i, ok := m.res.index[id]; ok {
		return i
	}
	return -1
}
