package report

import (
	"fmt"
	"io"

	"example.org/kerfwright/planner/plain"
)

// Sheet is the setup sheet: one page that hangs at the table.
type Sheet struct {
	Title    string
	Sections []Section
}

// Section is a headed list of figures.
type Section struct {
	Head string
	Rows []Row
}

// Row is a name and its figure; a Row without a figure is a line of text.
type Row struct{ Name, Figure string }

// Text prints the sheet in at most 78 columns where words allow.
func (s Sheet) Text(w io.Writer) error {
	fmt.Fprintln(w, plain.Clean(s.Title))
	for _, sec := range s.Sections {
		if len(sec.Rows) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", plain.Clean(sec.Head))
		for _, r := range sec.Rows {
			var err error
			if r.Figure == "" {
				_, err = fmt.Fprintf(w, "  %s\n", plain.Clean(r.Name))
			} else {
				_, err = fmt.Fprintf(w, "  %-22s %s\n", plain.Clean(r.Name), plain.Clean(r.Figure))
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}
