package association

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkMedian: of 200 groups of sites with finds and points at 80 distances.
func BenchmarkMedian(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	var s Survey
	for i := range 4000 {
		s.AreaHa, s.Cluster = append(s.AreaHa, 0.01), append(s.Cluster, i/2)
		for range 40 {
			s.Finds = append(s.Finds, Spot{i, float64(rng.IntN(60)) / 10, rng.IntN(4) > 0, 1})
		}
		for range 4 {
			s.Points = append(s.Points, Spot{i, float64(rng.IntN(80)) / 10, rng.IntN(4) > 0, 1})
		}
	}
	w := s.lay([]float64{1, 2, 3}, Options{Confidence: 0.95, Seed: 1, Replicates: 1999})
	for b.Loop() {
		w.median()
	}
}
