package jobfile

import (
	"strings"
	"unicode/utf8"
)

// maxDepth is how deep tables, arrays and dotted keys may nest. A job needs
// five. The TOML library takes time in the square of the depth, and stack in
// proportion: a line of 40 kB with 20,000 dots kept it busy for 24 s.
const maxDepth = 16

// node is what stands at one place of a TOML text: where its key begins, the
// value as typed, and what lies below it. The library gives no position for
// a value that parses but is wrong, nor for an unknown key; this does.
type node struct {
	line, col int              // of the key, or of the value if it has no key; from 1, col in runes
	raw       string           // the value as typed, "" for a table with a header
	keys      map[string]*node // of a table
	items     []*node          // of an array
	list      bool             // items of [[key]]: a later [key.x] goes into the last one
}

func (n *node) key(k string) *node {
	if n == nil {
		return nil
	}
	return n.keys[k]
}

func (n *node) item(i int) *node {
	if n == nil || i >= len(n.items) {
		return nil
	}
	return n.items[i]
}

// scan maps a TOML text. It trusts the text to be valid and is asked about
// nothing else, but it ends, without a panic, on any text. deep is the place
// at which the text nests deeper than maxDepth, or nil; twice is a key that
// was given before as a.b = and is now given as a =, which TOML forbids and
// the library lets through, dropping a.b without a word.
func scan(text string) (root, deep, twice *node) {
	s := &scanner{text: strings.TrimPrefix(text, "\ufeff"), line: 1}
	root = &node{line: 1, col: 1}
	table := root
	for s.deep == nil {
		s.blank(true)
		if s.pos >= len(s.text) {
			break
		}
		if s.peek() == '[' {
			table = s.header(root)
		} else {
			s.pair(table, 1)
		}
		s.rest()
	}
	return root, s.deep, s.twice
}

type scanner struct {
	text  string
	pos   int
	line  int
	from  int // where the line begins
	deep  *node
	twice *node
}

func (s *scanner) peek() byte {
	if s.pos < len(s.text) {
		return s.text[s.pos]
	}
	return 0
}

func (s *scanner) here() *node {
	return &node{line: s.line, col: 1 + utf8.RuneCountInString(s.text[s.from:s.pos])}
}

func (s *scanner) next() {
	if s.pos < len(s.text) {
		if s.text[s.pos] == '\n' {
			s.line++
			s.from = s.pos + 1
		}
		s.pos++
	}
}

// blank skips spaces, and comments and line ends if lines is set.
func (s *scanner) blank(lines bool) {
	for s.pos < len(s.text) {
		switch c := s.peek(); {
		case c == ' ' || c == '\t':
		case lines && (c == '\n' || c == '\r'):
		case lines && c == '#':
			for s.pos < len(s.text) && s.peek() != '\n' {
				s.pos++
			}
			continue
		default:
			return
		}
		s.next()
	}
}

// rest skips to the end of the line: a comment, or what is left of an error.
func (s *scanner) rest() {
	for s.pos < len(s.text) && s.peek() != '\n' {
		s.pos++
	}
	s.next()
}

// header reads [a.b] or [[a.b]] and returns the table that it opens.
func (s *scanner) header(root *node) *node {
	at := s.here()
	s.next()
	list := s.peek() == '['
	if list {
		s.next()
	}
	path := s.path()
	if len(path) > maxDepth {
		s.deep = at
		return root
	}
	table := root
	for i, key := range path {
		last := i == len(path)-1
		kid := table.key(key)
		if kid == nil {
			kid = &node{line: at.line, col: at.col, list: list && last}
			table.set(key, kid)
		}
		switch {
		case last && list:
			kid.items = append(kid.items, &node{line: at.line, col: at.col})
			kid = kid.items[len(kid.items)-1]
		case kid.list && len(kid.items) > 0:
			kid = kid.items[len(kid.items)-1]
		}
		table = kid
	}
	return table
}

func (n *node) set(key string, kid *node) {
	if n.keys == nil {
		n.keys = map[string]*node{}
	}
	n.keys[key] = kid
}

