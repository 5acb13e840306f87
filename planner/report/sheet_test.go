package report_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/report"
)

const nasty = "<script>alert(1)</script> & \"leaf\"\x1b[31m"

func sheet(rows int) report.Sheet {
	s := report.Sheet{Title: nasty, Features: [][]string{{"feature", "kind"}, {nasty, "hole"}}}
	sec := report.Section{Head: "STOCK & ZERO"}
	for i := range rows {
		sec.Rows = append(sec.Rows, report.Row{Name: fmt.Sprintf("row %d", i), Figure: nasty})
	}
	s.Sections = []report.Section{sec, {Head: "EMPTY"}, {Head: "TICK", Rows: []report.Row{{Name: "[ ] " + nasty}}}}
	s.Picture = &report.Picture{Box: geom.Box{Max: geom.Pt(180, 100)}}
	s.Picture.Strokes = []report.Stroke{
		{Kind: report.StrokeStock, Path: geom.Polygon(geom.Pt(0, 0), geom.Pt(180, 0), geom.Pt(180, 100), geom.Pt(0, 100))},
		{Kind: report.StrokeCut, Path: geom.Path{V: []geom.Vertex{{P: geom.Pt(60, 50), Bulge: 1}, {P: geom.Pt(40, 50)}}}}, // over the top
		{Kind: report.StrokeHold, Path: geom.Circle(geom.Pt(90, 50), 5)},
	}
	s.Picture.Labels = []report.Label{{At: geom.Pt(50, 50), Text: nasty}}
	return s
}

func forms(t *testing.T, s report.Sheet) map[string]string {
	t.Helper()
	out := map[string]string{}
	for name, write := range map[string]func(io.Writer) error{"svg": s.SVG, "html": s.HTML, "txt": s.Text} {
		var b strings.Builder
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		out[name] = b.String()
	}
	return out
}

// wellFormed reads a text as XML to its end.
func wellFormed(text string) error {
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
	}
}

func TestForeignTextDoesNothingOnTheSheet(t *testing.T) {
	for name, text := range forms(t, sheet(5)) {
		if strings.Contains(text, "\x1b") {
			t.Errorf("%s: an escape sequence", name)
		}
		if name != "txt" && strings.Contains(text, "<script") {
			t.Errorf("%s: a script", name)
		}
	}
	if err := wellFormed(forms(t, sheet(5))["svg"]); err != nil {
		t.Error(err)
	}
}

func TestSheetNeedsNoColoursAndNoOtherFile(t *testing.T) {
	colour := regexp.MustCompile(`#[0-9a-fA-F]{3,6}\b`)
	for name, text := range forms(t, sheet(5)) {
		for _, c := range colour.FindAllString(text, -1) {
			if c != "#000" && c != "#fff" && c != "#999" {
				t.Errorf("%s: colour %s", name, c)
			}
		}
		for _, from := range []string{"src=", "url(", "@import", "<link", "<image"} {
			if strings.Contains(text, from) {
				t.Errorf("%s: %s", name, from)
			}
		}
	}
}

// A plate of 180 x 100 mm fits the page at 1:1: on paper, too, its sides are
// 180 and 100 mm, since the page's units are mm.
func TestPictureIsToScale(t *testing.T) {
	text := forms(t, sheet(5))["svg"]
	if !strings.Contains(text, `width="210mm" height="297mm" viewBox="0 0 210 297"`) || !strings.Contains(text, "scale 1:1<") {
		t.Error("not a page of A4 in mm at 1:1")
	}
	d := regexp.MustCompile(`class="stock"[^>]* d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)`).FindStringSubmatch(text)
	if d == nil {
		t.Fatal("no stock")
	}
	var v [7]float64
	for i := 1; i < 7; i++ {
		v[i], _ = strconv.ParseFloat(d[i], 64)
	}
	if w, h := v[3]-v[1], v[4]-v[6]; math.Abs(w-180) > 1e-3 || math.Abs(h-100) > 1e-3 {
		t.Errorf("%g x %g mm on paper", w, h)
	}
	// Half a circle counter-clockwise seen with Y up goes over the top: with Y
	// down that is sweep 0 (SVG 1.1, 8.3.8: 1 is the direction of growing angles,
	// clockwise on the screen).
	if !regexp.MustCompile(`class="cut"[^>]* d="M[\d.]+ [\d.]+A10 10 0 0 0 `).MatchString(text) {
		t.Error("the arc goes the other way")
	}
	half := sheet(5)
	half.Picture.Box = geom.Box{Max: geom.Pt(360, 200)}
	if !strings.Contains(forms(t, half)["svg"], "scale 1:2<") {
		t.Error("twice the size is not at 1:2")
	}
}

func TestPageSaysWhatItLeavesOut(t *testing.T) {
	if text := forms(t, sheet(20))["svg"]; strings.Contains(text, "lines more") {
		t.Error("20 rows do not fit")
	}
	text := forms(t, sheet(900))["svg"]
	if !strings.Contains(text, "lines more: see the sheet as HTML or text") {
		t.Error("900 rows fit on one page")
	}
	for _, m := range regexp.MustCompile(` y="([\d.]+)"`).FindAllStringSubmatch(text, -1) {
		if y, _ := strconv.ParseFloat(m[1], 64); y > 297-11+0.01 {
			t.Fatalf("a line at %g mm, below the margin", y)
		}
	}
}

func TestUnknownFiguresReadNotKnown(t *testing.T) {
	value := 1.5
	for _, r := range (report.Cost{Items: []report.CostItem{{Name: "metal", Money: &value}, {Name: "gas"}}, Known: 1.5, Currency: "EUR"}).Lines() {
		if r.Name == "cost in all" && r.Figure != "not known for want of gas; the rest comes to 1.50 EUR" {
			t.Error(r.Figure)
		}
		if strings.Contains(r.Figure, " 0.00 kg") {
			t.Error(r.Figure)
		}
	}
	for _, r := range (report.Cost{Items: []report.CostItem{{Name: "metal"}}}).Lines() {
		if (r.Name == "cost in all" || r.Name == "gas") && !strings.HasPrefix(r.Figure, report.Unknown) {
			t.Errorf("%s: %s", r.Name, r.Figure)
		}
	}
}
