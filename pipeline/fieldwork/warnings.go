package fieldwork

import (
	"fmt"
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
		warnings = append(warnings, stats.Warning{Code: "unequal-visits",
			Text: fmt.Sprintf("units were searched %d to %d times; those searched more often had more chance to yield", least, most)})
	}
	if most == 1 {
		warnings = append(warnings, stats.Warning{Code: "one-visit", Text: "each unit was searched once in a season; the figure is what stood on that day, not what a season brings"})
	}
	if len(seasons) > 1 {
		warnings = append(warnings, stats.Warning{Code: "seasons-pooled",
			Text: fmt.Sprintf("%d seasons are pooled; the figure is their mean per season", len(seasons))})
	}
	return warnings
}

// plotsWithoutSequence tells of a variance that compares neighbours where the
// survey has plots alone, which the setting cannot reach.
func (s *Season) plotsWithoutSequence() []stats.Warning {
	form := s.Settings.Density.Systematic
	if !density.ByOrder(form) || slices.ContainsFunc(s.Units, func(u Unit) bool { return u.Method == result.Strip || u.Method == result.Line }) {
		return nil
	}
	return []stats.Warning{{Code: density.NoSequence, Text: fmt.Sprintf("the variance %s compares neighbours along the layout of transects, and plots have no sequence; the variance of a random layout took its place", form)}}
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
	return []stats.Warning{{Code: "land-not-reached", Text: fmt.Sprintf(
		"no %s was searched in %s; the figure is %s", UnitNoun(method), NameList(s.StrataNames(missed)), s.OnlyOf(here))}}
}

// NeverSearched names the units that were laid out and never searched. They
// are in no estimate, and the crew should know.
func (s *Season) NeverSearched(method string, at int) []stats.Warning {
	searched := map[int]bool{}
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
	return []stats.Warning{{Code: "never-searched", Text: fmt.Sprintf("%d units have no visit and are in no estimate: %s", len(names), NameList(names))}}
}

// WarningsOf are the warnings of some domains, with the name of their stratum
// where there are several.
func (s *Season) WarningsOf(members []Domain) []stats.Warning {
	if len(members) == 1 {
		return members[0].Warnings
	}
	var all []stats.Warning
	for _, f := range members {
		for _, w := range f.Warnings {
			w = stats.Warning{Code: "stratum-" + w.Code, Text: "in stratum " + s.Strata[f.Stratum].Name + ": " + w.Text}
			if !slices.Contains(all, w) {
				all = append(all, w)
			}
		}
	}
	return all
}
