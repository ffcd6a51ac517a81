package coverage

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/density"
)

// World is a place where the truth is known and a crew's sample can be drawn.
type World struct {
	Name    string
	Family  string  // worlds of one family share a block of the table
	Truth   float64 // what should be found: of a density, per hectare
	PerUnit float64 // finds expected in one piece of the sample (unit, site or line), or in one of each stratum
	Ground  string  // what areas are of, without the number of strata
	Strata  int     // of an area that is estimated from all; 0 for other worlds
	// Draw surveys a world of plots with n pieces; nil for other worlds.
	Draw func(r *rand.Rand, n int) density.Sample

	try func(c Cell, r *rand.Rand, i int) trial
}

const plotHa = 0.01 // every plot of equal size has 100 m2

// plots is a world of equal plots with independent counts.
func plots(family, name string, mean float64, count func(r *rand.Rand) float64) World {
	return World{Name: name, Family: family, Truth: mean / plotHa, PerUnit: mean, Draw: func(r *rand.Rand, n int) density.Sample {
		s := density.Sample{AreaHa: make([]float64, n), Count: make([]float64, n)}
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
