package analyze

import "ashtally/pipeline/fieldwork"

// inFileOrder puts the rows of the strata into the order of strata.csv. Rows over
// strata stay where they are.
func (r *Results) inFileOrder(s *Season) {
	fieldwork.InFileOrder(s.Season, r.Comparison, func(r *ComparisonRow) (string, string) { return r.Comparison + r.Method, r.Stratum })
	fieldwork.InFileOrder(s.Season, r.Observers, func(r *ObserverRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s.Season, r.Passes, func(r *PassRow) (string, string) { return r.Method, r.Stratum })
	fieldwork.InFileOrder(s.Season, r.Corrected, func(r *CorrectedRow) (string, string) { return r.Method, r.Stratum })
}
