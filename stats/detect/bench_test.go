package detect

import (
	"math"
	"testing"
)

// BenchmarkFit and BenchmarkRefit measure 500 detections.
func BenchmarkFit(b *testing.B) {
	for _, m := range everyModel[1:] {
		b.Run(m.String(), func(b *testing.B) {
			s := mustNew(b, Data{Distance: fiveHundred()})
			for b.Loop() {
				mustFit(b, s, m)
			}
		})
	}
}

func BenchmarkRefit(b *testing.B) {
	weight := make([]float64, 500)
	for i := range weight {
		weight[i] = float64(i * 7 % 3)
	}
	for _, m := range everyModel[1:] {
		b.Run(m.String(), func(b *testing.B) {
			f := mustFit(b, mustNew(b, Data{Distance: fiveHundred()}), m)
			for b.Loop() {
				if _, err := f.Refit(weight); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func fiveHundred() []float64 {
	r := newRand(1)
	x := make([]float64, 500)
	for i := range x {
		x[i] = math.Abs(r.NormFloat64())
	}
	return x
}
