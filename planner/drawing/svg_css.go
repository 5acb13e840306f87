package drawing

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// svgRule is one selector of a style sheet with its declarations: an element
// name, an id and classes, each of which may be missing.
type svgRule struct {
	element, id string
	classes     []string
	rank        int // ids, classes, element: the higher wins, then the later
	order       int
	decl        []svgDecl
}

type svgDecl struct {
	key       svgAttr
	value     string
	important bool
}

// svgSheet holds the rules of all style sheets, found by what they ask for first.
type svgSheet struct {
	byKey  map[string][]svgRule
	count  int
	missed int // selectors of a kind that is not understood and that could matter
}

// read adds a style sheet. At-rules are skipped.
func (sh *svgSheet) read(css string) error {
	if sh.byKey == nil {
		sh.byKey = map[string][]svgRule{}
	}
	css = withoutComments(css)
	for {
		open := strings.IndexByte(css, '{')
		if open < 0 {
			return nil
		}
		head := strings.TrimSpace(css[:open])
		if k := strings.LastIndexByte(head, ';'); k >= 0 { // @import "...";
			head = strings.TrimSpace(head[k+1:])
		}
		body, rest := cssBlock(css[open+1:])
		css = rest
		if strings.HasPrefix(head, "@") {
			continue
		}
		decl := parseDecls(body)
		if len(decl) == 0 {
			continue
		}
		for sel := range strings.SplitSeq(head, ",") {
			if sh.count++; sh.count > svgRules {
				return errSVGLimit{svgRules, "style rules"}
			}
			r, ok := parseSelector(strings.TrimSpace(sel))
			if !ok {
				sh.missed++
				continue
			}
			r.decl, r.order = decl, sh.count
			sh.byKey[r.key()] = append(sh.byKey[r.key()], r)
		}
	}
}

// cssBlock cuts at the brace that closes a block; blocks inside it are part of it.
func cssBlock(s string) (body, rest string) {
	depth := 1
	for i := range len(s) {
		switch s[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return s[:i], s[i+1:]
			}
		}
	}
	return s, ""
}

func withoutComments(s string) string {
	if !strings.Contains(s, "/*") {
		return s
	}
	var b strings.Builder
	for {
		i := strings.Index(s, "/*")
		if i < 0 {
			b.WriteString(s)
			return b.String()
		}
		b.WriteString(s[:i])
		k := strings.Index(s[i+2:], "*/")
		if k < 0 {
			return b.String()
		}
		s = s[i+2+k+2:]
	}
}

// parseDecls reads declarations and keeps those of properties that matter.
func parseDecls(s string) []svgDecl {
	var out []svgDecl
	for part := range strings.SplitSeq(s, ";") {
		name, value, ok := strings.Cut(part, ":")
		if !ok {
			continue
		}
		k, known := svgProps[strings.ToLower(strings.TrimSpace(name))]
		if !known {
			continue
		}
		d := svgDecl{key: k, value: strings.TrimSpace(value)}
		if v, found := strings.CutSuffix(d.value, "important"); found {
			if v, found = strings.CutSuffix(strings.TrimSpace(v), "!"); found {
				d.value, d.important = strings.TrimSpace(v), true
			}
		}
		out = append(out, d)
	}
	return out
}

func isCSSName(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c >= 0x80
}

// parseSelector reads one compound selector of element, id and class.
func parseSelector(s string) (r svgRule, ok bool) {
	i := 0
	name := func() string {
		k := i
		for i < len(s) && isCSSName(s[i]) {
			i++
		}
		return s[k:i]
	}
	if i < len(s) && s[i] == '*' {
		i++
	} else if r.element = name(); r.element != "" {
		r.rank++
	}
	for i < len(s) {
		kind := s[i]
		i++
		n := name()
		switch {
		case n == "":
			return r, false
		case kind == '.':
			r.classes = append(r.classes, n)
			r.rank += 1000
		case kind == '#':
			r.id = n
			r.rank += 1_000_000
		default: // combinators, attributes, states
			return r, false
		}
	}
	return r, s != ""
}

// key is the thing by which the rule is found: the rarest that it asks for.
func (r svgRule) key() string {
	switch {
	case r.id != "":
		return "#" + r.id
	case len(r.classes) > 0:
		return "." + r.classes[0]
	}
	return r.element
}

func (r svgRule) matches(name, id string, classes []string) bool {
	if r.element != "" && r.element != name || r.id != "" && r.id != id {
		return false
	}
	for _, c := range r.classes {
		if !slices.Contains(classes, c) {
			return false
		}
	}
	return true
}

