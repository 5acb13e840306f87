package report

import "io"

// Marks says what a job marks.
type Marks struct {
	Texts    int      `json:"texts"`
	Strokes  int      `json:"strokes"` // of all lines and texts, on every copy
	Length   float64  `json:"length_mm"`
	Warnings []string `json:"warnings"`
}

// Table prints it for a person.
func (m Marks) Table(out io.Writer) error {
	b := &printer{out: out}
	b.printf("%d texts; %d lines and strokes are marked before the cuts, %.0f mm in all\n", m.Texts, m.Strokes, m.Length)
	if b.err == nil {
		warnings(out, m.Warnings)
	}
	return b.err
}
