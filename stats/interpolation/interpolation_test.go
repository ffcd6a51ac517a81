package interpolation

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

// TestWeights: sums of functions like those of log-likelihoods, analytic within 1 of
// the line, are those over the points.
func TestWeights(t *testing.T) {
	src := rand.New(rand.NewPCG(3, 1))
	points := make([]float64, 2000)
	weights := make([]float64, len(points))
	for i := range points {
		points[i], weights[i] = 2*src.Float64(), src.ExpFloat64()
	}
	points = append(points, 5, 5.1, 9, math.Nextafter(9, 10)) // stretches of few, as they are
	weights = append(weights, 1, 2, 3, 4)
	slices.Sort(points)
	r := New(points)
	if nodes := 8*Order + 4; len(r.Nodes) > nodes || !slices.IsSorted(r.Nodes) {
		t.Errorf("%d nodes, want at most %d in order", len(r.Nodes), nodes)
	}
	of := r.Weights(weights)
	for name, f := range map[string]func(float64) float64{
		"constant": func(float64) float64 { return 1 },
		"exp":      math.Exp,
		"log1p":    func(x float64) float64 { return math.Log1p(math.Exp(x)) },
		"pole":     func(x float64) float64 { return 1 / (1 + (x-1)*(x-1)) },
	} {
		var want, got float64
		for i, x := range points {
			want += weights[i] * f(x)
		}
		for k, x := range r.Nodes {
			got += of[k] * f(x)
		}
		statstest.Relative(t, name, got, want, 2e-12)
	}
}

// TestNextToEqual: points that differ by rounding alone are no trouble.
func TestNextToEqual(t *testing.T) {
	points := []float64{1}
	for range 2 * Order {
		points = append(points, math.Nextafter(points[len(points)-1], 2))
	}
	r := New(points)
	weights := make([]float64, len(points))
	for i := range weights {
		weights[i] = 1
	}
	statstest.Relative(t, "sum", sum(r.Weights(weights)), float64(len(points)), 1e-14)
}

func sum(list []float64) (s float64) {
	for _, v := range list {
		s += v
	}
	return s
}
