package drawing_test

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"slices"
	"strings"
)

// pdfFile is a minimal writer of PDF for tests: objects by number, in the
// forms that files come in.
type pdfFile struct {
	objects map[int]string // body; streams with their data
	root    int
	extra   string // more entries of the trailer
	eol     string
}

func newPDF(objects map[int]string) *pdfFile { return &pdfFile{objects: objects, root: 1, eol: "\n"} }

// onePage is a document of one page of 200 x 100 points with the content given.
func onePage(page, content string, more map[int]string) *pdfFile {
	o := map[int]string{
		1: "<</Type/Catalog/Pages 2 0 R>>",
		2: "<</Type/Pages/Kids[3 0 R]/Count 1>>",
		3: "<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 100]/Contents 4 0 R " + page + ">>",
		4: stream("", content),
	}
	for n, s := range more {
		o[n] = s
	}
	return newPDF(o)
}

func stream(dict, data string) string {
	return fmt.Sprintf("<<%s/Length %d>>\nstream\n%s\nendstream", dict, len(data), data)
}

func deflate(s string) string {
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	w.Write([]byte(s))
	w.Close()
	return b.String()
}

func (f *pdfFile) numbers() []int {
	var out []int
	for n := range f.objects {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

// body writes the objects and returns where each one is.
func (f *pdfFile) body(b *bytes.Buffer, numbers []int) map[int]int {
	at := map[int]int{}
	for _, n := range numbers {
		at[n] = b.Len()
		fmt.Fprintf(b, "%d 0 obj%s%s%sendobj%s", n, f.eol, f.objects[n], f.eol, f.eol)
	}
	return at
}

// table writes a file with a cross reference table.
func (f *pdfFile) table() string {
	var b bytes.Buffer
	b.WriteString("%PDF-1.4" + f.eol + "%\xe2\xe3\xcf\xd3" + f.eol)
	at := f.body(&b, f.numbers())
	f.writeTable(&b, at, "")
	return b.String()
}

func (f *pdfFile) writeTable(b *bytes.Buffer, at map[int]int, more string) {
	xref := b.Len()
	top := 0
	b.WriteString("xref" + f.eol + "0 1" + f.eol + "0000000000 65535 f " + f.eol)
	for _, n := range f.numbers() {
		if off, ok := at[n]; ok {
			fmt.Fprintf(b, "%d 1%s%010d 00000 n %s", n, f.eol, off, f.eol)
		}
		top = max(top, n)
	}
	fmt.Fprintf(b, "trailer%s<</Size %d/Root %d 0 R%s%s>>%sstartxref%s%d%s%%%%EOF%s", f.eol, top+1, f.root, f.extra, more, f.eol, f.eol, xref, f.eol, f.eol)
}

// crossStream writes a file with a cross reference stream and, if packed, its
// objects in an object stream. Rows are predicted by PNG's rules, each by
// another one.
func (f *pdfFile) crossStream(packed bool) string {
	var b bytes.Buffer
	b.WriteString("%PDF-1.5\n")
	var plain, inside []int
	for _, n := range f.numbers() {
		if packed && !strings.Contains(f.objects[n], "stream") {
			inside = append(inside, n)
		} else {
			plain = append(plain, n)
		}
	}
	holder := slices.Max(f.numbers()) + 1
	if packed {
		var head, tail strings.Builder
		for _, n := range inside {
			fmt.Fprintf(&head, "%d %d ", n, tail.Len())
			tail.WriteString(f.objects[n] + " ")
		}
		f.objects[holder] = stream(fmt.Sprintf("/Type/ObjStm/N %d/First %d/Filter/FlateDecode", len(inside), head.Len()), deflate(head.String()+tail.String()))
		plain = append(plain, holder)
	}
	at := f.body(&b, plain)
	self := holder + 1
	at[self] = b.Len()
	var rows [][]byte
	for n := range self + 1 {
		switch off, ok := at[n]; {
		case ok:
			rows = append(rows, []byte{1, byte(off >> 16), byte(off >> 8), byte(off), 0})
		case slices.Contains(inside, n):
			rows = append(rows, []byte{2, 0, byte(holder >> 8), byte(holder), byte(slices.Index(inside, n))})
		default:
			rows = append(rows, []byte{0, 0, 0, 0, 0})
		}
	}
	data := deflate(string(pngRows(rows)))
	fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\nstartxref\n%d\n%%%%EOF\n", self,
		stream(fmt.Sprintf("/Type/XRef/Size %d/W[1 3 1]/Root %d 0 R/Filter/FlateDecode/DecodeParms<</Predictor 15/Columns 5>>%s", self+1, f.root, f.extra), data), at[self])
	return b.String()
}

// pngRows predicts rows of bytes by PNG's filters 0 to 4 in turn (PNG
// specification, section 9).
func pngRows(rows [][]byte) []byte {
	var out []byte
	prev := make([]byte, len(rows[0]))
	for i, row := range rows {
		kind := i % 5
		out = append(out, byte(kind))
		for k, v := range row {
			var left, up, corner int
			up = int(prev[k])
			if k > 0 {
				left, corner = int(row[k-1]), int(prev[k-1])
			}
			guess := 0
			switch kind {
			case 1:
				guess = left
			case 2:
				guess = up
			case 3:
				guess = (left + up) / 2
			case 4:
				p := left + up - corner
				guess = corner
				if d := func(x int) int { return max(p-x, x-p) }; d(left) <= d(up) && d(left) <= d(corner) {
					guess = left
				} else if d(up) <= d(corner) {
					guess = up
				}
			}
			out = append(out, v-byte(guess))
		}
		prev = row
	}
	return out
}
