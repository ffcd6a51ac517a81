package poissonlognormal

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestDecay: e^x as package math has it.
func TestDecay(t *testing.T) {
	src := rand.New(rand.NewPCG(11, 1))
	for _, x := range []float64{0, math.Copysign(0, -1), -1e-300, -1e-9, -math.Ln2 / 512, -math.Ln2, -699.9, -700, -746, 1, 710, math.Inf(-1)} {
		statstest.Relative(t, "decay", decay(x), math.Exp(x), 1e-15)
	}
	var worst float64
	for range 1_000_000 {
		x := -700 * math.Pow(src.Float64(), 4)
		worst = max(worst, math.Abs(decay(x)/math.Exp(x)-1))
	}
	statstest.Near(t, "decay over exp, less 1", worst, 0, 1e-15)
	if !math.IsNaN(decay(math.NaN())) {
		t.Error("decay of NaN is a number")
	}
}
