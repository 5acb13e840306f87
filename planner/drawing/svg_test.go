package drawing_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// page is an SVG of 200 x 100 mm in mm.
func page(body string) string {
	return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="200mm" height="100mm" viewBox="0 0 200 100"><g fill="none" stroke="#000" stroke-width=".1">` + body + `</g></svg>`
}

func readDrawing(t testing.TB, data string) (*drawing.Loops, fault.List) {
	t.Helper()
	return drawing.Read(context.Background(), []byte(data), drawing.Options{Name: plain.Of("test")})
}

func mustShow(t testing.TB, data string) *drawing.Loops {
	t.Helper()
	l, f := readDrawing(t, data)
	if l == nil {
		t.Fatal(f)
	}
	return l
}

func has(l fault.List, code string, sev fault.Severity) bool {
	for _, f := range l {
		if f.Code == code && f.Severity == sev {
			return true
		}
	}
	return false
}

// Areas and lengths by closed forms; places count from the lower left of the
// page, Y up.
func TestEveryElementComesOutAsDrawn(t *testing.T) {
	const fit = 0.01 // of curves, times length: what a fitted area may be off
	for _, c := range []struct {
		name, body string
		loops      int
		area       float64 // sum
		box        string  // of all, "x0 y0 x1 y1"
		tol        float64
	}{
		{"rect", `<rect x="10" y="20" width="50" height="30"/>`, 1, 1500, "10 50 60 80", 1e-9},
		{"rect with rx", `<rect x="10" y="20" width="100" height="60" rx="10"/>`, 1, 5914.159265, "10 20 110 80", 1e-6},
		{"rect with ry only", `<rect x="10" y="20" width="100" height="60" ry="10"/>`, 1, 5914.159265, "10 20 110 80", 1e-6},
		{"rect with rx and ry", `<rect x="0" y="0" width="80" height="40" rx="20" ry="10"/>`, 1, 3200 - (4-math.Pi)*200, "0 60 80 100", fit * 60},
		{"rect, radii too large", `<rect x="0" y="0" width="40" height="20" rx="90"/>`, 1, math.Pi * 20 * 10, "0 80 40 100", fit * 100},
		{"circle", `<circle cx="50" cy="50" r="20"/>`, 1, math.Pi * 400, "30 30 70 70", 1e-6},
		{"ellipse", `<ellipse cx="60" cy="50" rx="50" ry="30"/>`, 1, 4712.38898038, "10 20 110 80", fit * 256},
		{"ellipse, round", `<ellipse cx="60" cy="50" rx="30"/>`, 1, math.Pi * 900, "30 20 90 80", 1e-6},
		{"polygon", `<polygon points="0,0 40,0 40 30"/>`, 1, 600, "0 70 40 100", 1e-9},
		{"polyline that closes", `<polyline points="0,0 40,0 40,30 0,0"/>`, 1, 600, "0 70 40 100", 1e-9},
		{"four lines", `<line x1="0" y1="0" x2="9" y2="0"/><line x1="9" y1="0" x2="9" y2="9"/><line x1="9" y1="9" x2="0" y2="9"/><line y2="0" x2="0" y1="9"/>`, 1, 81, "0 91 9 100", 1e-9},
		{"path, absolute", `<path d="M 10 10 L 30 10 H 50 V 40 L 10 40 Z"/>`, 1, 1200, "10 60 50 90", 1e-9},
		{"path, relative", `<path d="m10 10 20 0h20v30l-40 0z"/>`, 1, 1200, "10 60 50 90", 1e-9},
		{"path, no separators", `<path d="M10,10L.3e2.1e2H50V40L1e1+40z"/>`, 1, 1200, "10 60 50 90", 1e-9},
		{"path, two subpaths", `<path d="M0 0h20v20h-20zm5 5h5v5h-5z"/>`, 2, 425, "0 80 20 100", 1e-9},
		{"path goes on after z", `<path d="M0 0h10v10h-10z l-10 0 0 10z" transform="translate(50 50)"/>`, 2, 150, "40 40 60 50", 1e-9},
		{"arc, half circles", `<path d="M30 50 A20 20 0 0 0 70 50 A20 20 0 0 0 30 50z"/>`, 1, math.Pi * 400, "30 30 70 70", 1e-6},
		{"arc, flags run together", `<path d="M30 50a20 20 0 0040 0 20 20 0 00-40 0z"/>`, 1, math.Pi * 400, "30 30 70 70", 1e-6},
		{"arc, most of a circle", `<path d="M50 30 A20 20 0 1 0 70 50 L50 50z"/>`, 1, math.Pi * 300, "30 30 70 70", 1e-6},
		{"arc, radii scaled up", `<path d="M50 50A1 1 0 0 0 90 50A1 1 0 0 0 50 50"/>`, 1, math.Pi * 400, "50 30 90 70", 1e-6},
		{"arc, ellipse turned", `<path d="M30 50A40 10 90 0 0 50 50A40 10 90 0 0 30 50"/>`, 1, math.Pi * 400, "30 10 50 90", fit * 180},
		{"quadratic: parabola", `<path d="M0 50Q30 0 60 50z"/>`, 1, 2.0 / 3 * 60 * 25, "0 50 60 75", fit * 80},
		{"smooth quadratic, two lobes", `<path d="M0 50Q30 0 60 50T120 50z"/>`, 1, 0, "0 25 120 75", fit * 160},
		{"cubic", `<path d="M0 50C0 40 10 40 10 50z"/>`, 1, 60, "0 50 10 57.5", fit * 30},
		{"smooth cubic", `<path d="M0 50C0 40 10 40 10 50S20 60 20 50V90H0z"/>`, 1, 800, "0 10 20 57.5", fit * 100},
		{"cubic that is a line", `<path d="M0 0C10 0 20 0 30 0V30z"/>`, 1, 450, "0 70 30 100", 1e-9},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := mustShow(t, page(c.body))
			if len(l.Closed) != c.loops || len(l.Open) != 0 {
				t.Fatalf("%d loops, %d open: %v", len(l.Closed), len(l.Open), l.Report)
			}
			sum := 0.0
			for _, p := range l.Closed {
				sum += math.Abs(p.Path.Area())
			}
			if math.Abs(sum-c.area) > c.tol {
				t.Errorf("area %.6f, want %.6f", sum, c.area)
			}
			var b geom.Box
			fmt.Sscan(c.box, &b.Min.X, &b.Min.Y, &b.Max.X, &b.Max.Y)
			const edge = 0.011 // the fit, with rounding
			if b.Min.Dist(l.Box.Min) > 2*edge || b.Max.Dist(l.Box.Max) > 2*edge {
				t.Errorf("box %v, want %s", l.Box, c.box)
			}
		})
	}
}

// 1in = 2.54cm = 25.4mm = 72pt = 6pc = 96px (CSS Values and Units), and user
// units are px.
func TestLengthsInUnitsCountInPixels(t *testing.T) {
	for _, w := range []string{"1in", "2.54cm", "25.4mm", "101.6Q", "72pt", "6pc", "96px", "96", "6em", "48%"} {
		l := mustShow(t, `<svg xmlns="http://www.w3.org/2000/svg" width="200" height="50"><rect fill="none" stroke="red" width="`+w+`" height="10"/></svg>`)
		if got := l.Closed[0].Path.Box().Width(); math.Abs(got-unit.MMPerInch) > 1e-9 {
			t.Errorf("%s: %g mm", w, got)
		}
	}
}

func TestTransformsNestInOrder(t *testing.T) {
	const square = `<rect width="10" height="10"/>`
	for _, c := range []struct {
		name, open, close string
		box               string // SVG's own axes
	}{
		{"translate", `<g transform="translate(5,7)">`, `</g>`, "5 7 15 17"},
		{"translate by x", `<g transform="translate(5)">`, `</g>`, "5 0 15 10"},
		{"scale", `<g transform="scale(2 3)">`, `</g>`, "0 0 20 30"},
		{"list works right to left", `<g transform="translate(50) scale(2)">`, `</g>`, "50 0 70 20"},
		{"groups too", `<g transform="scale(2)"><g transform="translate(50 0)">`, `</g></g>`, "100 0 120 20"},
		{"rotate", `<g transform="translate(50 50) rotate(90)">`, `</g>`, "40 50 50 60"},
		{"rotate about a point", `<g transform="rotate(180 20 20)">`, `</g>`, "30 30 40 40"},
		{"matrix", `<g transform="matrix(0 1 -1 0 60 5)">`, `</g>`, "50 5 60 15"},
		{"skewX", `<g transform="skewX(45)">`, `</g>`, "0 0 20 10"},
		{"skewY", `<g transform="skewY(45)">`, `</g>`, "0 0 10 20"},
		{"style beats attribute", `<g transform="scale(9)" style="transform: translate(1mm, 0px) rotate(0.25turn); ">`, `</g>`, "-6.2205 0 3.7795 10"},
		{"origin", `<g transform="rotate(90)" transform-origin="20 0">`, `</g>`, "10 -20 20 -10"},
	} {
		l := mustShow(t, page(c.open+square+c.close))
		var b geom.Box
		fmt.Sscan(c.box, &b.Min.X, &b.Min.Y, &b.Max.X, &b.Max.Y)
		b.Min.Y, b.Max.Y = 100-b.Max.Y, 100-b.Min.Y
		if b.Min.Dist(l.Box.Min) > 1e-3 || b.Max.Dist(l.Box.Max) > 1e-3 {
			t.Errorf("%s: box %v, want %v", c.name, l.Box, b)
		}
	}
}

func TestATransformThatCannotBeReadIsAnError(t *testing.T) {
	l, f := readDrawing(t, page(`<rect width="9" height="9"/><g transform="rotate(ten)"><rect width="10" height="10"/></g>`))
	if !has(f, "bad-transform", fault.Error) || len(l.Closed) != 1 {
		t.Fatal(f)
	}
}

// SVG 2, 8.2 and 8.6: the viewBox fits into the viewport.
func TestViewBoxFitsItsViewport(t *testing.T) {
	for aspect, want := range map[string]string{
		"":                 "50 0 150 100", // xMidYMid meet
		"xMinYMin":         "0 0 100 100",
		"xMaxYMax meet":    "100 0 200 100",
		"none":             "0 0 200 100",
		"xMidYMid slice":   "0 -50 200 150",
		"xMidYMin slice":   "0 0 200 200",
		"defer xMaxYMin":   "100 0 200 100",
		"nonsense":         "50 0 150 100",
		"xMidYMax   slice": "0 -100 200 100",
	} {
		l := mustShow(t, page(`<svg width="200" height="100" viewBox="1 2 10 10" preserveAspectRatio="`+aspect+`"><rect x="1" y="2" width="10" height="10"/></svg>`))
		var b geom.Box
		fmt.Sscan(want, &b.Min.X, &b.Min.Y, &b.Max.X, &b.Max.Y)
		b.Min.Y, b.Max.Y = 100-b.Max.Y, 100-b.Min.Y
		if b.Min.Dist(l.Box.Min) > 1e-9 || b.Max.Dist(l.Box.Max) > 1e-9 {
			t.Errorf("%q: box %v, want %v", aspect, l.Box, b)
		}
	}
}

func TestRootSizeGivesTheTrueUnit(t *testing.T) {
	for _, c := range []struct {
		root  string
		width float64 // mm of 90 user units
		doubt bool
		says  string
	}{
		{`width="24in" height="18in" viewBox="0 0 2160 1620"`, 25.4, false, ""},
		{`width="100mm" height="100mm" viewBox="0 0 100 100"`, 90, false, ""},
		{`width="10cm" viewBox="0 0 100 50"`, 90, false, ""},
		{`height="50mm" viewBox="0 0 100 50"`, 90, false, ""},
		{`viewBox="0 0 100 50"`, 90 * 25.4 / 96, true, "1.0667"},
		{`width="100" height="50"`, 90 * 25.4 / 96, true, "1.3333"},
		{`width="200px" height="100px" viewBox="0 0 100 50"`, 180 * 25.4 / 96, true, ""},
		{`width="100%" height="100%" viewBox="0 0 100 50"`, 90 * 25.4 / 96, true, ""},
		{`width="210mm" height="297mm"`, 90 * 25.4 / 96, true, "without a viewBox"},
		{`width="744" height="1052" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" inkscape:version="0.48.4 r9939"`, 90 * 25.4 / 96, true, "meant 90"},
	} {
		l := mustShow(t, `<svg xmlns="http://www.w3.org/2000/svg" `+c.root+`><rect width="90" height="9" fill="none" stroke="red"/></svg>`)
		if got := l.Closed[0].Path.Box().Width(); math.Abs(got-c.width) > 1e-6 {
			t.Errorf("%s: %g mm, want %g", c.root, got, c.width)
		}
		if has(l.Report, "unit-doubt", fault.Warning) != c.doubt {
			t.Errorf("%s: doubt is not %v: %v", c.root, c.doubt, l.Report)
		}
		if c.doubt && !strings.Contains(l.Report.Sorted()[0].Error()+fmt.Sprint(l.UnitName, l.Report), c.says) {
			t.Errorf("%s: %v does not say %q", c.root, l.Report, c.says)
		}
	}
}

