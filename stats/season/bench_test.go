package season

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkFit is the curves of 5000 and 12,500 units of four visits each.
func BenchmarkFit(b *testing.B) {
	for _, units := range []int{5000, 12_500} {
		w := worlds()[0]
		w.units, w.roadsides = units, units/10
		s := w.draw(rand.New(rand.NewPCG(1, 2)))
		b.Run(fmt.Sprintf("%dvisits", 4*units), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if f := Fit(s.sample, 0.95); f.None != nil {
					b.Fatal(f.None)
				}
			}
		})
	}
}
