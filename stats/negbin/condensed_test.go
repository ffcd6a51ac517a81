package negbin

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/statstest"
)

// TestCondensed: likelihoods of a sample of many exposures are those of its sums at
// the nodes of an interpolation.
func TestCondensed(t *testing.T) {
	src := rand.New(rand.NewPCG(19, 1))
	for _, spread := range []float64{0.1, 1, 3} {
		for _, mean := range []float64{0.01, 1, 200} {
			var y, a []float64
			for range 1500 {
				a = append(a, math.Exp(spread*src.Float64()))
				rate := distuv.Gamma{Alpha: 0.5, Beta: 0.5 / (mean * a[len(a)-1]), Src: src}.Rand()
				y = append(y, distuv.Poisson{Lambda: rate, Src: src}.Rand())
			}
			whole := New(y, a)
			few := Condensed(whole)
			if len(few.cells) >= len(whole.cells)/4 {
				t.Errorf("%d cells of %d", len(few.cells), len(whole.cells))
			}
			for _, k := range []float64{0.05, 0.5, 5, math.Inf(1)} {
				want, wantMean := whole.ProfileK(k)
				got, gotMean := few.ProfileK(k)
				statstest.Relative(t, "profile", got, want, 1e-11)
				statstest.Relative(t, "mean", gotMean, wantMean, 1e-11)
				statstest.Relative(t, "information", few.Information(gotMean, k).Mean, whole.Information(wantMean, k).Mean, 1e-10)
			}
			for _, holding := range []float64{0.15, 0.3, 0.5, 0.7} {
				for _, k := range []float64{0.5, 10} {
					want, wantMean, wantInformation := whole.ProfileInflated(holding, k)
					got, gotMean, information := few.ProfileInflated(holding, k)
					statstest.Relative(t, "inflated profile", got, want, 1e-11)
					statstest.Relative(t, "inflated mean", gotMean, wantMean, 1e-10)
					statstest.Relative(t, "inflated information", information, wantInformation, 1e-9)
				}
			}
		}
	}
	equal := New([]float64{0, 3, 1}, nil)
	if Condensed(equal) != equal {
		t.Error("a sample of one exposure is condensed")
	}
}
