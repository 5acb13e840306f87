package drawing

import (
	"bytes"
	"encoding/binary"
	"math"
)

// textScanner cuts text into lines. Lines end in LF or CR LF; where the file
// has only CR, in CR.
type textScanner struct {
	data []byte
	pos  int
	n    int  // lines given so far
	cr   bool // lines end in CR alone
}

// onlyCR looks at the first line's end. Several CR before an LF (a file that
// was converted twice) still count as one end.
func onlyCR(data []byte) bool {
	i := bytes.IndexAny(data, "\r\n")
	if i < 0 || data[i] == '\n' {
		return false
	}
	for i < len(data) && data[i] == '\r' {
		i++
	}
	return i == len(data) || data[i] != '\n'
}

// line returns the next line without its end; false after the last.
func (t *textScanner) line() ([]byte, bool) {
	if t.pos >= len(t.data) {
		return nil, false
	}
	t.n++
	rest := t.data[t.pos:]
	if t.cr {
		i := bytes.IndexByte(rest, '\r')
		if i < 0 {
			i = len(rest)
		}
		t.pos += i + 1
		return bytes.TrimSuffix(rest[:i], []byte("\n")), true
	}
	// Most lines are under 20 bytes: a plain loop beats a call.
	i := 0
	for i < len(rest) && rest[i] != '\n' {
		i++
	}
	t.pos += i + 1
	for i > 0 && rest[i-1] == '\r' {
		i--
	}
	return rest[:i], true
}

// valueType says how a binary file holds the value of a group.
type valueType uint8

const (
	stringValue valueType = iota
	doubleValue
	int16Value
	int32Value
	int64Value
	boolValue
	chunkValue
	unknownValue
)

// typeOfGroup follows the DXF reference, group code value types; the ranges
// from 300 on are from memory.
func typeOfGroup(code int) valueType {
	switch {
	case code < 0:
		return stringValue
	case code <= 9:
		return stringValue
	case code <= 59:
		return doubleValue
	case code <= 79:
		return int16Value
	case code >= 90 && code <= 99:
		return int32Value
	case code >= 100 && code <= 105:
		return stringValue
	case code >= 110 && code <= 149:
		return doubleValue
	case code >= 160 && code <= 169:
		return int64Value
	case code >= 170 && code <= 179:
		return int16Value
	case code >= 210 && code <= 239:
		return doubleValue
	case code >= 270 && code <= 289:
		return int16Value
	case code >= 290 && code <= 299:
		return boolValue
	case code >= 300 && code <= 309:
		return stringValue
	case code >= 310 && code <= 319:
		return chunkValue
	case code >= 320 && code <= 369:
		return stringValue
	case code >= 370 && code <= 389:
		return int16Value
	case code >= 390 && code <= 399:
		return stringValue
	case code >= 400 && code <= 409:
		return int16Value
	case code >= 410 && code <= 419:
		return stringValue
	case code >= 420 && code <= 429:
		return int32Value
	case code >= 430 && code <= 439:
		return stringValue
	case code >= 440 && code <= 459:
		return int32Value
	case code >= 460 && code <= 469:
		return doubleValue
	case code >= 470 && code <= 481:
		return stringValue
	case code == 999:
		return stringValue
	case code == 1004:
		return chunkValue
	case code >= 1000 && code <= 1009:
		return stringValue
	case code >= 1010 && code <= 1059:
		return doubleValue
	case code >= 1060 && code <= 1070:
		return int16Value
	case code == 1071:
		return int32Value
	}
	return unknownValue
}

// groups reads one group after another from a text or a binary file. After
// next: code, and the value as bytes, or as a number of a binary file.
type groups struct {
	text   textScanner
	bin    []byte // rest of a binary file, nil for text
	binLen int    // of the whole binary file
	wide   bool   // binary group codes take two bytes

	code     int
	val      []byte  // text, or a string of a binary file
	f        float64 // number of a binary file
	isNum    bool    // f holds the value
	line     int     // of the value, from 1; 0 for a binary file
	again    bool    // next gives the same group once more
	odd      int     // lines that stood where a group code belongs
	oddAt    int     // the first of them
	oddVal   []byte
	cutOff   bool // the file ends inside a group
	broken   bool // a binary file that makes no sense any more, from brokenBy on
	brokenBy int

	comma   int // numbers with a decimal comma
	commaAt int
	commaV  []byte
	badNum  bool // a number that cannot be read, since the entity began
	badAt   int
	badVal  []byte
}

