package fieldwork

import (
	"slices"

	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/density"
)

// VisitWarnings says what the design of the units makes doubtful.
func VisitWarnings(elements []UnitSeason) []stats.Warning {
	least, most := len(elements[0].Visits), 0
	seasons := map[int]bool{}
	for _, e := range elements {
		least, most = min(least, len(e.Visits)), max(most, len(e.Visits))
		seasons[e.Year] = true
	}
	var warnings []stats.Warning
	if least != most {
		warnings = append(warnings, UnequalVisits.With("units were searched %d to %d times; those searched more often had more chance to yield", least, most))
	}
	if most == 1 {
		warnings = append(warnings, OneVisit.With("each unit was searched once in a season; the figure is what stood on that day, not what a season brings"))
	}
	if len(seasons) > 1 {
		warnings = append(warnings, SeasonsPooled.With("%d seasons are pooled; the figure is their mean per season", len(seasons)))
	}
	return warnings
}

// plotsWithoutSequence tells of a variance that compares neighbours where the
// survey has plots alone, which the setting cannot reach.
func plotsWithoutSequence(s *Season) []stats.Warning {
	form := s.Settings.Density.Systematic
	if !density.ByOrder(form) || slices.ContainsFunc(s.Units, func(u Unit) bool { return u.Method == result.Strip || u.Method == result.Line }) {
		return nil
	}
	return []stats.Warning{density.NoSequence.With("the variance %s compares neighbours along the layout of transects, and plots have no "+
		"sequence; the variance of a random layout took its place", form)}
}

// NotReached names the strata that a method did not reach, and the share of the
// survey area that a figure over the others is of, in a class of years since fire
// or in all.
func (s *Season) NotReached(method string, frames []Domain, years string) []stats.Warning {
	missed := s.Unreached(frames)
	if len(missed) == 0 || len(frames) == 0 {
		return nil
	}
	here := slices.DeleteFunc(slices.Clone(frames), func(f Domain) bool { return f.Years != years })
	return []stats.Warning{AreaNotReached.With("no %s was searched in %s; the figure is %s", UnitNoun(method), NameList(s.StrataNames(missed)), s.OnlyOf(here))}
}

// NeverSearched names the units that were laid out and never searched. They
// are in no estimate, and the crew should know.
func (s *Season) NeverSearched(method string, at int) []stats.Warning {
	searched := make([]bool, len(s.Units))
	for _, v := range s.Visits {
		searched[v.Unit] = true
	}
	var names []string
	for i, u := range s.Units {
		if u.Method == method && u.Stratum == at && !searched[i] {
			names = append(names, u.ID)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []stats.Warning{UnitsNeverSearched.With("%d units have no visit and are in no estimate: %s", len(names), NameList(names))}
}

// WarningsOf are the warnings of some domains; where there are several, each names
// its stratum.
func (s *Season) WarningsOf(domains []Domain) []stats.Warning {
	if len(domains) == 1 {
		return domains[0].Warnings
	}
	var all []stats.Warning
	for _, d := range domains {
		for _, w := range d.Warnings {
			all = stats.AppendDistinct(all, w.InStratum(s.Strata[d.Stratum].Name))
		}
	}
	return all
}
