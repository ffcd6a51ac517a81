package coverage

import (
	"fmt"
	"math/rand/v2"

	"ashtally/stats/density"
)

// sites is a world of sites with 2 to 6 plots each and a gamma effect shared
// by the plots of a site; n is the number of sites.
func sites(siteK, plotK float64) World {
	w := World{Name: fmt.Sprintf("sites k %g of 2 to 6 plots k %g", siteK, plotK), Family: "sites", Truth: 2 / plotHa, PerUnit: 8}
	w.Draw = func(r *rand.Rand, n int) density.Sample {
		var s density.Sample
		for site := range n {
			effect := gamma(r, siteK)
			for range 2 + r.IntN(5) {
				s.AreaHa = append(s.AreaHa, plotHa)
				s.Count = append(s.Count, poisson(r, 2*effect*gamma(r, plotK)))
				s.Cluster = append(s.Cluster, site)
			}
		}
		return s
	}
	return w
}

// unequal is a world of units whose areas differ fivefold. In NB2 the spread of
// a unit's density does not depend on its area; in NB1 it falls with the area.
func unequal(kind string, k float64) World {
	w := World{Name: fmt.Sprintf("areas 1 to 5, %s k %g", kind, k), Family: "unequal areas", Truth: 100, PerUnit: 3}
	w.Draw = func(r *rand.Rand, n int) density.Sample {
		var s density.Sample
		for range n {
			area := plotHa * (1 + 4*r.Float64())
			shape := k
			if kind == "NB1" {
				shape = k * area / (3 * plotHa)
			}
			s.AreaHa = append(s.AreaHa, area)
			s.Count = append(s.Count, poisson(r, 100*area*gamma(r, shape)))
		}
		return s
	}
	return w
}

// trend is a systematic layout with a random start across land whose density
// rises from 0.2 to 1.8 times its mean; k 0 is Poisson.
func trend(k float64) World {
	w := World{Name: fmt.Sprintf("systematic across a trend, k %g", k), Family: "systematic", Truth: 4 / plotHa, PerUnit: 4}
	if k == 0 {
		w.Name = "systematic across a trend, Poisson"
	}
	w.Draw = func(r *rand.Rand, n int) density.Sample {
		var s density.Sample
		start := r.Float64()
		for i := range n {
			mean := 4 * (0.2 + 1.6*(float64(i)+start)/float64(n))
			if k > 0 {
				mean *= gamma(r, k)
			}
			s.AreaHa = append(s.AreaHa, plotHa)
			s.Count = append(s.Count, poisson(r, mean))
			s.Order = append(s.Order, i)
		}
		return s
	}
	return w
}
