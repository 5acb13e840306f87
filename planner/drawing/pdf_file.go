package drawing

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
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

// readXref follows the cross references from the end of the file (7.5.4,
// 7.5.8). The first word on an object counts: newer sections come first.
func (d *pdfDoc) readXref() error {
	d.xref, d.trailer = map[int]pdfEntry{}, nil
	k := bytes.LastIndex(d.data, []byte("startxref"))
	if k < 0 {
		return errors.New("no startxref")
	}
	l := pdfLexer{b: d.data, i: k + len("startxref")}
	l.space()
	at, ok := pdfInt(l.regular())
	seen := map[int]bool{}
	todo := []int{at}
	for ok && len(todo) > 0 {
		at, todo = todo[0], todo[1:]
		if seen[at] || at < 0 || at >= len(d.data) {
			if len(seen) == 0 {
				return errors.New("startxref leads nowhere")
			}
			continue
		}
		seen[at] = true
		if len(seen) > pdfSections {
			return errPDFLimit{fmt.Sprintf("more than %d cross reference sections", pdfSections)}
		}
		dict, err := d.section(at)
		if err != nil {
			return err
		}
		if d.trailer == nil {
			d.trailer = dict
		}
		for _, key := range []pdfName{"XRefStm", "Prev"} { // hybrid files: the stream first (7.5.8.4)
			if v, isNumber := dict[key].(float64); isNumber && v >= 0 && v < float64(len(d.data)) {
				todo = append(todo, int(v))
			}
		}
	}
	if d.trailer == nil {
		return errors.New("no trailer")
	}
	return nil
}

// section reads one cross reference section and returns its trailer.
func (d *pdfDoc) section(at int) (pdfDict, error) {
	l := pdfLexer{b: d.data, i: at}
	l.space()
	if bytes.HasPrefix(l.b[l.i:], []byte("xref")) {
		l.i += len("xref")
		return d.table(&l)
	}
	_, _, o, ok := d.definition(&l)
	s, isStream := o.(*pdfStream)
	if !ok || !isStream {
		return nil, errors.New("no cross references")
	}
	return s.dict, d.xrefStream(s)
}

// table reads the lines "offset generation n" and the trailer after them.
func (d *pdfDoc) table(l *pdfLexer) (pdfDict, error) {
	for {
		l.space()
		w := l.regular()
		if string(w) == "trailer" {
			o, _ := l.object(0)
			dict, ok := o.(pdfDict)
			if !ok {
				return nil, errors.New("no trailer")
			}
			return dict, nil
		}
		first, ok1 := pdfInt(w)
		l.space()
		n, ok2 := pdfInt(l.regular())
		if !ok1 || !ok2 {
			return nil, errors.New("a cross reference that cannot be read")
		}
		for i := range n {
			l.space()
			at, okAt := pdfInt(l.regular())
			l.space()
			gen, okGen := pdfInt(l.regular())
			l.space()
			kind := string(l.regular())
			if !okAt || !okGen || kind != "n" && kind != "f" {
				return nil, errors.New("a cross reference that cannot be read")
			}
			if kind == "n" && at > 0 {
				if err := d.enter(first+i, pdfEntry{at: at, gen: gen}); err != nil {
					return nil, err
				}
			} else {
				d.free(first + i)
			}
		}
	}
}

func (d *pdfDoc) enter(n int, e pdfEntry) error {
	if _, there := d.xref[n]; there {
		return nil
	}
	if len(d.xref) >= d.most {
		return errPDFLimit{fmt.Sprintf("more than %d objects", d.most)}
	}
	d.xref[n] = e
	return nil
}

// free notes that a newer save has deleted the object.
func (d *pdfDoc) free(n int) {
	if _, there := d.xref[n]; !there && len(d.xref) < d.most {
		d.xref[n] = pdfEntry{at: -1}
	}
}

