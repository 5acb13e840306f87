package drawing

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/korean"
	"golang.org/x/text/encoding/simplifiedchinese"
	"golang.org/x/text/encoding/traditionalchinese"
	"golang.org/x/text/encoding/unicode"
)

type textEncoding int

const (
	plainBytes textEncoding = iota // ASCII, a code page or UTF-8 without a mark
	utf8Mark
	utf16LE
	utf16BE
)

// encodingOf looks at the byte-order mark, and at the zero bytes that ASCII
// has in UTF-16 when the mark is missing.
func encodingOf(data []byte) textEncoding {
	switch {
	case len(data) >= 3 && data[0] == 0xef && data[1] == 0xbb && data[2] == 0xbf:
		return utf8Mark
	case len(data) >= 2 && data[0] == 0xff && data[1] == 0xfe:
		return utf16LE
	case len(data) >= 2 && data[0] == 0xfe && data[1] == 0xff:
		return utf16BE
	}
	if n := min(len(data), 64) &^ 1; n >= 8 {
		odd, even := 0, 0
		for i := 0; i < n; i += 2 {
			if data[i] == 0 {
				even++
			}
			if data[i+1] == 0 {
				odd++
			}
		}
		if odd == n/2 && even == 0 {
			return utf16LE
		}
		if even == n/2 && odd == 0 {
			return utf16BE
		}
	}
	return plainBytes
}

// toBytes removes a byte-order mark and turns UTF-16 into UTF-8; anything else
// is left as it is. wide says that the result is surely UTF-8.
func toBytes(data []byte) (out []byte, wide bool, err error) {
	switch encodingOf(data) {
	case utf8Mark:
		return data[3:], true, nil
	case utf16LE:
		out, err = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data)
		return out, true, err
	case utf16BE:
		out, err = unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewDecoder().Bytes(data)
		return out, true, err
	}
	return data, false, nil
}

// codePages maps $DWGCODEPAGE, folded to upper case, to its encoding. The ANSI
// values are those of the DXF documentation of ezdxf; the others occur in
// older files (from memory).
var codePages = map[string]encoding.Encoding{
	"ANSI_874":   charmap.Windows874,
	"ANSI_932":   japanese.ShiftJIS,
	"ANSI_936":   simplifiedchinese.GBK,
	"ANSI_949":   korean.EUCKR,
	"ANSI_950":   traditionalchinese.Big5,
	"ANSI_1250":  charmap.Windows1250,
	"ANSI_1251":  charmap.Windows1251,
	"ANSI_1252":  charmap.Windows1252,
	"ANSI_1253":  charmap.Windows1253,
	"ANSI_1254":  charmap.Windows1254,
	"ANSI_1255":  charmap.Windows1255,
	"ANSI_1256":  charmap.Windows1256,
	"ANSI_1257":  charmap.Windows1257,
	"ANSI_1258":  charmap.Windows1258,
	"DOS437":     charmap.CodePage437,
	"DOS850":     charmap.CodePage850,
	"DOS852":     charmap.CodePage852,
	"DOS855":     charmap.CodePage855,
	"DOS860":     charmap.CodePage860,
	"DOS863":     charmap.CodePage863,
	"DOS865":     charmap.CodePage865,
	"DOS866":     charmap.CodePage866,
	"DOS932":     japanese.ShiftJIS,
	"ISO8859-1":  charmap.ISO8859_1,
	"ISO8859-2":  charmap.ISO8859_2,
	"ISO8859-3":  charmap.ISO8859_3,
	"ISO8859-4":  charmap.ISO8859_4,
	"ISO8859-5":  charmap.ISO8859_5,
	"ISO8859-6":  charmap.ISO8859_6,
	"ISO8859-7":  charmap.ISO8859_7,
	"ISO8859-8":  charmap.ISO8859_8,
	"ISO8859-9":  charmap.ISO8859_9,
	"MAC-ROMAN":  charmap.Macintosh,
	"BIG5":       traditionalchinese.Big5,
	"GB2312":     simplifiedchinese.GBK,
	"KSC5601":    korean.EUCKR,
	"JOHAB":      korean.EUCKR,
	"UTF-8":      unicode.UTF8,
	"UTF8":       unicode.UTF8,
	"UTF-16":     unicode.UTF8, // seen on files that are UTF-8
	"UNICODE":    unicode.UTF8,
	"ANSI_65001": unicode.UTF8,
}

// textDecoder turns the bytes of a name into text.
type textDecoder struct {
	page  encoding.Encoding // nil: nobody said
	utf8  bool              // the version, or a byte-order mark, says UTF-8
	broke bool              // some name was not valid in what was said
}

// decode never fails: bytes that mean nothing become U+FFFD.
func (d *textDecoder) decode(b []byte) string {
	s := string(b)
	if !isASCII(b) {
		switch {
		case d.page == nil || d.utf8:
			// Nobody said, or UTF-8: bytes that are valid UTF-8 are it; text in
			// a code page is so only by a rare accident.
			if utf8.Valid(b) {
				break
			}
			d.broke = d.broke || d.utf8
			s = decodeIn(d.pageOr(charmap.Windows1252), b)
		default:
			s = decodeIn(d.page, b)
		}
	}
	if strings.Contains(s, `\`) {
		s = unescape(s)
	}
	return s
}

func (d *textDecoder) pageOr(e encoding.Encoding) encoding.Encoding {
	if d.page != nil {
		return d.page
	}
	return e
}

func decodeIn(e encoding.Encoding, b []byte) string {
	out, err := e.NewDecoder().Bytes(b)
	if err != nil {
		return strings.ToValidUTF8(string(b), "\ufffd")
	}
	return string(out)
}

func isASCII(b []byte) bool {
	for _, c := range b {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// mifPages are the code pages of \M+nxxxx (from memory).
var mifPages = map[byte]encoding.Encoding{
	'1': japanese.ShiftJIS, '2': traditionalchinese.Big5, '3': korean.EUCKR, '4': korean.EUCKR, '5': simplifiedchinese.GBK,
}

// unescape replaces \U+nnnn, and \M+nxxxx of older files.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		if len(s)-i >= 7 && s[i] == '\\' && (s[i+1] == 'U' || s[i+1] == 'u') && s[i+2] == '+' {
			if v, err := strconv.ParseUint(s[i+3:i+7], 16, 16); err == nil {
				b.WriteRune(rune(v))
				i += 7
				continue
			}
		}
		if len(s)-i >= 8 && s[i] == '\\' && s[i+1] == 'M' && s[i+2] == '+' {
			e := mifPages[s[i+3]]
			if v, err := strconv.ParseUint(s[i+4:i+8], 16, 16); err == nil && e != nil {
				b.WriteString(decodeIn(e, []byte{byte(v >> 8), byte(v)}))
				i += 8
				continue
			}
		}
		b.WriteByte(s[i])
		i++
	}
	return b.String()
}
