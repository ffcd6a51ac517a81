package layout

import (
	"math"
)

// VoronoiVariance measures the spatial balance of a sample from a finite
// population: the variance of the sums of inclusion probabilities over the
// Voronoi polygons of the units,
//
//	B = 1/n sum (v - 1)^2
//
// with v, for each of the n units, the sum over the population of the
// inclusion probabilities of those units that are nearest to it. A population
// unit equally near to several is shared among them. The mean of v is 1 where
// the probabilities sum to n; B is 0 for perfect balance and grows with gaps
// and clusters.
//
// Probabilities nil means n/N for each of N. The result is NaN for an empty
// sample. VoronoiVariance panics on slices of unlike length.
//
// Source: Stevens & Olsen 2004, Journal of the American Statistical Association
// 99: 262-278; in this form Grafström, Lundström & Schelin 2012, Biometrics 68:
// 514-520.
func VoronoiVariance(sample, population []Point, probabilities []float64) float64 {
	if probabilities != nil && len(probabilities) != len(population) {
		panic("layout: unlike numbers of points and probabilities")
	}
	sums := make([]float64, len(sample))
	for k, p := range population {
		share := float64(len(sample)) / float64(len(population))
		if probabilities != nil {
			share = probabilities[k]
		}
		near := nearestTo(p, sample)
		for _, i := range near {
			sums[i] += share / float64(len(near))
		}
	}
	squares := 0.0
	for _, v := range sums {
		squares += (v - 1) * (v - 1)
	}
	return squares / float64(len(sample))
}

// nearestTo returns the indices of the sample points nearest to p.
func nearestTo(p Point, sample []Point) []int {
	least := math.Inf(1)
	var near []int
	for i, q := range sample {
		switch d := squared(p, q); {
		case d < least:
			least, near = d, append(near[:0], i)
		case d == least:
			near = append(near, i)
		}
	}
	return near
}

// Population returns about n points of the frame on a square grid: a finite
// population for [VoronoiVariance]. It panics unless n is positive.
func (f *Frame) Population(n int) []Point {
	if n <= 0 {
		panic("layout: a population without points")
	}
	spacing := math.Sqrt(f.area / float64(n))
	return f.lattice(Point{f.lo.X + spacing/2, f.lo.Y + spacing/2}, spacing)
}
