package model

import (
	"slices"

	"ashtally/pipeline/result"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// stratumYear is one stratum in one class of years, with the units searched
// there.
type stratumYear struct {
	stratum, years int // levels
	units          int
}

// stratumYears are the strata in the classes of years in which they were searched, of
// one class or all.
func (m *countData) stratumYears(years string) []stratumYear {
	var list []stratumYear
	for _, e := range m.unitSeasons {
		if years != result.All && e.Years != years {
			continue
		}
		p := stratumYear{stratum: slices.Index(m.strata, e.Unit.Stratum), years: slices.Index(m.years, e.Years)}
		i := slices.IndexFunc(list, func(o stratumYear) bool { return o.stratum == p.stratum && o.years == p.years })
		if i < 0 {
			list, i = append(list, p), len(list)
		}
		list[i].units++
	}
	return list
}

// mix is the marginal density of a mode and tree in a class of years: a mean over
// strata weighted by area, classes of a stratum equally, and a sum over trees.
func (m *countData) mix(mode, tree, years string) regress.Mix {
	places := m.stratumYears(years)
	seasons := map[int]int{}
	land := 0.0
	for _, p := range places {
		if seasons[p.stratum] == 0 {
			land += m.areaHa(p.stratum)
		}
		seasons[p.stratum]++
	}
	var mix regress.Mix
	for _, p := range places {
		for _, modeAt := range levelsFor(modes, mode) {
			for _, treeAt := range levelsFor(m.trees, tree) {
				mix = append(mix, regress.Share{
					Weight: m.areaHa(p.stratum) / land / float64(seasons[p.stratum]),
					At:     terms.Point{Level: map[string]int{modeTerm: modeAt, treeTerm: treeAt, yearsTerm: p.years, stratumTerm: p.stratum}},
				})
			}
		}
	}
	return mix
}

func (m *countData) areaHa(stratum int) float64 { return m.season.Strata[m.strata[stratum]].AreaHa }

// levelsFor is the level of a name, or all levels.
func levelsFor(levels []string, name string) []int {
	if name != result.All {
		return []int{slices.Index(levels, name)}
	}
	all := make([]int, max(len(levels), 1))
	for i := range all {
		all[i] = i
	}
	return all
}

// findsIn counts the finds of a mode and tree in a class of years, and the units.
func (m *countData) findsIn(mode, tree, years string) (finds, units int) {
	factor := func(name string) terms.Factor {
		i := slices.IndexFunc(m.sample.Frame.Factors, func(f terms.Factor) bool { return f.Name == name })
		if i < 0 {
			return terms.Factor{}
		}
		return m.sample.Frame.Factors[i]
	}
	is := func(f terms.Factor, row int, name string) bool {
		return name == result.All || len(f.Of) == 0 || f.Levels[f.Of[row]] == name
	}
	modes, trees, ages := factor(modeTerm), factor(treeTerm), factor(yearsTerm)
	for i, n := range m.sample.Count {
		if is(modes, i, mode) && is(trees, i, tree) && is(ages, i, years) {
			finds += int(n)
		}
	}
	for _, p := range m.stratumYears(years) {
		units += p.units
	}
	return finds, units
}
