package analyze

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/density"
)

// pooledDensity is the density of some frames together, weighted by the areas of
// their strata.
func (s *Season) pooledDensity(members []fieldwork.Domain, estimates []stats.Estimate) stats.Estimate {
	return density.Land(s.collapsed(members, estimates), s.Settings.Confidence)
}

// collapsed are the parts of that density, those of a single unit joined with
// others.
func (s *Season) collapsed(members []fieldwork.Domain, estimates []stats.Estimate) []density.Part {
	return density.Collapse(s.densityParts(members, estimates), s.densityOptions())
}

func (s *Season) densityParts(members []fieldwork.Domain, estimates []stats.Estimate) []density.Part {
	parts := make([]density.Part, len(members))
	for i, f := range members {
		c := s.CollapsedWith(f)
		parts[i] = density.Part{Name: c.Name, AreaHa: s.Strata[f.Stratum].AreaHa, Estimate: estimates[i], Mean: c.Mean, With: c.With}
	}
	return parts
}
