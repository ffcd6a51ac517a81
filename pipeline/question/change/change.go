// Package change is the question of how densities changed from one season to
// another, within the survey and from earlier ones.
package change

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/change"
	"ashtally/stats/multiple"
	"ashtally/stats/strata"
)

// Answer is the change between seasons, and the density of each.
type Answer struct {
	rows    []Row
	seasons []seasonDensity // of all seasons, where there are several
}

// Tables are results/change.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

// Ask compares the seasons of the survey and of the earlier ones: each with the one
// before it, and where there are more than two the last with the first. Two surveys
// with visits in the same year cannot be put in order, and are an error.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	surveys := []oneSurvey{{season: s}}
	for _, e := range s.Earlier {
		surveys = append(surveys, oneSurvey{e.Name, e.Season})
	}
	seasons, err := seasonsOf(surveys)
	if err != nil || len(seasons) < 2 {
		return Answer{}, err
	}
	var a Answer
	for i := 1; i < len(seasons); i++ {
		a.rows = append(a.rows, changesBetween(seasons[i-1], seasons[i])...)
	}
	if last := len(seasons) - 1; last > 1 {
		a.rows = append(a.rows, changesBetween(seasons[0], seasons[last])...)
	}
	for _, s := range seasons {
		a.seasons = append(a.seasons, s.densities()...)
	}
	return a, nil
}

// oneSurvey is one of several whose seasons are compared.
type oneSurvey struct {
	name   string // of its folder; "" for the survey of the run
	season *fieldwork.Season
}

// oneSeason is a calendar year of a survey.
type oneSeason struct {
	survey   oneSurvey
	year     int
	elements []fieldwork.UnitSeason
}

// seasonsOf lists the seasons of all surveys in order of time.
func seasonsOf(surveys []oneSurvey) ([]oneSeason, error) {
	var seasons []oneSeason
	for _, s := range surveys {
		elements := s.season.UnitSeasons()
		for _, year := range fieldwork.CalendarYears(elements) {
			i := slices.IndexFunc(seasons, func(o oneSeason) bool { return o.year == year })
			if i >= 0 {
				return nil, fmt.Errorf("%s and %s both have visits in %d: a season must come from one of them", folderOf(seasons[i].survey), folderOf(s), year)
			}
			seasons = append(seasons, oneSeason{s, year, slices.DeleteFunc(slices.Clone(elements), func(e fieldwork.UnitSeason) bool { return e.Year != year })})
		}
	}
	slices.SortFunc(seasons, func(a, b oneSeason) int { return cmp.Compare(a.year, b.year) })
	return seasons, nil
}

func folderOf(s oneSurvey) string {
	if s.name == "" {
		return "the survey"
	}
	return s.name
}

// frames are those of a method in a season, by the name of their stratum.
func (o oneSeason) frames(method string) map[string]fieldwork.Domain {
	byName := map[string]fieldwork.Domain{}
	for _, f := range o.survey.season.Domains(method, o.elements) {
		if f.Years == result.All {
			byName[o.survey.season.Strata[f.Stratum].Name] = f
		}
	}
	return byName
}

// changesBetween compares two seasons: for each method the land as a whole, then
// each stratum that either season has.
func changesBetween(from, to oneSeason) []Row {
	var rows []Row
	common := differencesBetween(from, to)
	for _, method := range methodsOfBoth(from, to) {
		c := comparison{from: from, to: to, method: method, common: common, earlier: from.frames(method), latter: to.frames(method)}
		c.number()
		names := strataOfBoth(from, to)
		rows = append(rows, c.row(c.over(names), names))
		family := make([]Row, len(names))
		for i, name := range names {
			family[i] = c.row(name, []string{name})
		}
		result.Adjust(family, multiple.ByHolm, "strata", func(r *Row) (column.Float, *column.Float, *string) {
			return r.P, &r.PAdjusted, &r.Adjustment
		})
		slices.SortStableFunc(family, func(a, b Row) int {
			return cmp.Or(cmp.Compare(to.survey.season.RowOf(a.Stratum), to.survey.season.RowOf(b.Stratum)),
				cmp.Compare(from.survey.season.RowOf(a.Stratum), from.survey.season.RowOf(b.Stratum)))
		})
		rows = append(rows, family...)
	}
	return rows
}

func methodsOfBoth(from, to oneSeason) []string {
	var methods []string
	for _, m := range []string{result.Plot, result.Strip, result.Line} {
		if slices.Contains(from.survey.season.Methods(), m) || slices.Contains(to.survey.season.Methods(), m) {
			methods = append(methods, m)
		}
	}
	return methods
}

