package detectability

import (
	"maps"
	"math"
	"slices"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/chain"
	"ashtally/stats/missed"
)

// addFactors makes known how the counts of a method are corrected, or why they are not.
func addFactors(to *question.Factors, s *fieldwork.Season, method string, domains []fieldwork.Domain, m correction, onLine stats.Estimate, ok bool) {
	switch {
	case !ok:
		to.None[method] = notCorrected.With("nothing tells what share of the fruit bodies was missed on %ss: it takes two observers, or repeated passes",
			fieldwork.UnitNoun(method))
	case !m.known:
		to.None[method] = m.reason
	case method == result.Line && !(onLine.Value > 0):
		to.None[method] = notCorrected.With("nothing tells what share of the fruit bodies on the lines themselves was missed")
	default:
		maps.Copy(to.Of, factors(s, method, domains, m, onLine))
	}
}

// factors are those by which the counts of a method fall short, in each stratum, with
// what was missed on one visit and recorded on a later one counted once.
func factors(s *fieldwork.Season, method string, domains []fieldwork.Domain, m correction, onLine stats.Estimate) map[question.Place]question.Factor {
	of := map[question.Place]question.Factor{}
	keep := stays(s, domains)
	for _, f := range domains {
		if f.Years != result.All {
			continue
		}
		link := question.Factor{By: m.by, Warnings: m.warnings}
		kept := 1.0
		if method == result.Line {
			link.Estimate, kept = onLineFactor(f, onLine, keep)
		} else {
			link.Estimate, kept = inUnitsFactor(s, f, m, keep)
		}
		if kept < 1-leastReturn {
			link.Warnings = append(slices.Clip(link.Warnings), recordedLater.With("%s of what searches missed still stood on the next visit, fruit bodies standing %.3g days, and was recorded then: it is corrected for once", fieldwork.SharePercent(1-kept), s.Settings.Curve.StandingDays.Middle()))
		}
		of[question.Place{Method: method, Stratum: s.Strata[f.Stratum].Name}] = link
	}
	return of
}

// leastReturn is the share of what was missed from which on a reader is told that it
// was recorded on a later visit.
const leastReturn = 0.005

// inUnitsFactor is the factor of plots or strips, and the share of what searches missed
// that was missed for good.
func inUnitsFactor(s *fieldwork.Season, f fieldwork.Domain, m correction, keep map[int]float64) (stats.Estimate, float64) {
	once := m
	once.visits = map[int]corrected{}
	var missedAll, missedOnce float64
	totals := totalsOf(s)
	for _, u := range f.Units {
		for _, v := range u.Counted {
			c, ok := m.visits[v]
			if !ok {
				continue
			}
			n, gone := totals[v], keep[v]
			missedAll, missedOnce = missedAll+max(0, c.present-n), missedOnce+gone*max(0, c.present-n)
			here := corrected{present: n + gone*(c.present-n), gradient: make([]float64, len(c.gradient))}
			for k, g := range c.gradient {
				here.gradient[k] = gone * g
			}
			once.visits[v] = here
		}
	}
	kept := 1.0
	if missedAll > 0 {
		kept = missedOnce / missedAll
	}
	once.factor = 1 + kept*(m.factor-1)
	h := correctedStratum(s, f, once)
	counted, _ := estimate.Jointly(s, []fieldwork.Domain{f}, [][]int{{0}}, estimate.AllFinds([]fieldwork.Domain{f}))
	h.Counted = counted[0].Estimate
	found := missed.Density([]missed.Stratum{h}, once.covariance, estimate.Options(s)).Found
	if math.IsNaN(found.Value) {
		return stats.Estimate{Value: once.factor, SE: math.NaN(), Interval: stats.NoInterval(s.Settings.Confidence)}, kept
	}
	return chain.Inverse(found), kept
}

// onLineFactor is the factor of lines: 1 over the detection probability on the line.
func onLineFactor(f fieldwork.Domain, onLine stats.Estimate, keep map[int]float64) (stats.Estimate, float64) {
	e := chain.Inverse(onLine)
	var visits, kept float64
	for _, u := range f.Units {
		for _, v := range u.Counted {
			visits, kept = visits+1, kept+keep[v]
		}
	}
	kept /= visits
	for _, v := range []*float64{&e.Value, &e.Lower, &e.Upper} {
		*v = 1 + kept*(*v-1)
	}
	e.SE *= kept
	return e, kept
}

// stays is, by visit, the share of what the search of that day missed that does not
// stand on the next day of the unit. Where each visit records what is new, the rest is
// recorded then, or missed again and counted among what that day missed. With fruit
// bodies that stand L days each, come up evenly, g days after the visit before and h
// before the next,
//
//	1 - (L - h) / min(g, L)  between 0 and 1
//
// Days that vary as an exponential does are not among the settings.
func stays(s *fieldwork.Season, domains []fieldwork.Domain) map[int]float64 {
	gone := map[int]float64{}
	stand := s.Settings.Curve.StandingDays.Middle()
	for _, f := range domains {
		for _, u := range f.Units {
			days := s.Days(u.Counted)
			before := math.Inf(1)
			for i, day := range days {
				share := 1.0
				if i+1 < len(days) && s.Settings.Counting.Rule == survey.New {
					next := daysBetween(s, day[0], days[i+1][0])
					share = 1 - min(1, max(0, (stand-next)/min(before, stand)))
					before = next
				}
				for _, v := range day {
					gone[v] = share
				}
			}
		}
	}
	return gone
}

// daysBetween are the days from one visit to a later one.
func daysBetween(s *fieldwork.Season, first, second int) float64 {
	return float64(s.Visits[second].Date.YearDay() - s.Visits[first].Date.YearDay())
}
