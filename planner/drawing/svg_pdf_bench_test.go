package drawing_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/kerfwright/planner/drawing"
	"example.org/kerfwright/planner/plain"
)

// brackets draws n hinge plates in rows, each an outline with round corners,
// a slot and four holes, in the words of a format.
func brackets(n int, round func(x, y, w, h, r float64) string, hole func(x, y, r float64) string) string {
	var b strings.Builder
	for i := range n {
		x, y := float64(i%100)*130+0.137*float64(i%7), float64(i/100)*90+0.211*float64(i%5)
		b.WriteString(round(x, y, 120, 80, 8))
		b.WriteString(round(x+40, y+30, 40, 20, 10))
		for k := range 4 {
			b.WriteString(hole(x+15+90*float64(k%2), y+15+50*float64(k/2), 5.25))
		}
	}
	return b.String()
}

func bigSVG(n int) string {
	k := 0.552284749831
	head := func() string { return `<path style="fill:none;stroke:#000000;stroke-width:0.1" id="path1234" ` }
	return `<svg xmlns="http://www.w3.org/2000/svg" width="13000mm" viewBox="0 0 13000 90000">` + brackets(n,
		func(x, y, w, h, r float64) string {
			return head() + fmt.Sprintf("d=\"m %.4f,%.4f h %g a %g,%g 0 0 1 %g,%g v %g a %g,%g 0 0 1 -%g,%g h -%g a %g,%g 0 0 1 -%g,-%g v -%g a %g,%g 0 0 1 %g,-%g z\"/>\n",
				x+r, y, w-2*r, r, r, r, r, h-2*r, r, r, r, r, w-2*r, r, r, r, r, h-2*r, r, r, r, r)
		},
		func(x, y, r float64) string {
			c := k * r
			return head() + fmt.Sprintf("d=\"m %.4f,%.4f c 0,%.5f -%.5f,%.4f -%.4f,%.4f c -%.5f,0 -%.4f,-%.5f -%.4f,-%.4f c 0,-%.5f %.5f,-%.4f %.4f,-%.4f c %.5f,0 %.4f,%.5f %.4f,%.4f z\"/>\n",
				x+r, y, c, r-c, r, r, r, c, r, r-c, r, r, c, r-c, r, r, r, c, r, r-c, r, r)
		}) + `</svg>`
}

func bigPDF(n int) (file string, content int) {
	const k = 0.552284749831
	curve := func(b *strings.Builder, x1, y1, x2, y2, x3, y3 float64) {
		fmt.Fprintf(b, "%.3f %.3f %.3f %.3f %.3f %.3f c\n", x1, y1, x2, y2, x3, y3)
	}
	text := "0.05 w\n" + brackets(n,
		func(x, y, w, h, r float64) string {
			var b strings.Builder
			c := r * (1 - k)
			fmt.Fprintf(&b, "%.3f %.3f m\n%.3f %.3f l\n", x+r, y, x+w-r, y)
			curve(&b, x+w-c, y, x+w, y+c, x+w, y+r)
			fmt.Fprintf(&b, "%.3f %.3f l\n", x+w, y+h-r)
			curve(&b, x+w, y+h-c, x+w-c, y+h, x+w-r, y+h)
			fmt.Fprintf(&b, "%.3f %.3f l\n", x+r, y+h)
			curve(&b, x+c, y+h, x, y+h-c, x, y+h-r)
			fmt.Fprintf(&b, "%.3f %.3f l\n", x, y+r)
			curve(&b, x, y+c, x+c, y, x+r, y)
			b.WriteString("h S\n")
			return b.String()
		},
		func(x, y, r float64) string {
			var b strings.Builder
			fmt.Fprintf(&b, "%.3f %.3f m\n", x+r, y)
			for i := range 4 {
				s0, c0 := math.Sincos(float64(i) * math.Pi / 2)
				s1, c1 := math.Sincos(float64(i+1) * math.Pi / 2)
				curve(&b, x+r*(c0-k*s0), y+r*(s0+k*c0), x+r*(c1+k*s1), y+r*(s1-k*c1), x+r*c1, y+r*s1)
			}
			b.WriteString("h S\n")
			return b.String()
		})
	f := onePage("/MediaBox[0 0 14000 90000]", "", map[int]string{4: stream("/Filter/FlateDecode", deflate(text))})
	return f.table(), len(text)
}

// BenchmarkSVG and BenchmarkPDF read files of about 10 MB: Parse alone, and
// with fitting, joining and mending. For PDF the megabytes are those of the
// content, of which the file holds a seventh.
func BenchmarkSVG(b *testing.B) {
	data := []byte(bigSVG(7000))
	benchmarkRead(b, data, len(data))
}

func BenchmarkPDF(b *testing.B) {
	file, content := bigPDF(7000)
	benchmarkRead(b, []byte(file), content)
}

func benchmarkRead(b *testing.B, data []byte, size int) {
	b.Run("parse", func(b *testing.B) {
		b.SetBytes(int64(size))
		b.ReportAllocs()
		for b.Loop() {
			if r, f := drawing.Parse(context.Background(), data, plain.Text{}, 0); r == nil {
				b.Fatal(f)
			}
		}
	})
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(size))
		b.ReportAllocs()
		for b.Loop() {
			l, f := drawing.Read(context.Background(), data, drawing.Options{})
			if l == nil || len(l.Closed) != 7000*6 {
				b.Fatal(f)
			}
		}
	})
}
