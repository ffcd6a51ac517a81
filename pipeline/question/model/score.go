package model

import (
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
