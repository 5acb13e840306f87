package drawing

import (
	"bytes"
	"fmt"
	"slices"
)

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
