package coverage

import (
	"fmt"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/missed"
	"ashtally/stats/observers"
)

// Corrected are densities corrected for what two observers missed.
func Corrected() Figure {
	return Figure{
		Name: "corrected", Title: "Densities corrected for imperfect detection", About: aboutCorrected,
		Default: density.ModelAveraged, Methods: []string{density.ModelAveraged}, Sizes: []int{6, 12, 30, 60},
		LeastPieces: 12, LeastFinds: 20, MostCovered: 0.975, Tolerance: 2,
		doubtful: onCoverage(observers.Warnings, density.Warnings),
	}
}

func correctedCells() []Cell {
	var worlds []World
	for _, mean := range []float64{2, 8} {
		for _, w := range []correctedWorld{
			{name: "NB k 1", count: func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*gamma(r, 1)) }},
			{name: "NB k 0.3", count: func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*gamma(r, 0.3)) }},
			{name: "log-normal, sd 1", count: func(r *rand.Rand, mean float64) float64 { return poisson(r, mean*lognormal(r, 1)) }},
		} {
			for _, saw := range [][2]float64{{0.8, 0.6}, {0.5, 0.4}} {
				w.mean, w.saw = mean, saw
				worlds = append(worlds, w.world())
			}
		}
	}
	return Corrected().over(worlds)
}

// correctedWorld is a stratum of plots that two observers search independently.
type correctedWorld struct {
	name  string
	count func(r *rand.Rand, mean float64) float64
	mean  float64    // fruit bodies of a plot
	saw   [2]float64 // detection probability of each observer
}

func (w correctedWorld) world() World {
	found := 1 - (1-w.saw[0])*(1-w.saw[1])
	return World{
		Name: fmt.Sprintf("%s, mean %g, observers see %g and %g", w.name, w.mean, w.saw[0], w.saw[1]), Family: "two observers",
		Truth: w.mean / plotHa, PerUnit: w.mean * found, try: w.try,
	}
}

func (w correctedWorld) try(c Cell, r *rand.Rand, _ int) trial {
	s := density.Sample{LandHa: 500}
	var seen [4]float64 // by neither, the first alone, the second alone, both
	for range c.N {
		var found float64
		for range int(w.count(r, w.mean)) {
			history := stats.Indicator(r.Float64() < w.saw[0]) + 2*stats.Indicator(r.Float64() < w.saw[1])
			seen[history]++
			found += float64(min(history, 1))
		}
		s.AreaHa, s.Count = append(s.AreaHa, plotHa), append(s.Count, found)
	}
	e := correct(s, seen)
	return trial{truth: w.mean / plotHa, by: []*stats.Estimate{&e}}
}

// correct is the density of a sample, corrected by what the observers saw each.
func correct(s density.Sample, seen [4]float64) stats.Estimate {
	counted := density.Area([]density.NamedSample{{Sample: s}}, density.Options{}).Area
	data := observers.Data{Observers: 2}
	for history, saw := range [][]bool{1: {true, false}, 2: {false, true}, 3: {true, true}} {
		if history > 0 && seen[history] > 0 {
			data.Times, data.Searched, data.Saw = append(data.Times, seen[history]), append(data.Searched, []int{0, 1}), append(data.Saw, saw)
		}
	}
	fit, err := data.Fit(observers.Model{ByObserver: true}, counted.Confidence)
	if err != nil {
		return stats.Missing(counted.Confidence, len(s.Count), density.NoLimits.With("%v", err))
	}
	factor, gradient := fit.CorrectionFactor(0)
	part := missed.Stratum{Sample: s, Counted: counted, AreaHa: s.LandHa, Factor: factor, Slope: make([]float64, len(gradient))}
	for _, y := range s.Count {
		part.Present = append(part.Present, y*factor)
		for k, g := range gradient {
			part.Slope[k] += y * g
		}
	}
	e := missed.Density([]missed.Stratum{part}, fit.Covariance(), density.Options{}).Density
	e.Warnings = append(e.Warnings, fit.Warnings...)
	return e
}
