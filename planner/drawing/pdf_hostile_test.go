package drawing_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
)

// hostilePDF are files of up to a megabyte made to take time or memory. says
// is what the fault must name; "" allows anything but a crash.
func hostilePDF() map[string]struct{ data, says string } {
	form := func(dict, content string) string { return stream("/Subtype/Form"+dict, content) }
	bomb := func(calls string) string {
		more := map[int]string{}
		for i := range 31 {
			more[10+i] = form(fmt.Sprintf("/Resources<</XObject<</X %d 0 R>>>>", 11+i), calls)
		}
		more[41] = form("", "0 0 1 1 re S")
		return onePage("/Resources<</XObject<</X 10 0 R>>>>", "/X Do", more).table()
	}
	chain := map[int]string{}
	for i := range 40 {
		chain[10+i] = form(fmt.Sprintf("/Resources<</XObject<</X %d 0 R>>>>", 11+i), "/X Do")
	}
	same := func() string { // every object number at one long stream
		f := onePage("", square, map[int]string{5: stream("", strings.Repeat("x", 900000))})
		s := f.table()
		head, _, _ := strings.Cut(s, "xref\n0 1")
		at := strings.Index(s, "5 0 obj")
		var b strings.Builder
		b.WriteString(head)
		x := b.Len()
		fmt.Fprintf(&b, "xref\n0 5000\n0000000000 65535 f \n")
		for range 4999 {
			fmt.Fprintf(&b, "%010d 00000 n \n", at)
		}
		fmt.Fprintf(&b, "trailer\n<</Size 5000/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n", x)
		return b.String()
	}
	open := func(body string) string {
		var b strings.Builder
		b.WriteString("%PDF-1.4\n")
		for i := 1; b.Len() < 1<<20; i++ {
			fmt.Fprintf(&b, "%d 0 obj%s\n", i, body)
		}
		return b.String()
	}
	selfPrev := func() string {
		s := onePage("", square, nil).table()
		x := strings.Index(s, "xref\n0 1")
		return strings.Replace(s, "/Root", fmt.Sprintf("/Prev %d/Root", x), 1)
	}
	inItself := onePage("", square, nil)
	inItself.objects[6] = stream("/Type/ObjStm/N 1/First 4/Length 6 0 R", "6 0 1")
	lengths := map[int]string{}
	for i := range 5000 {
		lengths[10+i] = fmt.Sprintf("<</Length %d 0 R>>stream\nx\nendstream", 11+i)
	}
	kids := map[int]string{2: "<</Type/Pages/Count 9/Kids[" + strings.Repeat("2 0 R 5 0 R ", 1000) + "]>>", 5: "<</Kids[2 0 R 5 0 R]>>"}
	deepKids := map[int]string{2: "<</Kids[10 0 R]>>"}
	for i := range 100 {
		deepKids[10+i] = fmt.Sprintf("<</Kids[%d 0 R]>>", 11+i)
	}
	flat := stream("/Filter/FlateDecode", deflate(strings.Repeat("0 0 1 1 re S ", 2_500_000)))
	twice := stream("/Filter[/FlateDecode/FlateDecode]", deflate(deflate(strings.Repeat("\x00", 60_000_000))))
	return map[string]struct{ data, says string }{
		"content that blows up":      {onePage("", "", map[int]string{4: flat}).table(), "MB of content"},
		"blown up twice":             {onePage("", "", map[int]string{4: twice}).table(), "MB of content"},
		"one stream many times":      {onePage("/Contents["+strings.Repeat("4 0 R ", 100000)+"]", mega(square + " ")[:400000], nil).table(), "MB of content"},
		"forms that multiply":        {bomb(strings.Repeat("/X Do ", 9)), "vertices made by forms"},
		"forms that multiply, empty": {bomb("/X Do /X Do"), ""},
		"forms in forms":             {onePage("/Resources<</XObject<</X 10 0 R>>>>", "/X Do", chain).table(), "forms within one another"},
		"saved states":               {onePage("", mega("q "), nil).table(), "saved states"},
		"marked content":             {onePage("", mega("/A BMC "), nil).table(), "marked contents"},
		"one stream, every object":   {same(), ""},
		"arrays in arrays":           {onePage("", square, map[int]string{5: mega("["), 3: "<</Type/Page/MediaBox 5 0 R/Contents 4 0 R>>"}).table(), ""},
		"arrays in content":          {onePage("", mega("["), nil).table(), ""},
		"dictionaries":               {onePage("", mega("<</A "), nil).table(), ""},
		"objects without end":        {open(""), ""},
		"strings without end":        {open(" ("), ""},
		"dictionaries without end":   {open("<</A"), ""},
		"streams without end":        {open("<</Length 9>>stream"), ""},
		"cross references that loop": {selfPrev(), ""},
		"a stream in itself":         {inItself.crossStream(false), ""},
		"a chain of lengths":         {onePage("/Contents 10 0 R", "", lengths).table(), ""},
		"pages in a ring":            {onePage("", "", kids).table(), ""},
		"pages in pages":             {onePage("", "", deepKids).table(), "page tree nodes"},
		"a huge table":               {"%PDF-1.4\nxref\n0 9999999999\ntrailer\n<</Size 9999999999/Root 1 0 R>>\nstartxref\n9\n%%EOF", ""},
		"a huge stream of tables":    {"%PDF-1.5\n1 0 obj\n" + stream("/Type/XRef/Size 999999999/W[1 1 1]/Root 1 0 R/Filter/FlateDecode", deflate(strings.Repeat("\x01\x09\x00", 1_000_000))) + "\nendobj\nstartxref\n9\n%%EOF", "objects"},
		"comments":                   {onePage("", mega("%"), nil).table(), ""},
		"brackets":                   {onePage("", mega("("), nil).table(), ""},
		"curves":                     {onePage("", "0 0 m "+mega("1 9 9 1 5 5 c ")+"S", nil).table(), ""},
		"rectangles":                 {onePage("", mega("1 9 9 1 re ")+"S", nil).table(), ""},
		"numbers":                    {onePage("", mega("1 "), nil).table(), ""},
		"one number":                 {onePage("", mega("1"), nil).table(), ""},
		"numbers too large":          {onePage("/UserUnit 1e300", "1"+strings.Repeat("0", 308)+" 0 m 1 1 l S "+square, nil).table(), ""},
		"a matrix too large":         {onePage("", strings.Repeat("9999999999 0 0 9999999999 0 0 cm ", 50)+square, nil).table(), ""},
		"a matrix of nothing":        {onePage("", "0 0 0 0 0 0 cm "+square, nil).table(), ""},
	}
}