// next reads the next group, 999 comments left out; false at the end.
func (g *groups) next() bool {
	if g.again {
		g.again = false
		return true
	}
	if g.bin != nil {
		return g.nextBinary()
	}
	for {
		l, ok := g.text.line()
		if !ok {
			return false
		}
		code, ok := parseCode(l)
		if !ok {
			// A stray line, such as the rest of a text with a line break in it.
			// Leaving out one line sets pairs right again.
			if len(bytes.TrimSpace(l)) > 0 {
				if g.odd == 0 {
					g.oddAt, g.oddVal = g.text.n, l
				}
				g.odd++
			}
			continue
		}
		v, ok := g.text.line()
		if !ok {
			g.cutOff = true
			return false
		}
		if code == 999 {
			continue
		}
		g.code, g.val, g.line = code, v, g.text.n
		return true
	}
}

// back makes next give the present group again.
func (g *groups) back() { g.again = true }

func (g *groups) nextBinary() bool {
	code, ok := g.binaryCode()
	if !ok {
		return false
	}
	g.code, g.isNum, g.val = code, false, nil
	take := func(n int) []byte {
		if len(g.bin) < n {
			g.cutOff = true
			g.bin = g.bin[:0]
			return nil
		}
		b := g.bin[:n]
		g.bin = g.bin[n:]
		return b
	}
	num := func(v float64) bool {
		g.f, g.isNum = v, true
		return true
	}
	switch typeOfGroup(code) {
	case stringValue:
		i := bytes.IndexByte(g.bin, 0)
		if i < 0 {
			g.cutOff = true
			g.bin = g.bin[:0]
			return false
		}
		g.val = take(i)
		take(1)
		return true
	case doubleValue:
		if b := take(8); b != nil {
			return num(math.Float64frombits(binary.LittleEndian.Uint64(b)))
		}
	case int16Value:
		if b := take(2); b != nil {
			return num(float64(int16(binary.LittleEndian.Uint16(b))))
		}
	case int32Value:
		if b := take(4); b != nil {
			return num(float64(int32(binary.LittleEndian.Uint32(b))))
		}
	case int64Value:
		if b := take(8); b != nil {
			return num(float64(int64(binary.LittleEndian.Uint64(b))))
		}
	case boolValue:
		if b := take(1); b != nil {
			return num(float64(b[0]))
		}
	case chunkValue:
		if n := take(1); n != nil {
			if b := take(int(n[0])); b != nil || n[0] == 0 {
				return true
			}
		}
	default:
		g.broken, g.brokenBy = true, code
		g.bin = g.bin[:0]
	}
	return false
}

func (g *groups) binaryCode() (code int, ok bool) {
	switch {
	case len(g.bin) == 0:
		return 0, false
	case g.wide:
		if len(g.bin) < 2 {
			g.cutOff = true
			return 0, false
		}
		code, g.bin = int(int16(binary.LittleEndian.Uint16(g.bin))), g.bin[2:]
	default: // before R13: one byte, 255 escapes to two
		code, g.bin = int(g.bin[0]), g.bin[1:]
		if code == 255 {
			if len(g.bin) < 2 {
				g.cutOff = true
				return 0, false
			}
			code, g.bin = int(int16(binary.LittleEndian.Uint16(g.bin))), g.bin[2:]
		}
	}
	return code, true
}

// num returns the group's value as a number. One that cannot be read is 0 and
// sets badNum.
func (g *groups) num() float64 {
	if g.isNum {
		return g.f
	}
	v, ok := parseFloat(g.val)
	if ok {
		return v
	}
	if v, ok = parseComma(g.val); ok {
		if g.comma == 0 {
			g.commaAt, g.commaV = g.line, g.val
		}
		g.comma++
		return v
	}
	if !g.badNum {
		g.badNum, g.badAt, g.badVal = true, g.line, g.val
	}
	return 0
}

// whole returns the value as an integer; fractions are cut, far values clamped.
func (g *groups) whole() int {
	v := g.num()
	if !(math.Abs(v) <= math.MaxInt32) {
		return math.MaxInt32
	}
	return int(v)
}

// str returns the value without blanks around it.
func (g *groups) str() []byte { return bytes.TrimSpace(g.val) }
