package drawing_test

import (
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
)

// A finding about an element that is not drawn, or drawn otherwise than the
// file says, names where it lies: page of 200 mm by 100 mm, Y up.
func TestWhatIsNotDrawnIsToldWithItsPlace(t *testing.T) {
	const rest = `<rect width="9" height="9"/>`
	for name, c := range map[string]struct {
		data, code string
		at         geom.Point
	}{
		"clip on a rectangle":      {page(`<rect x="30" y="20" width="5" height="5" clip-path="url(#c)"/>`), "clip", geom.Pt(30, 80)},
		"mask on a group":          {page(`<g mask="url(#c)"><g><circle cx="70" cy="40" r="5"/></g></g>`), "clip", geom.Pt(70, 60)},
		"clip on a moved path":     {page(`<g transform="translate(10 10)"><path clip-path="url(#c)" d="M 5,6 l 10 0 0 10 z"/></g>`), "clip", geom.Pt(15, 84)},
		"transform that is none":   {page(`<polygon points="40 30 50 30 50 40" transform="turn(3)"/>` + rest), "bad-transform", geom.Pt(40, 70)},
		"transform of a line":      {page(`<line x1="20" y1="10" x2="30" y2="10" transform="turn(3)"/>` + rest), "bad-transform", geom.Pt(20, 90)},
		"use of nothing":           {page(`<use href="#gone" x="60" y="25"/>` + rest), "use-missing", geom.Pt(60, 75)},
		"use that holds itself":    {page(`<g id="a"><use href="#a" x="60" y="25"/></g>` + rest), "use-cycle", geom.Pt(120, 50)},
		"form that draws itself":   {onePage("/Resources<</XObject<</F 5 0 R>>>>", "1 0 0 1 72 144 cm 1 1 9 9 re S /F Do", map[int]string{5: stream("/Type/XObject/Subtype/Form/BBox[0 0 50 50]/Resources<</XObject<</F 5 0 R>>>>", "1 1 1 1 re S /F Do")}).table(), "form-cycle", geom.Pt(25.4, 50.8)},
		"clip on an empty group":   {page(`<g clip-path="url(#c)"/>` + rest), "clip", geom.Pt(math.NaN(), 0)},
		"clip on a path without d": {page(`<path clip-path="url(#c)" d="z"/>` + rest), "clip", geom.Pt(math.NaN(), 0)},
	} {
		_, faults := readDrawing(t, c.data)
		found := false
		for _, f := range faults {
			if f.Code != c.code {
				continue
			}
			found = true
			placed := f.Frame != fault.Nowhere
			if math.IsNaN(c.at.X) {
				if placed {
					t.Errorf("%s: a place, (%g, %g)", name, f.X, f.Y)
				}
			} else if !placed || geom.Pt(f.X, f.Y).Dist(c.at) > 1e-3 {
				t.Errorf("%s: at (%g, %g), placed %v, want %v: %v", name, f.X, f.Y, placed, c.at, f)
			}
		}
		if !found {
			t.Errorf("%s: no %s: %v", name, c.code, strings.TrimSpace(faults.Err().Error()))
		}
	}
}
