package analyze

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/linear"
	"ashtally/stats/multiple"
	"ashtally/stats/permute"
)

// The questions of results/permutation.
const (
	DensityByYears = "density between years since fire"
	RatioByYears   = "host-associated to saprotrophic, between years since fire"
	RatioOfModes   = "host-associated to saprotrophic"
)

// permutations tests the main comparisons once more without supposing any
// distribution, by exchanging whole sites, or the modes within them.
func (s *Season) permutations(elements []fieldwork.UnitSeason) []PermutationRow {
	var rows []PermutationRow
	what := s.Settings.Compare.Permute
	for _, method := range s.DrawnMethods() {
		b := exchanger{season: s, method: method}
		for _, g := range s.Parts(method, elements) {
			if fieldwork.OverStrata(g.Stratum) && g.Years == All {
				b.part = g
			}
		}
		b.sum()
		if what == survey.YearsAndModes || what == survey.Modes {
			rows = append(rows, b.modes())
		}
		if what == survey.YearsAndModes || what == survey.Years {
			rows = append(rows, b.years()...)
		}
	}
	return rows
}

// wholeSite is a site in one class of years: what is exchanged whole.
type wholeSite struct {
	stratum, site int // site numbered on through the strata
	class         int
	weight        float64 // of its stratum in a sum over the land
	area          float64
	host, sapro   float64
	all           float64
}

type exchanger struct {
	season  *Season
	method  string
	part    fieldwork.Part
	classes []string
	sites   []wholeSite
}

// sum adds up the units of each site and class of years.
func (b *exchanger) sum() {
	g := b.part
	b.classes = fieldwork.YearsOf(g.Units)
	layout := linear.New(g.Design)
	b.part.Warnings = append(slices.Clip(g.Warnings), layout.Warnings()...)
	type key struct{ site, class int }
	at := map[key]int{}
	for i, e := range g.Units {
		k := key{layout.Cluster(i), slices.Index(b.classes, e.Years)}
		j, ok := at[k]
		if !ok {
			j = len(b.sites)
			at[k] = j
			b.sites = append(b.sites, wholeSite{stratum: g.Design.Stratum[i], site: k.site, class: k.class, weight: layout.Weight(i)})
		}
		site := &b.sites[j]
		site.area += g.Design.AreaHa[i]
		for _, c := range e.Counts {
			n := float64(c.N)
			site.all += n
			switch b.season.Groups[c.Group].Mode {
			case survey.HostAssociated:
				site.host += n
			case survey.Saprotrophic:
				site.sapro += n
			}
		}
	}
}

func (b *exchanger) options() permute.Options {
	return permute.Options{Seed: b.season.Settings.Seed, Replicates: b.season.Settings.Compare.Replicates}
}

// modes exchanges the two modes within each site.
func (b *exchanger) modes() PermutationRow {
	var host, sapro []float64
	bySite := map[int]int{}
	for _, w := range b.sites {
		i, ok := bySite[w.site]
		if !ok {
			i = len(host)
			bySite[w.site] = i
			host, sapro = append(host, 0), append(sapro, 0)
		}
		host[i] += w.weight * w.host
		sapro[i] += w.weight * w.sapro
	}
	row := b.row(RatioOfModes, All, permute.Modes(host, sapro, b.options()), "the modes within each site")
	row.Sites = column.Count(len(host))
	row.setFigure(b.figure(survey.HostAssociated, "", survey.Saprotrophic, ""))
	return row
}

// years exchanges classes of years between whole sites: over all classes, and
// of each pair, whose p-values are a family.
func (b *exchanger) years() []PermutationRow {
	var rows []PermutationRow
	for _, q := range []struct{ question, mode string }{
		{DensityByYears, All}, {DensityByYears, survey.HostAssociated}, {DensityByYears, survey.Saprotrophic}, {RatioByYears, All},
	} {
		row := b.between(q.question, q.mode, b.classes)
		row.Years = All
		rows = append(rows, row)
		var family []PermutationRow
		for i, first := range b.classes {
			for _, second := range b.classes[i+1:] {
				family = append(family, b.between(q.question, q.mode, []string{first, second}))
			}
		}
		if len(b.classes) > 2 {
			result.Adjust(family, multiple.ByHolm, "pairs of years", func(r *PermutationRow) (column.Float, *column.Float, *string) {
				return r.P, &r.PAdjusted, &r.Adjustment
			})
			rows = append(rows, family...)
		} else if len(family) == 1 {
			rows[len(rows)-1] = family[0]
		}
	}
	return rows
}

// between tests one question on the sites of some classes of years.
func (b *exchanger) between(question, mode string, classes []string) PermutationRow {
	var c permute.Classes
	var in []wholeSite
	for _, w := range b.sites {
		at := slices.Index(classes, b.classes[w.class])
		if at < 0 {
			continue
		}
		in = append(in, w)
		c.Class, c.Weight, c.Area = append(c.Class, at), append(c.Weight, w.weight), append(c.Area, w.area)
		first := map[string]float64{All: w.all, survey.HostAssociated: w.host, survey.Saprotrophic: w.sapro}[mode]
		if question == RatioByYears {
			first = w.host
		}
		c.First, c.Base = append(c.First, first), append(c.Base, w.sapro)
	}
	var exchanged string
	var doubts []stats.Warning
	c.Block, exchanged, doubts = blocks(in)
	test := permute.Densities
	if question == RatioByYears {
		test = permute.Ratios
	}
	r := test(c, b.options())
	r.Warnings = append(r.Warnings, doubts...)
	row := b.row(question, mode, r, exchanged)
	row.Sites = column.Count(len(in))
	if len(classes) == 2 {
		row.Years = classes[1] + " against " + classes[0]
		row.setFigure(b.yearsFigure(question, mode, classes))
	} else {
		row.Warnings = append(row.Warnings, stats.Warning{Code: "several-years", Text: "several classes of years are compared at once, or none, so there is no single ratio; each pair has a row of its own"})
	}
	return row
}

// setFigure fills in the ratio, or why there is none.
func (r *PermutationRow) setFigure(f Estimate) {
	r.Figure = f
	switch {
	case !f.Value.Known:
		r.Warnings = append(r.Warnings, stats.Warning{Code: "no-ratio", Text: "nothing was found on one side of the comparison, so there is no ratio; the test stands without one"})
	case !f.Lower.Known:
		r.Warnings = append(r.Warnings, stats.Warning{Code: "ratio-without-limits", Text: "so few sites hold finds that limits of the ratio would say nothing, and none are given"})
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
		doubts = []stats.Warning{{Code: "years-are-strata",
			Text: "no stratum has sites of two of these classes of years, so sites were exchanged between strata: a difference is one of strata as much as of years"}}
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
func (b *exchanger) row(question, mode string, r permute.Result, exchanged string) PermutationRow {
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
	return PermutationRow{
		Question: question, Method: b.method, Stratum: b.part.Stratum, Years: All, Mode: mode, Exchanged: exchanged,
		Units: column.Count(len(b.part.Units)), Figure: figures(stats.Missing(b.season.Settings.Confidence, 0, stats.Warning{})),
		Arrangements: arrangements, Tried: column.Count(r.Tried), Way: way,
		P: column.Finite(r.P), PSE: column.Finite(r.SE), MidP: column.Finite(r.MidP), Warnings: stats.Distinct(r.Warnings, b.part.Warnings),
	}
}
