package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/stats/density"
)

// areaWorlds lists the kinds of ground, those of a family together: those of one
// stratum, but for layouts, and such as are nobody's model.
func areaWorlds() []areaWorld {
	var all []areaWorld
	for _, mean := range []float64{0.5, 2, 8} {
		all = append(all, areaWorld{family: "Poisson", name: "Poisson", mean: mean, k: math.Inf(1), draw: equalUnits(poisson)})
	}
	for _, k := range []float64{0.1, 0.15, 0.3, 0.5, 1, 2} {
		for _, mean := range []float64{0.5, 2, 8} {
			all = append(all, areaWorld{family: "negative binomial", name: fmt.Sprintf("NB k %g", k), mean: mean, k: k,
				draw: equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*gamma(r, k)) })})
		}
	}
	all = append(all, unlike(0.15, 2), unlike(2, 0.15))
	for _, sd := range []float64{1, 1.6, 2} {
		all = append(all, areaWorld{family: "log-normal rates", name: fmt.Sprintf("log-normal, sd %g", sd), mean: 4,
			draw: equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*lognormal(r, sd)) })})
	}
	for _, h := range []struct{ share, times, mean float64 }{{0.15, 20, 2}, {0.1, 30, 4}} {
		all = append(all, areaWorld{family: "rich habitat", name: fmt.Sprintf("%g times as rich on %g", h.times, h.share), mean: h.mean,
			draw: equalUnits(func(r *rand.Rand, mean float64) float64 { return habitat(r, mean, h.share, h.times) })})
	}
	all = append(all, areasWithEmptyGround()...)
	for _, c := range []clumps{{0.004, 5, 1}, {0.004, 5, 4}, {0.001, 20, 1}, {0.001, 20, 4}, {0.004, 20, 2}} {
		all = append(all, areaWorld{family: "clumped", name: fmt.Sprintf("clumps of %g, spread %g m", c.size, c.spreadM), mean: c.mean(),
			draw: equalUnits(func(r *rand.Rand, mean float64) float64 {
				return clumps{c.parentsPerM2 * mean / c.mean(), c.size, c.spreadM}.count(r)
			})})
	}
	return append(append(all, areasOfSites()...), areasMapped()...)
}

func areasWithEmptyGround() []areaWorld {
	var all []areaWorld
	for _, z := range []struct{ empty, mean float64 }{{0.5, 2}, {0.8, 2}, {0.8, 8}} {
		all = append(all, areaWorld{family: "zero-inflated", name: fmt.Sprintf("zero-inflated Poisson, %g empty", z.empty), mean: z.mean,
			draw: equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, holding(r, mean, z.empty)) })})
	}
	return append(all, areaWorld{family: "zero-inflated", name: "zero-inflated NB, 0.6 empty, k 1", mean: 2,
		draw: equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, holding(r, mean, 0.6)*gamma(r, 1)) })})
}

// areasMapped have strata of one density, each its own plots on a real population.
func areasMapped() []areaWorld {
	var all []areaWorld
	for _, p := range []struct {
		name string
		m    Map
	}{{"longleaf pines, plots of 400 m2", Longleaf()}, {"rain forest trees, plots of 400 m2", Bei()}} {
		all = append(all, areaWorld{family: "mapped", name: p.name, mean: p.m.PerHa() * plotHa, alike: true, plots: 4,
			draw: func(r *rand.Rand, _ float64, n, _ int) density.Sample { return p.m.Plots(r, n, 400) }})
	}
	return all
}

// equalUnits are plots of one size with independent counts.
func equalUnits(count func(r *rand.Rand, mean float64) float64) func(r *rand.Rand, mean float64, n, stratum int) density.Sample {
	return func(r *rand.Rand, mean float64, n, _ int) density.Sample {
		s := density.Sample{AreaHa: make([]float64, n), Count: make([]float64, n)}
		for i := range n {
			s.AreaHa[i], s.Count[i] = plotHa, count(r, mean)
		}
		return s
	}
}

// unlike strata have one k or the other, in turn.
func unlike(even, odd float64) areaWorld {
	k := func(stratum int) float64 { return [...]float64{even, odd}[stratum%2] }
	return areaWorld{
		family: "strata unlike in k", name: fmt.Sprintf("NB k %g and %g", even, odd), mean: 2, unlike: true,
		draw: func(r *rand.Rand, mean float64, n, stratum int) density.Sample {
			return equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*gamma(r, k(stratum))) })(r, mean, n, stratum)
		},
	}
}

// lognormal has mean 1 and a logarithm of that standard deviation.
func lognormal(r *rand.Rand, sd float64) float64 { return math.Exp(sd*r.NormFloat64() - sd*sd/2) }

