package estimate

import (
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// FindsPerCoefficient is how many finds a model of counts needs for each coefficient
// (Vittinghoff & McCulloch 2007, American Journal of Epidemiology 165: 710-718: five
// to nine events for each do little harm).
const FindsPerCoefficient = 5

// LargestModel is the number of elements of the design matrix up to which a model of
// counts is fitted: ten thousand units by five trees, say. Beyond it takes minutes.
const LargestModel = 2_000_000

// CovarianceKind is the covariance of a model of counts that the settings ask for.
func CovarianceKind(s survey.Settings) regress.Kind {
	switch s.Model.Covariance {
	case survey.CR1:
		return regress.CR1
	case survey.OfModel:
		return regress.Observed
	}
	return regress.CR2
}

// SignFlips are those of the score tests of a model of counts.
func SignFlips(s survey.Settings) regress.SignFlips {
	return regress.SignFlips{Seed: s.Seed, Replicates: s.Model.Replicates}
}

// Tested are the p-values of a hypothesis in a model of counts, with the warnings of
// the test: of the cluster-level sign-flip score test, or of Wald's where the settings
// assume independent counts.
func Tested(s survey.Settings, wald float64, score func(regress.SignFlips) regress.Score) (result.Tested, []stats.Warning) {
	if !CovarianceKind(s).Robust() {
		return result.ByWald(wald), nil
	}
	t := score(SignFlips(s))
	return result.BySigns(t.P, t.SE, wald, t.Exact, result.AllScores, result.DrawnScores), t.Warnings
}
