package negbin

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestProfileInflatedIsTheHighestOverMeans looks for a better mean on a grid, and
// compares the information with differences of the likelihood.
func TestProfileInflatedIsTheHighestOverMeans(t *testing.T) {
	src := rand.New(rand.NewPCG(17, 1))
	for range 100 {
		y, a := draw(src)
		d := New(y, a)
		if d.Total() == 0 {
			continue
		}
		holding, k := 0.1+0.8*src.Float64(), math.Exp(src.NormFloat64())
		logLik, mean, information := d.ProfileInflated(holding, k)
		at := func(x float64) float64 { return d.inflatedLogLik(x, -math.Log(holding), -math.Log(k)) }
		x := math.Log(mean)
		statstest.Close(t, "value at its mean", at(x), logLik, 1e-12)
		for off := -4.0; off <= 4; off += 0.05 {
			if l := at(x + off); l > logLik+1e-8 {
				t.Errorf("y %v a %v holding %g k %g: %g at mean %g, over %g at %g", y, a, holding, k, l, math.Exp(x+off), logLik, mean)
			}
		}
		const h = 1e-4
		curvature := (2*logLik - at(x+h) - at(x-h)) / (h * h)
		statstest.Close(t, "information", information, curvature, 1e-3)
	}
}

func TestProfileInflatedSpecialCases(t *testing.T) {
	if l, m, i := New([]float64{0, 0}, nil).ProfileInflated(0.5, 1); l != 0 || m != 0 || !math.IsNaN(i) {
		t.Errorf("without finds: %g, %g, %g", l, m, i)
	}
	d := New([]float64{0, 3}, nil)
	statstest.Panics(t, map[string]func(){
		"none holds": func() { d.ProfileInflated(0, 1) },
		"all hold":   func() { d.ProfileInflated(1, 1) },
		"no k":       func() { d.ProfileInflated(0.5, 0) },
		"Poisson":    func() { d.ProfileInflated(0.5, math.Inf(1)) },
	})
}
