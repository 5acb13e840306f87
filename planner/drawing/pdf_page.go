package drawing

import (
	"bytes"
	"errors"
	"fmt"

	"example.org/kerfwright/planner/geom"
)

// pdfPage is one page with what it inherits.
type pdfPage struct {
	dict      pdfDict
	resources pdfDict
	crop      geom.Box // user space
	rotate    int      // clockwise when shown, degrees: 0, 90, 180 or 270
	unit      float64  // of user space, in 1/72 in
}

// page returns page n, from 1, and how many there are.
func (d *pdfDoc) page(n int) (p pdfPage, pages int, err error) {
	var found []pdfDict // the page and what holds it, outermost first
	seen := map[int]bool{}
	var walk func(o any, path []pdfDict) error
	walk = func(o any, path []pdfDict) error {
		if r, ok := o.(pdfRef); ok {
			if seen[r.n] {
				return nil // a tree that bites its tail
			}
			seen[r.n] = true
		}
		dict, ok := d.get(o).(pdfDict)
		if !ok {
			return nil
		}
		if len(path) >= pdfTree {
			return errPDFLimit{fmt.Sprintf("more than %d page tree nodes within one another", pdfTree)}
		}
		path = append(path[:len(path):len(path)], dict)
		kids, isNode := d.get(dict["Kids"]).(pdfArray)
		if !isNode {
			if pages++; pages > pdfPages {
				return errPDFLimit{fmt.Sprintf("more than %d pages", pdfPages)}
			}
			if pages == n {
				found = path
			}
			return nil
		}
		for _, k := range kids {
			if err := walk(k, path); err != nil {
				return err
			}
		}
		return nil
	}
	if err := walk(d.root()["Pages"], nil); err != nil {
		return p, pages, err
	}
	if found == nil {
		return p, pages, errors.New("no such page")
	}
	return d.inherited(found), pages, d.broken
}

// inherited works out what a page takes over (7.7.3.4).
func (d *pdfDoc) inherited(path []pdfDict) pdfPage {
	p := pdfPage{dict: path[len(path)-1], unit: 1}
	media := geom.Box{Max: geom.Pt(612, 792)} // of a page without one: US letter, as viewers do
	crop, hasCrop := geom.Box{}, false
	for _, dict := range path {
		if r, ok := d.get(dict["Resources"]).(pdfDict); ok {
			p.resources = r
		}
		if b, ok := d.box(dict["MediaBox"]); ok {
			media = b
		}
		if b, ok := d.box(dict["CropBox"]); ok {
			crop, hasCrop = b, true
		}
		if v, ok := d.get(dict["Rotate"]).(float64); ok {
			p.rotate = ((int(v)%360 + 360) % 360) / 90 * 90
		}
	}
	if v, ok := d.get(p.dict["UserUnit"]).(float64); ok && v > 0 {
		p.unit = v
	}
	p.crop = media
	if hasCrop { // only what lies on the medium (14.11.2)
		crop.Min.X, crop.Min.Y = max(crop.Min.X, media.Min.X), max(crop.Min.Y, media.Min.Y)
		crop.Max.X, crop.Max.Y = min(crop.Max.X, media.Max.X), min(crop.Max.Y, media.Max.Y)
		if crop.Width() > 0 && crop.Height() > 0 {
			p.crop = crop
		}
	}
	return p
}

// box reads a rectangle by any two opposite corners.
func (d *pdfDoc) box(o any) (geom.Box, bool) {
	a, _ := d.get(o).(pdfArray)
	if len(a) < 4 {
		return geom.Box{}, false
	}
	var v [4]float64
	for i := range v {
		x, ok := d.get(a[i]).(float64)
		if !ok {
			return geom.Box{}, false
		}
		v[i] = x
	}
	b := geom.EmptyBox().Add(geom.Pt(v[0], v[1])).Add(geom.Pt(v[2], v[3]))
	return b, b.Width() > 0 && b.Height() > 0
}

// upright maps user space so that the page is seen as it is shown, with zero
// at its lower left.
func (p pdfPage) upright() affine {
	w, h := p.crop.Width(), p.crop.Height()
	m := translation(p.crop.Min.Mul(-1))
	switch p.rotate {
	case 90: // clockwise: what was up is right
		return affine{0, -1, 1, 0, 0, w}.after(m)
	case 180:
		return affine{-1, 0, 0, -1, w, h}.after(m)
	case 270:
		return affine{0, 1, -1, 0, h, 0}.after(m)
	}
	return m
}

// contents returns the page's content: several streams are one, with a blank
// between them (7.8.2).
func (d *pdfDoc) contents(p pdfPage) (out []byte, err error) {
	var parts [][]byte
	for _, o := range d.list(p.dict["Contents"]) {
		s, ok := d.get(o).(*pdfStream)
		if !ok {
			continue
		}
		b, e := d.decode(s)
		if errors.As(e, new(errPDFLimit)) {
			return nil, e
		}
		if e != nil && err == nil {
			err = e
		}
		if _, e := d.spend(b); e != nil && len(parts) > 0 { // one stream may be named many times
			return nil, e
		}
		parts = append(parts, b)
	}
	if len(parts) == 1 {
		return parts[0], err
	}
	return bytes.Join(parts, []byte{'\n'}), err
}

// pdfLayers is what the document says of its optional content (8.11).
type pdfLayers struct {
	off map[int]bool // object numbers of groups that are off
}

func (d *pdfDoc) layers() pdfLayers {
	l := pdfLayers{off: map[int]bool{}}
	props, _ := d.get(d.root()["OCProperties"]).(pdfDict)
	config, _ := d.get(props["D"]).(pdfDict)
	mark := func(key pdfName, list pdfDict, off bool) {
		for _, o := range d.refs(list[key]) {
			if r, ok := o.(pdfRef); ok {
				l.off[r.n] = off
			}
		}
	}
	if d.get(config["BaseState"]) == pdfName("OFF") {
		mark("OCGs", props, true)
	}
	mark("ON", config, false)
	mark("OFF", config, true)
	return l
}

// refs returns an array, or one object as an array of one, references kept.
func (d *pdfDoc) refs(o any) pdfArray {
	if a, ok := d.get(o).(pdfArray); ok || o == nil {
		return a
	}
	return pdfArray{o}
}

// group returns the name of an optional content group or membership, and
// whether it is off.
func (d *pdfDoc) group(l pdfLayers, o any) (name string, off, ok bool) {
	dict, isDict := d.get(o).(pdfDict)
	if !isDict {
		return "", false, false
	}
	if d.get(dict["Type"]) == pdfName("OCMD") { // off when all its groups are (8.11.2.2, AnyOn)
		off = true
		for _, g := range d.refs(dict["OCGs"]) {
			n, o, isGroup := d.oneGroup(l, g)
			if !isGroup {
				continue
			}
			if name == "" {
				name = n
			}
			ok, off = true, off && o
		}
		return name, ok && off, ok
	}
	return d.oneGroup(l, o)
}

func (d *pdfDoc) oneGroup(l pdfLayers, o any) (name string, off, ok bool) {
	dict, isDict := d.get(o).(pdfDict)
	if !isDict {
		return "", false, false
	}
	if r, isRef := o.(pdfRef); isRef {
		off = l.off[r.n]
	}
	s, _ := d.get(dict["Name"]).(pdfString)
	return s.text(), off, s != ""
}
