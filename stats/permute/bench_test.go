package permute

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkDensities: three kinds on 16,000 sites in three classes, as of a survey of
// 25,000 plots.
func BenchmarkDensities(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	var c Classes
	kinds := make([][]float64, 3)
	for i := range 16_000 {
		c.Class, c.Area = append(c.Class, i%3), append(c.Area, 0.01*float64(1+i%5))
		for k := range kinds {
			kinds[k] = append(kinds[k], float64(rng.IntN(40)))
		}
	}
	for b.Loop() {
		DensitiesOf(c, Options{Seed: 1, Replicates: 999}, kinds...)
	}
}

// BenchmarkSignedSums: the scores of 16,000 and of 300 sites.
func BenchmarkSignedSums(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, size := range []struct{ sites, width int }{{16_000, 1}, {16_000, 2}, {16_000, 8}, {16_000, 11}, {300, 30}, {3000, 90}} {
		vectors := make([][]float64, size.sites)
		for i := range vectors {
			for range size.width {
				vectors[i] = append(vectors[i], rng.NormFloat64())
			}
		}
		sums := NewSignedSums(vectors)
		b.Run(fmt.Sprintf("%dx%d", size.sites, size.width), func(b *testing.B) {
			for b.Loop() {
				sums.drawn(Options{Seed: 1, Replicates: 1999}, func(sum []float64) float64 { return sum[0] })
			}
		})
	}
}

// BenchmarkDeal: 512 arrangements of two classes of 7000 sites, and of four of 14,250.
func BenchmarkDeal(b *testing.B) {
	for _, sizes := range [][]int{{5750, 1250}, {5750, 1250, 3750, 3500}} {
		var label []int
		for k, n := range sizes {
			for range n {
				label = append(label, k)
			}
		}
		d := newDealing(newBySums(newLabels(make([]int, len(label)), label), len(sizes), nil))
		b.Run(fmt.Sprint(sizes), func(b *testing.B) {
			for b.Loop() {
				d.draw(1, 0, together)
			}
		})
	}
}
