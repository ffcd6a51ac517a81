package analyze

import (
	"context"
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// densities estimates fruit bodies per hectare for every crossing, in each
// stratum and for the land as a whole, by method.
func (s *Season) densities(ctx context.Context, elements []fieldwork.UnitSeason, t *transect.Lines) ([]DensityRow, error) {
	c := s.Subgroups()
	var rows []DensityRow
	for _, method := range s.DensityMethods() {
		if method == LineMethod {
			along, err := s.lineDensities(ctx, t, c)
			if err != nil {
				return nil, err
			}
			s.withNotHollow(along, t.Domains)
			rows = append(rows, along...)
			continue
		}
		frames := s.Domains(method, elements)
		figures, err := estimate.BySubgroup(ctx, s.Season, frames, c)
		if err != nil {
			return nil, err
		}
		here := append(s.landRows(method, frames, figures, c), s.stratumRows(method, frames, figures, c)...)
		s.withNotHollow(here, frames)
		rows = append(rows, here...)
	}
	return rows, nil
}

// framesOf are the places of the frames of a class of years.
func framesOf(frames []fieldwork.Domain, years string) []int {
	var places []int
	for i, f := range frames {
		if f.Years == years {
			places = append(places, i)
		}
	}
	return places
}

// landRows weighs the strata that the method reached by their share of the area,
// for all years and for the strata of each class of years since fire.
func (s *Season) landRows(method string, frames []fieldwork.Domain, figures estimate.Densities, c fieldwork.Subgroups) []DensityRow {
	if len(frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s of the survey was ever searched", fieldwork.UnitNoun(method))}
		return []DensityRow{densityRow(fieldwork.Headline(method), extent{}, estimate.Density{Estimate: stats.Missing(s.Settings.Confidence, 0, reason)})}
	}
	pooled := s.PooledStratum(frames)
	var rows []DensityRow
	for _, years := range append([]string{All}, fieldwork.YearClasses(frames)...) {
		land := sumFrames(frames, framesOf(frames, years))
		missed := s.NotReached(method, frames, years)
		for k, crossing := range c.List {
			f := figures.Areas[years][k]
			f.Warnings = append(slices.Clip(f.Warnings), missed...)
			rows = append(rows, densityRow(crossing.Key(method, pooled, years), land, f))
		}
	}
	return rows
}

// extent is how much ground a row rests on: units in seasons, and their distinct
// ground.
type extent struct {
	units      int
	searchedHa float64
}

func sumFrames(frames []fieldwork.Domain, members []int) extent {
	var sum extent
	for _, i := range members {
		sum.units += len(frames[i].Units)
		sum.searchedHa += fieldwork.OverUnits(frames[i].Units, fieldwork.AreaOf)
	}
	return sum
}

func (s *Season) stratumRows(method string, frames []fieldwork.Domain, figures estimate.Densities, c fieldwork.Subgroups) []DensityRow {
	var rows []DensityRow
	for at, stratum := range s.Strata {
		empty := true
		for i, f := range frames {
			if f.Stratum != at {
				continue
			}
			empty = false
			here := sumFrames(frames, []int{i})
			for k, crossing := range c.List {
				rows = append(rows, densityRow(crossing.Key(method, stratum.Name, f.Years), here, figures.Domains[i][k]))
			}
		}
		if empty {
			rows = append(rows, s.unsearchedRow(method, stratum.Name))
		}
	}
	return rows
}

// unsearchedRow is the row of a stratum that a method did not reach.
func (s *Season) unsearchedRow(method, stratum string) DensityRow {
	reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in this stratum", fieldwork.UnitNoun(method))}
	return densityRow(fieldwork.Pooled(method, stratum), extent{}, estimate.Density{Estimate: stats.Missing(s.Settings.Confidence, 0, reason)})
}

func densityRow(key fieldwork.Key, here extent, f estimate.Density) DensityRow {
	return DensityRow{
		Key: key, Units: column.Count(here.units), SearchedHa: column.Finite(here.searchedHa),
		Finds: column.Count(int(f.Finds)), Estimate: figures(f.Estimate), DF: column.Finite(f.DF), Warnings: f.Warnings,
	}
}

// lineDensities are the rows of every subgroup on every part of the area that has
// lines, in the order of the tables.
func (s *Season) lineDensities(ctx context.Context, t *transect.Lines, c fieldwork.Subgroups) ([]DensityRow, error) {
	if len(t.Domains) == 0 {
		return withoutArea(s.landRows(LineMethod, nil, estimate.Densities{}, c)), nil
	}
	var rows []DensityRow
	add := func(members []fieldwork.Domain, stratum, years string, more []stats.Warning) error {
		list, err := t.BySubgroup(ctx, members, c)
		for k, d := range list {
			d.Warnings = append(slices.Clip(d.Warnings), more...)
			rows = append(rows, densityRow(c.List[k].Key(LineMethod, stratum, years), extent{units: fieldwork.UnitsIn(members)}, d))
		}
		return err
	}
	for _, years := range append([]string{All}, fieldwork.YearClasses(t.Domains)...) {
		members := slices.DeleteFunc(slices.Clone(t.Domains), func(f fieldwork.Domain) bool { return f.Years != years })
		if err := add(members, s.PooledStratum(t.Domains), years, s.NotReached(LineMethod, t.Domains, years)); err != nil {
			return nil, err
		}
	}
	for at, stratum := range s.Strata {
		here := slices.DeleteFunc(slices.Clone(t.Domains), func(f fieldwork.Domain) bool { return f.Stratum != at })
		for _, f := range here {
			if err := add([]fieldwork.Domain{f}, stratum.Name, f.Years, nil); err != nil {
				return nil, err
			}
		}
		if len(here) == 0 {
			rows = append(rows, s.unsearchedRow(LineMethod, stratum.Name))
		}
	}
	return withoutArea(rows), nil
}

// withoutArea empties the searched area: a line has no edge.
func withoutArea(rows []DensityRow) []DensityRow {
	for i := range rows {
		rows[i].SearchedHa = column.Float{}
	}
	return rows
}
