package permute

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// TestSignedSums: sums by what turning a vector round adds are sums.
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

// TestSignsTogether: arrangements that are added up side by side have the sums of the
// same draws one by one.
func TestSignsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		n, width := rapid.IntRange(2, 200).Draw(t, "vectors"), rapid.SampledFrom([]int{1, 3, 3000}).Draw(t, "width")
		vectors := make([][]float64, n)
		for i := range vectors {
			vectors[i] = make([]float64, width)
			for k := range vectors[i] {
				vectors[i][k] = rng.NormFloat64()
			}
		}
		s := NewSignedSums(vectors)
		o := Options{Seed: rng.Uint64(), Replicates: 1 + rng.IntN(3*together), Limit: 0.5}
		statistic := func(sum []float64) float64 { return sum[0] - sum[width-1]*sum[width/2] }
		want, _ := Values(Swaps(n-1), o, func(minus []int) float64 { return statistic(s.At(minus)) })
		for r, v := range s.drawn(o, statistic) {
			statstest.Near(t, "statistic", v, want[r], 1e-10)
		}
	})
}
