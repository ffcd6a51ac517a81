package analyze

import (
	"slices"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/strata"
)

// choice is what tells which stratum the frame's is collapsed with if a single
// independent unit was searched in it: one choice for every estimator.
func (s *Season) choice(f frame) strata.Stratum {
	name := s.strata[f.stratum].name
	return strata.Stratum{Name: name, Mean: f.mean, With: s.settings.SingleUnitStrata[name]}
}

// meanOf is the finds per area of some units, or per length of lines.
func meanOf(elements []element) float64 {
	var finds int64
	size := make([]float64, len(elements))
	for i, e := range elements {
		finds += e.finds()
		size[i] = e.unit.areaHa
		if e.unit.method == LineMethod {
			size[i] = e.unit.levelM * float64(e.unit.sides)
		}
	}
	return float64(finds) / stats.Sum(size)
}

// pooledDensity is the density of some frames together, weighted by the areas of
// their strata. Counts returns what was counted in the units of one of them; it is asked
// only where a stratum of a single unit has to be collapsed.
func (s *Season) pooledDensity(members []frame, estimates []stats.Estimate, counts func(member int) []float64) stats.Estimate {
	return density.Land(s.collapsed(members, estimates, counts), s.settings.Confidence)
}

// collapsed are the parts of that density, those of a single unit joined with
// others.
func (s *Season) collapsed(members []frame, estimates []stats.Estimate, counts func(member int) []float64) []density.Part {
	parts := s.densityParts(members, estimates)
	if !slices.ContainsFunc(estimates, func(e stats.Estimate) bool { return e.N == 1 }) {
		return parts
	}
	for i, f := range members {
		if f.grid == nil {
			parts[i].Sample = s.sample(f, counts(i))
		}
	}
	return density.Collapse(parts, s.densityOptions())
}

// findsOf are the finds of all kinds in the units of a frame.
func findsOf(f frame) []float64 {
	counts := make([]float64, len(f.elements))
	for i, e := range f.elements {
		counts[i] = float64(e.finds())
	}
	return counts
}

// independent is the number of independent units or sites of a frame; of adaptive
// cluster plots those that were drawn.
func independent(f frame) int {
	switch {
	case f.grid != nil:
		n := 0
		for _, drawn := range f.grid.drawn {
			n += oneIf(drawn)
		}
		return n
	case f.clusters == nil:
		return len(f.elements)
	}
	return slices.Max(f.clusters) + 1
}

func (s *Season) densityParts(members []frame, estimates []stats.Estimate) []density.Part {
	parts := make([]density.Part, len(members))
	for i, f := range members {
		c := s.choice(f)
		parts[i] = density.Part{Name: c.Name, AreaHa: s.strata[f.stratum].landHa, Estimate: estimates[i], Mean: c.Mean, With: c.With}
	}
	return parts
}
