package detectability

import (
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/missed"
)

// revisits is, by visit, the share of what the search of that day missed that no later
// visit could record: all of it, but for the rule that each visit records what is new.
type revisits []float64

// lost is the share of a visit; 1 where there are none.
func (r revisits) lost(visit int) float64 {
	if r == nil {
		return 1
	}
	return r[visit]
}

// revisitsOf are the visits of some domains, each individual missed with a probability.
func revisitsOf(s *fieldwork.Season, domains []fieldwork.Domain, miss float64) revisits {
	if s.Settings.Counting.Rule != survey.New {
		return nil
	}
	of := slices.Repeat(revisits{1}, len(s.Visits))
	for _, f := range domains {
		for _, u := range f.Units {
			days := s.Days(u.Counted)
			on := make([]float64, len(days))
			for i, day := range days {
				on[i] = daysBetween(s, days[0][0], day[0])
			}
			for i, share := range missed.Lost(on, s.Settings.Curve.StandingDays.Middle(), miss) {
				for _, v := range days[i] {
					of[v] = share
				}
			}
		}
	}
	return of
}

// daysBetween are the days from one visit to a later one of its season.
func daysBetween(s *fieldwork.Season, first, second int) float64 {
	return float64(s.Visits[second].Date.YearDay() - s.Visits[first].Date.YearDay())
}

// once corrects each visit only for what no later one recorded.
func (m correction) once(s *fieldwork.Season, of revisits) correction {
	if !m.known {
		return m
	}
	once := m
	once.visits = slices.Clone(m.visits)
	var all, lost float64
	totals := totalsOf(s)
	for v, c := range m.visits {
		if c.gradient == nil {
			continue
		}
		share := of.lost(v)
		c.missed = max(0, c.present-totals[v])
		all, lost = all+c.missed, lost+share*c.missed
		c.present -= (1 - share) * c.missed
		gradient := make([]float64, len(c.gradient))
		for k, g := range c.gradient {
			gradient[k] = share * g
		}
		c.gradient = gradient
		once.visits[v] = c
	}
	if all > 0 {
		once.factor = 1 + lost/all*(m.factor-1)
	}
	return once
}

// share is the mean over the visits of some domains, weighted by what they missed;
// with no weight, of visits alike.
func (r revisits) share(members []fieldwork.Domain, missed func(visit int) float64) float64 {
	var sum, weights, plain, visits float64
	for _, f := range members {
		for _, u := range f.Units {
			for _, v := range u.Counted {
				w := missed(v)
				sum, weights = sum+w*r.lost(v), weights+w
				plain, visits = plain+r.lost(v), visits+1
			}
		}
	}
	switch {
	case weights > 0:
		return sum / weights
	case visits > 0:
		return plain / visits
	}
	return 1
}

// found is the share of what lay on the lines of some domains that any visit recorded,
// from the detection probability on the line at one.
func (r revisits) found(members []fieldwork.Domain, onLine stats.Estimate) stats.Estimate {
	lost := r.share(members, func(int) float64 { return 1 })
	if lost == 1 {
		return onLine
	}
	of := func(p float64) float64 { return 1 / (1 + lost*(1/p-1)) }
	e := onLine
	e.Value, e.Lower, e.Upper = of(onLine.Value), of(onLine.Lower), of(onLine.Upper)
	e.SE *= lost * math.Pow(e.Value/onLine.Value, 2)
	return e
}

// leastReturn is the share of what was missed from which on a reader is told that it
// was recorded on a later visit.
const leastReturn = 0.005

// recordedLater says how much of what was missed was recorded later.
func (c corrector) recordedLater(members []fieldwork.Domain) []stats.Warning {
	later := 1 - c.returns.share(members, func(visit int) float64 {
		if c.m.visits == nil {
			return 0
		}
		return c.m.visits[visit].missed
	})
	if later < leastReturn {
		return nil
	}
	return []stats.Warning{recordedLater.With("of what a visit missed, %s still stood on a later one, fruit bodies standing %.3g days, and was "+
		"recorded then: it is corrected for once",
		fieldwork.SharePercent(later), c.season.Settings.Curve.StandingDays.Middle())}
}
