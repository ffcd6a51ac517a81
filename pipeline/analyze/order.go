package analyze

import "ashtally/pipeline/fieldwork"

// inFileOrder puts the rows of the strata into the order of strata.csv. Rows over
// strata stay where they are.
func (r *Results) inFileOrder(s *Season) {
	fieldwork.InFileOrder(s.Season, r.Comparison, func(r *ComparisonRow) (string, string) { return r.Comparison + r.Method, r.Stratum })
}
