package drawing

import (
	"bytes"
	"compress/zlib"
	"encoding/ascii85"
	"fmt"
	"io"
)

// decode takes the filters off a stream (ISO 32000-1, 7.4). What a broken
// stream gives up to its break is kept: err says so. Filters of pictures are
// not known here.
func (d *pdfDoc) decode(s *pdfStream) (out []byte, err error) {
	out = s.raw
	filters, parms := d.list(s.dict["Filter"]), d.list(s.dict["DecodeParms"])
	if s.dict["Filter"] == nil {
		filters, parms = d.list(s.dict["F"]), d.list(s.dict["DP"])
	}
	if len(filters) > 10 {
		return nil, fmt.Errorf("a stream has %d filters", len(filters))
	}
	for i, f := range filters {
		name, _ := d.get(f).(pdfName)
		var parm pdfDict
		if i < len(parms) {
			parm, _ = d.get(parms[i]).(pdfDict)
		}
		var e error
		if out, e = d.filter(name, parm, out); e != nil && err == nil {
			err = e
		}
		if out == nil {
			return nil, err
		}
	}
	return out, err
}

// list returns an array, or one object as an array of one.
func (d *pdfDoc) list(o any) pdfArray {
	switch v := d.get(o).(type) {
	case nil:
		return nil
	case pdfArray:
		return v
	default:
		return pdfArray{v}
	}
}

func (d *pdfDoc) filter(name pdfName, parm pdfDict, in []byte) ([]byte, error) {
	var r io.Reader
	switch name {
	case "FlateDecode", "Fl":
		z, err := zlib.NewReader(bytes.NewReader(in))
		if err != nil {
			return nil, fmt.Errorf("a compressed stream is broken")
		}
		r = z
	case "LZWDecode", "LZW":
		early := true
		if v, ok := d.get(parm["EarlyChange"]).(float64); ok {
			early = v != 0
		}
		r = &lzwReader{in: in, early: early}
	case "ASCII85Decode", "A85":
		in = bytes.TrimSpace(in)
		in = bytes.TrimPrefix(in, []byte("<~"))
		if k := bytes.IndexByte(in, '~'); k >= 0 {
			in = in[:k]
		}
		r = ascii85.NewDecoder(bytes.NewReader(in))
	case "ASCIIHexDecode", "AHx":
		l := pdfLexer{b: in, i: -1}
		return d.spend([]byte(l.hex()))
	case "RunLengthDecode", "RL":
		r = &runReader{in: in}
	case "Crypt":
		return in, nil
	default:
		return nil, fmt.Errorf("a stream has a filter that is not known: %s", excerpt(string(name)))
	}
	out, err := io.ReadAll(io.LimitReader(r, d.left+1))
	if err != nil {
		err = fmt.Errorf("a compressed stream is broken")
	}
	if out, e := d.spend(out); e != nil {
		return out, e
	}
	switch name {
	case "FlateDecode", "Fl", "LZWDecode", "LZW":
		p, e := d.unpredict(parm, out)
		if e != nil {
			return nil, e
		}
		return p, err
	}
	return out, err
}

// spend takes decoded bytes from what the file may have.
func (d *pdfDoc) spend(out []byte) ([]byte, error) {
	d.left -= int64(len(out))
	if d.left < 0 {
		d.left = 0
		return nil, errPDFLimit{fmt.Sprintf("more than %d MB of content", d.budget>>20)}
	}
	return out, nil
}

// unpredict undoes a predictor (ISO 32000-1, 7.4.4.4). PNG rows say for
// themselves how they were predicted.
func (d *pdfDoc) unpredict(parm pdfDict, in []byte) ([]byte, error) {
	whole := func(key pdfName, missing int) int {
		if v, ok := d.get(parm[key]).(float64); ok && v >= 0 && v < 1e6 {
			return int(v)
		}
		return missing
	}
	kind := whole("Predictor", 1)
	if kind < 2 {
		return in, nil
	}
	colors, bits, columns := whole("Colors", 1), whole("BitsPerComponent", 8), whole("Columns", 1)
	if colors < 1 || colors > 32 || bits < 1 || bits > 16 || columns < 1 {
		return nil, fmt.Errorf("a compressed stream is broken")
	}
	step := max(1, colors*bits/8)
	row := (colors*bits*columns + 7) / 8
	if kind == 2 {
		if bits != 8 {
			return nil, fmt.Errorf("a stream has a predictor of %d bits, which is not known", bits)
		}
		out := bytes.Clone(in)
		for at := 0; at < len(out); at += row {
			line := out[at:min(at+row, len(out))]
			for i := step; i < len(line); i++ {
				line[i] += line[i-step]
			}
		}
		return out, nil
	}
	out := make([]byte, 0, len(in))
	prev := make([]byte, row)
	for len(in) > 1 {
		how := in[0]
		line := in[1:min(1+row, len(in))]
		in = in[1+len(line):]
		at := len(out)
		out = append(out, line...)
		cur := out[at:]
		for i := range cur {
			var left, up, corner byte
			up = prev[i]
			if i >= step {
				left, corner = cur[i-step], prev[i-step]
			}
			switch how {
			case 1:
				cur[i] += left
			case 2:
				cur[i] += up
			case 3:
				cur[i] += byte((int(left) + int(up)) / 2)
			case 4:
				cur[i] += paeth(left, up, corner)
			}
		}
		if len(cur) < row {
			break
		}
		prev = cur
	}
	return out, nil
}

