package model

import (
	"maps"
	"slices"
	"strconv"

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
	// rareTree is the number of finds below which a tree is put with others of
	// its kind: what is said of it alone would have no limits.
	rareTree = 5
	// findsPerTerm is how many finds there must be for each coefficient
	// (Vittinghoff & McCulloch 2007, American Journal of Epidemiology 165:
	// 710-718: five to nine events for each do little harm).
	findsPerTerm = 5
)

// modelled is the counts of one method as the model takes them: a row for each
// unit in a season, mode and tree, zeros among them. Every mode and tree that
// the survey met could have been found in every unit.
//
// Finds whose mode or tree nobody called are left out and counted: they are no
// third mode, and as one they would stand for the crew rather than for the
// fungus.
type modelled struct {
	season   *fieldwork.Season
	method   string
	domains  []fieldwork.Domain
	elements []fieldwork.UnitSeason
	trees    []string // levels; empty where the model has no trees
	years    []string
	strata   []int // of the survey, as levels
	sample   regress.Sample
	model    terms.Model
	treeless bool
	dropped  []droppedTerm
	finds    int // in the rows
	leftOut  int // whose mode or tree was not called
	doubts   []stats.Warning
}

type droppedTerm struct {
	term   string
	reason stats.Warning
}

var modelModes = []string{survey.Saprotrophic, survey.HostAssociated}

// countModels lays out the counts of each method that has an area. Plots that
// were added beside rich ones are no sample and are left out.
func countModels(s *fieldwork.Season, elements []fieldwork.UnitSeason) []modelled {
	var list []modelled
	for _, method := range s.Methods() {
		if method == result.Line || method == result.Added {
			continue
		}
		m := modelled{season: s, method: method, domains: s.Domains(method, elements)}
		for _, f := range m.domains {
			if f.Years == result.All {
				m.elements = append(m.elements, f.Units...)
				m.doubts = stats.AppendNewCodes(m.doubts, f.Warnings...)
			}
		}
		if len(m.elements) == 0 {
			continue
		}
		m.doubts = append(m.doubts, m.notReached(result.All)...)
		m.layOut()
		m.chooseTerms()
		if len(m.trees) > 0 && !m.model.Has(terms.Term{treeTerm}) {
			// Trees that the model does not tell apart would each get the same
			// share of the density: rows are of all trees together instead.
			m.treeless = true
			m.layOut()
		}
		list = append(list, m)
	}
	return list
}

// notReached says of what strata the figures are in a class of years since fire,
// where the method did not reach all. Of the classes that are none of the domains',
// a ratio between two of them say, it is that of all.
func (m *modelled) notReached(years string) []stats.Warning {
	if !slices.ContainsFunc(m.domains, func(d fieldwork.Domain) bool { return d.Years == years }) {
		years = result.All
	}
	return m.season.NotReached(m.method, m.domains, years)
}

// layOut makes the rows.
func (m *modelled) layOut() {
	m.trees, m.strata, m.finds, m.leftOut, m.sample = nil, nil, 0, 0, regress.Sample{}
	var of map[string]int
	if !m.treeless {
		of = m.levelsOfTrees()
	}
	m.years = fieldwork.YearsOf(m.elements)
	for _, e := range m.elements {
		if !slices.Contains(m.strata, e.Unit.Stratum) {
			m.strata = append(m.strata, e.Unit.Stratum)
		}
	}
	trees := max(len(m.trees), 1)
	mode, tree := terms.Factor{Name: modeTerm, Levels: modelModes}, terms.Factor{Name: treeTerm, Levels: m.trees}
	years, stratum := terms.Factor{Name: yearsTerm, Levels: m.years}, terms.Factor{Name: stratumTerm}
	for _, at := range m.strata {
		stratum.Levels = append(stratum.Levels, m.season.Strata[at].Name)
	}
	sites := siteNumbers(m.elements)
	for i, e := range m.elements {
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
func (m *modelled) rowOf(group int, of map[string]int) int {
	g := m.season.Groups[group]
	at := slices.Index(modelModes, g.Mode)
	if at < 0 || len(m.trees) == 0 {
		return at
	}
	tree, ok := of[g.Tree]
	if !ok {
		return -1
	}
	return at*len(m.trees) + tree
}

// levelsOfTrees chooses the levels of the tree and says which level each name
// has. Where most finds have no tree, the model has none.
func (m *modelled) levelsOfTrees() map[string]int {
	finds := map[string]int64{}
	var unrecorded, all int64
	for _, e := range m.elements {
		for _, c := range e.Counts {
			g := m.season.Groups[c.Group]
			if !slices.Contains(modelModes, g.Mode) {
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
	return m.gather(finds)
}

// gather puts the trees of few finds together.
func (m *modelled) gather(finds map[string]int64) map[string]int {
	var rare []string
	of := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(finds)) {
		if finds[name] < rareTree {
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
		m.doubts = append(m.doubts, treesGathered.With("trees with under %d finds each are taken together: %s", rareTree, fieldwork.NameList(rare)))
	}
	return of
}

// siteNumbers numbers the sites of elements.
func siteNumbers(elements []fieldwork.UnitSeason) []int {
	number := map[string]int{}
	of := make([]int, len(elements))
	for i, e := range elements {
		if _, ok := number[e.Cluster()]; !ok {
			number[e.Cluster()] = len(number)
		}
		of[i] = number[e.Cluster()]
	}
	return of
}

// sites is the number of independent groups of units.
func (m *modelled) sites() int {
	numbers := siteNumbers(m.elements)
	return slices.Max(numbers) + 1
}

// levels is how many a variable has.
func (m *modelled) levels(variable string) int {
	switch variable {
	case modeTerm:
		return len(modelModes)
	case treeTerm:
		return len(m.trees)
	case yearsTerm:
		return len(m.years)
	}
	return len(m.strata)
}

// chooseTerms takes up the terms that the settings ask for one by one, main
// effects first, as long as the finds can carry them.
func (m *modelled) chooseTerms() {
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
			if reason := m.against(t, coefficients, more); reason != nil {
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

// against is why a term is left out; nil if it is not.
func (m *modelled) against(t terms.Term, coefficients, more int) *stats.Warning {
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
	if m.finds < findsPerTerm*(coefficients+more) {
		return new(tooFewFinds.With("%d finds are too few for the %d coefficients that the model would have with %s: under %d for each", m.finds, coefficients+more, t, findsPerTerm))
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

// The covariances of the settings.
const (
	cr2      = "CR2"
	cr1      = "CR1"
	observed = "model"
)

// kind is the covariance that the settings ask for.
func (m *modelled) kind() regress.Kind {
	switch m.season.Settings.Model.Covariance {
	case cr1:
		return regress.CR1
	case observed:
		return regress.Observed
	}
	return regress.CR2
}

// ages are the years since fire as numbers, of burned land, ascending.
func (m *modelled) ages() []int {
	var list []int
	for _, y := range m.years {
		if n, err := strconv.Atoi(y); err == nil {
			list = append(list, n)
		}
	}
	return list
}
