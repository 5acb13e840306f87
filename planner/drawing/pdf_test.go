package drawing_test

import (
	"bytes"
	"context"
	"encoding/ascii85"
	"encoding/hex"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/job"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// pt is mm in a point: UserUnit 1 is 1/72 in (ISO 32000-1, table 30).
const pt = 25.4 / 72

// boxes lists loops in points: "x,y wxh".
func boxes(l *drawing.Loops, mm float64) string {
	var s []string
	for _, c := range l.Closed {
		b := c.Path.Box()
		n := func(v float64) string { return unit.Number(v/mm, 1) }
		s = append(s, fmt.Sprintf("%s,%s %sx%s", n(b.Min.X), n(b.Min.Y), n(b.Width()), n(b.Height())))
	}
	return strings.Join(s, "; ")
}

func TestOperatorsDrawWhatTheStandardSays(t *testing.T) {
	// Operands as in ISO 32000-1, tables 57, 59 and 60.
	for _, c := range []struct{ name, content, want string }{
		{"re S", "10 20 30 40 re S", "10,20 30x40"},
		{"re, negative", "40 60 -30 -40 re S", "10,20 30x40"},
		{"m l h S", "10 20 m 40 20 l 40 60 l 10 60 l h S", "10,20 30x40"},
		{"s closes", "10 20 m 40 20 l 40 60 l s", "10,20 30x40"},
		{"f closes", "10 20 m 40 20 l 40 60 l f", "10,20 30x40"},
		{"f*", "10 20 m 40 20 l 40 60 l f*", "10,20 30x40"},
		{"b", "10 20 m 40 20 l 40 60 l b", "10,20 30x40"},
		{"B*", "10 20 m 40 20 l 40 60 l h B*", "10,20 30x40"},
		{"F", "10 20 m 40 20 l 40 60 l F", "10,20 30x40"},
		{"n paints nothing", "50 50 9 9 re n 10 20 30 40 re S", "10,20 30x40"},
		{"clip alone is nothing", "0 0 99 99 re W n 10 20 30 40 re S", "10,20 30x40"},
		{"clip and paint", "10 20 30 40 re W* S", "10,20 30x40"},
		{"of two m the last counts", "90 90 m 10 20 m 40 20 l 40 60 l s", "10,20 30x40"},
		{"after h a new subpath", "10 20 m 40 20 l 40 60 l h 20 20 l 20 90 l 10 90 l h S", "10,20 10x70; 10,20 30x40"},
		{"several subpaths", "0 0 5 5 re 10 10 5 5 re S", "0,0 5x5; 10,10 5x5"},
		{"q Q", "q 2 0 0 2 0 0 cm 5 5 5 5 re S Q 5 5 5 5 re S", "5,5 5x5; 10,10 10x10"},
		{"Q too many", "Q Q 5 5 5 5 re S", "5,5 5x5"},
		{"cm in order", "2 0 0 2 100 50 cm 0 1 -1 0 0 0 cm 10 5 10 5 re S", "80,70 10x20"},
		{"cm in the middle of a path", "10 20 m 40 20 l 1 0 0 1 0 40 cm 40 20 l 10 20 l h S", "10,20 30x40"},
		{"v and y", "0 10 m 20 10 l 20 20 l 10 30 10 30 v 0 20 0 10 y s", "0,10 20x20"},
		{"c", "0 0 m 0 40 40 40 40 0 c s", "0,0 40x30"},
		{"numbers as they are written", "+10 20. m 40 .2e2 l 40. 60 l -.0 60 l s", "0,20 40x40"},
		{"comments", "10 20 % 99 99 99 99 re\n30 40 re S", "10,20 30x40"},
		{"strings are skipped", "BT /F1 9 Tf (re S \\) 1 1 5 5) Tj ET 10 20 30 40 re S", "10,20 30x40"},
		{"a picture in the content", "BI /W 4 /H 1 /BPC 8 /CS /G ID \x00 S 5 5 9 9 re EI 10 20 30 40 re S", "10,20 30x40"},
		{"operands missing", "5 re 1 l 10 20 30 40 re S", "10,20 30x40"},
		{"operands too many", "9 9 9 10 20 30 40 re S", "10,20 30x40"},
		{"BX EX and names unknown", "BX 1 2 foo EX 10 20 30 40 re S", "10,20 30x40"},
	} {
		l, f := readDrawing(t, onePage("", c.content, nil).table())
		if l == nil {
			t.Errorf("%s: %v", c.name, f)
			continue
		}
		if got := boxes(l, pt); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// CTM' = M x CTM, x' = ax+cy+e, y' = bx+dy+f; worked apart: (10, 5) goes to (90, 70).
func TestTransformsStackAsWorked(t *testing.T) {
	l := mustShow(t, onePage("", "2 0 0 2 100 50 cm 0 1 -1 0 0 0 cm 10 5 m 11 5 l 11 6 l s", nil).table())
	if p := l.Box.Max; math.Abs(p.X/pt-90) > 1e-9 || math.Abs(l.Box.Min.Y/pt-70) > 1e-9 {
		t.Errorf("%v", l.Box)
	}
}

const square = "10 20 30 40 re S"

func TestFilesAreReadInEveryForm(t *testing.T) {
	f := func() *pdfFile { return onePage("", square, nil) }
	plainFile := f().table()
	crlf := f()
	crlf.eol = "\r\n"
	cr := f()
	cr.eol = "\r"
	update := func(prev string) string {
		var b bytes.Buffer
		b.WriteString(prev)
		u := newPDF(map[int]string{4: stream("", "1 0 0 1 100 0 cm "+square)})
		at := u.body(&b, []int{4})
		k := strings.LastIndex(prev, "startxref\n") + len("startxref\n")
		u.writeTable(&b, at, "/Prev "+prev[k:strings.IndexByte(prev[k:], '\n')+k])
		return b.String()
	}
	hybrid := func() string {
		d := f()
		var b bytes.Buffer
		b.WriteString("%PDF-1.5\n")
		obj := "3 0 " + d.objects[3]
		d.objects[7] = stream(fmt.Sprintf("/Type/ObjStm/N 1/First %d", len("3 0 ")), obj)
		at := d.body(&b, []int{1, 2, 4, 7})
		x := b.Len()
		fmt.Fprintf(&b, "8 0 obj\n%s\nendobj\n", stream("/Type/XRef/Size 9/W[1 1 1]/Index[3 1]", "\x02\x07\x00"))
		d.writeTable(&b, at, fmt.Sprintf("/XRefStm %d", x))
		return b.String()
	}
	for name, c := range map[string]struct{ data, want string }{
		"table":                   {plainFile, "10,20 30x40"},
		"CR LF":                   {crlf.table(), "10,20 30x40"},
		"CR":                      {cr.table(), "10,20 30x40"},
		"cross reference stream":  {f().crossStream(false), "10,20 30x40"},
		"object stream":           {f().crossStream(true), "10,20 30x40"},
		"hybrid":                  {hybrid(), "10,20 30x40"},
		"saved again":             {update(plainFile), "110,20 30x40"},
		"PDF 2.0":                 {strings.Replace(plainFile, "%PDF-1.4", "%PDF-2.0", 1), "10,20 30x40"},
		"text before the header":  {"x-mail: y\n\n" + plainFile, "10,20 30x40"},
		"text after the end":      {plainFile + strings.Repeat("\n<!-- sent -->", 200), "10,20 30x40"},
		"offsets off by some":     {strings.Replace(plainFile, "%PDF-1.4\n", "%PDF-1.4\n%%%%%%%%%%\n", 1), "10,20 30x40"},
		"startxref wrong":         {strings.Replace(plainFile, "startxref\n", "startxref\n99", 1), "10,20 30x40"},
		"no cross references":     {plainFile[:strings.Index(plainFile, "xref\n")], "10,20 30x40"},
		"torn off, object stream": {strings.Split(f().crossStream(true), "startxref")[0], "10,20 30x40"},
		"wrong length of stream":  {strings.Replace(plainFile, "/Length 16", "/Length 99", 1), "10,20 30x40"},
		"length by reference":     {onePage("", square, map[int]string{4: "<</Length 5 0 R>>stream\n" + square + "\nendstream", 5: "16"}).table(), "10,20 30x40"},
		"length of itself":        {onePage("", square, map[int]string{4: "<</Length 4 0 R>>stream\n" + square + "\nendstream"}).table(), "10,20 30x40"},
		"content in parts":        {onePage("/Contents[4 0 R 5 0 R]", "10 20 30", map[int]string{5: stream("", "40 re S")}).table(), "10,20 30x40"},
	} {
		l, faults := readDrawing(t, c.data)
		if l == nil {
			t.Errorf("%s: %v", name, faults)
			continue
		}
		if got := boxes(l, pt); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

func TestFiltersGiveBackTheContent(t *testing.T) {
	var a85 bytes.Buffer
	w := ascii85.NewEncoder(&a85)
	w.Write([]byte(square))
	w.Close()
	run := "\x04" + square[:5] + string([]byte{byte(len(square[5:]) - 1)}) + square[5:] + "\x80"
	tiff := []byte(square)
	for i := len(tiff) - 1; i > 0; i-- {
		tiff[i] -= tiff[i-1]
	}
	for name, s := range map[string]string{
		"flate":          stream("/Filter/FlateDecode", deflate(square)),
		"flate, array":   stream("/Filter[/FlateDecode]/DecodeParms[null]", deflate(square)),
		"flate, torn":    stream("/Filter/FlateDecode", deflate(square + strings.Repeat(" ", 50000))[:60]),
		"hex":            stream("/Filter/ASCIIHexDecode", hex.EncodeToString([]byte(square))+">"),
		"85":             stream("/Filter/ASCII85Decode", a85.String()+"~>"),
		"85 then flate":  stream("/Filter[/A85/Fl]", encode85(deflate(square))),
		"run lengths":    stream("/Filter/RunLengthDecode", run),
		"TIFF predictor": stream(fmt.Sprintf("/Filter/FlateDecode/DecodeParms<</Predictor 2/Columns %d>>", len(square)), deflate(string(tiff))),
		// The example of ISO 32000-1, 7.4.4.2: 45 45 45 45 45 65 45 45 45 66
		// ("-----A---B") encodes as 80 0B 60 50 22 0C 0C 85 01.
		"LZW, the standard's example": stream("/Filter/LZWDecode", "\x80\x0b\x60\x50\x22\x0c\x0c\x85\x01") + "",
	} {
		more := map[int]string{4: s}
		if strings.HasPrefix(name, "LZW") {
			// The decoded text is a comment's end and no operator: the figure follows.
			more[5] = stream("", square)
			more[3] = "<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 100]/Contents[4 0 R 5 0 R]>>"
		}
		l, f := readDrawing(t, onePage("", "", more).table())
		if l == nil || boxes(l, pt) != "10,20 30x40" {
			t.Errorf("%s: %v", name, f)
		}
		if torn := has(f, "broken-stream", fault.Error); torn != (name == "flate, torn") {
			t.Errorf("%s: torn %v: %v", name, torn, f)
		}
	}
}

func encode85(s string) string {
	var b bytes.Buffer
	w := ascii85.NewEncoder(&b)
	w.Write([]byte(s))
	w.Close()
	return b.String() + "~>"
}

// testdata/pdf: one page of ours, saved in other forms by qpdf 11.3.0
// (object streams, linearized, encrypted) and drawn by cairo 1.16 out of an
// SVG: what other programs write, not what this test thinks they do.
func TestFilesOfOtherProgramsAreRead(t *testing.T) {
	for name, want := range map[string]string{
		"plain.pdf": "", "objects.pdf": "", "linear.pdf": "", "qdf.pdf": "", "encrypted.pdf": "encrypted", "open-password.pdf": "encrypted",
	} {
		data, err := os.ReadFile(filepath.Join("testdata", "pdf", name))
		if err != nil {
			t.Fatal(err)
		}
		l, f := readDrawing(t, string(data))
		if want != "" {
			if l != nil || !has(f, want, fault.Error) {
				t.Errorf("%s: %v", name, f)
			}
			continue
		}
		if l == nil || len(l.Closed) != 3 || boxes(l, pt) != "20,20 260x160; 50,75 50x50; 200,75 50x50" {
			t.Errorf("%s: %v", name, f)
		}
	}
}

func TestRotationCropAndUserUnit(t *testing.T) {
	for _, c := range []struct {
		page string
		mm   float64
		want string
	}{
		{"", pt, "10,20 30x40"},
		// Rotate: clockwise when shown; the page is 200 x 100 (ISO 32000-1, table 30).
		{"/Rotate 90", pt, "20,160 40x30"},
		{"/Rotate 180", pt, "160,40 30x40"},
		{"/Rotate 270", pt, "40,10 40x30"},
		{"/Rotate -90", pt, "40,10 40x30"},
		{"/Rotate 450", pt, "20,160 40x30"},
		{"/CropBox[5 5 150 90]", pt, "5,15 30x40"},
		{"/CropBox[150 90 5 5]/Rotate 90", pt, "15,110 40x30"},
		{"/CropBox[-50 -50 900 900]", pt, "10,20 30x40"},
		{"/UserUnit 10", 10 * pt, "10,20 30x40"},
	} {
		l := mustShow(t, onePage(c.page, square, nil).table())
		if got := boxes(l, c.mm); got != c.want {
			t.Errorf("%s: %s, want %s", c.page, got, c.want)
		}
	}
	// 72 points of UserUnit 10 are 254 mm.
	l := mustShow(t, onePage("/UserUnit 10", "0 0 72 50 re S", nil).table())
	if w := l.Box.Width(); math.Abs(w-254) > 1e-9 {
		t.Errorf("%g mm, want 254", w)
	}
}

func TestPageTreesPassTheirPropertiesOn(t *testing.T) {
	f := newPDF(map[int]string{
		1: "<</Type/Catalog/Pages 2 0 R>>",
		2: "<</Type/Pages/Kids[3 0 R 6 0 R]/Count 3/MediaBox[0 0 200 100]/Rotate 90>>",
		3: "<</Type/Pages/Parent 2 0 R/Kids[4 0 R 5 0 R]/Count 2/Rotate 0>>",
		4: "<</Type/Page/Parent 3 0 R/Contents 7 0 R>>",
		5: "<</Type/Page/Parent 3 0 R/Contents 8 0 R/MediaBox[5 5 100 100]>>",
		6: "<</Type/Page/Parent 2 0 R/Contents 7 0 R>>",
		7: stream("", square),
		8: stream("", "50 50 5 5 re S"),
	})
	if n, err := drawing.Pages([]byte(f.table())); n != 3 || err != nil {
		t.Errorf("%d pages, %v", n, err)
	}
	if n, err := drawing.Pages([]byte("%PDF-1.7 and nothing else")); err == nil {
		t.Errorf("%d pages in a broken file", n)
	}
	if n, err := drawing.Pages([]byte("<svg xmlns=\"http://www.w3.org/2000/svg\"/>")); n != 1 || err != nil {
		t.Errorf("%d pages in an SVG, %v", n, err)
	}
	for page, want := range map[int]string{0: "10,20 30x40", 1: "10,20 30x40", 2: "45,45 5x5", 3: "20,160 40x30"} {
		l, faults := drawing.Read(context.Background(), []byte(f.table()), drawing.Options{Page: page})
		if l == nil || boxes(l, pt) != want || l.Pages != 3 || l.Page != max(page, 1) {
			t.Errorf("page %d: %v", page, faults)
		}
		if has(faults, "page", fault.Note) != (page == 0) {
			t.Errorf("page %d: %v", page, faults)
		}
	}
	l, faults := drawing.Read(context.Background(), []byte(f.table()), drawing.Options{Page: 4})
	if l != nil || !has(faults, "page", fault.Error) || !strings.Contains(faults[0].What, "3 pages") {
		t.Errorf("page 4: %v", faults)
	}
}

func TestFormsAreDrawnWhereTheyAreUsed(t *testing.T) {
	form := func(dict, content string) string {
		return stream("/Type/XObject/Subtype/Form/BBox[0 0 50 50]"+dict, content)
	}
	more := map[int]string{
		5: form("/Matrix[2 0 0 2 0 0]/Resources<</XObject<</In 6 0 R>>>>", "5 5 5 5 re S /In Do"),
		6: form("", "q 1 0 0 1 20 0 cm 0 0 m 1 0 l 1 1 l s"),
		7: form("/Resources<</XObject<</Me 7 0 R>>>>", "1 1 1 1 re S /Me Do"),
	}
	l := mustShow(t, onePage("/Resources<</XObject<</F 5 0 R>>>>", "q 1 0 0 1 100 0 cm /F Do Q /F Do 3 3 1 1 re S", more).table())
	if got, want := boxes(l, pt), "3,3 1x1; 10,10 10x10; 40,0 2x2; 110,10 10x10; 140,0 2x2"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	_, f := readDrawing(t, onePage("/Resources<</XObject<</F 7 0 R>>>>", "/F Do", more).table())
	if !has(f, "form-cycle", fault.Error) {
		t.Error(f)
	}
}

// groups is a document with two or more optional content groups.
func groups(config, content string) string {
	f := onePage("/Resources<</Properties<</A 5 0 R/B 6 0 R/M 7 0 R>>>>", content, map[int]string{
		5: "<</Type/OCG/Name(Outline)>>",
		6: "<</Type/OCG/Name<FEFF00420065006D00610DF0>>>",
		7: "<</Type/OCMD/OCGs 6 0 R>>",
	})
	f.objects[6] = "<</Type/OCG/Name<FEFF004D006100DF>>>" // "Maß" in UTF-16
	f.objects[1] = "<</Type/Catalog/Pages 2 0 R/OCProperties<</OCGs[5 0 R 6 0 R]/D<<" + config + ">>>>>>"
	return f.table()
}

func TestOptionalContentIsLayers(t *testing.T) {
	const content = "/OC /A BDC 0 0 9 9 re S /Span BMC 1 1 2 2 re S EMC EMC /OC /B BDC 20 0 9 9 re S EMC /OC /M BDC 40 0 9 9 re S EMC .5 w 60 0 9 9 re S"
	for config, want := range map[string]string{
		"":                             "Outline 2 cut; Maß 2 cut; black 0.18 mm 1 cut",
		"/OFF[6 0 R]":                  "Outline 2 cut; Maß 2 off; black 0.18 mm 1 cut",
		"/BaseState/OFF/ON[5 0 R]":     "Outline 2 cut; Maß 2 off; black 0.18 mm 1 cut",
		"/OFF[5 0 R 6 0 R]/ON[5 0 R]/": "Outline 2 off; Maß 2 off; black 0.18 mm 1 cut",
	} {
		l := mustShow(t, groups(config, content))
		var got []string
		for _, y := range l.Layers {
			use := string(y.Use)
			if y.Hidden {
				use = "off"
			}
			got = append(got, fmt.Sprintf("%s %d %s", y.Name, y.Entities, use))
		}
		if s := strings.Join(got, "; "); s != want {
			t.Errorf("%s: %s, want %s", config, s, want)
		}
	}
	l, _ := drawing.Read(context.Background(), []byte(groups("/OFF[6 0 R]", content)), drawing.Options{Layers: []job.Layer{{Name: plain.Of("Maß"), Use: job.LayerCut}}})
	if len(l.Closed) != 5 {
		t.Errorf("asked for, the layer gives %d loops in all", len(l.Closed))
	}
}

func TestStylesStandForLayersWhereThereAreNone(t *testing.T) {
	l := mustShow(t, onePage("", "2 w 10 10 180 80 re S .25 w [4 2 1 2] 0 d 0 50 m 200 50 l S [] 0 d 1 0 0 RG 20 20 m 90 20 l S 0 .5 0 rg 5 5 m 7 5 l 6 9 l f 1 0 0 0 K 30 30 9 9 re S", nil).table())
	want := []struct {
		name string
		use  job.LayerUse
	}{{"black 0.71 mm", job.LayerCut}, {"black 0.09 mm dashed", job.LayerIgnore}, {"red 0.09 mm", job.LayerIgnore}, {"#008000 fill", job.LayerIgnore}, {"cyan 0.09 mm", job.LayerCut}}
	if len(l.Layers) != len(want) {
		t.Fatalf("%v", l.Layers)
	}
	for i, w := range want {
		if y := l.Layers[i]; y.Name.String() != w.name || y.Use != w.use || y.Why == "" {
			t.Errorf("layer %q: %s (%s), want %q: %s", y.Name, y.Use, y.Why, w.name, w.use)
		}
	}
	if len(l.Closed) != 2 || len(l.Open) != 0 {
		t.Errorf("%d closed, %d open", len(l.Closed), len(l.Open))
	}
	guesses := 0
	for _, f := range l.Report {
		if f.Code == "layer-guess" && f.Severity == fault.Warning && f.Do != "" {
			guesses++
		}
	}
	if guesses != 2 { // of looks alone: not the broken lines, which say what they are
		t.Errorf("%d layers were left out by a guess that asks: %v", guesses, l.Report)
	}
}

// A circle of four Béziers, radius 20 points, with handles of 0.5523 r.
const hole = "120 50 m 120 61.046 111.046 70 100 70 c 88.954 70 80 61.046 80 50 c 80 38.954 88.954 30 100 30 c 111.046 30 120 38.954 120 50 c h S "

func TestHoleDrawnAsFourBeziersIsAHoleOfItsTrueDiameter(t *testing.T) {
	l := mustShow(t, onePage("", "10 10 180 80 re S "+hole, nil).table())
	if len(l.Closed) != 2 {
		t.Fatal(l.Report)
	}
	p := l.Closed[1].Path
	if len(p.V) != 2 || math.Abs(p.Seg(0).Radius()*2-40*pt) > 0.01 { // the fit
		t.Errorf("%v: diameter %.4f, want %.4f", p.V, p.Seg(0).Radius()*2, 40*pt)
	}
	if !has(l.Report, "bezier-circle", fault.Note) {
		t.Error(l.Report)
	}
}

func TestWhatCannotBeCutIsRefusedByName(t *testing.T) {
	image := map[int]string{5: stream("/Type/XObject/Subtype/Image/Width 1/Height 1/ColorSpace/DeviceGray/BitsPerComponent 8", "x")}
	encrypted := onePage("", square, map[int]string{5: "<</Filter/Standard/V 2/R 3/O(x)/U(y)/P -4>>"})
	encrypted.extra = "/Encrypt 5 0 R"
	for name, c := range map[string]struct{ data, code, says string }{
		"encrypted":      {encrypted.table(), "encrypted", "encrypted"},
		"encrypted, new": {encrypted.crossStream(false), "encrypted", "encrypted"},
		"scan":           {onePage("/Resources<</XObject<</I 5 0 R>>>>", "q 200 0 0 100 0 0 cm /I Do Q", image).table(), "no-paths", "1 picture and no vectors"},
		"scan on white":  {onePage("/Resources<</XObject<</I 5 0 R>>>>", "1 g 0 0 200 100 re f q 200 0 0 100 0 0 cm /I Do Q", image).table(), "no-paths", "picture"},
		"only text":      {onePage("", "BT (x) Tj ET", nil).table(), "no-paths", "text"},
		"empty":          {onePage("", "", nil).table(), "no-paths", "no vectors"},
		"no pages":       {newPDF(map[int]string{1: "<</Type/Catalog>>"}).table(), "broken-pdf", "no pages"},
		"not whole":      {"%PDF-1.4\n", "broken-pdf", "damaged"},
	} {
		l, f := readDrawing(t, c.data)
		if l != nil || !has(f, c.code, fault.Error) || !strings.Contains(f[0].What, c.says) || f[0].Do == "" {
			t.Errorf("%s: %v", name, f)
		}
	}
}

func TestWhatLiesOffThePageIsLeftOut(t *testing.T) {
	l := mustShow(t, onePage("", square+" 500 20 30 40 re S -5 -5 10 10 re S", nil).table())
	if len(l.Closed) != 2 || !has(l.Report, "off-page", fault.Note) {
		t.Errorf("%d loops, %v", len(l.Closed), l.Report)
	}
}

func TestAPDFMakesOneCheckItsScale(t *testing.T) {
	l := mustShow(t, onePage("", square, nil).table())
	if !has(l.Report, "unit-doubt", fault.Warning) || l.UnitName != "points" {
		t.Error(l.Report)
	}
}
