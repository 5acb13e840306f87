package drawing

import "fmt"

// Pages counts the pages of a drawing: those of a PDF, also where none of them
// holds a line, and 1 of any other format.
func Pages(data []byte) (int, error) {
	f, why := detect(data)
	switch {
	case f == "":
		return 0, fmt.Errorf("count the pages: %s", why)
	case f != FormatPDF:
		return 1, nil
	}
	d, err := openPDF(data)
	if err != nil {
		return 0, fmt.Errorf("count the pages: %w", err)
	}
	// Page 0 is none: the whole tree is walked and counted.
	_, n, _ := d.page(0)
	if n == 0 {
		return 0, fmt.Errorf("count the pages: the PDF has none")
	}
	return n, nil
}
