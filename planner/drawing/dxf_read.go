package drawing

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"example.org/kerfwright/planner/plain"
)

// dxf is one reading of a DXF file.
type dxf struct {
	groups
	ctx     context.Context
	stopped bool
	seen    int // groups since the last look at ctx

	out    *builder // the model space
	blk    *builder // what blocks hold, in their own axes
	to     *builder // one of the two: where entities go now
	inBlk  *block   // the block being read, nil outside
	blocks map[string]*block
	inOut  []insert // INSERTs of the model space, done last

	names           textDecoder
	layers          nameCache
	styles          styleTable
	paper           int            // entities on layouts
	copied, copiedV int            // entities made by blocks, and their vertices
	msCaps          map[string]int // flags of each MLINESTYLE

	// Kept between splines, so that each needs no room of its own.
	knots, weights []float64
	ctrl, fit      []point3

	version                       string
	insunits, measurement, lunits int // -1: not said
	sawEOF                        bool
}

// versions names $ACADVER (DXF reference).
var versions = map[string]string{
	"AC1006": "R10", "AC1009": "R11 or R12", "AC1012": "R13", "AC1014": "R14", "AC1015": "2000",
	"AC1018": "2004", "AC1021": "2007", "AC1024": "2010", "AC1027": "2013", "AC1032": "2018",
}

// readDXF reads text and binary DXF.
func readDXF(ctx context.Context, data []byte, name plain.Text, _ int) (*Raw, fault.List) {
	d := &dxf{ctx: ctx, blocks: map[string]*block{}, insunits: -1, measurement: -1, lunits: -1, msCaps: map[string]int{}}
	form := FormatDXF
	at := fault.Where{File: name.String()}
	if bytes.HasPrefix(data, []byte(binarySentinel)) {
		form = FormatBinaryDXF
		d.bin, d.binLen = data[len(binarySentinel):], len(data)
		// The first group is 0 SECTION: its code is 00 or 00 00.
		d.wide = len(d.bin) > 1 && d.bin[1] == 0
	} else {
		text, wide, err := toBytes(data)
		if err != nil {
			return nil, fault.List{{Severity: fault.Error, Where: at, Code: "encoding",
				What: "UTF-16 text that cannot be read: " + err.Error(), Do: "Save the drawing again as ASCII DXF"}}
		}
		d.text = textScanner{data: text, cr: onlyCR(text)}
		d.names.utf8 = wide
	}
	d.out = newBuilder(form, name)
	d.out.sized(len(data))
	d.out.progress = d.part
	d.blk = d.out.sub()
	d.to = d.out
	d.styles.init()
	d.layers.raw = map[string]int32{}
	d.layer([]byte("0")) // must be the first
	d.mlineCaps()

	d.sections(d.names.utf8)
	if d.stopped {
		return nil, ctxFault(ctx, name)
	}
	d.expandAll()
	if d.stopped {
		return nil, ctxFault(ctx, name)
	}
	return d.finish()
}

// noCode is d.code after the last group.
const noCode = math.MinInt

// next is groups.next with a look at the context now and then.
func (d *dxf) next() bool {
	if d.seen++; d.seen&0xfff == 0 && d.ctx.Err() != nil {
		d.stopped = true
	}
	if d.stopped || d.out.blown != "" || !d.groups.next() {
		d.code, d.again = noCode, false // nothing to give back
		return false
	}
	return true
}

// part returns which part of the file has been read.
func (d *dxf) part() float64 {
	if d.bin != nil {
		return 1 - float64(len(d.bin))/float64(d.binLen)
	}
	return float64(d.text.pos) / float64(len(d.text.data)+1)
}

// sections walks the file. A file without SECTION pairs is taken as entities.
func (d *dxf) sections(wideText bool) {
	for d.next() {
		if d.code != 0 {
			continue
		}
		switch string(d.str()) {
		case "SECTION":
			if !d.next() {
				return
			}
			if d.code != 2 {
				d.back()
				continue
			}
			switch strings.ToUpper(string(d.str())) {
			case "HEADER":
				d.header(wideText)
			case "TABLES":
				d.tables()
			case "BLOCKS":
				d.blockSection()
			case "ENTITIES":
				d.entities("ENDSEC")
			default: // CLASSES, OBJECTS, THUMBNAILIMAGE, ACDSDATA
				d.skipSection()
			}
		case "EOF":
			d.sawEOF = true
			return
		case "ENDSEC":
		default:
			d.back()
			d.entities("ENDSEC")
		}
	}
}

