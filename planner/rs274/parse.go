package rs274

import (
	"math"
	"strings"
)

// block is what one line says, before anything is done.
type block struct {
	slashed  bool
	empty    bool // nothing but blanks
	g, m     []int
	has      uint32 // letters given, bit 0 is A
	val      [26]float64
	comment  string // the last one
	comments int
	sets     []setting
}

type setting struct {
	index int
	value float64
}

func bit(letter byte) uint32 { return 1 << (letter - 'A') }

// value is 0 for a letter that the line does not give.
func (b *block) value(letter byte) float64 { return b.val[letter-'A'] }
func (b *block) given(letter byte) bool    { return b.has&bit(letter) != 0 }
func (b *block) any(letters string) bool   { return b.first(letters) != 0 }

// hasG reports whether the line holds one of the G codes, given in tenths;
// hasM the same of M codes, given whole.
func (b *block) hasG(tenths ...int) bool { return b.gOf(tenths...) != none }
func (b *block) hasM(codes ...int) bool  { return b.mOf(codes...) != none }

// none is no code.
const none = -1

// gOf and mOf return the code that the line holds, or none.
func (b *block) gOf(tenths ...int) int {
	for _, have := range b.g {
		for _, t := range tenths {
			if have == t {
				return t
			}
		}
	}
	return none
}

func (b *block) mOf(codes ...int) int {
	for _, have := range b.m {
		for _, c := range codes {
			if have == c*10 {
				return c
			}
		}
	}
	return none
}

func (b *block) first(letters string) byte {
	if b.has == 0 {
		return 0
	}
	for i := range len(letters) {
		if b.given(letters[i]) {
			return letters[i]
		}
	}
	return 0
}

// Letters of table 3. N is not among them: it numbers a line.
const wordLetters = "ABCDFGHIJKLMPQRSTXYZ"

// MostM is how many M words a line may hold (section 3.3.5).
const MostM = 4

// parse reads one line into b by the grammar of section 3.3: an optional
// slash, an optional line number, then words, settings and comments in any
// order.
func (r *reader) parse(line []byte, b *block) *problem {
	*b = block{g: b.g[:0], m: b.m[:0], sets: b.sets[:0]}
	s := &r.scan
	s.b, s.i = line, 0
	if s.peek() == 0 && s.i >= len(s.b) {
		b.empty = true
		return nil
	}
	if s.peek() == '/' {
		b.slashed = true
		s.i++
	}
	if s.peek() == 'n' {
		if p := s.lineNumber(); p != nil {
			return p
		}
	}
	for {
		c := s.peek()
		switch {
		case c == 0 && s.i >= len(s.b):
			return nil
		case c == '(':
			text, p := s.comment()
			if p != nil {
				return p
			}
			b.comment = text
			b.comments++
		case c == ';' && r.o.SemicolonComments:
			b.comment = string(line[s.i+1:])
			b.comments++
			return nil
		case c == '#':
			if p := s.setting(b); p != nil {
				return p
			}
		case isLetter(c):
			if p := r.word(b); p != nil {
				return p
			}
		case c == '%':
			return bad("percent", "Let % stand alone on its line.", "%% among other words")
		case c == '/':
			return bad("character", "Write / first on the line or not at all.", "/ after the start of the line")
		case c == ';':
			return bad("character", "Write the comment in ( ).", "; is not in the language of NISTIR 6556")
		default:
			return bad("character", "Remove it.", "%s is not in the language of NISTIR 6556", show(c))
		}
	}
}

// lineNumber reads N and up to five digits (section 3.3.1).
func (s *scanner) lineNumber() *problem {
	s.next()
	n := 0
	for isDigit(s.peek()) {
		s.i++
		n++
	}
	switch {
	case n == 0:
		return bad("line-number", "Write N and digits.", "N without digits")
	case n > 5:
		return bad("line-number", "Number lines up to 99999, or not at all.", "a line number of %d digits, at most 5 are allowed (NISTIR 6556 3.3.1)", n)
	}
	return nil
}

// setting reads #index=value. It takes effect after the whole line was read
// (section 3.3.3).
func (s *scanner) setting(b *block) *problem {
	i, p := s.parameter()
	if p != nil {
		return p
	}
	if s.next() != '=' {
		return bad("parameter", "Write #number=value.", "#%d without =", i)
	}
	v, p := s.value()
	if p != nil {
		return p
	}
	b.sets = append(b.sets, setting{i, v})
	return nil
}

