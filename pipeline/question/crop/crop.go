// Package crop is the question of what the survey area carries, in fruit bodies
// and in fresh mass, and what share of it a harvest would take.
package crop

import (
	"context"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/mass"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/crop"
	"ashtally/stats/harvest"
)

// Answer is the crop by each method and what harvests would take of it.
type Answer struct {
	rows     []Row
	masses   []MassRow
	harvests []HarvestRow
}

// Tables are results/crop, results/mass and results/harvest.
func (a Answer) Tables() []result.Table {
	return []result.Table{cropTable.Of(a.rows), massTable.Of(a.masses), harvestTable.Of(a.harvests)}
}

// Ask estimates the crop by all methods together, at the end of the chain from
// counted to grown, and by every method as counted: of the survey area, of burned and
// unburned ground, and of each stratum; by every method by years since fire too.
func Ask(ctx context.Context, s *fieldwork.Season, known *question.Known) (Answer, error) {
	seasons := s.UnitSeasons()
	e := &estimator{Season: s, Weighing: mass.Weigh(s, seasons), densities: known.Densities, atLevel: map[int]crop.Crop{}}
	if known.Chain != nil {
		if err := e.together(ctx, known.Chain); err != nil {
			return Answer{}, err
		}
	}
	for _, method := range s.DensityMethods() {
		domains := s.Domains(method, seasons)
		if err := e.area(ctx, method, domains); err != nil {
			return Answer{}, err
		}
		e.strata(method, domains)
	}
	a := Answer{rows: e.rows, masses: e.massRows(), harvests: e.harvests()}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return r.Method, r.Stratum })
	return a, nil
}

// estimator makes the rows of the crop.
type estimator struct {
	*fieldwork.Season
	*mass.Weighing
	densities question.Densities
	rows      []Row
	crops     []crop.Crop // of the rows
	// atLevel are those of the rows that harvests are compared with, with limits
	// at [harvest.Level]; by row.
	atLevel map[int]crop.Crop
}

// area adds the rows of all strata that the method reached.
func (e *estimator) area(ctx context.Context, method string, domains []fieldwork.Domain) error {
	row := Row{Method: method, Ground: result.All, Stratum: e.PooledStratum(domains), Years: result.All}
	allYears := inYears(domains, result.All)
	row.Basis = survey.Counted
	e.add(row, e.whole(allYears), e.density(method, row.Stratum, result.All))
	if err := e.addAtLevel(ctx, method, allYears); err != nil {
		return err
	}
	for _, ground := range []string{result.Burned, result.Unburned} {
		if !slices.ContainsFunc(e.Strata, func(s fieldwork.Stratum) bool { return s.Ground() == ground }) {
			continue
		}
		members := slices.DeleteFunc(slices.Clone(allYears), func(d fieldwork.Domain) bool { return e.Strata[d.Stratum].Ground() != ground })
		if err := e.ground(ctx, method, ground, members); err != nil {
			return err
		}
	}
	for _, row.Years = range fieldwork.YearClasses(domains) {
		if row.Years != result.Unburned { // that has its row
			e.add(row, e.whole(inYears(domains, row.Years)), e.density(method, row.Stratum, row.Years))
		}
	}
	return nil
}

// ground adds the row of all burned or all unburned ground.
func (e *estimator) ground(ctx context.Context, method, ground string, members []fieldwork.Domain) error {
	row := Row{Method: method, Basis: survey.Counted, Ground: ground, Stratum: result.All, Years: result.All}
	missed := e.unreachedOn(ground, members)
	if len(members) > 0 && len(missed) > 0 {
		row.Stratum = result.Reached
	}
	d := stats.Missing(e.Settings.Confidence, 0, stats.NoUnits.With("no %s was searched on %s land", fieldwork.UnitNoun(method), ground))
	if len(members) > 0 {
		var err error
		if d, err = e.densities.Over(ctx, members, e.Settings.Confidence); err != nil {
			return err
		}
		if len(missed) > 0 {
			d.Warnings = append(slices.Clip(d.Warnings), fieldwork.AreaNotReached.With("no %s was searched in %s; the figure is %s",
				fieldwork.UnitNoun(method), fieldwork.NameList(e.StrataNames(missed)), e.OnlyOf(members)))
		}
	}
	e.add(row, e.whole(members), d)
	return e.addAtLevel(ctx, method, members)
}

