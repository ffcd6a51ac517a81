package estimate

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/adaptive"
)

// Adaptive estimates what was counted on the plots of a domain of adaptive cluster
// plots; a plot of several seasons has their mean.
func Adaptive(s *fieldwork.Season, f fieldwork.Domain, counts []float64) adaptive.Result {
	g := f.Grid
	mean := make([]float64, len(g.Seasons))
	for i, at := range g.At {
		mean[at] += counts[i]
	}
	for at := range mean {
		mean[at] /= g.Seasons[at]
	}
	return adaptive.Stratum(adaptive.Sample{
		Plots: g.Plots, AreaHa: g.AreaHa, Count: mean, Drawn: g.Drawn, Network: g.Network, Size: g.Size,
	}, adaptive.Options{Confidence: s.Settings.Confidence, Estimator: s.Settings.Adaptive.Estimator})
}

func adaptively(s *fieldwork.Season, members []fieldwork.Domain, areas [][]int, counts func(member int) []float64) (strata, together []Density) {
	estimates := make([]stats.Estimate, len(members))
	for i, f := range members {
		finds := counts(i)
		e := Adaptive(s, f, finds).Density
		e.Warnings = append(slices.Clip(e.Warnings), f.Warnings...)
		estimates[i] = e
		strata = append(strata, Density{Estimate: e, Finds: fieldwork.Sum(finds)})
	}
	for _, area := range areas {
		sum := Density{Estimate: Pooled(s, fieldwork.Pick(members, area), fieldwork.Pick(estimates, area))}
		for _, at := range area {
			sum.Finds += strata[at].Finds
		}
		together = append(together, sum)
	}
	return strata, together
}
