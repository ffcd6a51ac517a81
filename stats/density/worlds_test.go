package density

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// world is a place where the density is known and a crew's sample can be drawn.
type world struct {
	name    string
	family  string  // worlds of one family share a block of the table
	density float64 // per hectare
	perUnit float64 // finds expected in one piece of the sample (unit or site)
	draw    func(r *rand.Rand, n int) Sample
}

const plotHa = 0.01 // every plot of equal size has 100 m2

// plots is a world of equal plots with independent counts.
func plots(family, name string, mean float64, count func(r *rand.Rand) float64) world {
	return world{name: name, family: family, density: mean / plotHa, perUnit: mean, draw: func(r *rand.Rand, n int) Sample {
		s := Sample{AreaHa: make([]float64, n), Count: make([]float64, n)}
		for i := range n {
			s.AreaHa[i], s.Count[i] = plotHa, count(r)
		}
		return s
	}}
}

func poisson(r *rand.Rand, mean float64) float64 {
	if mean == 0 {
		return 0
	}
	return distuv.Poisson{Lambda: mean, Src: r}.Rand()
}

// gamma has mean 1 and variance 1/k.
func gamma(r *rand.Rand, k float64) float64 {
	return distuv.Gamma{Alpha: k, Beta: k, Src: r}.Rand()
}

func worlds() []world {
	var all []world
	for _, mean := range []float64{0.5, 2, 8} {
		all = append(all, plots("Poisson", fmt.Sprintf("Poisson, mean %g", mean), mean, func(r *rand.Rand) float64 { return poisson(r, mean) }))
	}
	for _, k := range []float64{0.1, 0.15, 0.3, 0.5, 1, 2} {
		for _, mean := range []float64{0.5, 2, 8} {
			all = append(all, plots("negative binomial", fmt.Sprintf("NB k %g, mean %g", k, mean), mean,
				func(r *rand.Rand) float64 { return poisson(r, mean*gamma(r, k)) }))
		}
	}
	for _, z := range []struct{ zero, mean float64 }{{0.5, 2}, {0.8, 2}, {0.8, 8}} {
		all = append(all, plots("zero-inflated", fmt.Sprintf("zero-inflated Poisson, %g empty, mean %g", z.zero, z.mean), z.mean,
			func(r *rand.Rand) float64 {
				if r.Float64() < z.zero {
					return 0
				}
				return poisson(r, z.mean/(1-z.zero))
			}))
	}
	all = append(all, plots("zero-inflated", "zero-inflated NB, 0.6 empty, k 1, mean 2", 2, func(r *rand.Rand) float64 {
		if r.Float64() < 0.6 {
			return 0
		}
		return poisson(r, 5*gamma(r, 1))
	}))
	for _, c := range []clumps{{0.004, 5, 1}, {0.004, 5, 4}, {0.001, 20, 1}, {0.001, 20, 4}, {0.004, 20, 2}} {
		all = append(all, c.world())
	}
	all = append(all, sites(0.5, 1), sites(0.2, 1), unequal("NB2", 0.5), unequal("NB2", 0.15), unequal("NB1", 0.5), unequal("NB1", 0.15),
		stripsOfClumps(), trend(0), trend(1))
	return all
}

// clumps is a Neyman-Scott world: parents at random, round each a Poisson
// number of fruit bodies with normal steps, seen through round plots that
// cut the clumps at their edge.
type clumps struct{ parentsPerM2, size, spreadM float64 }

func (c clumps) world() world {
	radius := math.Sqrt(plotHa * 1e4 / math.Pi)
	density := c.parentsPerM2 * c.size * 1e4
	name := fmt.Sprintf("clumps of %g, spread %g m, mean %g", c.size, c.spreadM, density*plotHa)
	return plots("clumped", name, density*plotHa, func(r *rand.Rand) float64 {
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
	})
}

// stripsOfClumps is a Neyman-Scott world seen through strips 4 m wide and 20
// to 200 m long: the longer ones average over more clumps.
func stripsOfClumps() world {
	const parents, size, spread, half = 0.001, 10.0, 2.0, 2.0
	w := world{name: "strips through clumps of 10", family: "unequal areas", density: parents * size * 1e4, perUnit: parents * size * 110 * 4}
	w.draw = func(r *rand.Rand, n int) Sample {
		var s Sample
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

// sites is a world of sites with 2 to 6 plots each and a gamma effect shared
// by the plots of a site; n is the number of sites.
func sites(siteK, plotK float64) world {
	w := world{name: fmt.Sprintf("sites k %g of 2 to 6 plots k %g", siteK, plotK), family: "sites", density: 2 / plotHa, perUnit: 8}
	w.draw = func(r *rand.Rand, n int) Sample {
		var s Sample
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
func unequal(kind string, k float64) world {
	w := world{name: fmt.Sprintf("areas 1 to 5, %s k %g", kind, k), family: "unequal areas", density: 100, perUnit: 3}
	w.draw = func(r *rand.Rand, n int) Sample {
		var s Sample
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
func trend(k float64) world {
	w := world{name: fmt.Sprintf("systematic across a trend, k %g", k), family: "systematic", density: 4 / plotHa, perUnit: 4}
	if k == 0 {
		w.name = "systematic across a trend, Poisson"
	}
	w.draw = func(r *rand.Rand, n int) Sample {
		var s Sample
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