// pair reads key = value into a table.
func (s *scanner) pair(table *node, depth int) {
	at := s.here()
	path := s.path()
	if len(path) > maxDepth {
		s.deep = at
		return
	}
	for _, key := range path[:max(len(path)-1, 0)] {
		kid := table.key(key)
		if kid == nil {
			kid = &node{line: at.line, col: at.col}
			table.set(key, kid)
		}
		table = kid
	}
	s.blank(false)
	if s.peek() != '=' || len(path) == 0 {
		return
	}
	s.next()
	s.blank(false)
	v := s.value(depth)
	v.line, v.col = at.line, at.col
	if last := path[len(path)-1]; table.key(last) == nil {
		table.set(last, v)
	} else if s.twice == nil {
		s.twice = v
	}
}

// path reads a dotted key.
func (s *scanner) path() []string {
	var path []string
	for len(path) <= maxDepth {
		s.blank(false)
		switch c := s.peek(); {
		case c == '"' || c == '\'':
			from := s.pos
			s.quoted()
			path = append(path, unquote(s.text[from:s.pos]))
		default:
			from := s.pos
			for bare(s.peek()) {
				s.pos++
			}
			if s.pos == from {
				return path
			}
			path = append(path, s.text[from:s.pos])
		}
		s.blank(false)
		if s.peek() != '.' {
			return path
		}
		s.next()
	}
	return path
}

func bare(c byte) bool {
	return c == '_' || c == '-' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// value reads any value; the result has its own place.
func (s *scanner) value(depth int) *node {
	v := s.here()
	from := s.pos
	if depth > maxDepth {
		s.deep = v
		return v
	}
	switch s.peek() {
	case '"', '\'':
		s.quoted()
	case '[':
		s.next()
		for s.deep == nil {
			s.blank(true)
			if c := s.peek(); c == ']' || c == 0 {
				s.next()
				break
			}
			before := s.pos
			v.items = append(v.items, s.value(depth+1))
			s.blank(true)
			if s.peek() == ',' {
				s.next()
			}
			if s.pos == before {
				s.next()
			}
		}
	case '{':
		s.next()
		for s.deep == nil {
			s.blank(true)
			if c := s.peek(); c == '}' || c == 0 {
				s.next()
				break
			}
			before := s.pos
			s.pair(v, depth+1)
			s.blank(true)
			if s.peek() == ',' {
				s.next()
			}
			if s.pos == before {
				s.next()
			}
		}
	default:
		for s.pos < len(s.text) && !strings.ContainsRune(",]}#\r\n", rune(s.peek())) {
			s.pos++
		}
	}
	v.raw = strings.TrimRight(s.text[from:s.pos], " \t")
	return v
}

// quoted skips a string of any of the four sorts.
func (s *scanner) quoted() {
	q := s.text[s.pos : s.pos+1]
	long := strings.HasPrefix(s.text[s.pos:], q+q+q)
	if long {
		s.pos += 3
	} else {
		s.pos++
	}
	for s.pos < len(s.text) {
		switch c := s.peek(); {
		case c == '\\' && q == `"`:
			s.next()
			s.next()
		case !long && c == q[0]:
			s.pos++
			return
		case !long && c == '\n':
			return
		case long && strings.HasPrefix(s.text[s.pos:], q+q+q):
			s.pos += 3
			// Up to two quotes may stand before the closing three.
			for i := 0; i < 2 && s.peek() == q[0]; i++ {
				s.pos++
			}
			return
		default:
			s.next()
		}
	}
}

// unquote returns the key that a quoted key means.
func unquote(q string) string {
	if len(q) < 2 {
		return q
	}
	body := q[1 : len(q)-1]
	if q[0] == '\'' || !strings.Contains(body, `\`) {
		return body
	}
	var b strings.Builder
	for i := 0; i < len(body); i++ {
		if body[i] != '\\' || i+1 == len(body) {
			b.WriteByte(body[i])
			continue
		}
		i++
		switch c := body[i]; c {
		case 'b':
			b.WriteByte('\b')
		case 't':
			b.WriteByte('\t')
		case 'n':
			b.WriteByte('\n')
		case 'f':
			b.WriteByte('\f')
		case 'r':
			b.WriteByte('\r')
		case 'e':
			b.WriteByte(0x1b)
		case 'x', 'u', 'U':
			digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[c]
			var r rune
			for n := 0; n < digits && i+1 < len(body); n++ {
				i++
				r = r<<4 | hex(body[i])
			}
			b.WriteRune(r)
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

func hex(c byte) rune {
	switch {
	case c >= '0' && c <= '9':
		return rune(c - '0')
	case c >= 'a' && c <= 'f':
		return rune(c-'a') + 10
	case c >= 'A' && c <= 'F':
		return rune(c-'A') + 10
	}
	return 0
}
