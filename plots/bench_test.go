package plots

import (
	"io"
	"testing"
)

func BenchmarkFigure(b *testing.B) {
	for _, s := range samples {
		b.Run(s.name+"/svg", func(b *testing.B) { benchmarkWrite(b, s, Figure.WriteSVG) })
		b.Run(s.name+"/png", func(b *testing.B) { benchmarkWrite(b, s, Figure.WritePNG) })
	}
}

// benchmarkWrite makes and writes a figure, as a run does.
func benchmarkWrite(b *testing.B, s sample, write func(Figure, io.Writer) error) {
	for b.Loop() {
		f, err := s.figure()
		if err != nil {
			b.Fatal(err)
		}
		if err := write(f, io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
