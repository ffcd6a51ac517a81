package model

import (
	"maps"
	"slices"
	"strconv"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// The variables of the model, as its tables name them.
const (
	modeTerm    = "mode"
	treeTerm    = "tree"
	yearsTerm   = "years"
	stratumTerm = "stratum"
)

// otherTrees stands in the model's tables for trees with too few finds to have
// a level of their own.
const otherTrees = "other trees"

const (
	// leastTreeFinds is the number of finds below which a tree is pooled with others:
	// its density alone would have no limits.
	leastTreeFinds = 5
)

// countData are the counts of one method that the model is fitted to: a row for each
// unit-season, mode and tree, zeros included. Every mode and tree of the survey could
// have been found in every unit.
//
// Finds whose mode or tree was not called are left out and counted: they are no third
// mode, whose density would depend on the crew rather than on the fungus.
type countData struct {
	season      *fieldwork.Season
	method      string
	domains     []fieldwork.Domain
	unitSeasons []fieldwork.UnitSeason
	trees       []string // levels; empty where the model has no trees
	years       []string
	strata      []int // of the survey, as levels
	sample      regress.Sample
	model       terms.Model
	treeless    bool
	dropped     []droppedTerm
	finds       int // in the rows
	leftOut     int // whose mode or tree was not called
	warnings    []stats.Warning
}

type droppedTerm struct {
	term   string
	reason stats.Warning
}

var modes = []string{survey.Saprotrophic, survey.HostAssociated}

// countDataByMethod are the counts of each method that has an area. Plots that were
// added by adaptive cluster sampling are no probability sample and are left out.
func countDataByMethod(s *fieldwork.Season, unitSeasons []fieldwork.UnitSeason) []countData {
	var list []countData
	for _, method := range s.Methods() {
		if method == result.Line || method == result.Added {
			continue
		}
		m := countData{season: s, method: method, domains: s.Domains(method, unitSeasons)}
		for _, f := range m.domains {
			if f.Years == result.All {
				m.unitSeasons = append(m.unitSeasons, f.Units...)
				m.warnings = stats.AppendNewCodes(m.warnings, f.Warnings...)
			}
		}
		if len(m.unitSeasons) == 0 {
			continue
		}
		m.warnings = append(m.warnings, m.notReached(result.All)...)
		m.tabulate()
		m.chooseTerms()
		if len(m.trees) > 0 && !m.model.Has(terms.Term{treeTerm}) {
			// Without the term, each tree would have the same density: rows are of
			// all trees together instead.
			m.treeless = true
			m.tabulate()
		}
		list = append(list, m)
	}
	return list
}

// notReached warns of strata that the method did not reach, in a class of years since
// fire. For what is not of one class, such as a ratio of two, it is that of all.
func (m *countData) notReached(years string) []stats.Warning {
	if !slices.ContainsFunc(m.domains, func(d fieldwork.Domain) bool { return d.Years == years }) {
		years = result.All
	}
	return m.season.NotReached(m.method, m.domains, years)
}

// tabulate fills in rows, factors and offsets.
func (m *countData) tabulate() {
	m.trees, m.strata, m.finds, m.leftOut, m.sample = nil, nil, 0, 0, regress.Sample{}
	var of map[string]int
	if !m.treeless {
		of = m.treeLevels()
	}
	m.years = fieldwork.YearsOf(m.unitSeasons)
	for _, e := range m.unitSeasons {
		if !slices.Contains(m.strata, e.Unit.Stratum) {
			m.strata = append(m.strata, e.Unit.Stratum)
		}
	}
	trees := max(len(m.trees), 1)
	mode, tree := terms.Factor{Name: modeTerm, Levels: modes}, terms.Factor{Name: treeTerm, Levels: m.trees}
	years, stratum := terms.Factor{Name: yearsTerm, Levels: m.years}, terms.Factor{Name: stratumTerm}
	for _, at := range m.strata {
		stratum.Levels = append(stratum.Levels, m.season.Strata[at].Name)
	}
	sites, _ := fieldwork.SiteNumbers(m.unitSeasons)
	for i, e := range m.unitSeasons {
		counts := make([]float64, 2*trees)
		for _, c := range e.Counts {
			if at := m.rowOf(c.Group, of); at >= 0 {
				counts[at] += float64(c.N)
				m.finds += int(c.N)
			} else {
				m.leftOut += int(c.N)
			}
		}
		for at, n := range counts {
			m.sample.Count, m.sample.Exposure = append(m.sample.Count, n), append(m.sample.Exposure, e.Unit.AreaHa)
			m.sample.Cluster = append(m.sample.Cluster, sites[i])
			mode.Of, tree.Of = append(mode.Of, at/trees), append(tree.Of, at%trees)
			years.Of, stratum.Of = append(years.Of, slices.Index(m.years, e.Years)), append(stratum.Of, slices.Index(m.strata, e.Unit.Stratum))
		}
	}
	m.sample.Frame = terms.Frame{Rows: len(m.sample.Count), Factors: []terms.Factor{mode, years, stratum}}
	if len(m.trees) > 0 {
		m.sample.Frame.Factors = append(m.sample.Frame.Factors, tree)
	}
}

// rowOf is the place of a group among the rows of a unit, -1 for one left out.
func (m *countData) rowOf(group int, of map[string]int) int {
	g := m.season.Groups[group]
	at := slices.Index(modes, g.Mode)
	if at < 0 || len(m.trees) == 0 {
		return at
	}
	tree, ok := of[g.Tree]
	if !ok {
		return -1
	}
	return at*len(m.trees) + tree
}

// treeLevels are the levels of the factor tree, and the level of each name. Where
// most finds have no tree, the model has no such factor.
func (m *countData) treeLevels() map[string]int {
	finds := map[string]int64{}
	var unrecorded, all int64
	for _, e := range m.unitSeasons {
		for _, c := range e.Counts {
			g := m.season.Groups[c.Group]
			if !slices.Contains(modes, g.Mode) {
				continue
			}
			all += c.N
			if g.Tree == result.Unrecorded {
				unrecorded += c.N
				continue
			}
			finds[g.Tree] += c.N
		}
	}
	if 2*unrecorded > all {
		m.dropped = append(m.dropped, droppedTerm{treeTerm, treesUnrecorded.With("%d of %d finds have no tree, so that the model has none", unrecorded, all)})
		return nil
	}
	return m.poolRare(finds)
}

// poolRare pools the trees of few finds in one level.
func (m *countData) poolRare(finds map[string]int64) map[string]int {
	var rare []string
	of := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(finds)) {
		if finds[name] < leastTreeFinds {
			rare = append(rare, name)
			continue
		}
		of[name] = len(m.trees)
		m.trees = append(m.trees, name)
	}
	switch {
	case len(rare) == 1:
		of[rare[0]] = len(m.trees)
		m.trees = append(m.trees, rare[0])
	case len(rare) > 1:
		for _, name := range rare {
			of[name] = len(m.trees)
		}
		m.trees = append(m.trees, otherTrees)
		m.warnings = append(m.warnings, treesGathered.With("trees with under %d finds each are taken together: %s", leastTreeFinds, fieldwork.NameList(rare)))
	}
	return of
}

