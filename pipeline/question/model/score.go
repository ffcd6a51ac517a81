package model

import (
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// tested are the p-values of a hypothesis, with the warnings of the test: of the
// cluster-level sign-flip score test, or of Wald's where the settings assume
// independent counts.
func (m *countData) tested(wald float64, score func(regress.SignFlips) regress.Score) (result.Tested, []stats.Warning) {
	if !m.covarianceKind().Robust() {
		return result.ByWald(wald), nil
	}
	s := score(m.flips())
	return result.BySigns(s.P, s.SE, wald, s.Exact, result.AllScores, result.DrawnScores), s.Warnings
}

func (m *countData) flips() regress.SignFlips {
	return regress.SignFlips{Seed: m.season.Settings.Seed, Replicates: m.season.Settings.Model.Replicates}
}
