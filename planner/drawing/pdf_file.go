package drawing

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf16"
)

// The object layer of PDF is ours. Two Go libraries were tried for it. The
// small one follows cross references that point to themselves without end and
// knows one predictor of seven. In the large one a file of 1 MB with nothing
// but "1 0 obj" takes 9 s and 57 GB of passing memory, all between two reads,
// so that neither a context nor a limit on reading stops it; a file of 52
// bytes fell to a nil pointer; and it is a download of 280 MB. A reader of
// foreign files may do none of that.

// Limits of a PDF, beside those of every drawing. What the file's streams may
// hold once decoded is pdfBudget: so much for any file and so many times its
// size; drawings compress three to thirty times.
const (
	pdfBudget      = 4 << 20
	pdfBudgetTimes = 12
	pdfObjects     = 2_000_000
	pdfFewObjects  = 1_000 // in a file of any size; one more is allowed for each pdfObjectSize bytes
	pdfObjectSize  = 2     // object streams press small objects to a few bytes
	pdfSections    = 1_000 // cross reference sections: saves of one file
	pdfPages       = 100_000
	pdfTree        = 64 // page tree nodes, and lookups, within one another
	// pdfRereads is how many times its own size the file's objects may have
	// in all; they overlap only in damaged files.
	pdfRereads = 8
)

// errPDFLimit says which limit a file passed.
type errPDFLimit struct{ what string }

func (e errPDFLimit) Error() string { return e.what }

// errEncrypted is a file that needs a password or hides its content behind an empty one.
var errEncrypted = errors.New("encrypted")

// pdfEntry is where an object lies: at an offset, or in an object stream.
type pdfEntry struct {
	at, in int // offset; or object number of the stream, and place in it
	stream bool
	gen    int
}

// pdfDoc is an open PDF. Objects are parsed when they are asked for, once.
type pdfDoc struct {
	data    []byte
	xref    map[int]pdfEntry
	trailer pdfDict
	objects map[int]any
	streams map[int]map[int]any // objects of object streams, by stream
	busy    map[int]bool
	rebuilt bool
	budget  int64
	left    int64 // bytes that may still be decoded
	scan    int64 // bytes of objects that may still be read
	most    int   // objects
	broken  error // a limit met while an object was looked up
}

// openPDF finds the objects of a file.
func openPDF(data []byte) (*pdfDoc, error) {
	// Offsets count from the header, which may come late (annex H, 3.4.1).
	if k := bytes.Index(data[:min(len(data), 1024)], []byte("%PDF-")); k > 0 {
		data = data[k:]
	}
	d := &pdfDoc{data: data, objects: map[int]any{}, streams: map[int]map[int]any{}, busy: map[int]bool{}}
	d.budget = pdfBudget + pdfBudgetTimes*int64(len(data))
	d.left = d.budget
	d.most = min(pdfObjects, pdfFewObjects+len(data)/pdfObjectSize)
	d.scan = pdfRereads*int64(len(data)) + pdfBudget
	err := d.readXref()
	if errors.As(err, new(errPDFLimit)) {
		return nil, err
	}
	if err != nil || !d.hasPages() {
		if err := d.rebuild(); err != nil {
			return nil, err
		}
	}
	if d.trailer["Encrypt"] != nil {
		return nil, errEncrypted
	}
	if !d.hasPages() {
		return nil, errors.New("it has no pages")
	}
	return d, d.broken
}

func (d *pdfDoc) hasPages() bool {
	if d.trailer["Encrypt"] != nil {
		return true // asked no further
	}
	_, ok := d.get(d.root()["Pages"]).(pdfDict)
	return ok
}

func (d *pdfDoc) root() pdfDict {
	r, _ := d.get(d.trailer["Root"]).(pdfDict)
	return r
}

// definition reads "n gen obj ... endobj" where the lexer stands.
func (d *pdfDoc) definition(l *pdfLexer) (n, gen int, o any, ok bool) {
	l.space()
	n, ok = pdfInt(l.regular())
	if !ok {
		return
	}
	l.space()
	if gen, ok = pdfInt(l.regular()); !ok {
		return
	}
	l.space()
	if !bytes.HasPrefix(l.b[l.i:], []byte("obj")) {
		return n, gen, nil, false
	}
	l.i += len("obj")
	o, _ = l.object(0)
	if op, isOp := o.(pdfOp); isOp {
		if op != "endobj" {
			return n, gen, nil, false
		}
		return n, gen, nil, true
	}
	dict, isDict := o.(pdfDict)
	if !isDict {
		return n, gen, o, true
	}
	l.space()
	if !bytes.HasPrefix(l.b[l.i:], []byte("stream")) {
		return n, gen, o, true
	}
	l.i += len("stream")
	if l.i < len(l.b) && l.b[l.i] == '\r' {
		l.i++
	}
	if l.i < len(l.b) && l.b[l.i] == '\n' {
		l.i++
	}
	raw := d.streamBytes(l, dict)
	return n, gen, &pdfStream{dict, raw}, true
}