// word reads a letter and its value.
func (r *reader) word(b *block) *problem {
	s := &r.scan
	letter := s.next() - 'a' + 'A'
	if letter == 'N' {
		return bad("line-number", "Write the line number first.", "a line number after other words")
	}
	if strings.IndexByte(wordLetters, letter) < 0 {
		return bad("letter", "Remove it.", "%c is no word of NISTIR 6556 table 3", letter)
	}
	v, p := s.value()
	if p != nil {
		p.what = string(letter) + ": " + p.what
		return p
	}
	switch letter {
	case 'G':
		return r.gWord(b, v)
	case 'M':
		return r.mWord(b, v)
	}
	if b.given(letter) {
		return bad("repeated", "Write it once.", "%c twice on a line", letter)
	}
	b.has |= bit(letter)
	b.val[letter-'A'] = v
	return nil
}

// Modal groups of table 4, by code times ten. Group 0 may repeat with other
// codes; the others exclude one another.
var gGroups = spread(map[int]int8{
	0: 1, 10: 1, 20: 1, 30: 1, 382: 1, 800: 1, 810: 1, 820: 1, 830: 1, 840: 1, 850: 1, 860: 1, 870: 1, 880: 1, 890: 1,
	170: 2, 180: 2, 190: 2,
	900: 3, 910: 3,
	930: 5, 940: 5,
	200: 6, 210: 6,
	400: 7, 410: 7, 420: 7,
	430: 8, 490: 8,
	980: 10, 990: 10,
	540: 12, 550: 12, 560: 12, 570: 12, 580: 12, 590: 12, 591: 12, 592: 12, 593: 12,
	610: 13, 611: 13, 640: 13,
	40: 0, 100: 0, 280: 0, 300: 0, 530: 0, 920: 0, 921: 0, 922: 0, 923: 0,
})

var mGroups = spread(map[int]int8{
	0: 4, 10: 4, 20: 4, 300: 4, 600: 4,
	60: 6,
	30: 7, 40: 7, 50: 7,
	70: 8, 80: 8, 90: 8,
	480: 9, 490: 9,
})

// noGroup marks a code that the standard has not.
const noGroup = -2

// spread makes a table by code times ten, which is quicker to ask than a map.
func spread(m map[int]int8) (t [10000]int8) {
	for i := range t {
		t[i] = noGroup
	}
	for code, group := range m {
		t[code] = group
	}
	return t
}

// Groups for the words of a dialect: a group of its own for the arc modes,
// and none for further words, which may stand with any other.
const (
	groupArcModes = 4
	groupUser     = -1
)

// groupOf returns the modal group of a code; ok is false if neither the
// standard nor the dialect has it.
func (r *reader) groupOf(letter byte, tenths int) (group int, ok bool) {
	table := &mGroups
	if letter == 'G' {
		table = &gGroups
	}
	switch g := int(table[tenths]); {
	case g != noGroup:
		return g, true
	case letter == 'G' && r.o.ArcModes && (tenths == 901 || tenths == 911):
		return groupArcModes, true
	case r.user(letter, tenths) != nil:
		return groupUser, true
	}
	return 0, false
}

func (r *reader) user(letter byte, tenths int) *Word {
	for i := range r.o.Words {
		if w := &r.o.Words[i]; w.Letter == letter && w.Tenths == tenths {
			return w
		}
	}
	return nil
}

// code prints a code given in tenths.
func code(letter byte, tenths int) string {
	return string(letter) + format(float64(tenths)/10)
}

func (r *reader) gWord(b *block, v float64) *problem {
	t := math.Round(v * 10)
	if !(math.Abs(v*10-t) <= integer) || t < 0 || t > 9999 {
		return bad("unknown-word", "Write a code of the standard.", "G%s is no code of NISTIR 6556 table 5", format(v))
	}
	return r.addCode(b, &b.g, 'G', int(t))
}

func (r *reader) mWord(b *block, v float64) *problem {
	t := math.Round(v)
	if !(math.Abs(v-t) <= integer) || t < 0 || t > 999 {
		return bad("unknown-word", "Write a code of the standard.", "M%s is no code of NISTIR 6556 table 7", format(v))
	}
	if len(b.m) == MostM {
		return bad("m-words", "Put some on a line of their own.", "more than %d M words on a line (NISTIR 6556 3.3.5)", MostM)
	}
	return r.addCode(b, &b.m, 'M', int(t)*10)
}

func (r *reader) addCode(b *block, list *[]int, letter byte, tenths int) *problem {
	group, ok := r.groupOf(letter, tenths)
	if !ok {
		return bad("unknown-word", "Write a code of the standard, or put the word into the machine profile's templates.",
			"%s is neither in NISTIR 6556 nor in the machine profile", code(letter, tenths))
	}
	for _, other := range *list {
		g, _ := r.groupOf(letter, other)
		switch {
		case other == tenths:
			return bad("repeated", "Write it once.", "%s twice on a line", code(letter, tenths))
		case group > 0 && g == group:
			return bad("modal-group", "Put one of them on a line of its own.", "%s and %s are of one modal group (NISTIR 6556 table 4)",
				code(letter, other), code(letter, tenths))
		}
	}
	*list = append(*list, tenths)
	return nil
}
