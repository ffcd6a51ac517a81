package question

import (
	"context"

	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// Known is what the questions asked so far have found, for those that come after
// them: a field for each look-up, set by the question that answers it.
type Known struct {
	Lines     *transect.Lines // of a survey without lines as well
	Densities Densities
}

// Densities are the densities of all finds of the target taxa together, in fruit
// bodies per hectare.
type Densities interface {
	// Of is the density as results/density has it: by a method, in a stratum (or
	// result.All or result.Reached) and a class of years since fire (or
	// result.All). It is false where the table has no such row.
	Of(method, stratum, years string) (stats.Estimate, bool)
	// Over is the density of some domains of a method together, with limits at a
	// nominal level. There is at least one domain.
	Over(ctx context.Context, domains []fieldwork.Domain, confidence float64) (stats.Estimate, error)
}