// unreachedOn are the strata of one ground that have no domain.
func (e *estimator) unreachedOn(ground string, members []fieldwork.Domain) []int {
	return slices.DeleteFunc(e.Unreached(members), func(at int) bool { return e.Strata[at].Ground() != ground })
}

func inYears(domains []fieldwork.Domain, years string) []fieldwork.Domain {
	return slices.DeleteFunc(slices.Clone(domains), func(d fieldwork.Domain) bool { return d.Years != years })
}

// strata adds the rows of each stratum.
func (e *estimator) strata(method string, domains []fieldwork.Domain) {
	for at, stratum := range e.Strata {
		row := Row{Method: method, Basis: survey.Counted, Ground: stratum.Ground(), Stratum: stratum.Name, Years: result.All}
		sampled := false
		for _, d := range domains {
			if d.Stratum == at {
				row.Years, sampled = d.Years, true
				e.add(row, e.whole([]fieldwork.Domain{d}), e.density(method, stratum.Name, d.Years))
			}
		}
		if !sampled {
			e.add(row, nil, e.density(method, stratum.Name, result.All))
		}
	}
}

// density is the one reported; an estimate without a value where there is none.
func (e *estimator) density(method, stratum, years string) stats.Estimate {
	d, ok := e.densities.Of(method, stratum, years)
	if !ok {
		d = stats.Missing(e.Settings.Confidence, 0, stats.Warning{})
		d.Warnings = nil
	}
	return d
}

// add works out the crop of some domains with the density that they have, as a
// result table holds it.
func (e *estimator) add(row Row, members []mass.Member, density stats.Estimate) {
	stored := result.Of(density)
	c := e.crop(row.Method, members, stored.Stats(nil), e.Settings.Confidence)
	row.Bodies, row.Kg, row.Grams = result.Of(c.Bodies), result.Of(c.Kg), result.Of(c.Grams)
	row.AreaHa = column.Finite(e.areaOf(row, c.LandHa))
	row.Weighed, row.Counted = column.Count(int(c.Weighed)), column.Count(int(c.Counted))
	row.KgPerHa = row.Kg.Over(c.LandHa)
	row.Warnings = slices.Clip(density.Warnings)
	if stored.Value.Known {
		row.Warnings = append(row.Warnings, c.Kg.Warnings...)
	}
	e.rows, e.crops = append(e.rows, row), append(e.crops, c)
}

// addAtLevel works out the crop of the row added last with limits at the level
// that probabilities of a harvest rest on.
func (e *estimator) addAtLevel(ctx context.Context, method string, members []fieldwork.Domain) error {
	at := len(e.rows) - 1
	switch {
	case len(e.Settings.Harvest) == 0:
		return nil
	case e.Settings.Confidence == harvest.Level:
		e.atLevel[at] = e.crops[at]
		return nil
	}
	d := stats.Missing(harvest.Level, 0, stats.NoUnits.With("no %s was searched here", fieldwork.UnitNoun(method)))
	if len(members) > 0 {
		var err error
		if d, err = e.densities.Over(ctx, members, harvest.Level); err != nil {
			return err
		}
	}
	e.atLevel[at] = e.crop(method, e.whole(members), d, harvest.Level)
	return nil
}

// whole are domains that stand for their strata.
func (e *estimator) whole(domains []fieldwork.Domain) []mass.Member {
	return mass.Whole(e.Season, domains)
}

// crop is that of some domains with their density.
func (e *estimator) crop(method string, members []mass.Member, d stats.Estimate, confidence float64) crop.Crop {
	apart := method == result.Line || method == result.Adaptive || method == result.All && linesAlone(members) // whose density is not made of the counts seen here
	return e.Crop(members, crop.Part{Density: d.Value, SE: d.SE, Lower: d.Lower, Upper: d.Upper, Confidence: confidence, Apart: apart})
}

// areaOf is the area that a row is of, also where it was not reached.
func (e *estimator) areaOf(row Row, reached float64) float64 {
	if reached > 0 {
		return reached
	}
	for _, s := range e.Strata {
		if s.Name == row.Stratum || fieldwork.OverStrata(row.Stratum) && (row.Ground == result.All || row.Ground == s.Ground()) {
			reached += s.AreaHa
		}
	}
	return reached
}
