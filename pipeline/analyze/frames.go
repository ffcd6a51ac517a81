package analyze

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/stats/density"
)

// sample is the units of the frame with what is counted in each.
func (s *Season) sample(f fieldwork.Domain, counts []float64) density.Sample {
	return density.Sample{
		AreaHa: f.AreaHa, Count: counts, Cluster: f.Clusters, Order: f.Order, Name: f.Names, Season: f.Seasons,
		LandHa: s.Strata[f.Stratum].AreaHa,
	}
}
