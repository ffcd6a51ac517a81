package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/stats/density"
)

// clumps is a Neyman-Scott world: parents at random, round each a Poisson
// number of fruit bodies with normal steps, seen through round plots that
// cut the clumps at their edge.
type clumps struct{ parentsPerM2, size, spreadM float64 }

func (c clumps) world() World {
	return plots("clumped", fmt.Sprintf("clumps of %g, spread %g m, mean %g", c.size, c.spreadM, c.mean()), c.mean(), c.count)
}

// mean is what a plot finds on average.
func (c clumps) mean() float64 { return c.parentsPerM2 * c.size * plotHa * 1e4 }

// count is what a round plot finds.
func (c clumps) count(r *rand.Rand) float64 {
	radius := math.Sqrt(plotHa * 1e4 / math.Pi)
	reach := radius + 4*c.spreadM
	var found float64
	for range int(poisson(r, c.parentsPerM2*math.Pi*reach*reach)) {
		at := reach * math.Sqrt(r.Float64())
		for range int(poisson(r, c.size)) {
			if math.Hypot(at+c.spreadM*r.NormFloat64(), c.spreadM*r.NormFloat64()) < radius {
				found++
			}
		}
	}
	return found
}

// stripsOfClumps is a Neyman-Scott world seen through strips 4 m wide and 20
// to 200 m long: the longer ones average over more clumps.
func stripsOfClumps() World {
	const parents, size, spread, half = 0.001, 10.0, 2.0, 2.0
	w := World{Name: "strips through clumps of 10", Family: "unequal areas", Truth: parents * size * 1e4, PerUnit: parents * size * 110 * 4}
	w.Draw = func(r *rand.Rand, n int) density.Sample {
		var s density.Sample
		for range n {
			length := 20 + 180*r.Float64()
			width, depth := length+8*spread, 2*half+8*spread
			var found float64
			for range int(poisson(r, parents*width*depth)) {
				x, y := (r.Float64()-0.5)*width, (r.Float64()-0.5)*depth
				for range int(poisson(r, size)) {
					if math.Abs(x+spread*r.NormFloat64()) < length/2 && math.Abs(y+spread*r.NormFloat64()) < half {
						found++
					}
				}
			}
			s.AreaHa = append(s.AreaHa, length*2*half/1e4)
			s.Count = append(s.Count, found)
		}
		return s
	}
	return w
}