// strataOfBoth lists the strata of one survey or both, by name.
func strataOfBoth(from, to oneSeason) []string {
	var names []string
	for _, s := range []*fieldwork.Season{to.survey.season, from.survey.season} {
		for _, h := range s.Strata {
			if !slices.Contains(names, h.Name) {
				names = append(names, h.Name)
			}
		}
	}
	slices.Sort(names)
	return names
}

// comparison makes the rows of two seasons and one method.
type comparison struct {
	from, to        oneSeason
	method          string
	common          []stats.Warning
	earlier, latter map[string]fieldwork.Domain
	clusters        map[string]int // by stratum and unit
}

// number gives each unit the number of its cluster. A unit is the same in both
// seasons by its id and stratum, and all units of a site, in whichever season it
// is named, are one cluster.
func (c *comparison) number() {
	parent := map[string]string{}
	var root func(string) string
	root = func(x string) string {
		if p, ok := parent[x]; ok && p != x {
			parent[x] = root(p)
			return parent[x]
		}
		parent[x] = x
		return x
	}
	var order []string
	for _, o := range []oneSeason{c.from, c.to} {
		for _, e := range o.elements {
			key := o.key(e)
			order = append(order, key)
			if e.Unit.Site != "" {
				parent[root(key)] = root("site\x00" + e.Unit.Site)
			}
		}
	}
	c.clusters = map[string]int{}
	numbers := stats.NewNumbers[string](0)
	for _, key := range order {
		c.clusters[key] = numbers.Of(root(key))
	}
}

// key names a unit over surveys.
func (o oneSeason) key(e fieldwork.UnitSeason) string {
	return "unit\x00" + o.survey.season.Strata[e.Unit.Stratum].Name + "\x00" + e.Unit.ID
}

func (c *comparison) sample(o oneSeason, f fieldwork.Domain) change.Sample {
	var s change.Sample
	for i, e := range f.Units {
		s.AreaHa, s.Count = append(s.AreaHa, f.AreaHa[i]), append(s.Count, float64(e.Finds()))
		s.Cluster = append(s.Cluster, c.clusters[o.key(e)])
	}
	return s
}

// over is what stands in the column stratum for some strata pooled: result.Reached where
// one of them was not searched in both seasons.
func (c *comparison) over(names []string) string {
	searched := 0
	for _, name := range names {
		_, was := c.earlier[name]
		_, is := c.latter[name]
		searched += stats.Indicator(was && is)
	}
	if searched > 0 && searched < len(names) {
		return result.Reached
	}
	return result.All
}

func (c *comparison) row(stratum string, names []string) Row {
	row := Row{
		Method: c.method, Stratum: stratum, From: strconv.Itoa(c.from.year), To: strconv.Itoa(c.to.year),
		FromSurvey: c.from.survey.name, ToSurvey: c.to.survey.name,
	}
	confidence := c.to.survey.season.Settings.Confidence
	if c.method == result.Line {
		none := stats.Missing(confidence, 0, linesNotCompared.With("densities along lines rest on the sight of each season, and are not compared"))
		row.Ratio, row.Difference, row.Warnings = result.Of(none), result.Of(none), none.Warnings
		return row
	}
	var parts []change.Part
	var warnings []stats.Warning
	for _, name := range names {
		part, told := c.part(name)
		parts, warnings = append(parts, part), append(warnings, told...)
	}
	e := change.Between(parts, confidence)
	row.UnitsFrom, row.UnitsTo, row.Shared = column.Count(e.Units[0]), column.Count(e.Units[1]), column.Count(e.Shared)
	row.FindsFrom, row.FindsTo = column.Count(e.Finds[0]), column.Count(e.Finds[1])
	row.DensityFrom, row.DensityTo = column.Finite(e.DensityEarlier), column.Finite(e.DensityLatter)
	row.Ratio, row.Difference, row.P = result.Of(e.Ratio), result.Of(e.Difference), column.Finite(e.P)
	row.Warnings = stats.Distinct(e.Ratio.Warnings, e.Difference.Warnings, c.common, warnings)
	return row
}

// with is the stratum that the settings of a season collapse another with.
func (o oneSeason) with(stratum string) string {
	return o.survey.season.Settings.SingleUnitStrata[stratum]
}

// ofUnits are the types of warnings of a domain's units that a comparison of two
// seasons takes over.
var ofUnits = []*stats.WarningType{
	fieldwork.UnequalVisits, fieldwork.RoadsideTogether, fieldwork.RoadsideOnly, fieldwork.RoadsideApart, fieldwork.RoadsideInGrid,
}

