package drawing

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/unit"
)

// pointsPerInch: user space is 1/72 in unless the page says otherwise (ISO
// 32000-1, 8.3.2.3).
const pointsPerInch = 72

// readPDF reads the painted paths of one page, in points, Y up, turned as the
// page is shown, zero at the lower left of what is visible.
func readPDF(ctx context.Context, data []byte, name plain.Text, page int) (*Raw, fault.List) {
	refuse := func(code, do, format string, args ...any) (*Raw, fault.List) {
		var l fault.List
		l.Errorf(fault.Where{File: name.String()}, code, do, format, args...)
		return nil, l
	}
	const again = "Print the drawing to a new PDF, or export it as DXF"
	broken := func(err error) (*Raw, fault.List) {
		switch {
		case ctx.Err() != nil:
			return nil, ctxFault(ctx, name)
		case errors.As(err, new(errPDFLimit)):
			return refuse("limit", again, "the PDF has %v", err)
		case errors.Is(err, errEncrypted):
			return refuse("encrypted", "Ask for it without protection, or print it to a new PDF", "the PDF is encrypted")
		}
		return refuse("broken-pdf", again, "the PDF is damaged: %v", err)
	}
	d, err := openPDF(data)
	if err != nil {
		return broken(err)
	}
	number := max(page, 1)
	pg, pages, err := d.page(number)
	if err != nil {
		if errors.As(err, new(errPDFLimit)) {
			return broken(err)
		}
		return refuse("page", "Choose another page", "the PDF has %s, and page %d was asked for", count(pages, "page", "pages"), number)
	}
	b := newBuilder(FormatPDF, name)
	b.sized(len(data))
	b.raw.Version, b.raw.Pages, b.raw.Page = pdfVersion(data), pages, number
	p := newPDFPen(ctx, d, b, pg)
	content, err := d.contents(pg)
	if err != nil {
		p.brokenStream(err)
	}
	if p.err == nil {
		p.run(content, pg.resources)
	}
	if p.err == nil && d.broken != nil {
		p.err = d.broken
	}
	if p.err != nil {
		return broken(p.err)
	}
	if p.figures == 0 && b.blown == "" {
		return refuse("no-paths", "Ask for the drawing as vectors: a PDF from the CAD itself, or a DXF", "page %d %s", number, p.instead())
	}
	if pages > 1 && page == 0 {
		b.noteOn(fault.Note, "page", "", -1, fmt.Sprintf("page 1 of %d is read", pages), "", place{})
	}
	b.roundBeziers()
	b.guessStyles()
	return b.done()
}

func newPDFPen(ctx context.Context, d *pdfDoc, b *builder, pg pdfPage) *pdfPen {
	mm := pg.unit * unit.MMPerInch / pointsPerInch
	b.raw.Unit = FileUnit{MM: mm, System: unit.MM, Name: "points", Source: "72 points to the inch",
		Doubt: "a PDF is as large as its paper: only if it was printed at a scale of 1:1 its lengths are true"}
	if pg.unit != 1 {
		b.raw.Unit.Name = unit.Number(pg.unit, 4) + " points"
		b.raw.Unit.Source = "UserUnit " + unit.Number(pg.unit, 4)
	}
	up := pg.upright()
	p := &pdfPen{ctx: ctx, d: d, b: b, mm: mm, layers: d.layers(), decoded: map[*pdfStream][]byte{}, work: d.budget}
	p.page = geom.EmptyBox().Add(up.apply(pg.crop.Min)).Add(up.apply(pg.crop.Max))
	p.st = pdfState{ctm: up, width: 1}
	props, _ := d.get(d.root()["OCProperties"]).(pdfDict)
	p.decls = len(d.refs(props["OCGs"]))
	return p
}

// instead says what a page without paths holds.
func (p *pdfPen) instead() string {
	switch {
	case p.pictures > 0:
		return "holds " + count(p.pictures, "picture", "pictures") + " and no vectors: a scan, or a drawing saved as a picture, has no edges to cut along"
	case p.texts > 0:
		return "holds text and no vectors"
	}
	return "holds no vectors"
}

// pdfVersion returns "PDF 1.5" from the header.
func pdfVersion(data []byte) string {
	_, v, _ := bytes.Cut(data[:min(len(data), 1100)], []byte("%PDF-"))
	end := bytes.IndexFunc(v, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
	if end < 0 || end > 8 {
		return "PDF"
	}
	return "PDF " + string(v[:end])
}
