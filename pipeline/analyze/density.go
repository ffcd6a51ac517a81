package analyze

import (
	"context"
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// densities estimates fruit bodies per hectare for every crossing, in each
// stratum and for the land as a whole, by method.
func (s *Season) densities(ctx context.Context, elements []fieldwork.UnitSeason, t transects) ([]DensityRow, error) {
	c := s.Subgroups()
	var rows []DensityRow
	for _, method := range s.DensityMethods() {
		if method == LineMethod {
			along, err := s.lineDensities(ctx, t, c)
			if err != nil {
				return nil, err
			}
			s.withNotHollow(along, t.frames)
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
