// Package density is the question of how many fruit bodies there are per hectare, of
// all finds and of each mode, tree and taxon, by every method.
package density

import (
	"context"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Answer is the density of every subgroup, of the survey area and of each stratum, by
// method.
type Answer struct {
	rows []Row
	// areaHa is the area of the strata that each method sampled.
	areaHa map[string]float64
}

// Tables are results/density.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes { return append(transect.AllWarnings(), warnings) }

// Ask estimates fruit bodies per hectare. The densities of all finds together are
// known to later questions.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	e := &estimator{Season: s, subgroups: s.Subgroups()}
	a := Answer{areaHa: map[string]float64{}}
	seasons := s.UnitSeasons()
	for _, method := range s.DensityMethods() {
		domains := known.Lines.Domains
		var rows []Row
		var err error
		if method == result.Line {
			rows, err = e.alongLines(ctx, known.Lines)
		} else {
			domains = s.Domains(method, seasons)
			rows, err = e.inUnits(ctx, method, domains)
		}
		if err != nil {
			return Answer{}, err
		}
		e.tellNotHollow(rows, domains)
		a.rows = append(a.rows, rows...)
		for _, d := range domains {
			if d.Years == result.All {
				a.areaHa[method] += s.Strata[d.Stratum].AreaHa
			}
		}
	}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return r.Method, r.Stratum })
	known.Densities = newLookUp(s, known.Lines, a.rows)
	return a, nil
}

// estimator makes the rows.
type estimator struct {
	*fieldwork.Season
	subgroups fieldwork.Subgroups
}

// inUnits are the rows of plots, adaptive cluster plots or strips.
func (e *estimator) inUnits(ctx context.Context, method string, domains []fieldwork.Domain) ([]Row, error) {
	if len(domains) == 0 {
		rows := []Row{e.unsampled(fieldwork.Headline(method), "no %s of the survey was ever searched")}
		return append(rows, e.inStrata(method, nil, estimate.Densities{})...), nil
	}
	densities, err := estimate.BySubgroup(ctx, e.Season, domains, e.subgroups)
	if err != nil {
		return nil, err
	}
	return append(e.overStrata(method, domains, densities), e.inStrata(method, domains, densities)...), nil
}

// overStrata weights the strata that the method reached by area, for all years and
// for the strata of each class of years since fire.
func (e *estimator) overStrata(method string, domains []fieldwork.Domain, densities estimate.Densities) []Row {
	pooled := e.PooledStratum(domains)
	var rows []Row
	for _, years := range append([]string{result.All}, fieldwork.YearClasses(domains)...) {
		searched := effortOf(inYears(domains, years))
		missed := e.NotReached(method, domains, years)
		for k, subgroup := range e.subgroups.List {
			d := densities.Areas[years][k]
			d.Warnings = append(slices.Clip(d.Warnings), missed...)
			rows = append(rows, rowOf(subgroup.Key(method, pooled, years), searched, d))
		}
	}
	return rows
}

// inStrata are the rows of each stratum; one that the method did not reach has a row
// without an estimate.
func (e *estimator) inStrata(method string, domains []fieldwork.Domain, densities estimate.Densities) []Row {
	var rows []Row
	for at, stratum := range e.Strata {
		sampled := false
		for i, d := range domains {
			if d.Stratum != at {
				continue
			}
			sampled = true
			searched := effortOf([]fieldwork.Domain{d})
			for k, subgroup := range e.subgroups.List {
				rows = append(rows, rowOf(subgroup.Key(method, stratum.Name, d.Years), searched, densities.Domains[i][k]))
			}
		}
		if !sampled {
			rows = append(rows, e.unsampledStratum(method, stratum.Name))
		}
	}
	return rows
}

// alongLines are the rows of line transects. A line has no edge, and so no area
// searched.
func (e *estimator) alongLines(ctx context.Context, t *transect.Lines) ([]Row, error) {
	if len(t.Domains) == 0 {
		r := e.unsampled(fieldwork.Headline(result.Line), "no %s of the survey was ever searched")
		r.SearchedHa = column.Float{}
		return []Row{r}, nil
	}
	var rows []Row
	add := func(members []fieldwork.Domain, stratum, years string, more []stats.Warning) error {
		list, err := t.BySubgroup(ctx, members, e.subgroups)
		for k, d := range list {
			d.Warnings = append(slices.Clip(d.Warnings), more...)
			rows = append(rows, rowOf(e.subgroups.List[k].Key(result.Line, stratum, years), effort{units: fieldwork.UnitsIn(members)}, d))
		}
		return err
	}
	for _, years := range append([]string{result.All}, fieldwork.YearClasses(t.Domains)...) {
		if err := add(inYears(t.Domains, years), e.PooledStratum(t.Domains), years, e.NotReached(result.Line, t.Domains, years)); err != nil {
			return nil, err
		}
	}
	for at, stratum := range e.Strata {
		sampled := false
		for _, d := range t.Domains {
			if d.Stratum != at {
				continue
			}
			sampled = true
			if err := add([]fieldwork.Domain{d}, stratum.Name, d.Years, nil); err != nil {
				return nil, err
			}
		}
		if !sampled {
			rows = append(rows, e.unsampledStratum(result.Line, stratum.Name))
		}
	}
	for i := range rows {
		rows[i].SearchedHa = column.Float{}
	}
	return rows, nil
}

func inYears(domains []fieldwork.Domain, years string) []fieldwork.Domain {
	return slices.DeleteFunc(slices.Clone(domains), func(d fieldwork.Domain) bool { return d.Years != years })
}

// effort is what a row rests on: unit-seasons and their ground, each ground once in a
// stratum.
type effort struct {
	units      int
	searchedHa float64
}

func effortOf(domains []fieldwork.Domain) effort {
	sum := effort{units: fieldwork.UnitsIn(domains)}
	for _, d := range domains {
		sum.searchedHa += fieldwork.OverUnits(d.Units, fieldwork.AreaOf)
	}
	return sum
}

// unsampledStratum is the row of a stratum that a method did not reach.
func (e *estimator) unsampledStratum(method, stratum string) Row {
	return e.unsampled(fieldwork.Pooled(method, stratum), "no %s was searched in this stratum")
}

// unsampled is a row without an estimate; the reason has a place for the unit.
func (e *estimator) unsampled(key fieldwork.Key, reason string) Row {
	none := stats.Missing(e.Settings.Confidence, 0, stats.NoUnits.With(reason, fieldwork.UnitNoun(key.Method)))
	return rowOf(key, effort{}, estimate.Density{Estimate: none})
}