// skipSection reads on to ENDSEC.
func (d *dxf) skipSection() {
	for d.next() {
		if d.code == 0 {
			switch string(d.str()) {
			case "ENDSEC":
				return
			case "EOF", "SECTION":
				d.back()
				return
			}
		}
	}
}

// header reads the variables that matter. $ANGDIR and $ANGBASE say how a
// program prints angles; they do not turn arcs.
func (d *dxf) header(wideText bool) {
	name := ""
	for d.next() {
		switch d.code {
		case 0:
			if s := string(d.str()); s != "ENDSEC" {
				d.back()
			}
			return
		case 9:
			name = strings.ToUpper(string(d.str()))
			continue
		}
		switch name {
		case "$ACADVER":
			d.version = strings.ToUpper(string(d.str()))
			if d.version >= "AC1021" && strings.HasPrefix(d.version, "AC10") {
				d.names.utf8 = true
			}
		case "$DWGCODEPAGE":
			if !wideText {
				d.names.page = codePages[strings.ToUpper(strings.ReplaceAll(string(d.str()), " ", ""))]
			}
		case "$INSUNITS":
			d.insunits = d.whole()
		case "$MEASUREMENT":
			d.measurement = d.whole()
		case "$LUNITS":
			d.lunits = d.whole()
		}
		name = ""
	}
}

// nameCache finds a layer by the bytes of its name without decoding it again.
type nameCache struct {
	raw  map[string]int32
	last []byte
	lasI int32
}

// layer returns the index of the layer whose name has these bytes.
func (d *dxf) layer(name []byte) int32 {
	c := &d.layers
	if bytes.Equal(name, c.last) && c.last != nil {
		return c.lasI
	}
	i, ok := c.raw[string(name)]
	if !ok {
		i = d.out.layer(d.names.decode(name))
		c.raw[string(name)] = i
	}
	c.last, c.lasI = name, i
	return i
}

// finish turns what was met on the way into notes, resolves styles and hands
// the drawing over.
func (d *dxf) finish() (*Raw, fault.List) {
	b := d.out
	if v, ok := versions[d.version]; ok {
		b.raw.Version = d.version + " (" + v + ")"
	} else {
		b.raw.Version = plain.Clean(d.version)
	}
	b.raw.Unit = fileUnit(d.insunits, d.measurement, d.lunits)
	file := func(sev fault.Severity, code, what, do string, line int) {
		b.noteOn(sev, code, "", -1, what, do, place{line: line})
	}
	quote := func(v []byte) string { return fmt.Sprintf("%q", plain.Clean(string(v[:min(len(v), 40)]))) }
	if d.comma > 0 {
		file(fault.Error, "decimal-comma", fmt.Sprintf("%d %s a decimal comma, first %s; they were taken as decimal points", d.comma,
			plural(d.comma, "number has", "numbers have"), quote(d.commaV)),
			"Export again with a decimal point: the program that wrote this follows the computer's language", d.commaAt)
	}
	if d.odd > 0 {
		file(fault.Warning, "odd-lines", fmt.Sprintf("%d %s where a group code belongs, first %s; left out", d.odd,
			plural(d.odd, "line stands", "lines stand"), quote(d.oddVal)),
			"Compare the picture with the drawing; export it again if something is missing", d.oddAt)
	}
	switch {
	case d.broken:
		file(fault.Error, "broken", fmt.Sprintf("the binary file makes no sense where group code %d stands; no value of that code has a known form", d.brokenBy),
			"Export the drawing again", 0)
	case d.cutOff:
		file(fault.Error, "cut-off", "the file ends in the middle of a group", "Copy or export the file again: its end is missing", d.text.n)
	case !d.sawEOF:
		file(fault.Warning, "no-eof", "the file ends without its EOF mark", "Make sure that the file was copied whole", d.text.n)
	}
	if d.paper > 0 {
		file(fault.Note, "paper-space", fmt.Sprintf("%d %s on layouts (paper space) left out", d.paper, plural(d.paper, "entity", "entities")), "", 0)
	}
	if d.names.broke {
		file(fault.Note, "encoding", "some names are not in the encoding that the file claims", "", 0)
	}
	d.resolveStyles()
	raw, l := b.done()
	if raw == nil {
		return nil, l
	}
	return raw, nil
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// point3 is a point as the file has it.
type point3 [3]float64

func (p point3) flat() geom.Point { return geom.Pt(p[0], p[1]) }
