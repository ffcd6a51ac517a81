package analyze

import (
	"fmt"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// tested is what a row says of a hypothesis, with the doubts of the test. By
// the settings' covariance of the model alone, where counts are independent,
// Wald's test is the one to report.
func (m *modelled) tested(wald float64, score func(regress.SignFlips) regress.Score) (result.Tested, []stats.Warning) {
	if !m.kind().Robust() {
		return result.ByWald(wald), nil
	}
	s := score(m.flips())
	return result.BySigns(s.P, s.SE, wald, s.Exact, result.AllScores, result.DrawnScores), s.Warnings
}

func (m *modelled) flips() regress.SignFlips {
	return regress.SignFlips{Seed: m.season.Settings.Seed, Replicates: m.season.Settings.Model.Replicates}
}

// testedColumns declares the p-values of a table.
func testedColumns[R any](of string, at func(*R) *result.Tested) []column.Column[R] {
	return []column.Column[R]{
		number("p", "", fmt.Sprintf("p-value of %s, by the test named", of), func(r *R) *column.Float { return &at(r).P }),
		number("p_se", "", "standard error of p by drawing; 0 where all signs were gone through", func(r *R) *column.Float { return &at(r).PSE }),
		text("test", "what p is of: the score test, or the difference, by turning the signs of whole sites, all of them or drawn ones; or Wald's test", func(r *R) *string { return &at(r).Test }),
		number("wald_p", "", "p-value by Wald's test, which the limits agree with", func(r *R) *column.Float { return &at(r).WaldP }),
	}
}
