package layout

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

func row(xs ...float64) []Point {
	points := make([]Point, len(xs))
	for i, x := range xs {
		points[i].X = x
	}
	return points
}

// By hand, for a population of four at 0, 1, 2 and 3.
func TestVoronoiVariance(t *testing.T) {
	population := row(0, 1, 2, 3)
	for _, c := range []struct {
		name   string
		sample []Point
		prob   []float64
		want   float64
	}{
		{"each has two", row(0, 3), nil, 0},
		{"one has one, the other three", row(0, 1), nil, 0.25},
		{"one in between is shared", row(0, 2), nil, 0.0625},
		{"unequal probabilities", row(0, 3), []float64{.9, .5, .3, .3}, 0.16},
	} {
		statstest.Near(t, c.name, VoronoiVariance(c.sample, population, c.prob), c.want, 1e-12)
	}
	if v := VoronoiVariance(nil, population, nil); !math.IsNaN(v) {
		t.Errorf("without a sample %g", v)
	}
}

// Two units at 0 and 3: the weights are 2/3 and 1/3, the means 1 and 2, the
// sums of squares 2, the divisors 4/9: together 9, which is n s^2.
func TestLocalMeanVariance(t *testing.T) {
	statstest.Near(t, "two units", LocalMeanVariance(row(0, 1), []float64{0, 3}), 9, 1e-9)
	statstest.Near(t, "equal values", LocalMeanVariance(scattered(30, 3), make([]float64, 30)), 0, 0)
	if v := LocalMeanVariance(row(0), []float64{3}); !math.IsNaN(v) {
		t.Errorf("one unit: %g", v)
	}
}

// Neighbourhoods are mutual, hold five units or more, and weights sum to 1 both
// ways.
func TestNeighbourhoods(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(drawPoint(), 1, 50).Draw(t, "points")
		weights := map[[2]int]float64{}
		over := make([]float64, len(points))
		for i, n := range neighbourhoods(points) {
			if len(n.units) < min(5, len(points)) {
				t.Fatalf("%d units near %d", len(n.units), i)
			}
			total := 0.0
			for k, j := range n.units {
				weights[[2]int{i, j}] = n.weights[k]
				total += n.weights[k]
				over[j] += n.weights[k]
			}
			statstest.Near(t, "sum over a neighbourhood", total, 1, 1e-12)
		}
		for _, v := range over {
			statstest.Near(t, "sum over neighbourhoods", v, 1, 1e-9)
		}
		for pair := range weights {
			if weights[[2]int{pair[1], pair[0]}] == 0 {
				t.Fatalf("%v is not mutual", pair)
			}
		}
	})
}

// Against the variance of the estimated total over many samples: the local
// mean variance is unbiased for values without a pattern, and with a trend
// nearer than that of simple random sampling, which is conservative.
func TestLocalMeanVarianceSimulated(t *testing.T) {
	statstest.Long(t)
	many(t)
	f := burn(t)
	const draws, n = 250, 20
	for _, c := range []struct {
		name                     string
		value                    func(p Point, r *rand.Rand) float64
		low, high, randomAtLeast float64 // bounds of estimate over variance
	}{
		{"noise", func(_ Point, r *rand.Rand) float64 { return r.ExpFloat64() }, 0.8, 1.25, 0.8},
		{"trend", func(p Point, _ *rand.Rand) float64 { return 3*p.X + p.Y }, 1, 4, 7},
		{"trend and noise", func(p Point, r *rand.Rand) float64 { return p.X/300 + r.NormFloat64() }, 0.85, 1.5, 1.5},
	} {
		r := rand.New(rand.NewPCG(9, 0))
		var total, squares, local, random float64
		for range draws {
			units := Balanced(f, n, 0, r).Units
			z, sum, sumSquares := make([]float64, n), 0.0, 0.0
			for i, p := range units {
				z[i] = c.value(p, r)
				sum += z[i]
				sumSquares += z[i] * z[i]
			}
			total += sum
			squares += sum * sum
			local += LocalMeanVariance(units, z)
			random += (sumSquares - sum*sum/n) * n / (n - 1)
		}
		variance := (squares - total*total/draws) / (draws - 1)
		local, random = local/draws/variance, random/draws/variance
		t.Logf("%s: estimated over true variance: local mean %.2f, simple random %.2f", c.name, local, random)
		if local < c.low || local > c.high || random < c.randomAtLeast {
			t.Errorf("%s: want the local mean within %g to %g, simple random %g or more", c.name, c.low, c.high, c.randomAtLeast)
		}
	}
}