// streamBytes returns the data of a stream: as long as it says, if endstream
// follows; otherwise up to endstream.
func (d *pdfDoc) streamBytes(l *pdfLexer, dict pdfDict) []byte {
	rest := l.b[l.i:]
	if v, ok := d.get(dict["Length"]).(float64); ok && v >= 0 && v <= float64(len(rest)) {
		end := pdfLexer{b: rest, i: int(v)}
		end.space()
		if bytes.HasPrefix(rest[end.i:], []byte("endstream")) {
			l.i += int(v)
			return rest[:int(v)]
		}
	}
	k := bytes.Index(rest, []byte("endstream"))
	if k < 0 {
		k = len(rest)
	}
	l.i += k
	return bytes.TrimRight(rest[:k], "\r\n")
}

// get returns the object that o refers to, or o itself.
func (d *pdfDoc) get(o any) any {
	for range 32 { // a reference to a reference is not allowed, but seen
		r, ok := o.(pdfRef)
		if !ok {
			return o
		}
		o = d.load(r.n)
	}
	return nil
}

func (d *pdfDoc) load(n int) any {
	if o, ok := d.objects[n]; ok {
		return o
	}
	e, ok := d.xref[n]
	if !ok || e.at < 0 || d.busy[n] || len(d.busy) >= pdfTree || d.broken != nil {
		return nil
	}
	d.busy[n] = true
	defer delete(d.busy, n)
	if e.stream {
		o := d.inStream(e.in)[n]
		d.objects[n] = o
		return o
	}
	if e.at >= len(d.data) {
		return nil
	}
	l := pdfLexer{b: d.data, i: e.at}
	num, _, o, ok := d.definition(&l)
	d.read(l.i - e.at)
	if !ok || num != n {
		if !d.rebuilt && d.trailer != nil && d.rebuild() == nil {
			delete(d.busy, n)
			return d.load(n)
		}
		return nil
	}
	d.objects[n] = o
	return o
}

// read takes bytes of objects from what the file may have.
func (d *pdfDoc) read(n int) {
	if d.scan -= int64(n); d.scan < 0 && d.broken == nil {
		d.broken = errPDFLimit{fmt.Sprintf("objects that overlap: together more than %d times its size", pdfRereads)}
	}
}

// inStream returns the objects of an object stream (7.5.7).
func (d *pdfDoc) inStream(n int) map[int]any {
	if m, ok := d.streams[n]; ok {
		return m
	}
	m := map[int]any{}
	d.streams[n] = m
	if d.xref[n].stream { // streams lie in no stream
		return m
	}
	s, ok := d.load(n).(*pdfStream)
	if !ok {
		return m
	}
	data, err := d.decode(s)
	if errors.As(err, new(errPDFLimit)) {
		d.broken = err
	}
	count, _ := d.get(s.dict["N"]).(float64)
	first, _ := d.get(s.dict["First"]).(float64)
	if first < 0 || first > float64(len(data)) {
		return m
	}
	head := pdfLexer{b: data[:int(first)]}
	for i := 0; float64(i) < count; i++ {
		head.space()
		num, ok1 := pdfInt(head.regular())
		head.space()
		at, ok2 := pdfInt(head.regular())
		if !ok1 || !ok2 || int(first)+at > len(data) {
			break
		}
		if _, there := m[num]; there {
			continue
		}
		l := pdfLexer{b: data, i: int(first) + at}
		o, _ := l.object(0)
		if d.read(l.i - int(first) - at); d.broken != nil {
			break
		}
		if _, isOp := o.(pdfOp); !isOp {
			m[num] = o
		}
	}
	return m
}

// text turns a text string into UTF-8 (7.9.2.2); of PDFDocEncoding only the
// part that is Latin-1.
func (s pdfString) text() string {
	b := string(s)
	switch {
	case strings.HasPrefix(b, "\xfe\xff"):
		b = b[2:]
		u := make([]uint16, 0, len(b)/2)
		for i := 0; i+1 < len(b); i += 2 {
			u = append(u, uint16(b[i])<<8|uint16(b[i+1]))
		}
		return string(utf16.Decode(u))
	case strings.HasPrefix(b, "\xef\xbb\xbf"):
		return b[3:]
	}
	r := make([]rune, len(b))
	for i := range len(b) {
		r[i] = rune(b[i])
	}
	return string(r)
}
