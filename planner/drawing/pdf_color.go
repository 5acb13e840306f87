package drawing

import (
	"math"
)

// weight is the true width of a line, mm, told apart by the hundredth.
func (p *pdfPen) weight() float32 {
	w := p.st.width * math.Sqrt(math.Abs(p.st.ctm.det())) * p.mm
	if !(w > 0) || w > 1e6 {
		return 0
	}
	return float32(math.Round(w*100) / 100)
}

// color follows the colour operators (8.6.8). Separations and patterns count
// as ink: 1 is dark.
func (p *pdfPen) color(op string, v []float64, objs []any) {
	c, ink := &p.st.fill, &p.st.fillInk
	switch op {
	case "G", "RG", "K", "CS", "SC", "SCN":
		c, ink = &p.st.stroke, &p.st.strokeInk
	}
	switch op {
	case "g", "G":
		*c, *ink = grayColor(v[0]), false
	case "rg", "RG":
		*c, *ink = rgbColor(v[0], v[1], v[2]), false
	case "k", "K":
		*c, *ink = cmykColor(v), false
	case "cs", "CS":
		*c, *ink = 0, true
		if len(objs) > 0 {
			switch objs[len(objs)-1] {
			case pdfName("DeviceGray"), pdfName("CalGray"), pdfName("G"):
				*ink = false
			}
		}
	case "sc", "SC", "scn", "SCN":
		switch len(v) {
		case 1:
			if *ink {
				v[0] = 1 - v[0]
			}
			*c = grayColor(v[0])
		case 3:
			*c = rgbColor(v[0], v[1], v[2])
		case 4:
			*c = cmykColor(v)
		}
	}
}

func grayColor(v float64) uint32 { return rgbColor(v, v, v) }

func rgbColor(r, g, b float64) uint32 {
	ch := func(v float64) uint32 { return uint32(math.Round(255 * min(1, max(0, v)))) }
	return ch(r)<<16 | ch(g)<<8 | ch(b)
}

func cmykColor(v []float64) uint32 {
	return rgbColor((1-v[0])*(1-v[3]), (1-v[1])*(1-v[3]), (1-v[2])*(1-v[3]))
}
