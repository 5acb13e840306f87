package drawing_test

import "testing"

// TestMemoryOfSVGStaysUnderSixTimesTheFile, and that of PDF under six times
// its content: a PDF's file holds the content pressed to a third or less.
func TestMemoryOfSVGStaysUnderSixTimesTheFile(t *testing.T) {
	if testing.Short() {
		t.Skip("large files")
	}
	svg := []byte(bigSVG(4000))
	pdf, content := bigPDF(4000)
	for name, c := range map[string]struct {
		data []byte
		size int
	}{"SVG": {svg, len(svg)}, "PDF": {[]byte(pdf), content}} {
		got := float64(peak(c.data)) / float64(c.size)
		t.Logf("%s: %.2f times %d bytes", name, got, c.size)
		if got > 6 {
			t.Errorf("%s: %.2f times", name, got)
		}
	}
}
