package analyze

import (
	"context"

	"ashtally/pipeline/estimate/transect"
)

// Answer answers every question of the survey but those that have a package of their own. The rows of each table come in
// a fixed order: by method, the land as a whole, the strata in their file's
// order, years since fire, then the groups by name.
func (s *Season) Answer(ctx context.Context, lines *transect.Lines) (Results, error) {
	elements := s.UnitSeasons()
	comparison, err := s.comparisons(elements, lines)
	if err != nil {
		return Results{}, err
	}
	answers := Results{
		Comparison: comparison,
	}
	answers.inFileOrder(s)
	return answers, nil
}
