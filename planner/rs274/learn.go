package rs274

import (
	"fmt"
	"slices"
	"strings"
)

// Learn adds to the dialect what the lines use beyond the standard: further
// codes with the letters beside them, path tolerance, arc modes, semicolon
// comments. A field in braces stands for a number. A line that cannot be read
// even so is an error.
func (d *Dialect) Learn(lines ...string) error {
	for _, line := range lines {
		if err := d.learn(line); err != nil {
			return fmt.Errorf("template line %q: %w", line, err)
		}
	}
	return nil
}

// WithoutFields returns a template line with every field in braces replaced
// by 1.
func WithoutFields(line string) string {
	var b strings.Builder
	for {
		i := strings.IndexByte(line, '{')
		if i < 0 {
			break
		}
		j := strings.IndexByte(line[i:], '}')
		if j < 0 {
			break
		}
		b.WriteString(line[:i])
		b.WriteByte('1')
		line = line[i+j+1:]
	}
	b.WriteString(line)
	return b.String()
}

func (d *Dialect) learn(line string) error {
	s := scanner{b: []byte(WithoutFields(line)), params: func(int) (float64, *problem) { return 1, nil }}
	var gs, ms []int
	letters := ""
	if s.peek() == '/' {
		s.i++
	}
	for {
		c := s.peek()
		var p *problem
		switch {
		case c == 0 && s.i >= len(s.b), c == '%':
			d.teach(gs, ms, letters)
			return nil
		case c == '(':
			_, p = s.comment()
		case c == ';':
			d.SemicolonComments = true
			d.teach(gs, ms, letters)
			return nil
		case c == '#':
			p = s.setting(new(block))
		case isLetter(c):
			s.i++
			var v float64
			if v, p = s.value(); p != nil {
				break
			}
			switch c {
			case 'g', 'm':
				var t int
				if t, p = whole(v*10, "a code times ten", 0, 9999); p != nil {
					break
				}
				if c == 'g' {
					gs = append(gs, t)
				} else {
					ms = append(ms, t)
				}
			case 'n', 'f', 's', 't':
			default:
				letters += string(c - 'a' + 'A')
			}
		default:
			return fmt.Errorf("%s is not in the language of NISTIR 6556", show(c))
		}
		if p != nil {
			return fmt.Errorf("%s", p.what)
		}
	}
}

// teach gives every letter of a line to the code that must have brought it.
func (d *Dialect) teach(gs, ms []int, letters string) {
	var further, standard []Word
	for k, list := range [2][]int{gs, ms} {
		for _, t := range list {
			std := [2]*[10000]int8{&gGroups, &mGroups}[k][t] != noGroup
			switch w := (Word{Letter: "GM"[k], Tenths: t}); {
			case std:
				standard = append(standard, w)
			case k == 0 && (t == 901 || t == 911):
				d.ArcModes = true
			default:
				further = append(further, w)
			}
		}
	}
	has := func(tenths ...int) bool {
		return slices.ContainsFunc(tenths, func(t int) bool { return slices.Contains(gs, t) })
	}
	if has(610, 611) {
		d.ExactPath = true
	}
	left := ""
	for i := range len(letters) {
		c := letters[i]
		switch {
		case strings.IndexByte("XYZ", c) >= 0 && (has(0, 10, 20, 30, 382, 920, 100) || len(further) == 0),
			strings.IndexByte("IJKR", c) >= 0 && has(20, 30),
			c == 'L' && has(100),
			c == 'P' && has(40, 100):
		case c == 'P' && has(640) && len(further) == 0:
			d.PathTolerance = true
		default:
			left += string(c)
		}
	}
	takers := further
	if len(further) == 0 && left != "" {
		takers = standard
	}
	for _, w := range takers {
		w.Letters = left
		d.add(w)
	}
}

func (d *Dialect) add(w Word) {
	for i := range d.Words {
		if old := &d.Words[i]; old.Letter == w.Letter && old.Tenths == w.Tenths {
			for k := range len(w.Letters) {
				if strings.IndexByte(old.Letters, w.Letters[k]) < 0 {
					old.Letters += string(w.Letters[k])
				}
			}
			return
		}
	}
	d.Words = append(d.Words, w)
}
