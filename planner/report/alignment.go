package report

import (
	"fmt"
	"io"
)

// Alignment says how the stock lies on the table, by the points that were
// typed.
type Alignment struct {
	Line      string     `json:"line"`
	Angle     float64    `json:"angle_deg"`
	Shift     [2]float64 `json:"shift_mm"`
	Residuals []float64  `json:"residuals_mm"` // of every point typed, in order
	Worst     float64    `json:"worst_residual_mm"`
	Third     float64    `json:"third_point_mm"`   // how far the first point on the next edge lies off where the first edge and the zero put it
	Apart     float64    `json:"holes_apart_mm"`   // by how much the holes lie further apart than drawn
	Unsure    float64    `json:"angle_unsure_deg"` // if every reading is off by a fifth of a millimetre
	Room      []Room     `json:"room"`
}

// Room is what is left between all that is cut and an edge of the stock, mm.
type Room struct {
	Edge     string  `json:"edge"`
	Aligned  float64 `json:"aligned_mm"`
	Straight float64 `json:"straight_mm"` // if the program were run as drawn
}

// Table prints the alignment for a person.
func (a Alignment) Table(out io.Writer) error {
	b := &printer{out: out}
	b.printf("%s\n", a.Line)
	b.printf("turn            %9.4f deg, sure to %.4f deg\n", a.Angle, a.Unsure)
	b.printf("shift           X %.3f mm, Y %.3f mm\n", a.Shift[0], a.Shift[1])
	for i, r := range a.Residuals {
		b.printf("point %-2d off     %9.3f mm\n", i+1, r)
	}
	if a.Third != 0 {
		b.printf("next edge       %9.3f mm off where the first edge and the zero alone put it\n", a.Third)
	}
	if a.Apart != 0 {
		b.printf("holes           %9.3f mm further apart than drawn\n", a.Apart)
	}
	if len(a.Room) > 0 {
		b.printf("\nroom left to    aligned     as drawn       change\n")
	}
	for _, r := range a.Room {
		b.printf("%-10s %9.2f mm %9.2f mm %9.2f mm\n", r.Edge, r.Aligned, r.Straight, r.Aligned-r.Straight)
	}
	return b.err
}

// printer keeps the first error of many writes.
type printer struct {
	out io.Writer
	err error
}

func (p *printer) printf(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.out, format, args...)
	}
}
