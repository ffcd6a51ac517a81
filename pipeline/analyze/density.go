package analyze

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/density"
)

// densities estimates fruit bodies per hectare for every crossing, in each
// stratum and for the land as a whole, by method.
func (s *Season) densities(ctx context.Context, elements []element, t transects) ([]DensityRow, error) {
	c := s.crossings()
	var rows []DensityRow
	for _, method := range s.densityMethods() {
		if method == LineMethod {
			along, err := s.lineDensities(ctx, t, c)
			if err != nil {
				return nil, err
			}
			rows = append(rows, along...)
			continue
		}
		frames := s.frames(method, elements)
		figures, err := s.estimate(ctx, frames, c)
		if err != nil {
			return nil, err
		}
		rows = append(rows, s.landRows(method, frames, figures, c)...)
		rows = append(rows, s.stratumRows(method, frames, figures, c)...)
	}
	return rows, nil
}

// methods lists those of its units.
func (s *Season) methods() []string {
	var methods []string
	for _, method := range []string{PlotMethod, AddedMethod, StripMethod, LineMethod} {
		if slices.ContainsFunc(s.units, func(u unit) bool { return u.method == method }) {
			methods = append(methods, method)
		}
	}
	return methods
}

// figure is one density before it becomes a row.
type figure struct {
	stats.Estimate
	finds float64
}

// estimate fills a figure for each frame and crossing. The work is shared
// among the cores, each figure in a place of its own, so that the result does
// not depend on their number.
func (s *Season) estimate(ctx context.Context, frames []frame, c crossings) ([][]figure, error) {
	all := make([][]figure, len(frames))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, f := range frames {
		all[i] = make([]figure, len(c.list))
		counts := c.count(f)
		for from := range slices.Chunk(indices(len(c.list)), crossingsPerTask) {
			g.Go(func() error {
				scratch := make([]float64, len(f.elements))
				for _, k := range from {
					if err := ctx.Err(); err != nil {
						return err
					}
					all[i][k] = s.estimateOne(f, dense(scratch, counts[k]))
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

func indices(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

func (s *Season) estimateOne(f frame, counts []float64) figure {
	if f.grid != nil {
		e := s.adaptive(f, counts).Density
		e.Warnings = append(slices.Clip(e.Warnings), f.warnings...)
		return figure{Estimate: e, finds: total(counts)}
	}
	e := density.Stratum(s.sample(f, counts), s.densityOptions())
	e.Warnings = append(slices.Clip(e.Warnings), f.warnings...)
	return figure{Estimate: e, finds: total(counts)}
}

func (s *Season) densityOptions() density.Options {
	o := s.settings.Density
	return density.Options{
		Confidence: s.settings.Confidence, Interval: o.Interval, Systematic: o.Systematic,
		Replicates: o.Replicates, Seed: s.settings.Seed,
	}
}

// landRows weighs the strata that the method reached by their share of the area,
// for all years and for the strata of each class of years since fire.
func (s *Season) landRows(method string, frames []frame, figures [][]figure, c crossings) []DensityRow {
	if len(frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s of the survey was ever searched", noun(method))}
		return []DensityRow{densityRow(Headline(method), extent{}, figure{Estimate: stats.Missing(s.settings.Confidence, 0, reason)})}
	}
	var rows []DensityRow
	for _, years := range append([]string{All}, yearClasses(frames)...) {
		var members []int
		for i, f := range frames {
			if f.years == years {
				members = append(members, i)
			}
		}
		land := sumFrames(frames, members)
		missed := s.missedWarning(method, frames, years)
		here := make([]frame, len(members))
		for j, i := range members {
			here[j] = frames[i]
		}
		counts := c.counter(here)
		for k := range c.list {
			estimates := make([]stats.Estimate, len(members))
			var finds float64
			for j, i := range members {
				estimates[j] = figures[i][k].Estimate
				finds += figures[i][k].finds
			}
			f := figure{Estimate: s.pooledDensity(here, estimates, func(member int) []float64 { return counts(member, k) }), finds: finds}
			f.Warnings = append(slices.Clip(f.Warnings), missed...)
			rows = append(rows, densityRow(c.list[k].key(method, s.pooledStratum(frames), years), land, f))
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

func sumFrames(frames []frame, members []int) extent {
	var sum extent
	for _, i := range members {
		sum.units += len(frames[i].elements)
		sum.searchedHa += overUnits(frames[i].elements, areaOf)
	}
	return sum
}

func (s *Season) stratumRows(method string, frames []frame, figures [][]figure, c crossings) []DensityRow {
	var rows []DensityRow
	for at, stratum := range s.strata {
		empty := true
		for i, f := range frames {
			if f.stratum != at {
				continue
			}
			empty = false
			here := sumFrames(frames, []int{i})
			for k, crossing := range c.list {
				rows = append(rows, densityRow(crossing.key(method, stratum.name, f.years), here, figures[i][k]))
			}
		}
		if empty {
			rows = append(rows, s.unsearchedRow(method, stratum.name))
		}
	}
	return rows
}

// unsearchedRow is the row of a stratum that a method did not reach.
func (s *Season) unsearchedRow(method, stratum string) DensityRow {
	reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in this stratum", noun(method))}
	return densityRow(Pooled(method, stratum), extent{}, figure{Estimate: stats.Missing(s.settings.Confidence, 0, reason)})
}

func (c crossing) key(method, stratum, years string) Key {
	return Key{Method: method, Stratum: stratum, Years: years, Mode: c.mode, Tree: c.tree, Taxon: c.taxon}
}

func densityRow(key Key, here extent, f figure) DensityRow {
	return DensityRow{
		Key: key, Units: column.Count(here.units), SearchedHa: column.Finite(here.searchedHa),
		Finds: column.Count(int(f.finds)), Estimate: figures(f.Estimate), DF: column.Finite(f.DF), Warnings: f.Warnings,
	}
}

// yearClasses lists the classes of years since fire of the frames, in order.
func yearClasses(frames []frame) []string {
	var years []string
	for _, f := range frames {
		if f.years != All && !slices.Contains(years, f.years) {
			years = append(years, f.years)
		}
	}
	slices.SortFunc(years, lessYears)
	return years
}
