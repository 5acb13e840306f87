package drawing_test

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/geom"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/simplifiedchinese"
)

// plate is a square with a hole, whose layer names may be anything.
func plate(outer, inner string) *dxfText {
	d := newDXF().mm()
	d.layer = outer
	d.path(geom.Polygon(geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 40), geom.Pt(0, 40)))
	d.layer = inner
	d.circle(geom.Pt(30, 20), 6)
	return d
}

func wantPlate(t *testing.T, data []byte) *drawing.Loops {
	t.Helper()
	l := mustRead(t, data, drawing.Options{})
	if len(l.Closed) != 2 || math.Abs(evenOdd(l.Closed)-(2400-36*math.Pi)) > 1e-6 {
		t.Fatalf("%d loops, area %g", len(l.Closed), evenOdd(l.Closed))
	}
	return l
}

func TestLineEndsAndMarksMakeNoDifference(t *testing.T) {
	text := string(plate("OUTLINE", "HOLES").bytes())
	utf16bytes := func(order binary.AppendByteOrder, mark bool) []byte {
		var b []byte
		if mark {
			b = order.AppendUint16(b, 0xfeff)
		}
		for _, u := range utf16.Encode([]rune(text)) {
			b = order.AppendUint16(b, u)
		}
		return b
	}
	for name, data := range map[string][]byte{
		"LF":                        []byte(text),
		"CR LF":                     []byte(strings.ReplaceAll(text, "\n", "\r\n")),
		"CR":                        []byte(strings.ReplaceAll(text, "\n", "\r")),
		"CR CR LF":                  []byte(strings.ReplaceAll(text, "\n", "\r\r\n")),
		"no end at the end":         []byte(strings.TrimRight(text, "\n")),
		"blanks round codes":        []byte(strings.ReplaceAll(text, "\n 10\n", "\n   10  \n")),
		"blank lines before":        []byte("\n\n" + text),
		"comments":                  []byte(strings.ReplaceAll(text, "  0\nCIRCLE", "999\na remark\n  0\nCIRCLE")),
		"UTF-8 mark":                []byte("\xef\xbb\xbf" + text),
		"UTF-16 low first":          utf16bytes(binary.LittleEndian, true),
		"UTF-16 high first":         utf16bytes(binary.BigEndian, true),
		"UTF-16 without a mark":     utf16bytes(binary.LittleEndian, false),
		"numbers with exponents":    []byte(strings.ReplaceAll(text, "\n60\n", "\n+6.0E+001\n")),
		"lower case section ending": []byte(text + "\n\n"),
	} {
		t.Run(name, func(t *testing.T) { wantPlate(t, data) })
	}
}

// Encodings as ezdxf documents them: the code page of $DWGCODEPAGE up to
// version AC1018, UTF-8 from AC1021 on; \U+nnnn anywhere.
func TestLayerNamesAreReadInTheirCodePage(t *testing.T) {
	header := func(version, page string) string {
		return "  9\n$ACADVER\n  1\n" + version + "\n  9\n$DWGCODEPAGE\n  3\n" + page + "\n"
	}
	enc := func(e interface{ Bytes([]byte) ([]byte, error) }, s string) string {
		b, err := e.Bytes([]byte(s))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for _, c := range []struct{ name, header, bytes, want string }{
		{"western", header("AC1009", "ANSI_1252"), enc(charmap.Windows1252.NewEncoder(), "Außenmaß"), "Außenmaß"},
		{"default page", header("AC1009", "nonsense"), enc(charmap.Windows1252.NewEncoder(), "Löcher"), "Löcher"},
		{"Cyrillic", header("AC1015", "ANSI_1251"), enc(charmap.Windows1251.NewEncoder(), "КОНТУР"), "КОНТУР"},
		{"Central Europe", header("AC1018", "ANSI_1250"), enc(charmap.Windows1250.NewEncoder(), "řez"), "řez"},
		{"Japanese", header("AC1015", "ANSI_932"), enc(japanese.ShiftJIS.NewEncoder(), "外形"), "外形"},
		{"Chinese", header("AC1015", "ANSI_936"), enc(simplifiedchinese.GBK.NewEncoder(), "外轮廓"), "外轮廓"},
		{"UTF-8 by version", header("AC1032", "ANSI_1252"), "Löcher", "Löcher"},
		{"UTF-8 by version, but it is not", header("AC1032", "ANSI_1252"), enc(charmap.Windows1252.NewEncoder(), "Löcher"), "Löcher"},
		{"UTF-8 without a version", "", "Löcher", "Löcher"},
		{"escaped", header("AC1009", "ANSI_1252"), `\U+0416\U+2300`, "Ж⌀"},
		{"escaped, multibyte", header("AC1009", "ANSI_932"), `\M+18A4F`, "外"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := plate("A", c.bytes)
			d.header.WriteString(c.header)
			l := wantPlate(t, d.bytes())
			if got := l.Layers[1].Name.String(); got != c.want {
				t.Errorf("layer %q, want %q", got, c.want)
			}
		})
	}
}

