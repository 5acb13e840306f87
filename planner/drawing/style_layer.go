package drawing

import (
	"fmt"
	"strings"

	"example.org/kerfwright/planner/unit"
)

// layerName names the entities of one style, for what no layer of an SVG or
// PDF file claims: it says what the operator would point at, such as
// "black 0.25 mm dashed".
func (s Style) layerName() string {
	var b strings.Builder
	b.WriteString(colorName(s.Color))
	switch {
	case s.Filled:
		b.WriteString(" fill")
	case s.Weight > 0:
		b.WriteString(" " + unit.Number(float64(s.Weight), 2) + " mm")
	default:
		b.WriteString(" hairline")
	}
	if s.Dash {
		b.WriteString(" dashed")
	}
	return b.String()
}

// colorName says a colour in a word, or as its six digits.
func colorName(c uint32) string {
	switch c {
	case 0x000000:
		return "black"
	case 0xffffff:
		return "white"
	case 0xff0000:
		return "red"
	case 0x00ff00:
		return "green"
	case 0x0000ff:
		return "blue"
	case 0xffff00:
		return "yellow"
	case 0x00ffff:
		return "cyan"
	case 0xff00ff:
		return "magenta"
	case 0x808080:
		return "grey"
	}
	return fmt.Sprintf("#%06x", c)
}