// habitat is ground of which a share is so many times as rich as the rest; within
// both, counts clump with k 2.
func habitat(r *rand.Rand, mean, share, times float64) float64 {
	mean /= 1 - share + share*times
	if r.Float64() < share {
		mean *= times
	}
	return poisson(r, mean*gamma(r, 2))
}

// holding is the mean of a unit of ground of which a share is empty.
func holding(r *rand.Rand, mean, empty float64) float64 {
	if r.Float64() < empty {
		return 0
	}
	return mean / (1 - empty)
}

// areasOfSites are worlds of sites with 2 to 6 plots, and of units of unequal area.
func areasOfSites() []areaWorld {
	var all []areaWorld
	for _, k := range []float64{0.5, 0.2} {
		all = append(all, areaWorld{family: "sites", name: fmt.Sprintf("sites k %g of plots k 1", k), mean: 1, plots: 4,
			draw: sitesOfPlots(k)})
	}
	for _, sd := range []float64{1, 1.4} {
		all = append(all, areaWorld{family: "sites", name: fmt.Sprintf("sites in a log-Gaussian field, sd %g", sd), mean: 1, plots: 4,
			draw: sitesOf(func(r *rand.Rand, plots int) []float64 { return alongField(r, sd, plots) })})
	}
	all = append(all, sitesAndPlots(0.5, 0.3), sitesAndPlots(0.3, 1))
	for _, kind := range []string{"NB2", "NB1"} {
		for _, k := range []float64{0.5, 0.15} {
			all = append(all, unequalAreas(kind, k))
		}
	}
	return all
}

// unequalAreas are those of unequal, with units of one plot on average.
func unequalAreas(kind string, k float64) areaWorld {
	return areaWorld{family: "unequal areas", name: fmt.Sprintf("areas 1 to 5, %s k %g", kind, k), mean: 2,
		draw: func(r *rand.Rand, mean float64, n, _ int) density.Sample {
			var s density.Sample
			for range n {
				size, shape := (1+4*r.Float64())/3, k
				if kind == "NB1" {
					shape = k * size
				}
				s.AreaHa = append(s.AreaHa, size*plotHa)
				s.Count = append(s.Count, poisson(r, mean*size*gamma(r, shape)))
			}
			return s
		}}
}

// sitesAndPlots are strata of sites and strata of single plots, in turn. Plots of a site
// share a gamma of the first shape, and differ by one of shape 1; single plots
// differ by one of the second.
func sitesAndPlots(site, plot float64) areaWorld {
	sites := sitesOfPlots(site)
	single := equalUnits(func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*gamma(r, plot)) })
	return areaWorld{
		family: "sites and single plots", name: fmt.Sprintf("sites k %g of plots k 1, and plots k %g", site, plot), mean: 2, plots: 4, oddPlots: 1, unlike: true,
		draw: func(r *rand.Rand, mean float64, n, stratum int) density.Sample {
			if stratum%2 == 0 {
				return sites(r, mean, n, stratum)
			}
			return single(r, mean, n, stratum)
		},
	}
}

// sitesOfPlots are sites that differ by a gamma of a shape, of plots that differ by
// one of shape 1.
func sitesOfPlots(k float64) func(r *rand.Rand, mean float64, n, stratum int) density.Sample {
	return sitesOf(func(r *rand.Rand, plots int) []float64 {
		effect := gamma(r, k)
		rates := make([]float64, plots)
		for i := range rates {
			rates[i] = effect * gamma(r, 1)
		}
		return rates
	})
}

// sitesOf are sites of 2 to 6 plots whose rates, of mean 1, are drawn together.
func sitesOf(rates func(r *rand.Rand, plots int) []float64) func(r *rand.Rand, mean float64, n, stratum int) density.Sample {
	return func(r *rand.Rand, mean float64, n, _ int) density.Sample {
		var s density.Sample
		for site := range n {
			for _, rate := range rates(r, 2+r.IntN(5)) {
				s.AreaHa = append(s.AreaHa, plotHa)
				s.Count = append(s.Count, poisson(r, mean*rate))
				s.Cluster = append(s.Cluster, site)
			}
		}
		return s
	}
}

// alongField are rates at plots 20 m apart along a line in a log-Gaussian random field
// of exponential covariance with a range of 50 m.
func alongField(r *rand.Rand, sd float64, plots int) []float64 {
	correlation := math.Exp(-20.0 / 50)
	rates := make([]float64, plots)
	z := r.NormFloat64()
	for i := range rates {
		rates[i] = math.Exp(sd*z - sd*sd/2)
		z = correlation*z + math.Sqrt(1-correlation*correlation)*r.NormFloat64()
	}
	return rates
}