func TestHostileLayerNamesAreCleaned(t *testing.T) {
	l := wantPlate(t, plate("\x1b[31mRED\x07", "a\u202eb").bytes())
	for _, i := range l.Layers {
		if strings.ContainsAny(i.Name.String(), "\x1b\x07\u202e") {
			t.Errorf("%q", i.Name.String())
		}
	}
}

func TestDecimalCommasAreNamed(t *testing.T) {
	data := strings.ReplaceAll(string(plate("0", "0").line(geom.Pt(100.5, 0), geom.Pt(110.25, 3.5)).bytes()), ".", ",")
	l, faults := read(t, []byte(data), drawing.Options{})
	f := find(t, faults, "decimal-comma")
	if f.Severity != fault.Error || f.Line == 0 || !strings.Contains(f.What, `"100,5"`) || !strings.Contains(f.What, "3 numbers") {
		t.Errorf("%v", f.Error())
	}
	if l == nil || len(l.Closed) != 2 {
		t.Error("the drawing is not there to look at")
	}
}

func TestBadNumbersAreNamedWithTheirLine(t *testing.T) {
	for _, v := range []string{"1.2.3", "abc", "nan", "inf", "1,234.5", "0x10", "--5", "1e", "1e999", "."} {
		d := plate("0", "0")
		d.entity("CIRCLE", 10, v, 20, 1.0, 40, 5.0)
		l, faults := read(t, d.bytes(), drawing.Options{})
		f := find(t, faults, "bad-number")
		lines := strings.Split(string(d.bytes()), "\n")
		if f.Severity != fault.Error || f.Line < 1 || strings.TrimSpace(lines[f.Line-1]) != v || len(l.Closed) != 2 {
			t.Errorf("%q: %v", v, f.Error())
		}
	}
}

func TestEmptyCoordinateIsNotZero(t *testing.T) {
	_, faults := read(t, newDXF().mm().entity("CIRCLE", 10, "", 20, 1.0, 40, 5.0).bytes(), drawing.Options{})
	find(t, faults, "bad-number")
}

func TestBrokenFilesSayWhatIsWrong(t *testing.T) {
	good := string(plate("0", "0").bytes())
	for _, c := range []struct {
		name, data, code string
		sev              fault.Severity
		loops            int
	}{
		{"no end mark", strings.TrimSuffix(good, "  0\nEOF\n"), "no-eof", fault.Warning, 2},
		{"cut off in a pair", strings.TrimSuffix(good, "\nENDSEC\n  0\nEOF\n"), "cut-off", fault.Error, 2},
		{"a line too many", strings.Replace(good, "  0\nCIRCLE", "stray words\n  0\nCIRCLE", 1), "odd-lines", fault.Warning, 2},
		{"text broken over lines", strings.Replace(good, "  0\nCIRCLE", "  0\nTEXT\n  1\nfirst\nsecond\n  0\nCIRCLE", 1), "odd-lines", fault.Warning, 2},
		{"empty", "", "format", fault.Error, 0},
		{"blanks", " \n\n ", "format", fault.Error, 0},
		{"words", "dear shop,\nplease cut this", "format", fault.Error, 0},
		{"a DWG", "AC1032\x00\x00\x00\x00\x00", "format", fault.Error, 0},
		{"a ZIP", "PK\x03\x04rest", "format", fault.Error, 0},
		{"nothing drawn", "  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", "nothing-to-cut", fault.Error, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, faults := read(t, []byte(c.data), drawing.Options{})
			f := find(t, faults, c.code)
			if f.Severity != c.sev || f.Do == "" {
				t.Errorf("%v %v", f.Severity, f.Error())
			}
			n := 0
			if l != nil {
				n = len(l.Closed)
			}
			if n != c.loops {
				t.Errorf("%d loops, want %d", n, c.loops)
			}
		})
	}
}