func TestHostilePDFEndsInAFaultThatNamesItsLimit(t *testing.T) {
	for name, c := range hostilePDF() {
		if len(c.data) > 2<<20 {
			t.Errorf("%s: %d bytes", name, len(c.data))
		}
		r, f := drawing.Parse(context.Background(), []byte(c.data), plain.Of(name), 0)
		if (r == nil) != f.Bad() {
			t.Errorf("%s: %v", name, f)
		}
		hold(t, []byte(c.data))
		if c.says != "" && (!has(f, "limit", fault.Error) || !strings.Contains(f.Err().Error(), c.says)) {
			t.Errorf("%s: %.300v, want %q", name, f, c.says)
		}
	}
}

// Every file torn off at every byte is read or refused.
func TestTornPDFIsReadOrRefused(t *testing.T) {
	for _, whole := range []string{onePage("", square, nil).table(), onePage("", square, nil).crossStream(true)} {
		for n := range len(whole) {
			r, f := drawing.Parse(context.Background(), []byte(whole[:n]), plain.Text{}, 0)
			if (r == nil) != f.Bad() {
				t.Fatalf("torn at %d: %v", n, f)
			}
		}
	}
}

func BenchmarkHostilePDF(b *testing.B) {
	for name, c := range hostilePDF() {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				drawing.Parse(context.Background(), []byte(c.data), plain.Text{}, 0)
			}
		})
	}
}

