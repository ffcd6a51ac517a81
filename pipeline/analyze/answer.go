package analyze

import "context"

// Answer answers every question of the survey. The rows of each table come in
// a fixed order: by method, the land as a whole, the strata in their file's
// order, years since fire, then the groups by name.
func (s *Season) Answer(ctx context.Context) (Results, error) {
	elements := s.elements()
	lines := s.transects(elements)
	densities, err := s.densities(ctx, elements, lines)
	if err != nil {
		return Results{}, err
	}
	detection, err := s.detectionRows(lines)
	if err != nil {
		return Results{}, err
	}
	flush, err := s.flushes(ctx, elements)
	if err != nil {
		return Results{}, err
	}
	clumping, counts := s.clumping(elements)
	adaptive, networks := s.adaptiveRows(elements)
	return Results{
		Density:     densities,
		Comparison:  s.comparisons(elements),
		Detection:   detection,
		Distances:   lines.distances(s.settings.Confidence),
		Flush:       flush.rows,
		SeasonTotal: flush.totals,
		SeasonUnits: flush.units,
		Curves:      flush.curves,
		Clumping:    clumping,
		Counts:      counts,
		Effort:      s.effortRows(elements),
		Taxa:        s.taxonRows(),
		Adaptive:    adaptive,
		Networks:    networks,
	}, nil
}