// paeth is the predictor of the PNG specification, 9.4.
func paeth(a, b, c byte) byte {
	p := int(a) + int(b) - int(c)
	pa, pb, pc := abs(p-int(a)), abs(p-int(b)), abs(p-int(c))
	switch {
	case pa <= pb && pa <= pc:
		return a
	case pb <= pc:
		return b
	}
	return c
}

// runReader undoes run lengths (ISO 32000-1, 7.4.5).
type runReader struct {
	in   []byte
	pend []byte
	fill byte
	n    int
}

func (r *runReader) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		switch {
		case len(r.pend) > 0:
			k := copy(p[n:], r.pend)
			r.pend = r.pend[k:]
			n += k
		case r.n > 0:
			p[n] = r.fill
			n++
			r.n--
		case len(r.in) == 0 || r.in[0] == 128:
			if n > 0 {
				return n, nil
			}
			return 0, io.EOF
		case r.in[0] < 128:
			k := min(int(r.in[0])+1, len(r.in)-1)
			r.pend = r.in[1 : 1+k]
			r.in = r.in[1+k:]
		default:
			if len(r.in) < 2 {
				r.in = nil
				continue
			}
			r.fill, r.n = r.in[1], 257-int(r.in[0])
			r.in = r.in[2:]
		}
	}
	return n, nil
}

// lzwReader undoes LZW with codes of 9 to 12 bits, high bit first (ISO
// 32000-1, 7.4.4.2). early: codes grow one code sooner, which is usual and
// which compress/lzw does not know.
type lzwReader struct {
	in     []byte
	early  bool
	bits   uint32
	nbits  int
	width  int
	next   int // code to be defined next
	prev   int // last code, -1 after a clear
	prefix [4096]int16
	last   [4096]byte
	length [4096]int16
	pend   []byte
	buf    []byte
	done   bool
}

func (r *lzwReader) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		if len(r.pend) > 0 {
			k := copy(p[n:], r.pend)
			r.pend = r.pend[k:]
			n += k
			continue
		}
		if r.done || !r.step() {
			r.done = true
			if n > 0 {
				return n, nil
			}
			return 0, io.EOF
		}
	}
	return n, nil
}

func (r *lzwReader) reset() { r.width, r.next, r.prev = 9, 258, -1 }

// step decodes one code into pend; false at the end.
func (r *lzwReader) step() bool {
	const clear, eod = 256, 257
	if r.width == 0 {
		r.reset()
	}
	for r.nbits < r.width {
		if len(r.in) == 0 {
			return false
		}
		r.bits = r.bits<<8 | uint32(r.in[0])
		r.in = r.in[1:]
		r.nbits += 8
	}
	r.nbits -= r.width
	code := int(r.bits >> r.nbits & (1<<r.width - 1))
	switch {
	case code == clear:
		r.reset()
		return true
	case code == eod || code > r.next || code == r.next && r.prev < 0:
		return false
	}
	r.buf = r.buf[:0]
	if code == r.next { // the one being defined: the last one and its first byte
		r.expand(r.prev)
		r.buf = append(r.buf, r.buf[0])
	} else {
		r.expand(code)
	}
	if r.prev >= 0 && r.next < 4096 {
		r.prefix[r.next], r.last[r.next] = int16(r.prev), r.buf[0]
		r.length[r.next] = r.lengthOf(r.prev) + 1
		r.next++
	}
	grow := r.next
	if r.early {
		grow++
	}
	for r.width < 12 && grow >= 1<<r.width {
		r.width++
	}
	r.prev = code
	r.pend = r.buf
	return true
}

func (r *lzwReader) lengthOf(code int) int16 {
	if code < 256 {
		return 1
	}
	return r.length[code]
}

func (r *lzwReader) expand(code int) {
	n := int(r.lengthOf(code))
	if cap(r.buf) < n+1 {
		r.buf = make([]byte, 0, 2*n+16)
	}
	r.buf = r.buf[:n]
	for i := n - 1; i >= 0; i-- {
		if code < 256 {
			r.buf[i] = byte(code)
			return
		}
		r.buf[i] = r.last[code]
		code = int(r.prefix[code])
	}
}
