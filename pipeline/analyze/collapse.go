package analyze

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/density"
)

// pooledDensity is the density of some frames together, weighted by the areas of
// their strata. Counts returns what was counted in the units of one of them; it is asked
// only where a stratum of a single unit has to be collapsed.
func (s *Season) pooledDensity(members []fieldwork.Domain, estimates []stats.Estimate, counts func(member int) []float64) stats.Estimate {
	return density.Land(s.collapsed(members, estimates, counts), s.Settings.Confidence)
}

// collapsed are the parts of that density, those of a single unit joined with
// others.
func (s *Season) collapsed(members []fieldwork.Domain, estimates []stats.Estimate, counts func(member int) []float64) []density.Part {
	parts := s.densityParts(members, estimates)
	if !slices.ContainsFunc(estimates, func(e stats.Estimate) bool { return e.N == 1 }) {
		return parts
	}
	for i, f := range members {
		if f.Grid == nil {
			parts[i].Sample = s.sample(f, counts(i))
		}
	}
	return density.Collapse(parts, s.densityOptions())
}

func (s *Season) densityParts(members []fieldwork.Domain, estimates []stats.Estimate) []density.Part {
	parts := make([]density.Part, len(members))
	for i, f := range members {
		c := s.CollapsedWith(f)
		parts[i] = density.Part{Name: c.Name, AreaHa: s.Strata[f.Stratum].AreaHa, Estimate: estimates[i], Mean: c.Mean, With: c.With}
	}
	return parts
}
