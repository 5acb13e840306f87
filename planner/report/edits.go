package report

import (
	"io"
	"strconv"
)

// Edits lists what a job changes of its drawings.
type Edits struct {
	Edits    []Edit   `json:"edits"`
	Along    []string `json:"along"` // what goes along with the edit that was made
	Look     []string `json:"look"`  // what does not, and wants a look
	Warnings []string `json:"warnings"`
}

// Edit is one edit; lengths in mm.
type Edit struct {
	N      int       `json:"n"`
	Do     string    `json:"do"`
	On     string    `json:"on"`
	What   string    `json:"what"`
	Before *EditSize `json:"before,omitempty"` // none of what was added
	After  *EditSize `json:"after,omitempty"`  // none of what was deleted
	Note   string    `json:"note,omitempty"`

	before, after string
}

// EditSize is that of a part, or of a feature and where its middle is.
type EditSize struct {
	Width    float64     `json:"width_mm"`
	Height   float64     `json:"height_mm"`
	Diameter float64     `json:"diameter_mm,omitempty"`
	Length   float64     `json:"length_mm,omitempty"`
	At       *[2]float64 `json:"at_mm,omitempty"`
}

// Said gives an edit the words for both sizes, for a table.
func (e Edit) Said(before, after string) Edit {
	e.before, e.after = before, after
	return e
}

// Table prints them for a person.
func (e Edits) Table(out io.Writer) error {
	b := &printer{out: out}
	if len(e.Edits) == 0 {
		b.printf("no edits: everything is as drawn\n")
	} else if b.err == nil {
		rows := [][]string{{"N", "ON", "WHAT", "BEFORE", "NOW"}}
		for _, x := range e.Edits {
			rows = append(rows, []string{strconv.Itoa(x.N), x.On, x.What, x.before, x.after})
		}
		b.err = table(out, rows)
	}
	for _, s := range e.Along {
		b.printf("goes along: %s\n", s)
	}
	for _, s := range e.Look {
		b.printf("look: %s\n", s)
	}
	if b.err == nil {
		warnings(out, e.Warnings)
	}
	return b.err
}
