package canvas

import (
	"fmt"
	"testing"
)

// chart is a drawing as large as a figure of a report, with its grid, bars, intervals and
// words.
func chart() *Drawing {
	d := &Drawing{Width: 700, Height: 400}
	for y := 30.0; y < 390; y += 30 {
		d.Segment(120, y, 680, y, Style{Line: Muted, Width: 1})
		d.Rect(120, y+4, 120+1.5*y, y+18, 3, Style{Area: First})
		d.Segment(140+y, y+11, 240+y, y+11, Style{Line: Ink, Width: 1.5})
		d.Disc(190+y, y+11, 4, Style{Area: Accent, Line: Paper, Width: 1})
		d.Text(110, y+11, fmt.Sprintf("stratum %.0f, birch", y), Font{Size: 13}, Ink, Right)
		d.Text(y+100, 392, fmt.Sprint(y), Font{Size: 12}, Muted, Middle)
	}
	return d
}

func BenchmarkPNG(b *testing.B) {
	d := chart()
	for b.Loop() {
		if _, err := d.PNG(); err != nil {
			b.Fatal(err)
		}
	}
}