// A file by a script: no header, no sections, no handles, no end.
func TestEntitiesAloneAreEnough(t *testing.T) {
	text := string(plate("0", "0").bytes())
	text = text[strings.Index(text, "ENTITIES\n")+len("ENTITIES\n"):]
	text = text[:strings.Index(text, "  0\nENDSEC")]
	l, _ := read(t, []byte(text), drawing.Options{})
	if l == nil || len(l.Closed) != 2 {
		t.Fatal("not read")
	}
}

// toBinary writes the same groups in binary: codes of one byte as before R13,
// or of two; values by the group code value types of the DXF reference.
func toBinary(t testing.TB, text []byte, wide bool) []byte {
	t.Helper()
	out, err := hex.DecodeString("4175746f4341442042696e617279204458460d0a1a00") // DXF reference, about binary DXF
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			t.Fatal(err)
		}
		if code == 999 {
			continue // never in binary files
		}
		switch {
		case wide:
			out = binary.LittleEndian.AppendUint16(out, uint16(code))
		case code < 255:
			out = append(out, byte(code))
		default:
			out = binary.LittleEndian.AppendUint16(append(out, 255), uint16(code))
		}
		v := strings.TrimSpace(lines[i+1])
		num := func() float64 {
			f, err := strconv.ParseFloat(v, 64)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		switch {
		case code >= 10 && code <= 59, code >= 210 && code <= 239:
			out = binary.LittleEndian.AppendUint64(out, math.Float64bits(num()))
		case code >= 60 && code <= 79, code >= 170 && code <= 179, code >= 270 && code <= 289:
			out = binary.LittleEndian.AppendUint16(out, uint16(int16(num())))
		case code >= 90 && code <= 99:
			out = binary.LittleEndian.AppendUint32(out, uint32(int32(num())))
		case code >= 290 && code <= 299:
			out = append(out, byte(num()))
		default:
			out = append(append(out, v...), 0)
		}
	}
	return out
}

func TestBinaryReadsLikeText(t *testing.T) {
	for _, s := range samples() {
		text := bytes.ReplaceAll(s.make(), []byte("\r\n"), []byte("\n"))
		want := mustRead(t, text, drawing.Options{})
		for _, wide := range []bool{false, true} {
			data := toBinary(t, text, wide)
			name := strings.TrimSuffix(s.file, ".dxf") + map[bool]string{false: "-short", true: "-wide"}[wide] + ".dxf"
			file := filepath.Join("testdata", "binary", name)
			if os.Getenv("KERFWRIGHT_UPDATE") != "" { // seeds for the fuzzer
				os.MkdirAll(filepath.Dir(file), 0o755)
				if err := os.WriteFile(file, data, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			got := mustRead(t, data, drawing.Options{})
			if got.Format != drawing.FormatBinaryDXF || len(got.Closed) != len(want.Closed) {
				t.Fatalf("%s: %v, %d loops", name, got.Format, len(got.Closed))
			}
			for i := range want.Closed {
				if !samePath(got.Closed[i].Path, want.Closed[i].Path) {
					t.Errorf("%s: loop %d differs", name, i)
				}
			}
		}
	}
}

func samePath(p, q geom.Path) bool {
	if len(p.V) != len(q.V) {
		return false
	}
	for i := range p.V {
		if p.V[i].P != q.V[i].P || p.V[i].Bulge != q.V[i].Bulge {
			return false
		}
	}
	return true
}

func TestTornBinaryFilesSayWhatIsWrong(t *testing.T) {
	data := toBinary(t, plate("0", "0").bytes(), true)
	_, faults := read(t, data[:len(data)-30], drawing.Options{})
	find(t, faults, "cut-off")
	_, faults = read(t, append(data[:len(data)-6:len(data)-6], 0x78, 0x05, 1, 2, 3, 4), drawing.Options{}) // group code 1400 is none
	if f := find(t, faults, "broken"); !strings.Contains(f.What, "1400") {
		t.Errorf("%v", f.Error())
	}
}
