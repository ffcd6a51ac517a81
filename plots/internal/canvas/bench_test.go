package canvas

import "testing"

// page is a drawing of as much as a figure of a report has.
func page() *Drawing {
	d := &Drawing{Width: 700, Height: 500}
	for i := range 40 {
		y := 10 + 12*float64(i)
		d.Segment(100, y, 690, y, Style{Line: Faint, Width: 1})
		d.Text(95, y, "density of some kind", Font{Size: 13}, Ink, Right)
		d.Rect(300, y-4, 400+5*float64(i), y+4, 0, Style{Area: Accent, Soft: true})
		d.Disc(400, y, 5, Style{Area: First, Line: Paper, Width: 1})
		d.Segment(300, y, 400+5*float64(i), y, Style{Line: Accent, Width: 2})
	}
	return d
}

func BenchmarkPNG(b *testing.B) {
	d := page()
	for b.Loop() {
		img, err := d.PNG()
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(img)), "bytes/file")
	}
}
