package planner

import (
	"maps"
	"reflect"
	"slices"

	"example.org/kerfwright/planner/feature"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
)

// Laid is where every copy lies, with what Collisions says of it.
type Laid struct {
	Places []job.Place
	Boxes  []geom.Box     // of each place, on the stock
	Bad    map[int]string // by place: why it is not good
	Was    []int          // of each place: which one of the last look it is, unmoved; -1 for none
	Looked int            // places whose shapes were compared; of the others the last look still holds

	stock job.Stock
	kerf  float64 // mm
	parts []feature.Part
	loops []feature.Feature
}

// LayOut looks at a layout. What the last look says of places that have not
// changed, nor anything near them, is taken over, so that it can be asked after
// every key however many parts there are; last may be nil.
func LayOut(last *Laid, j job.Job, t feature.Tree, places []job.Place) *Laid {
	s := handShop(j)
	l := &Laid{Places: places, Boxes: make([]geom.Box, len(places)), Was: make([]int, len(places)), Bad: map[int]string{},
		stock: j.Stock, kerf: s.kerf, parts: t.Parts, loops: t.Features}
	if last != nil && !last.alike(l) {
		last = nil
	}
	l.match(last)
	for i, p := range places {
		if w := l.Was[i]; w >= 0 {
			l.Boxes[i] = last.Boxes[w]
		} else {
			l.Boxes[i] = PlaceBox(t, p)
		}
	}
	again, few := l.touched(last)
	if !few {
		l.Looked = len(places)
		l.Bad = Collisions(j, t, places)
		return l
	}
	// What is said of a place rests on those whose boxes meet its own: how far
	// off they are, and in whose cut-out each of them lies.
	at := make([]geom.Box, len(again))
	for k, i := range again {
		at[k] = l.Boxes[i]
	}
	some := l.near(again, at)
	l.Looked = len(some)
	for i, w := range l.Was {
		if w >= 0 && last.Bad[w] != "" {
			l.Bad[i] = last.Bad[w]
		}
	}
	now := collisions(s, t, places, some)
	for _, i := range again {
		delete(l.Bad, i)
		if why := now[i]; why != "" {
			l.Bad[i] = why
		}
	}
	return l
}

// alike reports whether two looks are at the same metal, kerf and shapes.
func (l *Laid) alike(o *Laid) bool {
	if l.kerf != o.kerf || !reflect.DeepEqual(l.stock, o.stock) {
		return false
	}
	return slices.EqualFunc(l.parts, o.parts, func(a, b feature.Part) bool {
		return a.Drawing == b.Drawing && a.Outline == b.Outline && a.In == b.In && slices.Equal(a.Features, b.Features)
	}) && slices.EqualFunc(l.loops, o.loops, func(a, b feature.Feature) bool {
		return a.Kind == b.Kind && a.Area == b.Area && a.Rule.Cuts() == b.Rule.Cuts() && a.Loop.Closed == b.Loop.Closed && sameVertices(a.Loop.V, b.Loop.V)
	})
}

func sameVertices(a, b []geom.Vertex) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0] || slices.Equal(a, b))
}

// match finds the places of the last look again: by their number, and behind
// one that was put in or taken out by their number from the end.
func (l *Laid) match(last *Laid) {
	found := -1 // the last that was found: none is found twice
	for i := range l.Was {
		l.Was[i] = -1
		if last == nil {
			continue
		}
		for _, w := range []int{i, i - len(l.Places) + len(last.Places)} {
			if w >= 0 && w < len(last.Places) && w > found && lieAlike(l.Places[i], last.Places[w]) {
				l.Was[i], found = w, w
				break
			}
		}
	}
}

// lieAlike reports whether two places are the same but for their lock.
func lieAlike(a, b job.Place) bool {
	a.Lock, b.Lock, a.Plate, b.Plate = false, false, max(1, a.Plate), max(1, b.Plate)
	return a == b
}

// touched lists the places that are new or moved, and those near to where one
// is or was; few is false if that is a good part of them.
func (l *Laid) touched(last *Laid) (again []int, few bool) {
	var moved []int
	var at []geom.Box
	gone := map[int]bool{}
	if last != nil {
		for w := range last.Places {
			gone[w] = true
		}
	}
	for i, w := range l.Was {
		if delete(gone, w); w < 0 {
			moved, at = append(moved, i), append(at, l.Boxes[i])
		}
	}
	if len(moved)+len(gone) > len(l.Places)/4 {
		return nil, false
	}
	for _, w := range slices.Sorted(maps.Keys(gone)) {
		at = append(at, last.Boxes[w])
	}
	again = l.near(moved, at)
	return again, len(again) <= len(l.Places)/4
}

// near adds to some places those whose boxes are nearer than the kerf to one
// of the boxes, in order.
func (l *Laid) near(some []int, at []geom.Box) []int {
	out := slices.Clone(some)
	for i, b := range l.Boxes {
		b = b.Grow(l.kerf + geom.Join)
		if slices.ContainsFunc(at, b.Overlaps) {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
