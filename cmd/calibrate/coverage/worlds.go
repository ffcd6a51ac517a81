package coverage

import (
	"fmt"
	"math/rand/v2"
)

// Worlds lists the worlds of plots, those of a family together.
func Worlds() []World {
	var all []World
	for _, mean := range []float64{0.5, 2, 8} {
		all = append(all, plots("Poisson", fmt.Sprintf("Poisson, mean %g", mean), mean, func(r *rand.Rand) float64 { return poisson(r, mean) }))
	}
	for _, k := range []float64{0.1, 0.15, 0.3, 0.5, 1, 2} {
		for _, mean := range []float64{0.5, 2, 8} {
			all = append(all, plots("negative binomial", fmt.Sprintf("NB k %g, mean %g", k, mean), mean,
				func(r *rand.Rand) float64 { return poisson(r, mean*gamma(r, k)) }))
		}
	}
	all = append(all, inflated()...)
	for _, c := range []clumps{{0.004, 5, 1}, {0.004, 5, 4}, {0.001, 20, 1}, {0.001, 20, 4}, {0.004, 20, 2}} {
		all = append(all, c.world())
	}
	all = append(all, sites(0.5, 1), sites(0.2, 1), unequal("NB2", 0.5), unequal("NB2", 0.15), unequal("NB1", 0.5), unequal("NB1", 0.15),
		stripsOfClumps())
	all = append(all, mapped()...)
	all = append(all, trend(0), trend(1))
	for i := range all {
		all[i].try = tryPlots
	}
	return all
}

// inflated worlds have ground that holds nothing.
func inflated() []World {
	var all []World
	for _, z := range []struct{ zero, mean float64 }{{0.5, 2}, {0.8, 2}, {0.8, 8}} {
		all = append(all, plots("zero-inflated", fmt.Sprintf("zero-inflated Poisson, %g empty, mean %g", z.zero, z.mean), z.mean,
			func(r *rand.Rand) float64 {
				if r.Float64() < z.zero {
					return 0
				}
				return poisson(r, z.mean/(1-z.zero))
			}))
	}
	return append(all, plots("zero-inflated", "zero-inflated NB, 0.6 empty, k 1, mean 2", 2, func(r *rand.Rand) float64 {
		if r.Float64() < 0.6 {
			return 0
		}
		return poisson(r, 5*gamma(r, 1))
	}))
}
