// Package permutation is the question of whether densities differ between years since
// fire, and modes from each other, tested by permutation of whole sites: no
// distribution is assumed.
package permutation

import (
	"context"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/linear"
	"ashtally/stats/multiple"
	"ashtally/stats/permute"
)

// Answer is the tests by each method.
type Answer struct{ rows []Row }

// Tables are results/permutation.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

// The values of the column question.
const (
	densityByYears = "density between years since fire"
	ratioByYears   = "host-associated to saprotrophic, between years since fire"
	ratioOfModes   = "host-associated to saprotrophic"
)

// against stands between the classes of years of a pair, the later first.
const against = " against "

// Ask tests by every method of units drawn at random what the settings ask for.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	var a Answer
	seasons, what := s.UnitSeasons(), s.Settings.Compare.Permute
	for _, method := range s.DrawnMethods() {
		e := estimator{season: s, method: method, part: s.Parts(method, seasons)[0]} // the first is of all strata and years
		e.sum()
		if what == survey.YearsAndModes || what == survey.Modes {
			a.rows = append(a.rows, e.modes())
		}
		if what == survey.YearsAndModes || what == survey.Years {
			a.rows = append(a.rows, e.years()...)
		}
	}
	return a, nil
}

// wholeSite is a site in one class of years: what is permuted whole.
type wholeSite struct {
	stratum, site int // site numbered on through the strata
	class         int
	weight        float64 // of its stratum in a sum over the land
	area          float64
	host, sapro   float64
	all           float64
}

// estimator makes the rows of one method.
type estimator struct {
	season  *fieldwork.Season
	method  string
	part    fieldwork.Part
	layout  linear.Layout
	classes []string
	sites   []wholeSite
}

// sum adds up the units of each site and class of years.
func (e *estimator) sum() {
	g := e.part
	e.classes = fieldwork.YearsOf(g.Units)
	e.layout = linear.New(g.Design)
	e.part.Warnings = append(slices.Clip(g.Warnings), e.layout.Warnings()...)
	type key struct{ site, class int }
	at := map[key]int{}
	for i, u := range g.Units {
		k := key{e.layout.Cluster(i), slices.Index(e.classes, u.Years)}
		j, ok := at[k]
		if !ok {
			j = len(e.sites)
			at[k] = j
			e.sites = append(e.sites, wholeSite{stratum: g.Design.Stratum[i], site: k.site, class: k.class, weight: e.layout.Weight(i)})
		}
		site := &e.sites[j]
		site.area += g.Design.AreaHa[i]
		for _, c := range u.Counts {
			n := float64(c.N)
			site.all += n
			switch e.season.Groups[c.Group].Mode {
			case survey.HostAssociated:
				site.host += n
			case survey.Saprotrophic:
				site.sapro += n
			}
		}
	}
}

func (e *estimator) options() permute.Options {
	return permute.Options{Seed: e.season.Settings.Seed, Replicates: e.season.Settings.Compare.Replicates}
}

// modes permutes the two modes within each site.
func (e *estimator) modes() Row {
	var host, sapro []float64
	bySite := map[int]int{}
	for _, w := range e.sites {
		i, ok := bySite[w.site]
		if !ok {
			i = len(host)
			bySite[w.site] = i
			host, sapro = append(host, 0), append(sapro, 0)
		}
		host[i] += w.weight * w.host
		sapro[i] += w.weight * w.sapro
	}
	row := e.row(ratioOfModes, result.All, permute.Modes(host, sapro, e.options()), "the modes within each site")
	row.Sites = column.Count(len(host))
	row.setRatio(e.ratioOf(survey.HostAssociated, "", survey.Saprotrophic, ""))
	return row
}

// yearQuestions are those that are asked of classes of years.
var yearQuestions = []struct{ question, mode string }{
	{densityByYears, result.All}, {densityByYears, survey.HostAssociated}, {densityByYears, survey.Saprotrophic}, {ratioByYears, result.All},
}

// years permutes classes of years between whole sites: over all classes, and of
// each pair, whose p-values are a family.
func (e *estimator) years() []Row {
	var all []Row
	if len(e.classes) != 2 {
		all = e.between(e.classes)
	}
	var pairs [][]Row
	for i, first := range e.classes {
		for _, second := range e.classes[i+1:] {
			pairs = append(pairs, e.between([]string{first, second}))
		}
	}
	var rows []Row
	for q := range yearQuestions {
		if all == nil { // of two classes, the pair
			rows = append(rows, pairs[0][q])
			continue
		}
		all[q].Years = result.All
		rows = append(rows, all[q])
		var family []Row
		for _, pair := range pairs {
			family = append(family, pair[q])
		}
		result.Adjust(family, multiple.ByHolm, "pairs of years", func(r *Row) (column.Float, *column.Float, *string) {
			return r.P, &r.PAdjusted, &r.Adjustment
		})
		rows = append(rows, family...)
	}
	return rows
}

