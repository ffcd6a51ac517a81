package model

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/multiple"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// cell is a mode, tree and class of years, or result.All of one, whose density is
// estimated.
type cell struct{ mode, tree, years string }

// contrastRows are the comparisons that the settings ask for, a family each.
func (f *fitted) contrastRows() []ContrastRow {
	var rows []ContrastRow
	for _, name := range f.season.Settings.Model.Comparisons {
		var family []ContrastRow
		about := ""
		switch name {
		case survey.ModeWithinTree:
			family, about = f.modeWithinTree(), "trees"
		case survey.ModeWithinYears:
			family, about = f.modeWithinYears(), "years since fire"
		case survey.YearsWithinMode:
			family, about = f.yearsWithinMode(), "years since fire by mode"
		}
		result.Adjust(family, multiple.Method(f.season.Settings.Model.Adjustment), about, func(r *ContrastRow) (column.Float, *column.Float, *string) {
			return r.P, &r.PAdjusted, &r.Adjustment
		})
		rows = append(rows, family...)
	}
	return rows
}

// withoutComparison warns of comparisons that the settings ask for and that have a
// single level here.
func (f *fitted) withoutComparison() []stats.Warning {
	var w []stats.Warning
	for _, name := range f.season.Settings.Model.Comparisons {
		switch {
		case name == survey.ModeWithinTree && len(f.trees) == 0:
			w = append(w, comparisonLeftOut.With("the finds of the model name no tree, so that there is no comparison of modes within trees"))
		case name == survey.YearsWithinMode && len(f.years) < 2:
			w = append(w, comparisonLeftOut.With("the units are all of one class of years since fire, so that there is no comparison of years within modes"))
		}
	}
	return w
}

func (f *fitted) modeWithinTree() []ContrastRow {
	if len(f.trees) == 0 {
		return nil
	}
	var rows []ContrastRow
	for _, tree := range f.trees {
		row := f.contrast(hostToSapro, cell{survey.HostAssociated, tree, result.All}, cell{survey.Saprotrophic, tree, result.All})
		row.Years, row.Tree = result.All, tree
		row.Warnings = append(row.Warnings, f.withoutInteraction(terms.Term{modeTerm, treeTerm}, "trees")...)
		rows = append(rows, row)
	}
	return rows
}

func (f *fitted) modeWithinYears() []ContrastRow {
	var rows []ContrastRow
	for _, years := range f.years {
		row := f.contrast(hostToSapro, cell{survey.HostAssociated, result.All, years}, cell{survey.Saprotrophic, result.All, years})
		row.Years, row.Tree = years, result.All
		if len(f.years) > 1 {
			row.Warnings = append(row.Warnings, f.withoutInteraction(terms.Term{modeTerm, yearsTerm}, "years")...)
		}
		rows = append(rows, row)
	}
	return rows
}

// yearsWithinMode compares every class of years with the first.
func (f *fitted) yearsWithinMode() []ContrastRow {
	var rows []ContrastRow
	for _, mode := range modes {
		for _, years := range f.years[1:] {
			row := f.contrast(fmt.Sprintf("%s to %s", yearsWords(years), yearsWords(f.years[0])), cell{mode, result.All, years}, cell{mode, result.All, f.years[0]})
			row.Mode, row.Tree = mode, result.All
			row.Warnings = append(row.Warnings, f.withoutInteraction(terms.Term{modeTerm, yearsTerm}, "modes")...)
			row.Warnings = append(row.Warnings, f.confounding()...)
			rows = append(rows, row)
		}
	}
	return rows
}

func yearsWords(years string) string {
	switch years {
	case result.Unburned:
		return "unburned"
	case "1":
		return "1 year since fire"
	}
	return years + " years since fire"
}

func (f *fitted) contrast(name string, first, base cell) ContrastRow {
	above, below := f.mix(first.mode, first.tree, first.years), f.mix(base.mode, base.tree, base.years)
	e := f.cov.Ratio(above, below)
	tested, warnings := estimate.Tested(f.season.Settings, e.P, func(o regress.SignFlips) regress.Score { return f.negbin.TestRatio(above, below, o) })
	finds, units := f.findsIn(first.mode, first.tree, first.years)
	baseFinds, baseUnits := f.findsIn(base.mode, base.tree, base.years)
	if first.years != base.years {
		units += baseUnits
	}
	return ContrastRow{
		Comparison: name, Method: f.method, Units: column.Count(units), Sites: column.Count(f.sitesIn(first.years, base.years)),
		FirstFinds: column.Count(finds), BaseFinds: column.Count(baseFinds),
		Estimate: result.Of(e.Estimate), DF: column.Finite(e.DF), Tested: tested, Warnings: stats.Distinct(e.Warnings, warnings),
	}
}

// sitesIn is the number of sites that were searched in some classes of years.
func (f *fitted) sitesIn(years ...string) int {
	sites := map[string]bool{}
	for _, e := range f.unitSeasons {
		if slices.Contains(years, result.All) || slices.Contains(years, e.Years) {
			sites[e.Cluster()] = true
		}
	}
	return len(sites)
}

// withoutInteraction warns where the model lacks the interaction by which a ratio
// could differ.
func (f *fitted) withoutInteraction(t terms.Term, over string) []stats.Warning {
	if f.model.Has(t) {
		return nil
	}
	return []stats.Warning{heldEqual.With("the model has no %s, so that it holds this ratio equal over %s", t, over)}
}

// fires are the years of fire of the strata searched in some class of years.
func (m *countData) fires(years string) []int {
	var list []int
	for _, e := range m.unitSeasons {
		fire := m.season.Strata[e.Unit.Stratum].FireYear
		if fire != 0 && (years == result.All || e.Years == years) && !slices.Contains(list, fire) {
			list = append(list, fire)
		}
	}
	return list
}

// confounding warns of what is confounded with years since fire: the place where each
// age is one fire, the weather where all are of one.
func (m *countData) confounding() []stats.Warning {
	ages, fires := 0, len(m.fires(result.All))
	single, shared := true, false
	seen := map[int]bool{}
	for _, y := range m.years {
		if y == result.Unburned {
			continue
		}
		ages++
		of := m.fires(y)
		single = single && len(of) == 1
		for _, fire := range of {
			shared = shared || seen[fire]
			seen[fire] = true
		}
	}
	var list []stats.Warning
	switch {
	case ages == 0:
		return nil
	case fires == 1 && ages > 1:
		list = append(list, oneFire.With("all burned units lie in one fire, so that a difference between years since fire may as well be one of "+
			"weather, and says nothing of other fires"))
	case single && !shared && ages > 1:
		list = append(list, ageIsFire.With("each number of years since fire is a fire of its own, so that a difference between them may as well "+
			"be one between the places"))
	}
	if ages == 2 {
		list = append(list, twoAges.With("burned land has two ages only: they give a difference, but no shape of a decline"))
	}
	return list
}
