package drawing

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// TestParseFloatAgreesWithStrconv, bit for bit.
func TestParseFloatAgreesWithStrconv(t *testing.T) {
	check := func(fail func(string, ...any), s string) {
		want, err := strconv.ParseFloat(s, 64)
		got, ok := parseFloat([]byte(" " + s + "\t"))
		if ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
			fail("%q: %v %v, want %v %v", s, got, ok, want, err)
		}
	}
	for _, s := range []string{"0", "-0", "1", "1.", ".5", "-.5", "+7", "123456789012345678901234567890", "0.1", "1e22", "1e23", "9007199254740993",
		"9007199254740993.5", "0.000000000000000000000000001", "1.7976931348623157e308", "4.9e-324", "00012.500", "179.99999999999997"} {
		check(t.Errorf, s)
	}
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.Float64().Draw(rt, "v")
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return
		}
		check(rt.Fatalf, strconv.FormatFloat(v, byte(rapid.SampledFrom([]rune("efg")).Draw(rt, "form")), rapid.IntRange(-1, 18).Draw(rt, "digits"), 64))
	})
	for _, s := range []string{"", " ", "-", ".", "e5", "1e", "1e+", "nan", "inf", "0x1p3", "1_000", "1.2.3", "1 2", "12,5", "5mm"} {
		if v, ok := parseFloat([]byte(s)); ok {
			t.Errorf("%q is %v", s, v)
		}
	}
}

func TestGroupCodes(t *testing.T) {
	for s, want := range map[string]int{"0": 0, "  0": 0, " 10 ": 10, "999": 999, "1071": 1071, "-5": -5, "\t8\r": 8} {
		if got, ok := parseCode([]byte(s)); !ok || got != want {
			t.Errorf("%q: %d %v", s, got, ok)
		}
	}
	for _, s := range []string{"", " ", "-", "1.0", "LINE", "1 0", "123456", "+5"} {
		if got, ok := parseCode([]byte(s)); ok {
			t.Errorf("%q: %d", s, got)
		}
	}
}

// FuzzParseFloat holds the fast path to strconv.
func FuzzParseFloat(f *testing.F) {
	for _, s := range []string{"1.5", "-2e3", "12345678901234567890", ".", "1e400"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := parseFloat([]byte(s))
		if !ok {
			return
		}
		want, err := strconv.ParseFloat(trimBlanks(s), 64)
		if err != nil || math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("%q: %v, want %v %v", s, got, want, err)
		}
	})
}

func trimBlanks(s string) string {
	for len(s) > 0 && s[0] <= ' ' {
		s = s[1:]
	}
	for len(s) > 0 && s[len(s)-1] <= ' ' {
		s = s[:len(s)-1]
	}
	return s
}