// props is what one element says of itself, "" where it says nothing.
type svgValues [propCount]string

// values works out the cascade for one element: its attributes, then the
// rules by rank, then its style attribute, then what is important.
func (sh *svgSheet) values(n *svgNode) svgValues {
	var v svgValues
	for _, a := range n.attrs {
		if a.key >= propDisplay {
			v[a.key] = a.value
		}
	}
	var urgent []svgDecl
	apply := func(all []svgDecl) {
		for _, d := range all {
			if d.important {
				urgent = append(urgent, d)
			} else {
				v[d.key] = d.value
			}
		}
	}
	if sh.count > 0 {
		for _, r := range sh.rulesOf(n) {
			apply(r.decl)
		}
	}
	if s, ok := n.attr(attrStyle); ok {
		apply(parseDecls(s))
	}
	for _, d := range urgent {
		v[d.key] = d.value
	}
	return v
}

// Bounds on the rules that one element is compared with, and collects.
const (
	maxSheetTries   = 1000
	maxSheetMatches = 200
)

func (sh *svgSheet) rulesOf(n *svgNode) []svgRule {
	classes := strings.Fields(n.value(attrClass))
	id := n.value(attrID)
	keys := []string{"", n.name}
	if id != "" {
		keys = append(keys, "#"+id)
	}
	for _, c := range classes[:min(len(classes), 20)] {
		keys = append(keys, "."+c)
	}
	var out []svgRule
	tries := 0
	for _, k := range keys {
		for _, r := range sh.byKey[k] {
			if tries++; tries > maxSheetTries || len(out) == maxSheetMatches {
				break
			}
			if r.matches(n.name, id, classes) {
				out = append(out, r)
			}
		}
	}
	slices.SortFunc(out, func(a, b svgRule) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.order, b.order))
	})
	return out
}

// svgPaint is a fill or a stroke.
type svgPaint struct {
	none  bool
	color uint32
}

// parsePaint reads a colour; inherit keeps what was there. Paint servers and
// colours that are not known count as black.
func parsePaint(s string, was svgPaint, current uint32) svgPaint {
	s = strings.TrimSpace(s)
	low := strings.ToLower(s)
	switch {
	case low == "" || low == "inherit":
		return was
	case low == "none" || low == "transparent":
		return svgPaint{none: true}
	case low == "currentcolor":
		return svgPaint{color: current}
	case strings.HasPrefix(low, "url("):
		return svgPaint{}
	}
	c, _ := parseColor(low)
	return svgPaint{color: c}
}

func parseColor(s string) (uint32, bool) {
	if hex, ok := strings.CutPrefix(s, "#"); ok {
		v, err := strconv.ParseUint(hex, 16, 32)
		if err != nil {
			return 0, false
		}
		switch len(hex) {
		case 3, 4:
			if len(hex) == 4 {
				v >>= 4
			}
			r, g, b := uint32(v>>8&15), uint32(v>>4&15), uint32(v&15)
			return r*17<<16 | g*17<<8 | b*17, true
		case 6:
			return uint32(v), true
		case 8:
			return uint32(v >> 8), true
		}
		return 0, false
	}
	if strings.HasPrefix(s, "rgb") {
		_, args, _ := strings.Cut(s, "(")
		c := svgScan{s: args}
		var out uint32
		for range 3 {
			v, ok := c.number()
			if !ok {
				return 0, false
			}
			if c.i < len(args) && args[c.i] == '%' {
				c.i++
				v *= 2.55
			}
			c.comma()
			out = out<<8 | uint32(min(255, max(0, v+0.5)))
		}
		return out, true
	}
	c, ok := svgColors[s]
	return c, ok
}

// svgColors are the colours by name that drawings for cutting use (CSS Color).
var svgColors = map[string]uint32{
	"black": 0, "white": 0xffffff, "red": 0xff0000, "lime": 0x00ff00, "green": 0x008000, "blue": 0x0000ff,
	"yellow": 0xffff00, "cyan": 0x00ffff, "aqua": 0x00ffff, "magenta": 0xff00ff, "fuchsia": 0xff00ff,
	"gray": 0x808080, "grey": 0x808080, "silver": 0xc0c0c0, "maroon": 0x800000, "olive": 0x808000,
	"navy": 0x000080, "purple": 0x800080, "teal": 0x008080, "orange": 0xffa500, "brown": 0xa52a2a,
	"darkgray": 0xa9a9a9, "darkgrey": 0xa9a9a9, "lightgray": 0xd3d3d3, "lightgrey": 0xd3d3d3,
	"pink": 0xffc0cb, "gold": 0xffd700, "violet": 0xee82ee,
}