// part is one stratum in both seasons. Its land is that of the latter survey.
func (c *comparison) part(name string) (change.Part, []stats.Warning) {
	p := change.Part{Stratum: strata.Stratum{Name: name, With: cmp.Or(c.to.with(name), c.from.with(name))}}
	var both []fieldwork.UnitSeason // of either season
	var warnings []stats.Warning
	land := map[bool]float64{}
	for _, latter := range []bool{false, true} {
		o, frames := c.from, c.earlier
		if latter {
			o, frames = c.to, c.latter
		}
		if at, ok := o.survey.season.StratumOf[name]; ok {
			land[latter] = o.survey.season.Strata[at].AreaHa
			p.LandHa = land[latter]
		}
		f, ok := frames[name]
		if !ok {
			continue
		}
		both = append(both, f.Units...)
		s := c.sample(o, f)
		if latter {
			p.Latter = s
		} else {
			p.Earlier = s
		}
		for _, w := range f.Warnings {
			if slices.ContainsFunc(ofUnits, w.Is) {
				warnings = append(warnings, w)
			}
		}
	}
	if len(both) > 0 {
		p.Mean = fieldwork.MeanFinds(both)
	}
	const rounding = 0.01
	if a, b := land[false], land[true]; a > 0 && b > 0 && math.Abs(a-b) > rounding*max(a, b) {
		warnings = append(warnings, areaDiffers.With("%s has %.6g ha in %d and %.6g ha in %d; the latter area weighs it", name, a, c.from.year, b, c.to.year))
	}
	return p, warnings
}

// differencesBetween says what the two surveys did differently.
func differencesBetween(from, to oneSeason) []stats.Warning {
	a, b := from.survey.season.Settings, to.survey.season.Settings
	var w []stats.Warning
	if a.Counting.Rule != b.Counting.Rule {
		w = append(w, rulesDiffer.With("the counting rule was %s in %d and %s in %d: the seasons do not count the same",
			a.Counting.Rule, from.year, b.Counting.Rule, to.year))
	}
	if !sameNames(a.Taxa.Target, b.Taxa.Target) {
		w = append(w, targetsDiffer.With("the target taxa of %d (%s) are not those of %d (%s)", from.year,
			targetsOf(a.Taxa.Target), to.year, targetsOf(b.Taxa.Target)))
	}
	if a.Density.Roadside != b.Density.Roadside {
		w = append(w, roadsidesDiffer.With("roadside units count %s in %d and %s in %d", a.Density.Roadside, from.year, b.Density.Roadside, to.year))
	}
	if x, y := from.visitsPerUnit(), to.visitsPerUnit(); math.Abs(x-y) > 0.5 {
		w = append(w, visitsDiffer.With("units were visited %.1f times in %d and %.1f times in %d; more visits see more of a flush", x, from.year, y, to.year))
	}
	return w
}

func (o oneSeason) visitsPerUnit() float64 {
	days := map[[2]int]bool{}
	for i, e := range o.elements {
		for _, v := range e.Visits {
			days[[2]int{i, int(o.survey.season.Visits[v].Date.Days())}] = true
		}
	}
	return float64(len(days)) / float64(len(o.elements))
}

func sameNames(a, b []string) bool {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	return slices.Equal(slices.Compact(a), slices.Compact(b))
}

func targetsOf(names []string) string {
	if len(names) == 0 {
		return "every taxon"
	}
	return fieldwork.NameList(names)
}

// densities are those of the strata in one season, by plots and strips.
func (o oneSeason) densities() []seasonDensity {
	s := o.survey.season
	var list []seasonDensity
	for _, method := range []string{result.Plot, result.Strip} {
		frames := slices.DeleteFunc(s.Domains(method, o.elements), func(f fieldwork.Domain) bool { return f.Years != result.All })
		strata, _ := estimate.Jointly(s, frames, [][]int{fieldwork.Indices(len(frames))}, estimate.AllFinds(frames))
		for i, f := range frames {
			list = append(list, seasonDensity{
				Method: method, Stratum: s.Strata[f.Stratum].Name, Season: strconv.Itoa(o.year),
				Units: len(f.Units), Finds: int(strata[i].Finds), Density: strata[i].Estimate,
			})
		}
	}
	fieldwork.InFileOrder(s, list, func(d *seasonDensity) (string, string) { return d.Method, d.Stratum })
	return list
}
