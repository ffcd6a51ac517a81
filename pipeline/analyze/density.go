package analyze

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/density"
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
		figures, err := s.estimate(ctx, frames, c)
		if err != nil {
			return nil, err
		}
		here := append(s.landRows(method, frames, figures, c), s.stratumRows(method, frames, figures, c)...)
		s.withNotHollow(here, frames)
		rows = append(rows, here...)
	}
	return rows, nil
}

// figure is one density before it becomes a row.
type figure struct {
	stats.Estimate
	finds float64
}

// estimate fills a figure for each frame and crossing. The work is shared
// among the cores, each figure in a place of its own, so that the result does
// not depend on their number.
func (s *Season) estimate(ctx context.Context, frames []fieldwork.Domain, c fieldwork.Subgroups) ([][]figure, error) {
	all := make([][]figure, len(frames))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, f := range frames {
		all[i] = make([]figure, len(c.List))
		counts := c.Count(f)
		for from := range slices.Chunk(fieldwork.Indices(len(c.List)), crossingsPerTask) {
			g.Go(func() error {
				scratch := make([]float64, len(f.Units))
				for _, k := range from {
					if err := ctx.Err(); err != nil {
						return err
					}
					all[i][k] = s.estimateOne(f, fieldwork.Dense(scratch, counts[k]))
				}
				return nil
			})
		}
	}
	return all, g.Wait()
}

// crossingsPerTask is large enough for the scratch of a task to pay, and small
// enough for the cores to share one frame.
const crossingsPerTask = 64

func (s *Season) estimateOne(f fieldwork.Domain, counts []float64) figure {
	if f.Grid != nil {
		e := s.adaptive(f, counts).Density
		e.Warnings = append(slices.Clip(e.Warnings), f.Warnings...)
		return figure{Estimate: e, finds: fieldwork.Sum(counts)}
	}
	e := density.Stratum(s.sample(f, counts), s.densityOptions())
	e.Warnings = append(slices.Clip(e.Warnings), f.Warnings...)
	return figure{Estimate: e, finds: fieldwork.Sum(counts)}
}

func (s *Season) densityOptions() density.Options {
	o := s.Settings.Density
	return density.Options{
		Confidence: s.Settings.Confidence, Interval: o.Interval, Systematic: o.Systematic,
		Replicates: o.Replicates, Seed: s.Settings.Seed,
	}
}

// landRows weighs the strata that the method reached by their share of the area,
// for all years and for the strata of each class of years since fire.
func (s *Season) landRows(method string, frames []fieldwork.Domain, figures [][]figure, c fieldwork.Subgroups) []DensityRow {
	if len(frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s of the survey was ever searched", fieldwork.UnitNoun(method))}
		return []DensityRow{densityRow(fieldwork.Headline(method), extent{}, figure{Estimate: stats.Missing(s.Settings.Confidence, 0, reason)})}
	}
	var rows []DensityRow
	for _, years := range append([]string{All}, fieldwork.YearClasses(frames)...) {
		var members []int
		for i, f := range frames {
			if f.Years == years {
				members = append(members, i)
			}
		}
		land := sumFrames(frames, members)
		missed := s.NotReached(method, frames, years)
		here := make([]fieldwork.Domain, len(members))
		for j, i := range members {
			here[j] = frames[i]
		}
		counts := c.Counter(here)
		for k := range c.List {
			estimates := make([]stats.Estimate, len(members))
			var finds float64
			for j, i := range members {
				estimates[j] = figures[i][k].Estimate
				finds += figures[i][k].finds
			}
			f := figure{Estimate: s.pooledDensity(here, estimates, func(member int) []float64 { return counts(member, k) }), finds: finds}
			f.Warnings = append(slices.Clip(f.Warnings), missed...)
			rows = append(rows, densityRow(c.List[k].Key(method, s.PooledStratum(frames), years), land, f))
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

func (s *Season) stratumRows(method string, frames []fieldwork.Domain, figures [][]figure, c fieldwork.Subgroups) []DensityRow {
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
				rows = append(rows, densityRow(crossing.Key(method, stratum.Name, f.Years), here, figures[i][k]))
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
	return densityRow(fieldwork.Pooled(method, stratum), extent{}, figure{Estimate: stats.Missing(s.Settings.Confidence, 0, reason)})
}

func densityRow(key fieldwork.Key, here extent, f figure) DensityRow {
	return DensityRow{
		Key: key, Units: column.Count(here.units), SearchedHa: column.Finite(here.searchedHa),
		Finds: column.Count(int(f.finds)), Estimate: figures(f.Estimate), DF: column.Finite(f.DF), Warnings: f.Warnings,
	}
}
