package season

import (
	"math"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/season"
)

// noFactors are the factors of a survey that cannot tell them, each method with the
// reason; false where the seasons may.
func noFactors(s *fieldwork.Season, years []int) (question.Factors, bool) {
	f := question.NewFactors()
	var reason stats.Warning
	switch {
	case s.Settings.Counting.Rule == survey.Standing:
		reason = seasonNotKnown.With("visits record all that stand, so what came and went between them is not known; results/season_total has the " +
			"standing crop at the peak")
	case len(years) != 1:
		reason = seasonNotKnown.With("units were searched in %d calendar years, and a density is the mean of them; results/season_total has each season", len(years))
	default:
		return f, true
	}
	for _, method := range s.Methods() {
		f.None[method] = reason
	}
	return f, false
}

// addFactors makes known how many fruit bodies came up in the whole season for each
// that came up where and when the visits of a stratum could see it: 1 over the share of
// the flush that they could, by the curve of all units, with limits that take in how
// else fruit bodies may stand.
func (y *yearly) addFactors(to *question.Factors, frames map[string][]frame, whole flush, others []otherStanding) {
	for _, method := range y.season.Methods() {
		if method == result.Added {
			continue
		}
		if whole.None != nil {
			to.None[method] = seasonNotKnown.With("no season curve was fitted, so the season total is not estimated. The reason: %s", whole.None.Text)
			continue
		}
		for _, f := range frames[method] {
			factor, ok := y.factor(f, whole, others)
			if !ok {
				to.None[method] = seasonNotKnown.With("in %s visits could see hardly any of the flush, so what came up at other times is not known",
					y.season.Strata[f.Stratum].Name)
				continue
			}
			to.Of[question.Place{Method: method, Stratum: y.season.Strata[f.Stratum].Name}] = factor
		}
	}
}

// leastSeen is the share of the flush under which a stratum has no factor, as a
// season's total then is mostly the curve's word.
const leastSeen = 0.2

func (y *yearly) factor(f frame, whole flush, others []otherStanding) (question.Factor, bool) {
	seen := whole.view.Seen(f.at).All
	if !(seen.Value >= leastSeen) {
		return question.Factor{}, false
	}
	t := season.Total{Estimate: chain.Inverse(seen)}
	var carried []season.Total
	var most float64 // change by another standing
	for _, o := range others {
		other := o.view.Seen(f.at).All
		if o.carried && other.Value >= leastSeen {
			carried = append(carried, season.Total{Estimate: chain.Inverse(other)})
		}
		if other.Value > 0 {
			most = max(most, math.Abs(1/other.Value/t.Value-1))
		}
	}
	e := t.Across(carried...).Estimate
	e.Lower = max(e.Lower, 1)
	return question.Factor{Estimate: e, By: "curve of the flush", Warnings: y.standingWarning(most)}, true
}

// standingWarning says what a factor rests on that other standings would change by so
// much at most.
func (y *yearly) standingWarning(most float64) []stats.Warning {
	if most < leastShift {
		return nil
	}
	return []stats.Warning{restsOnStanding.With("the season total depends on how long a fruit body can be found, assumed to be %.3g days for each", y.stands.days).Moving(most)}
}
