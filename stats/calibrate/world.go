package calibrate

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/density"
)

// World is a place where the density is known and a crew's sample can be drawn.
type World struct {
	Name    string
	Family  string  // worlds of one family share a block of the table
	Density float64 // per hectare
	PerUnit float64 // finds expected in one piece of the sample (unit or site)
	// Draw surveys the world with n pieces.
	Draw func(r *rand.Rand, n int) density.Sample
}

const plotHa = 0.01 // every plot of equal size has 100 m2

// plots is a world of equal plots with independent counts.
func plots(family, name string, mean float64, count func(r *rand.Rand) float64) World {
	return World{Name: name, Family: family, Density: mean / plotHa, PerUnit: mean, Draw: func(r *rand.Rand, n int) density.Sample {
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
