package drawing

import (
	"bytes"
	"errors"
	"fmt"
)

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
