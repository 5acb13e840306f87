package report

import (
	"fmt"
	"io"
	"strings"

	"example.org/kerfwright/planner/plain"
)

// Sheet is the setup sheet: one page that hangs at the table.
type Sheet struct {
	Title    string
	Sections []Section
	Features [][]string // table, its first row the head
	Picture  *Picture   // nil: none
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
	if len(s.Features) > 1 {
		fmt.Fprintln(w, "\nFEATURES")
		rows := make([][]string, len(s.Features))
		for i, r := range s.Features {
			rows[i] = append([]string{" "}, r...)
		}
		return table(w, rows)
	}
	return nil
}

// HTML writes the sheet as one file that needs no other: a page of A4 with the
// picture inside.
func (s Sheet) HTML(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>%s</title>\n<style>\n%s</style></head><body>\n<h1>%s</h1>\n", escape(s.Title), sheetStyle, escape(s.Title))
	if s.Picture != nil {
		var pic strings.Builder
		scale, height := s.Picture.group(&pic, 1, 1, 186, 110)
		fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"188mm\" height=\"%smm\" viewBox=\"0 0 188 %s\">\n%s", num(height+8), num(height+8), pic.String())
		b.WriteString(`<g font-family="sans-serif" font-size="2.4">` + "\n")
		legend(&b, 1, height+6)
		fmt.Fprintf(&b, "<text x=\"187\" y=\"%s\" text-anchor=\"end\">scale 1:%s</text></g></svg>\n", num(height+6), num(scale))
	}
	b.WriteString("<div class=\"cols\">\n")
	for _, sec := range s.Sections {
		if len(sec.Rows) == 0 {
			continue
		}
		fmt.Fprintf(&b, "<section><h2>%s</h2><table>\n", escape(sec.Head))
		for _, r := range sec.Rows {
			if r.Figure == "" {
				fmt.Fprintf(&b, "<tr><td colspan=\"2\">%s</td></tr>\n", escape(r.Name))
			} else {
				fmt.Fprintf(&b, "<tr><th>%s</th><td>%s</td></tr>\n", escape(r.Name), escape(r.Figure))
			}
		}
		b.WriteString("</table></section>\n")
	}
	if len(s.Features) > 1 {
		b.WriteString("<section><h2>FEATURES</h2><table class=\"grid\">\n")
		for i, r := range s.Features {
			cell := "td"
			if i == 0 {
				cell = "th"
			}
			b.WriteString("<tr>")
			for _, c := range r {
				fmt.Fprintf(&b, "<%s>%s</%s>", cell, escape(c), cell)
			}
			b.WriteString("</tr>\n")
		}
		b.WriteString("</table></section>\n")
	}
	b.WriteString("</div></body></html>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

const sheetStyle = `@page { size: A4; margin: 11mm }
body { font: 8pt/1.25 sans-serif; color: #000; background: #fff; margin: 0; max-width: 188mm }
h1 { font-size: 12pt; margin: 0 0 2mm }
h2 { font-size: 8pt; margin: 2mm 0 0.5mm; border-bottom: 0.2mm solid #000 }
.cols { columns: 2; column-gap: 6mm }
section { break-inside: avoid-column }
table { border-collapse: collapse; width: 100% }
th { text-align: left; font-weight: normal; white-space: nowrap; padding-right: 2mm; vertical-align: top }
td { vertical-align: top; overflow-wrap: anywhere }
.grid td, .grid th { border-bottom: 0.1mm solid #000; font-size: 7pt; padding-right: 1.5mm }
`

// Page, margins and type of the sheet as SVG, mm: A4.
const (
	pageWidth, pageHeight = 210.0, 297.0
	pageMargin            = 11.0
	typeMost, typeLeast   = 2.7, 1.5
	monoWidth             = 0.602 // of a letter, x type size: what fixed-width type has, from memory
	leading               = 1.3   // x type size
)

// SVG writes the sheet as one page. What does not fit at the smallest type is
// left out, and the page says so.
func (s Sheet) SVG(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n",
		num(pageWidth), num(pageHeight), num(pageWidth), num(pageHeight))
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n", escape(s.Title))
	wide := pageWidth - 2*pageMargin
	y := pageMargin + 4
	fmt.Fprintf(&b, "<text font-family=\"sans-serif\" font-size=\"4.5\" x=\"%s\" y=\"%s\">%s</text>\n", num(pageMargin), num(y), escape(s.Title))
	y += 4
	if s.Picture != nil {
		scale, height := s.Picture.group(&b, pageMargin, y, wide, 110)
		y += height + 6
		b.WriteString(`<g font-family="sans-serif" font-size="2.4">` + "\n")
		legend(&b, pageMargin, y)
		fmt.Fprintf(&b, "<text x=\"%s\" y=\"%s\" text-anchor=\"end\">scale 1:%s</text></g>\n", num(pageWidth-pageMargin), num(y), num(scale))
		y += 3
	}
	s.columns(&b, y)
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// sheetLine is one line of a column.
type sheetLine struct {
	text string
	head bool
}

// columns sets all text below y in two columns, in the largest type that fits.
func (s Sheet) columns(b *strings.Builder, y float64) {
	const gap = 5.0
	wide := (pageWidth - 2*pageMargin - gap) / 2
	room := pageHeight - pageMargin - y
	size := typeMost
	var lines []sheetLine
	per := 0
	for ; ; size -= 0.1 {
		lines = s.wrapped(int(wide / (monoWidth * size)))
		per = int(room / (leading * size))
		if len(lines) <= 2*per || size <= typeLeast {
			break
		}
	}
	if left := len(lines) - 2*per; left > 0 {
		lines = append(lines[:2*per-1], sheetLine{fmt.Sprintf("... and %d lines more: see the sheet as HTML or text", left+1), true})
	}
	if len(lines) > per && lines[per].text == "" { // no blank line on top of the second column
		lines = append(lines[:per:per], lines[per+1:]...)
	}
	fmt.Fprintf(b, "<g font-family=\"monospace\" font-size=\"%s\" xml:space=\"preserve\">\n", num(size))
	for i, l := range lines {
		x, row := pageMargin, i
		if i >= per {
			x, row = pageMargin+wide+gap, i-per
		}
		weight := ""
		if l.head {
			weight = ` font-weight="bold"`
		}
		if l.text != "" {
			fmt.Fprintf(b, "<text x=\"%s\" y=\"%s\"%s>%s</text>\n", num(x), num(y+float64(row+1)*leading*size), weight, escape(l.text))
		}
	}
	b.WriteString("</g>\n")
}

// wrapped returns the sheet's text in lines of at most so many letters.
func (s Sheet) wrapped(most int) []sheetLine {
	var out []sheetLine
	put := func(first, rest, text string) {
		for i, l := range wrap(text, max(8, most-len([]rune(first)))) {
			if i > 0 {
				first = rest
			}
			out = append(out, sheetLine{text: first + l})
		}
	}
	for _, sec := range s.Sections {
		if len(sec.Rows) == 0 {
			continue
		}
		for _, l := range wrap(plain.Clean(sec.Head), most) {
			out = append(out, sheetLine{l, true})
		}
		for _, r := range sec.Rows {
			name := fmt.Sprintf(" %-15s ", plain.Clean(r.Name))
			if r.Figure == "" {
				put(" ", "   ", plain.Clean(r.Name))
			} else {
				put(name, strings.Repeat(" ", 17), plain.Clean(r.Figure))
			}
		}
		out = append(out, sheetLine{})
	}
	if len(s.Features) > 1 {
		out = append(out, sheetLine{"FEATURES", true})
		var b strings.Builder
		rows := make([][]string, len(s.Features))
		for i, r := range s.Features {
			rows[i] = append([]string(nil), r...)
		}
		_ = table(&b, rows) // a Builder does not fail
		for _, l := range strings.Split(strings.TrimRight(b.String(), "\n"), "\n") {
			put(" ", "   ", strings.TrimRight(l, " "))
		}
	}
	return out
}

// wrap breaks a text into lines of at most so many letters, at blanks where it
// can. Runs of blanks are kept, so that columns stay columns.
func wrap(text string, most int) []string {
	var out []string
	r := []rune(text)
	for len(r) > most {
		cut := most
		for i := most; i > most/2; i-- {
			if r[i] == ' ' {
				cut = i
				break
			}
		}
		out = append(out, string(r[:cut]))
		r = r[cut:]
		for len(r) > 0 && r[0] == ' ' {
			r = r[1:]
		}
	}
	return append(out, string(r))
}