// sites is the number of clusters.
func (m *countData) sites() int {
	_, n := fieldwork.SiteNumbers(m.unitSeasons)
	return n
}

// levels is the number of levels of a factor.
func (m *countData) levels(variable string) int {
	switch variable {
	case modeTerm:
		return len(modes)
	case treeTerm:
		return len(m.trees)
	case yearsTerm:
		return len(m.years)
	}
	return len(m.strata)
}

// chooseTerms selects from the terms that the settings ask for, main effects first,
// those that there are finds enough for.
func (m *countData) chooseTerms() {
	coefficients := 1
	for _, pair := range []bool{false, true} {
		for _, name := range m.season.Settings.Model.Terms {
			t := termOf(name)
			if (len(t) > 1) != pair {
				continue
			}
			more := 1
			for _, v := range t {
				more *= m.levels(v) - 1
			}
			if reason := m.reasonAgainst(t, coefficients, more); reason != nil {
				if !slices.ContainsFunc(m.dropped, func(d droppedTerm) bool { return d.term == name }) {
					m.dropped = append(m.dropped, droppedTerm{name, *reason})
				}
				continue
			}
			m.model = append(m.model, t)
			coefficients += more
		}
	}
}

// reasonAgainst is why a term is left out; nil if it is not.
func (m *countData) reasonAgainst(t terms.Term, coefficients, more int) *stats.Warning {
	if len(t) > 1 {
		for _, v := range t {
			if !m.model.Has(terms.Term{v}) {
				return new(termWithoutParts.With("%s needs %s, which is not in the model", t, v))
			}
		}
	}
	if more < 1 {
		return new(singleLevel.With("the units and finds have a single %s, so that there is nothing to compare", t))
	}
	if m.finds < estimate.FindsPerCoefficient*(coefficients+more) {
		return new(tooFewFinds.With("%d finds are too few for the %d coefficients that the model would have with %s: under %d for each",
			m.finds, coefficients+more, t, estimate.FindsPerCoefficient))
	}
	return nil
}

func termOf(name string) terms.Term {
	for i := range name {
		if name[i] == ':' {
			return terms.Term{name[:i], name[i+1:]}
		}
	}
	return terms.Term{name}
}

// ages are the years since fire of burned strata, ascending.
func (m *countData) ages() []int {
	var list []int
	for _, y := range m.years {
		if n, err := strconv.Atoi(y); err == nil {
			list = append(list, n)
		}
	}
	return list
}
