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
func (y *yearly) addFactors(to *question.Factors, whole *season.Flush, others []otherStanding) {
	for _, method := range y.season.Methods() {
		if method == result.Added {
			continue
		}
		if whole.None != nil {
			to.None[method] = seasonNotKnown.With("no season curve was fitted, so the season total is not estimated. The reason: %s", whole.None.Text)
			continue
		}
		for _, f := range y.season.Domains(method, y.elements) {
			if f.Years != result.All {
				continue
			}
			e, ok := y.factor(f, whole, others)
			if !ok {
				to.None[method] = seasonNotKnown.With("in %s visits could see hardly any of the flush, so what came up at other times is not known",
					y.season.Strata[f.Stratum].Name)
				continue
			}
			to.Of[question.Place{Method: method, Stratum: y.season.Strata[f.Stratum].Name}] = question.Factor{Estimate: e, By: "curve of the flush",
				Warnings: y.standingWarning(e, f, others)}
		}
	}
}

// leastSeen is the share of the flush under which a stratum has no factor, as a
// season's total then is mostly the curve's word.
const leastSeen = 0.2

func (y *yearly) factor(f fieldwork.Domain, whole *season.Flush, others []otherStanding) (stats.Estimate, bool) {
	seen := whole.Seen(y.plansOf(f)).All
	if !(seen.Value >= leastSeen) {
		return stats.Estimate{}, false
	}
	t := season.Total{Estimate: chain.Inverse(seen)}
	var carried []season.Total
	for _, o := range others {
		if other := o.whole.Seen(o.plansOf(f)).All; o.carried && other.Value >= leastSeen {
			carried = append(carried, season.Total{Estimate: chain.Inverse(other)})
		}
	}
	e := t.Across(carried...).Estimate
	e.Lower = max(e.Lower, 1)
	return e, true
}

// standingWarning says what a factor rests on.
func (y *yearly) standingWarning(e stats.Estimate, f fieldwork.Domain, others []otherStanding) []stats.Warning {
	var most float64
	for _, o := range others {
		if seen := o.whole.Seen(o.plansOf(f)).All; seen.Value > 0 {
			most = max(most, math.Abs(1/seen.Value/e.Value-1))
		}
	}
	if most < leastShift {
		return nil
	}
	return []stats.Warning{restsOnStanding.With("the season total depends on how long a fruit body can be found, assumed to be %.3g days for each", y.stands.days).Moving(most)}
}

// plansOf are the visits to the units of a domain.
func (y *yearly) plansOf(f fieldwork.Domain) []season.Plan {
	plans := make([]season.Plan, len(f.Units))
	for k, e := range f.Units {
		plans[k] = y.plan(y.at(e))
	}
	return plans
}
