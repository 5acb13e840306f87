package unit_test

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"example.org/kerfwright/planner/unit"
	"pgregory.net/rapid"
)

func TestWrittenLengthReadsBackAsTheSameFloat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(-1e6, 1e6).Draw(t, "mm")
		for _, s := range []unit.System{unit.MM, unit.Inch} {
			text := s.WriteMM(mm)
			back, err := s.ReadMM(text)
			if err != nil || back != mm {
				t.Fatalf("%v: %v written as %q reads back as %v, %v", s, mm, text, back, err)
			}
		}
	})
}

func TestWhatAPersonTypesInInchesIsWrittenAgain(t *testing.T) {
	// Every inch value of up to four decimals comes back as typed.
	for n := 1; n <= 20000; n++ {
		text := unit.Number(float64(n)/10000, 4)
		mm, err := unit.Inch.ReadMM(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := unit.Inch.WriteMM(mm); got != text {
			t.Fatalf("%s in is %v mm and is written as %s", text, mm, got)
		}
		want, _ := new(big.Rat).SetFrac64(int64(n)*254, 100000).Float64()
		if mm != want {
			t.Fatalf("%s in: %v mm, exact arithmetic says %v", text, mm, want)
		}
	}
}

func TestReadMM(t *testing.T) {
	for _, row := range []struct {
		name string
		in   unit.System
		text string
		want float64
	}{
		{"mm as it is", unit.MM, "12.7", 12.7},
		{"half an inch", unit.Inch, "0.5", 12.7},                 // 1 in = 25.4 mm exactly
		{"a tenth of an inch", unit.Inch, "0.1", 2.54},           // 1 in = 25.4 mm exactly
		{"no leading zero", unit.Inch, ".125", 3.175},            // 1 in = 25.4 mm exactly
		{"exponent", unit.Inch, "1.25E-1", 3.175},                // 1 in = 25.4 mm exactly
		{"plus sign", unit.Inch, "+100", 2540},                   // 1 in = 25.4 mm exactly
		{"negative", unit.Inch, "-1", -25.4},                     // 1 in = 25.4 mm exactly
		{"vanishing", unit.Inch, "1e-9000", 0},                   // under the least float64
		{"unit not said counts as mm", unit.Unknown, "3.5", 3.5}, // Scale is 1
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := row.in.ReadMM(row.text)
			if err != nil || got != row.want {
				t.Fatalf("got %v, %v, want %v", got, err, row.want)
			}
		})
	}
	for _, bad := range []string{"", "-", ".", "nan", "inf", "1e", "0x10", "1_0", "1e99999", "1e400", "1,5", "5 mm",
		"0." + string(make([]byte, 100))} {
		if v, err := unit.Inch.ReadMM(bad); err == nil {
			t.Errorf("%q is read as %v", bad, v)
		}
	}
}

func TestShortestNeedsNoExponentInTheSizesOfAShop(t *testing.T) {
	for _, row := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {6, "6"}, {-1.5, "-1.5"}, {3.175, "3.175"}, {0.000001, "0.000001"},
		{1e-7, "1e-7"}, {-2.5e-9, "-2.5e-9"}, {123456789, "123456789"}, {1e15, "1e15"}, {1200, "1200"},
	} {
		if got := unit.Shortest(row.v); got != row.want {
			t.Errorf("%v: got %s, want %s", row.v, got, row.want)
		}
		if back, err := strconv.ParseFloat(unit.Shortest(row.v), 64); err != nil || back != row.v {
			t.Errorf("%v comes back as %v, %v", row.v, back, err)
		}
	}
}

func TestTypedLengthsAreRoundedOnce(t *testing.T) {
	for _, row := range []struct {
		text string
		want float64 // mm; 1 in = 25.4 mm exactly
	}{
		{"1/8in", 3.175}, {"3/8 in", 9.525}, {"1 1/2in", 38.1}, {"-1 1/2in", -38.1}, {"0.1in", 2.54}, {"3/16\"", 4.7625},
		{"6", 6}, {"1/4", 0.25}, {"2.3in", 58.42}, {"3/1in", 76.2}, {"-3/4in", -19.05},
	} {
		if got, err := unit.ParseLength(row.text, unit.MM); err != nil || got != row.want {
			t.Errorf("%s: got %v, %v, want %v", row.text, got, err, row.want)
		}
	}
	for _, bad := range []string{"", "/", "1/0", "1/", "a", "1 2", "1,5", "1/2/3", "1 -1/2", strings.Repeat("9", 308) + "/1in", "1 1 /2x"} {
		if v, err := unit.ParseLength(bad, unit.MM); err == nil {
			t.Errorf("%q is read as %v", bad, v)
		}
	}
}
