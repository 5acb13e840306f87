// Package letters draws short texts as single strokes, for a torch that marks.
// Text, height and place come in; open paths of lines and arcs go out, one for
// each time the arc is lit. The forms are our own; their proportions follow
// lettering type B of ISO 3098 (from memory): capitals as high as the nominal
// height h, strokes h/10 wide, 2h/10 between letters, 6h/10 between words,
// most capitals 6h/10 wide and figures 5h/10.
package letters

import (
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"example.org/kerfwright/planner/geom"
)

// Parts of the nominal height (ISO 3098, type B, from memory).
const (
	Stroke = 1.0 / 10 // width of a stroke
	gap    = 2.0 / 10 // between letters
	word   = 6.0 / 10 // of a blank between words
	units  = 10       // a letter is drawn so many units high
)

// Heights are the nominal heights of ISO 3098 from 3.5 mm up, mm: each is
// sqrt 2 times the one before (from memory).
func Heights() []float64 { return []float64{3.5, 5, 7, 10, 14, 20} }

// glyph is one sign: its width in units and its strokes.
type glyph struct {
	width   float64
	strokes []geom.Path
}

// drawn holds the signs. A stroke is a list of points "x,y" in units; "/1"
// behind a point makes the way from it a quarter circle to the left, "/2" half
// a circle, negative ones to the right.
var drawn = map[rune]string{
	'A': "0,0 3,10 6,0; 1.05,3.5 4.95,3.5",
	'B': "0,5 0,0 3.5,0/2 3.5,5 0,5 0,10 3.5,10/-2 3.5,5",
	'C': "6,7/1 3,10/1 0,7 0,3/1 3,0/1 6,3",
	'D': "0,0 0,10 3,10/-1 6,7 6,3/-1 3,0 0,0",
	'E': "6,0 0,0 0,10 6,10; 0,5 5,5",
	'F': "0,0 0,10 6,10; 0,5 5,5",
	'G': "6,7/1 3,10/1 0,7 0,3/1 3,0/1 6,3 6,5 3.5,5",
	'H': "0,0 0,10; 6,0 6,10; 0,5 6,5",
	'I': "0,0 0,10",
	'J': "4,10 4,2/-1 2,0/-1 0,2",
	'K': "0,0 0,10; 6,10 0,4; 2,6 6,0",
	'L': "0,10 0,0 5,0",
	'M': "0,0 0,10 4,4 8,10 8,0",
	'N': "0,0 0,10 6,0 6,10",
	'O': "0,3 0,7/-1 3,10/-1 6,7 6,3/-1 3,0/-1 0,3",
	'P': "0,0 0,10 3.5,10/-2 3.5,5 0,5",
	'Q': "0,3 0,7/-1 3,10/-1 6,7 6,3/-1 3,0/-1 0,3; 3.5,2.5 6,0",
	'R': "0,0 0,10 3.5,10/-2 3.5,5 0,5; 3,5 6,0",
	'S': "6,7.5/1 3.5,10 2.5,10/2 2.5,5 3.5,5/-2 3.5,0 2.5,0/-1 0,2.5",
	'T': "3,0 3,10; 0,10 6,10",
	'U': "0,10 0,3/1 3,0/1 6,3 6,10",
	'V': "0,10 3,0 6,10",
	'W': "0,10 2,0 4,7 6,0 8,10",
	'X': "0,0 6,10; 0,10 6,0",
	'Y': "0,10 3,5 6,10; 3,5 3,0",
	'Z': "0,10 6,10 0,0 6,0",
	'0': "0,2.5 0,7.5/-1 2.5,10/-1 5,7.5 5,2.5/-1 2.5,0/-1 0,2.5",
	'1': "0,7.5 2.5,10 2.5,0",
	'2': "0,7.5/-1 2.5,10/-1 5,7.5 0,0 5,0",
	'3': "0,7.5/-1 2.5,10/-2 2.5,5/-2 2.5,0/-1 0,2.5",
	'4': "4,0 4,10 0,3 5,3",
	'5': "5,10 0,10 0,5 2.5,5/-2 2.5,0/-1 0,2.5",
	'6': "5,7.5/1 2.5,10/1 0,7.5 0,2.5/1 2.5,0/2 2.5,5/1 0,2.5",
	'7': "0,10 5,10 1.5,0",
	'8': "2.5,5/2 2.5,10/2 2.5,5/-2 2.5,0/-2 2.5,5",
	'9': "0,2.5/1 2.5,0/1 5,2.5 5,7.5/1 2.5,10/2 2.5,5/1 5,7.5",
	'-': "0,5 4,5",
	'+': "0,5 5,5; 2.5,2.5 2.5,7.5",
	'=': "0,3.5 5,3.5; 0,6.5 5,6.5",
	'.': "0,0 0,1",
	',': "0.5,1 0,-1",
	':': "0,1 0,2.5; 0,6.5 0,8",
	'/': "0,0 4,10",
	'_': "0,0 6,0",
	'#': "0,3 6,3; 0,7 6,7; 1,0 2.5,10; 3.5,0 5,10",
	'(': "2,10/1 0,8 0,2/1 2,0",
	')': "0,10/-1 2,8 2,2/-1 0,0",
}

var glyphs = sync.OnceValue(func() map[rune]glyph {
	all := map[rune]glyph{}
	for r, text := range drawn {
		var g glyph
		for _, one := range strings.Split(text, ";") {
			var p geom.Path
			for _, at := range strings.Fields(one) {
				at, turn, _ := strings.Cut(at, "/")
				x, y, _ := strings.Cut(at, ",")
				v := geom.Vertex{P: geom.Pt(number(x), number(y))}
				if turn != "" {
					v.Bulge = geom.BulgeOf(number(turn) * math.Pi / 2)
				}
				p.V = append(p.V, v)
			}
			g.strokes = append(g.strokes, p)
			g.width = max(g.width, p.Box().Max.X)
		}
		all[r] = g
	}
	return all
})

func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("letters: internal: " + err.Error())
	}
	return v
}

// Missing returns the signs of a text that there is no form for, each once;
// small letters are written as capitals.
func Missing(text string) string {
	out := ""
	for _, r := range text {
		if _, ok := glyphs()[unicode.ToUpper(r)]; !ok && r != ' ' && !strings.ContainsRune(out, r) {
			out += string(r)
		}
	}
	return out
}

// Width returns how long a text of a height is, mm, from the left of its first
// stroke to the right of its last, without the width of the strokes.
func Width(text string, height float64) float64 {
	width := 0.0
	each(text, func(g glyph, x float64) { width = x + g.width })
	return width / units * height
}

// Strokes returns the strokes of a text, from (0, 0) at the lower left corner
// of its first letter along X, mm. A sign without a form is left out.
func Strokes(text string, height float64) []geom.Path {
	var out []geom.Path
	k := height / units
	each(text, func(g glyph, x float64) {
		for _, s := range g.strokes {
			p := geom.Path{V: make([]geom.Vertex, len(s.V))}
			for i, v := range s.V {
				p.V[i] = geom.Vertex{P: geom.Pt(v.P.X+x, v.P.Y).Mul(k), Bulge: v.Bulge}
			}
			out = append(out, p)
		}
	})
	return out
}

// each walks over the signs of a text with where each begins, in units.
func each(text string, do func(g glyph, x float64)) {
	x := 0.0
	for _, r := range text {
		if r == ' ' {
			x += (word - gap) * units
			continue
		}
		g, ok := glyphs()[unicode.ToUpper(r)]
		if !ok {
			continue
		}
		do(g, x)
		x += g.width + gap*units
	}
}