// xrefStream reads a cross reference stream (7.5.8).
func (d *pdfDoc) xrefStream(s *pdfStream) error {
	data, err := d.decode(s)
	if err != nil && len(data) == 0 {
		return err
	}
	var w [3]int
	for i, o := range d.list(s.dict["W"]) {
		v, ok := o.(float64)
		if !ok || i > 2 || v < 0 || v > 8 {
			return errors.New("a cross reference stream that cannot be read")
		}
		w[i] = int(v)
	}
	row := w[0] + w[1] + w[2]
	if row == 0 {
		return errors.New("a cross reference stream that cannot be read")
	}
	index := d.list(s.dict["Index"])
	if index == nil {
		index = pdfArray{float64(0), s.dict["Size"]}
	}
	field := func(i, missing int) int {
		if w[i] == 0 {
			return missing
		}
		v := 0
		for _, c := range data[:w[i]] {
			v = v<<8 | int(c)
		}
		data = data[w[i]:]
		return v
	}
	for i := 0; i+1 < len(index); i += 2 {
		first, ok1 := index[i].(float64)
		n, ok2 := index[i+1].(float64)
		if !ok1 || !ok2 || first < 0 || first > 1e9 {
			return errors.New("a cross reference stream that cannot be read")
		}
		for k := 0; float64(k) < n && len(data) >= row; k++ {
			kind, a, b := field(0, 1), field(1, 0), field(2, 0)
			var err error
			switch kind {
			case 0:
				d.free(int(first) + k)
			case 1:
				err = d.enter(int(first)+k, pdfEntry{at: a, gen: b})
			case 2:
				err = d.enter(int(first)+k, pdfEntry{stream: true, in: a, at: b})
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
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

// rebuild finds the objects of a damaged file by looking for them: the last
// definition of a number counts.
func (d *pdfDoc) rebuild() error {
	d.rebuilt = true
	clear(d.objects)
	clear(d.streams)
	d.xref = map[int]pdfEntry{}
	trailer := pdfDict{}
	b := d.data
	for i := 0; ; {
		k := bytes.Index(b[i:], []byte("obj"))
		if k < 0 {
			break
		}
		at := i + k
		i = at + len("obj")
		if n, start, ok := definedAt(b, at); ok {
			if len(d.xref) >= d.most {
				return errPDFLimit{fmt.Sprintf("more than %d objects", d.most)}
			}
			d.xref[n] = pdfEntry{at: start}
		}
	}
	for i := 0; ; {
		k := bytes.Index(b[i:], []byte("trailer"))
		if k < 0 {
			break
		}
		l := pdfLexer{b: b, i: i + k + len("trailer")}
		o, _ := l.object(0)
		if t, ok := o.(pdfDict); ok {
			for key, v := range t {
				trailer[key] = v
			}
		}
		i = max(l.i, i+k+1)
	}
	d.trailer = trailer
	d.rebuildStreams(trailer)
	return d.broken
}

// rebuildStreams adds what object streams hold, and takes the place of a
// trailer from cross reference streams or from the catalogue itself.
func (d *pdfDoc) rebuildStreams(trailer pdfDict) {
	numbers := make([]int, 0, len(d.xref))
	for n := range d.xref {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	for _, n := range numbers {
		o := d.load(n)
		dict, _ := o.(pdfDict)
		s, isStream := o.(*pdfStream)
		if isStream {
			dict = s.dict
		}
		switch dict["Type"] {
		case pdfName("XRef"):
			for _, key := range []pdfName{"Root", "Encrypt"} {
				if v := dict[key]; v != nil && trailer[key] == nil {
					trailer[key] = v
				}
			}
		case pdfName("Catalog"):
			if trailer["Root"] == nil {
				trailer["Root"] = pdfRef{n: n}
			}
		case pdfName("ObjStm"):
			if !isStream {
				continue
			}
			for num := range d.inStream(n) { // the order does not matter: keys differ, or the first stream keeps it
				if _, there := d.xref[num]; !there && len(d.xref) < d.most {
					d.xref[num] = pdfEntry{stream: true, in: n}
				}
			}
		}
		if d.broken != nil {
			return
		}
	}
	if _, ok := d.get(trailer["Root"]).(pdfDict); ok {
		return
	}
	// The catalogue itself may lie in an object stream.
	numbers = numbers[:0]
	for n, e := range d.xref {
		if e.stream {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	for _, n := range numbers {
		if dict, ok := d.load(n).(pdfDict); ok && dict["Type"] == pdfName("Catalog") {
			trailer["Root"] = pdfRef{n: n}
		}
	}
}

// definedAt reports whether "n gen " stands right before the word obj at b[at].
func definedAt(b []byte, at int) (n, start int, ok bool) {
	i := at
	back := func() (int, bool) {
		k := i
		for i > 0 && isPDFSpace(b[i-1]) && k-i < 20 {
			i--
		}
		if i == k && k != at {
			return 0, false
		}
		end := i
		for i > 0 && b[i-1] >= '0' && b[i-1] <= '9' && end-i < 11 {
			i--
		}
		return pdfInt(b[i:end])
	}
	if _, ok = back(); !ok {
		return
	}
	if n, ok = back(); !ok {
		return
	}
	return n, i, i == 0 || !isRegular(b[i-1])
}

func isRegular(c byte) bool { return !isPDFSpace(c) && !isPDFDelim(c) }

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
