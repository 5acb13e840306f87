package drawing

import (
	"bytes"
	"context"

	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
)

// reader reads one format. page counts from 1 and is 0 if nobody said; only a
// PDF has more than one. It must stop soon after ctx ends, with ctxFault, and
// reports all that it met while reading through its builder's notes, or in the
// list if it gives no Raw.
type reader func(ctx context.Context, data []byte, name plain.Text, page int) (*Raw, fault.List)

// readerOf returns the reader of a format, nil if there is none.
func readerOf(f Format) reader {
	switch f {
	case FormatDXF, FormatBinaryDXF:
		return readDXF
	case FormatSVG:
		return readSVG
	case FormatPDF:
		return readPDF
	}
	return nil
}

// Parse finds out by its content what the file is and reads it, in drawing
// units. The Raw is nil if and only if the list holds an Error that leaves
// nothing to show; what else was met while reading is reported by Loops, which
// knows the unit and which layers are in use.
func Parse(ctx context.Context, data []byte, name plain.Text, page int) (*Raw, fault.List) {
	var l fault.List
	at := fault.Where{File: name.String()}
	f, why := detect(data)
	if f == "" {
		l.Errorf(at, "format", "Give a DXF, SVG or PDF drawing", "%s", why)
		return nil, l
	}
	read := readerOf(f)
	if read == nil {
		l.Errorf(at, "format", "Export the drawing as DXF", "%s cannot be read", f)
		return nil, l
	}
	return read(ctx, data, name, page)
}

// ctxFault is the list of a reader that was told to stop.
func ctxFault(ctx context.Context, name plain.Text) fault.List {
	return fault.List{{Severity: fault.Error, Where: fault.Where{File: name.String()}, Code: "stopped",
		What: "reading was stopped: " + ctx.Err().Error(), Do: "Open the drawing again"}}
}

// binarySentinel begins a binary DXF (DXF reference, about binary DXF).
const binarySentinel = "\x41\x75\x74\x6f\x43\x41\x44 Binary DXF\r\n\x1a\x00"

// detect names the format, or says what the file looks like instead.
func detect(data []byte) (f Format, why string) {
	if bytes.HasPrefix(data, []byte(binarySentinel)) {
		return FormatBinaryDXF, ""
	}
	// The header of a PDF may lie within the first 1024 bytes (ISO 32000-1,
	// annex H note on 7.5.2).
	if bytes.Contains(data[:min(len(data), 1024)], []byte("%PDF-")) {
		return FormatPDF, ""
	}
	head := sniffText(data)
	trimmed := bytes.TrimLeft(head, " \t\r\n\x00")
	switch {
	case len(bytes.TrimSpace(head)) == 0:
		return "", "the file is empty"
	case looksLikeSVG(trimmed):
		return FormatSVG, ""
	case looksLikeDXF(head):
		return FormatDXF, ""
	}
	for _, k := range foreign {
		if bytes.HasPrefix(data, []byte(k.magic)) {
			return "", "this is " + k.what + ", not a drawing that can be read"
		}
	}
	return "", "this is not a DXF, SVG or PDF drawing: it begins with neither a group code, nor <svg, nor %PDF"
}

// foreign names files that people give instead of a drawing.
var foreign = []struct{ magic, what string }{
	{"AC10", "a DWG file"},
	{"\x89PNG", "a PNG picture"},
	{"\xff\xd8\xff", "a JPEG picture"},
	{"PK\x03\x04", "a ZIP archive"},
	{"\x1f\x8b", "a gzip archive"},
	{"ISO-10303-21", "a STEP model"},
	{"%!PS", "a PostScript file"},
	{"solid ", "an STL model"},
}

// sniffText returns the beginning as bytes without a byte-order mark; of
// UTF-16 every other byte, which is enough to tell what it is.
func sniffText(data []byte) []byte {
	h := data[:min(len(data), 4096)]
	if enc := encodingOf(h); enc == utf16LE || enc == utf16BE {
		out := make([]byte, 0, len(h)/2)
		for _, c := range h {
			if c != 0 && c != 0xfe && c != 0xff {
				out = append(out, c)
			}
		}
		return out
	}
	return bytes.TrimPrefix(h, []byte("\xef\xbb\xbf"))
}

// looksLikeSVG: an XML file whose first element, or one near the top, is svg.
func looksLikeSVG(head []byte) bool {
	if !bytes.HasPrefix(head, []byte("<")) {
		return false
	}
	return bytes.Contains(head, []byte("<svg")) || bytes.Contains(head, []byte(":svg"))
}

// looksLikeDXF: the first line that is not blank is a group code of a pair
// that can begin a file: 0 SECTION, or a 999 comment, or any entity.
func looksLikeDXF(head []byte) bool {
	t := textScanner{data: head, cr: onlyCR(head)}
	for range 64 {
		line, ok := t.line()
		if !ok {
			return false
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		code, ok := parseCode(line)
		return ok && (code == 0 || code == 999 || code == 9 || code == 2)
	}
	return false
}