func TestTheOperatorsWordOnUnitsEndsTheDoubt(t *testing.T) {
	data := []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50"><rect width="90" height="9" fill="none" stroke="red"/></svg>`)
	for _, o := range []drawing.Options{{Units: unit.MM}, {Scale: 96 / 25.4}} {
		l, f := drawing.Read(context.Background(), data, o)
		if got := l.Closed[0].Path.Box().Width(); math.Abs(got-90) > 1e-9 || has(f, "unit-doubt", fault.Warning) {
			t.Errorf("%+v: %g mm, %v", o, got, f)
		}
	}
}

func TestUseDrawsAgainWhatItRefersTo(t *testing.T) {
	l := mustShow(t, page(`<defs><rect id="a" width="10" height="10"/><g id="b"><use href="#a" x="20"/><use xlink:href="#a" x="40"/></g>
		<symbol id="s" viewBox="0 0 1 1"><rect width="1" height="1"/></symbol></defs>
		<use href="#b" y="5"/><use href="#a" transform="translate(100 0)"/><use href="#s" x="150" width="30" height="20"/>`))
	var boxes []string
	for _, c := range l.Closed {
		b := c.Path.Box()
		boxes = append(boxes, fmt.Sprintf("%.0f,%.0f %.0fx%.0f", b.Min.X, 100-b.Max.Y, b.Width(), b.Height()))
	}
	if got, want := strings.Join(boxes, "; "), "20,5 10x10; 40,5 10x10; 100,0 10x10; 155,0 20x20"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestUseThatHoldsItselfIsAnError(t *testing.T) {
	l, f := readDrawing(t, page(`<rect width="9" height="9"/><g id="a"><circle cx="50" cy="50" r="5"/><use href="#b"/></g><g id="b"><use href="#a"/></g><use href="#gone"/>`))
	if l == nil || !has(f, "use-cycle", fault.Error) || !has(f, "use-missing", fault.Warning) {
		t.Fatal(f)
	}
}

func TestWhatIsNotShownIsLeftOutAndTold(t *testing.T) {
	const shown = `<rect width="5" height="5"/>`
	for name, body := range map[string]string{
		"display attribute":    `<rect display="none" width="10" height="10"/>`,
		"display style":        `<rect style="display:none" width="10" height="10"/>`,
		"display of a group":   `<g style="display : none"><g><rect width="10" height="10"/></g></g>`,
		"visibility":           `<g visibility="hidden"><rect width="10" height="10"/></g>`,
		"opacity":              `<rect opacity="0" width="10" height="10"/>`,
		"no paint":             `<rect stroke="none" width="10" height="10"/>`,
		"no opacity of stroke": `<rect stroke-opacity="0.0" width="10" height="10"/>`,
		"class":                `<style>.h{display:none}</style><rect class="x h" width="10" height="10"/>`,
		"id":                   `<style>#q , .nothing{display:none}</style><rect id="q" width="10" height="10"/>`,
		"element":              `<style type="text/css"><![CDATA[ circle{display:none} ]]></style><circle r="10" cx="50" cy="50"/>`,
		"important":            `<style>rect{} .h{display:none !important}</style><rect class="h" style="display:inline" width="10" height="10"/>`,
	} {
		l := mustShow(t, page(shown+body))
		if len(l.Closed) != 1 || !has(l.Report, "hidden", fault.Note) {
			t.Errorf("%s: %d loops, %v", name, len(l.Closed), l.Report)
		}
	}
	for name, body := range map[string]string{
		"defs":                  `<defs><rect width="10" height="10"/></defs>`,
		"clip path":             `<clipPath id="c"><rect width="10" height="10"/></clipPath>`,
		"symbol":                `<symbol><rect width="10" height="10"/></symbol>`,
		"another name space":    `<x:y xmlns:x="urn:z"><rect width="10" height="10"/></x:y>`,
		"an unknown element":    `<flowRegion><rect width="10" height="10"/></flowRegion>`,
		"second half of switch": `<switch><g systemLanguage="de"><rect width="7" height="7"/></g><g/><rect width="10" height="10"/></switch>`,
	} {
		if l := mustShow(t, page(shown+body)); len(l.Closed) != 1 {
			t.Errorf("%s: %d loops", name, len(l.Closed))
		}
	}
	for name, body := range map[string]string{
		"visible inside hidden":    `<g visibility="hidden"><rect visibility="visible" width="10" height="10"/></g>`,
		"style beats a class":      `<style>.h{display:none}</style><rect class="h" style="display:inline" width="10" height="10"/>`,
		"class beats an element":   `<style>.s{display:inline} rect.s{} rect{display:none}</style><rect class="s" width="10" height="10"/>`,
		"a rule of no element":     `<style>.unused{display:none}</style><rect width="10" height="10"/>`,
		"filled without a stroke":  `<rect fill="#123" stroke="none" width="10" height="10"/>`,
		"media rules are skipped":  `<style>@import "x"; @media print{rect{display:none}}</style><rect width="10" height="10"/>`,
		"comments in style sheets": `<style>/* rect{display:none} */</style><rect width="10" height="10"/>`,
	} {
		shown := strings.ReplaceAll(shown, "<rect", `<path d="M0 0h5v5h-5z"/><x`)
		if l := mustShow(t, page(shown+body)); len(l.Closed) != 2 {
			t.Errorf("%s: %d loops, %v", name, len(l.Closed), l.Report)
		}
	}
}

func TestAnOpenPathThatIsOnlyFilledIsClosed(t *testing.T) {
	l := mustShow(t, page(`<path fill="red" stroke="none" d="M0 0H10V10"/><path d="M50 0H60V10"/><path d="M80 0H90V10z"/>`))
	if len(l.Closed) != 2 || len(l.Open) != 1 {
		t.Errorf("%d closed, %d open", len(l.Closed), len(l.Open))
	}
}

func TestTextAndPicturesAreNamedAsNotCut(t *testing.T) {
	_, f := readDrawing(t, page(`<rect width="5" height="5"/><text x="10" y="20">GATE 7<tspan>b</tspan></text><image width="9" height="9" href="x.png"/>`))
	if !has(f, "text", fault.Note) || !has(f, "picture", fault.Note) {
		t.Fatal(f)
	}
	for _, n := range f {
		if n.Code == "text" && (!strings.Contains(n.Do, "outlines") || n.X != 10 || n.Y != 80) {
			t.Errorf("%v at (%g, %g)", n, n.X, n.Y)
		}
	}
}

func TestPathDataThatBreaksOffIsAnErrorThatNamesThePlace(t *testing.T) {
	for _, d := range []string{"M0 0H10V10zQ", "M0 0H10V10z5", "M0 0H10V10L", "M0 0H10V10z M 1 2 A 5 5 0 2 0 9 9", "M0 0H1e999"} {
		_, f := readDrawing(t, page(`<rect width="50" height="50"/><path d="`+d+`"/>`))
		if !has(f, "broken-path", fault.Error) {
			t.Errorf("%s: %v", d, f)
		}
	}
}

func TestGroupsThatAPersonNamedAreLayers(t *testing.T) {
	ink := func(body string) string {
		return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" width="100mm" height="100mm" viewBox="0 0 100 100"><style>path{fill:none;stroke:#000}</style>` + body + `</svg>`
	}
	a, b := `<path d="M0 0h9v9h-9z"/>`, `<path d="M20 0h9v9h-9z"/>`
	for name, c := range map[string]struct{ body, want string }{
		"layers":    {`<g inkscape:groupmode="layer" inkscape:label="Cut" id="layer1">` + a + `</g><g inkscape:groupmode="layer" inkscape:label="Bend lines">` + b + `</g>`, "Cut:1 Bend lines:1"},
		"ids":       {`<g id="Outline">` + a + `<g id="inner">` + a + `</g></g><g id="Holes">` + b + `</g>`, "Outline:2 Holes:1"},
		"data-name": {`<g data-name="A b">` + a + `</g><g id="z">` + b + `</g>`, "A b:1 z:1"},
		"hidden":    {`<g id="A">` + a + `</g><g id="B" style="display:none">` + b + `</g>`, "A:1 B:1-"},
		"one is no choice: styles stand for them": {`<g id="A">` + a + `<path style="stroke:red;stroke-dasharray:2 1" d="M50 0h9"/></g>`, "black 1 mm:1 red 1 mm dashed:1"},
		"counted ids are nobody's":                {`<g id="g123">` + a + `</g><g id="svg_4">` + b + `</g>`, "black 1 mm:2"},
	} {
		l := mustShow(t, ink(c.body))
		var got []string
		for _, y := range l.Layers {
			s := fmt.Sprintf("%s:%d", y.Name, y.Entities)
			if y.Hidden {
				s += "-"
			}
			got = append(got, s)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s: %s, want %s", name, s, c.want)
		}
	}
}

func TestAHiddenLayerComesBackWhenAskedFor(t *testing.T) {
	const body = `<svg xmlns="http://www.w3.org/2000/svg" width="9mm" viewBox="0 0 99 99"><g id="A"><path d="M0 0h9v9h-9z"/></g><g id="B" display="none"><path d="M20 0h9v9h-9z"/></g></svg>`
	l, _ := drawing.Read(context.Background(), []byte(body), drawing.Options{Layers: []job.Layer{{Name: plain.Of("B"), Use: job.LayerCut}}})
	if len(l.Closed) != 2 {
		t.Errorf("%d loops", len(l.Closed))
	}
}

func TestEncodingsOfXMLAreRead(t *testing.T) {
	const body = `<svg xmlns="http://www.w3.org/2000/svg" width="9mm" viewBox="0 0 99 99"><g id="Außen"><path d="M0 0h9v9h-9z"/></g><g id="Löcher"><path d="M20 0h9v9h-9z"/></g></svg>`
	wide := func(big bool) string {
		out := []byte{0xff, 0xfe}
		if big {
			out = []byte{0xfe, 0xff}
		}
		for _, u := range utf16.Encode([]rune(`<?xml version="1.0" encoding="UTF-16"?>` + body)) {
			if big {
				out = append(out, byte(u>>8), byte(u))
			} else {
				out = append(out, byte(u), byte(u>>8))
			}
		}
		return string(out)
	}
	latin := func(s string) string {
		var b []byte
		for _, r := range s {
			b = append(b, byte(r))
		}
		return string(b)
	}
	for name, data := range map[string]string{
		"plain": body, "mark": "\xef\xbb\xbf" + body, "UTF-16 little": wide(false), "UTF-16 big": wide(true),
		"Latin-1": latin(`<?xml version="1.0" encoding="ISO-8859-1"?>` + body),
		"declared name space": `<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [
			<!ENTITY ns_svg "http://www.w3.org/2000/svg"> <!ENTITY o 'Außen'>]>` +
			strings.ReplaceAll(strings.Replace(body, "http://www.w3.org/2000/svg", "&ns_svg;", 1), `id="Außen"`, `id="&o;"`),
		"prefixed": strings.NewReplacer(`<svg xmlns=`, `<s:svg xmlns:s=`, "<g", "<s:g", "<path", "<s:path", "</", "</s:").Replace(body),
	} {
		l := mustShow(t, data)
		if len(l.Layers) != 2 || l.Layers[0].Name.String() != "Außen" || len(l.Closed) != 2 {
			t.Errorf("%s: %v", name, l.Layers)
		}
	}
}

// testdata/svg/*.pdf were made by librsvg 2.54.7 (rsvg-convert -f pdf) from
// the SVG of the same name: an independent reading of transforms, use,
// viewports, style sheets and arcs, in coordinates of about 0.001 mm.
func TestSVGMeansWhatLibrsvgDraws(t *testing.T) {
	files, _ := filepath.Glob("testdata/svg/*.pdf")
	if len(files) == 0 {
		t.Fatal("no file to compare with")
	}
	for _, file := range files {
		read := func(name string) []drawing.Loop {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			return mustShow(t, string(data)).Closed
		}
		svg, pdf := read(strings.TrimSuffix(file, ".pdf")+".svg"), read(file)
		if len(svg) != len(pdf) {
			t.Errorf("%s: %d loops, librsvg draws %d", file, len(svg), len(pdf))
			continue
		}
		for i := range svg {
			const rounding, fit = 0.005, 0.01
			a, b := svg[i].Path, pdf[i].Path
			if d := max(a.Box().Min.Dist(b.Box().Min), a.Box().Max.Dist(b.Box().Max)); d > 2*(rounding+fit) {
				t.Errorf("%s: loop %d: box %v, librsvg %v", file, i, a.Box(), b.Box())
			}
			if d := math.Abs(math.Abs(a.Area()) - math.Abs(b.Area())); d > (rounding+fit)*a.Length() {
				t.Errorf("%s: loop %d: area %g, librsvg %g", file, i, a.Area(), b.Area())
			}
		}
	}
}
