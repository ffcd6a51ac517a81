// Package model is the question of what densities depend on: mode, tree, years since
// fire and stratum in a model of counts, how far they fall with the years, and the
// ratios that follow.
package model

import (
	"context"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
)

// Answer is the model of each method and what is read from it.
type Answer struct {
	fits         []FitRow
	tests        []TestRow
	coefficients []CoefficientRow
	predicted    []PredictedRow
	contrasts    []ContrastRow
	declines     []DeclineRow
	curves       []DeclineCurve
}

// Tables are results/model_fits, model_tests, model, predicted, contrasts and decline.
func (a Answer) Tables() []result.Table {
	return []result.Table{
		fitTable.Of(a.fits), testTable.Of(a.tests), coefficientTable.Of(a.coefficients),
		predictedTable.Of(a.predicted), contrastTable.Of(a.contrasts), declineTable.Of(a.declines),
	}
}

// Ask fits a model of counts to the finds of each method.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	return ask(s, s.UnitSeasons())
}

// hostToSapro names the comparison of the modes.
const hostToSapro = "host-associated to saprotrophic"
