package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"example.org/kerfwright/planner"
	"example.org/kerfwright/planner/fault"
	"example.org/kerfwright/planner/plain"
	"example.org/kerfwright/planner/report"
)

// sheet prints or writes the setup sheets of a job: one for each plate, with
// what is to be watched on that plate, or that of the plate named.
func sheet(w world, f flags) error {
	if len(f.rest) != 1 {
		return usagef("sheet takes one job file")
	}
	out := f.one("o")
	ext := strings.ToLower(filepath.Ext(out))
	write := report.Sheet.Text
	switch ext {
	case ".svg":
		write = report.Sheet.SVG
	case ".html", ".htm":
		write = report.Sheet.HTML
	case ".txt", "":
	default:
		return usagef("sheet writes FILE.txt, FILE.svg or FILE.html, not %q", plain.Clean(ext))
	}
	sheets, err := sheetsOf(w, f)
	if err != nil {
		return err
	}
	for n, s := range sheets {
		if out == "" {
			if err := s.Text(w.tables()); err != nil {
				return err
			}
			continue
		}
		var b strings.Builder
		if err := write(s, &b); err != nil {
			return err
		}
		tag := ""
		if n > 0 {
			tag = fmt.Sprintf("-plate%d", n+1)
		}
		name := filepath.Join(filepath.Dir(out), stem(out)+tag+filepath.Ext(out))
		if err := saveText(name, []byte(b.String())); err != nil {
			return err
		}
	}
	return nil
}

// sheetsOf plans the plates that a call is about and makes their setup sheets.
func sheetsOf(w world, f flags) ([]report.Sheet, error) {
	j, loops, read, err := opened(w, f.rest[0])
	if err != nil {
		return nil, err
	}
	prices, more := shopPrices(w)
	read = append(read, more...)
	if j, err = onPlate(j, f); err != nil {
		return nil, err
	}
	var out []report.Sheet
	for n, last := max(1, j.Layout.Plate), 0; last == 0 || n <= last; n++ {
		p, faults := planner.Plan(context.Background(), j.On(n), loops)
		faults = append(append(fault.List(nil), read...), faults...)
		if err := complain(w, faults); err != nil {
			return nil, err
		}
		out = append(out, planner.SetupSheet(j.On(n), p, faults, cautions(j), prices))
		if last = p.Plates; f.one("plate") != "" {
			break
		}
	}
	return out, nil
}
