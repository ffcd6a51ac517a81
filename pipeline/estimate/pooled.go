package estimate

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/density"
)

// Pooled is the density of some domains together, weighted by the areas of their
// strata.
func Pooled(s *fieldwork.Season, members []fieldwork.Domain, estimates []stats.Estimate) stats.Estimate {
	return density.Land(Collapsed(s, members, estimates), s.Settings.Confidence)
}

// Collapsed are the parts of that density, strata with a single unit collapsed with
// others.
func Collapsed(s *fieldwork.Season, members []fieldwork.Domain, estimates []stats.Estimate) []density.Part {
	return density.Collapse(Parts(s, members, estimates), Options(s))
}

// Parts are those of that density, a stratum each.
func Parts(s *fieldwork.Season, members []fieldwork.Domain, estimates []stats.Estimate) []density.Part {
	parts := make([]density.Part, len(members))
	for i, f := range members {
		c := s.CollapsedWith(f)
		parts[i] = density.Part{Name: c.Name, AreaHa: s.Strata[f.Stratum].AreaHa, Estimate: estimates[i], Mean: c.Mean, With: c.With}
	}
	return parts
}