// between tests the questions on the sites of some classes of years, those of densities
// by the same arrangements.
func (e *estimator) between(classes []string) []Row {
	var c permute.Classes
	var in []wholeSite
	var all, host []float64
	for _, w := range e.sites {
		at := slices.Index(classes, e.classes[w.class])
		if at < 0 {
			continue
		}
		in = append(in, w)
		c.Class, c.Weight, c.Area = append(c.Class, at), append(c.Weight, w.weight), append(c.Area, w.area)
		all, host, c.Base = append(all, w.all), append(host, w.host), append(c.Base, w.sapro)
	}
	var exchanged string
	var doubts []stats.Warning
	c.Block, exchanged, doubts = blocks(in)
	tests := permute.DensitiesOf(c, e.options(), all, host, c.Base)
	c.First = host
	tests = append(tests, permute.Ratios(c, e.options()))
	var rows []Row
	for i, q := range yearQuestions {
		r := tests[i]
		r.Warnings = append(r.Warnings, doubts...)
		row := e.row(q.question, q.mode, r, exchanged)
		row.Sites = column.Count(len(in))
		if len(classes) == 2 {
			row.Years = classes[1] + against + classes[0]
			row.setRatio(e.ratioOfYears(q.question, q.mode, classes))
		} else {
			row.Warnings = append(row.Warnings, severalYears.With("several classes of years are compared at once, or none, so there is no single "+
				"ratio; each pair has a row of its own"))
		}
		rows = append(rows, row)
	}
	return rows
}

// setRatio fills in the ratio, or why there is none.
func (r *Row) setRatio(f result.Estimate) {
	r.Ratio = f
	switch {
	case !f.Value.Known:
		r.Warnings = append(r.Warnings, noRatio.With("nothing was found on one side of the comparison, so there is no ratio; the test stands without one"))
	case !f.Lower.Known:
		r.Warnings = append(r.Warnings, noLimits.With("so few sites hold finds that limits of the ratio would say nothing, and none are given"))
	}
}

// blocks says within what classes of years are exchanged. A site that was searched in
// several is a block of its own. The others are exchanged within a stratum if one has
// several classes, else over all the land, where years and strata cannot be told
// apart; if all of them are of one class, they stay.
func blocks(sites []wholeSite) (block []int, exchanged string, doubts []stats.Warning) {
	if len(sites) == 0 {
		return nil, "nothing", nil
	}
	times, strata := map[int]int{}, 0
	for _, w := range sites {
		times[w.site]++
		strata = max(strata, w.stratum+1)
	}
	var once []wholeSite
	var byStratum []int
	for _, w := range sites {
		if times[w.site] == 1 {
			once, byStratum = append(once, w), append(byStratum, w.stratum)
		}
	}
	within := severalIn(byStratum, once)
	for _, w := range sites {
		switch {
		case times[w.site] > 1:
			block = append(block, strata+w.site)
		case within:
			block = append(block, w.stratum)
		default:
			block = append(block, 0)
		}
	}
	switch again := len(once) < len(sites); {
	case again && !severalIn(make([]int, len(once)), once):
		exchanged = "seasons within each site"
	case again && within:
		exchanged = "seasons within each site, other sites within each stratum"
	case within:
		exchanged = "sites within each stratum"
	case again:
		exchanged = "seasons within each site, other sites over all the land"
	default:
		exchanged = "sites over all the land"
	}
	if !within && severalIn(make([]int, len(once)), once) {
		doubts = []stats.Warning{yearsAreStrata.With("no stratum has sites of two of these classes of years, so sites were exchanged between " +
			"strata: a difference is one of strata as much as of years")}
	}
	return block, exchanged, doubts
}

// severalIn reports whether any block holds two classes.
func severalIn(block []int, sites []wholeSite) bool {
	class := map[int]int{}
	for i, b := range block {
		before, ok := class[b]
		if ok && before != sites[i].class {
			return true
		}
		class[b] = sites[i].class
	}
	return false
}

// row is a test as a row of the table, without its ratio.
func (e *estimator) row(question, mode string, r permute.Result, exchanged string) Row {
	arrangements := column.Finite(r.Arrangements)
	if r.Arrangements == 0 {
		arrangements = column.Float{}
	}
	way := "all"
	if !r.Exact {
		way = "drawn"
	}
	if math.IsNaN(r.P) {
		way = ""
	}
	return Row{
		Question: question, Method: e.method, Stratum: e.part.Stratum, Years: result.All, Mode: mode, Exchanged: exchanged,
		Units: column.Count(len(e.part.Units)), Ratio: result.Of(stats.Missing(e.season.Settings.Confidence, 0, stats.Warning{})),
		Arrangements: arrangements, Tried: column.Count(r.Tried), Way: way,
		P: column.Finite(r.P), PSE: column.Finite(r.SE), MidP: column.Finite(r.MidP), Warnings: stats.Distinct(r.Warnings, e.part.Warnings),
	}
}
