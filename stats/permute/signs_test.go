package permute

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// TestSignedSums: sums by tables are sums, however many fit into one.
func TestSignedSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n, width := rapid.IntRange(1, 40).Draw(t, "vectors"), rapid.SampledFrom([]int{1, 3, 8000}).Draw(t, "width")
		vectors, minus := make([][]float64, n), make([]int, n-1)
		want := make([]float64, width)
		for i := range vectors {
			side := 1.0
			if i > 0 {
				minus[i-1] = rng.IntN(2)
				side = float64(1 - 2*minus[i-1])
			}
			vectors[i] = make([]float64, width)
			for k := range vectors[i] {
				vectors[i][k] = rng.NormFloat64()
				want[k] += side * vectors[i][k]
			}
		}
		for k, v := range NewSignedSums(vectors).At(minus) {
			statstest.Close(t, "sum", v, want[k], 1e-12)
		}
	})
}
