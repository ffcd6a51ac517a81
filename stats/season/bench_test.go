package season

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkFit is the curve of 5000 units of four visits each.
func BenchmarkFit(b *testing.B) {
	w := worlds()[0]
	w.units, w.roadsides = 5000, 500
	s := w.draw(rand.New(rand.NewPCG(1, 2)))
	b.ReportAllocs()
	for b.Loop() {
		if f := Fit(s.sample, 0.95); f.None != nil {
			b.Fatal(f.None)
		}
	}
}