// files adds the drawings of a folder of testdata.
func files(f *testing.F, folder, ending string) {
	names, _ := filepath.Glob(filepath.Join("testdata", folder, "*"+ending))
	if len(names) == 0 {
		f.Fatal("no seeds in " + folder)
	}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

func FuzzPDF(f *testing.F) {
	files(f, "pdf", ".pdf")
	files(f, "svg", ".pdf")
	f.Add([]byte(onePage("/Rotate 90/UserUnit 2/CropBox[5 5 90 90]", "q 2 0 0 2 5 5 cm [3 1] 0 d 1 0 0 RG "+hole+" Q BT 1 0 0 1 5 5 Tm (a) Tj ET", nil).table()))
	f.Add([]byte(onePage("", square, nil).crossStream(true)))
	f.Add([]byte(groups("/OFF[6 0 R]", "/OC /A BDC 0 0 9 9 re S EMC /OC /M BDC 40 0 9 9 re f EMC")))
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data) })
}

// FuzzPDFContent puts what it is given into the content of a page.
func FuzzPDFContent(f *testing.F) {
	for _, s := range []string{square, hole, "q 1 0 0 1 5 5 cm 0 0 m 9 0 l 9 9 l h f* Q", "/OC /A BDC 1 1 5 5 re B EMC BI /W 1 ID x EI /X Do", "[4 1 -2] 0 d .5 w 1 0 0 0 k 5 5 m 1 2 3 4 5 6 c 7 8 v 3 4 5 6 y s"} {
		f.Add([]byte(s))
	}
	more := map[int]string{5: stream("/Subtype/Form/Resources<</XObject<</X 5 0 R/Y 6 0 R>>>>", "/Y Do"), 6: stream("/Subtype/Form", "1 1 2 2 re s")}
	f.Fuzz(func(t *testing.T, data []byte) {
		hold(t, []byte(onePage("/Resources<</XObject<</X 5 0 R/Y 6 0 R>>>>", string(data), more).table()))
	})
}

func FuzzSVG(f *testing.F) {
	files(f, "svg", ".svg")
	for _, s := range []string{
		page(`<path d="M0 0h9v9z"/>`), page(`<use href="#a"/><symbol id="a" viewBox="0 0 1 1"><circle r="1"/></symbol>`),
		`<!DOCTYPE svg [<!ENTITY a "b">]><svg viewBox="0 0 9 9" style="fill:&a;"><style>.a{display:none}</style><rect class="a" width="1in" height="3%" rx="1"/></svg>`,
		page(`<svg x="1" width="50%" viewBox="0 0 9 9" preserveAspectRatio="none"><ellipse rx="3" transform="skewX(9) rotate(1rad)"/></svg>`),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data) })
}

// FuzzSVGPath puts what it is given into path data.
func FuzzSVGPath(f *testing.F) {
	for _, s := range []string{"M0 0h9v9z", "m1 1c1 2 3 4 5 6s1 2 3 4q1 2 3 4t5 6", "M0 0A5 3 20 1 0 9 9a5 5 0 0010 0z", "M1e5-.5.5L3,4"} {
		f.Add(s)
	}
	escape := strings.NewReplacer("&", "", "<", "", `"`, "")
	f.Fuzz(func(t *testing.T, d string) {
		hold(t, []byte(page(`<path d="`+escape.Replace(strings.ToValidUTF8(d, ""))+`"/>`)))
	})
}

func TestTheSameFileGivesTheSameFaults(t *testing.T) {
	whole := onePage("", square, nil).crossStream(true)
	for _, data := range []string{whole[:len(whole)-40], groups("", "/OC /A BDC 0 0 9 9 re S EMC")} {
		var first string
		for range 5 {
			_, f := readDrawing(t, data)
			if s := fmt.Sprint(f); first == "" {
				first = s
			} else if s != first {
				t.Fatalf("%s\n%s", first, s)
			}
		}
	}
}
