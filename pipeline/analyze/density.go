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

// densityFigures are the densities of some frames by crossing: of each frame, and
// of those of one class of years since fire together.
type densityFigures struct {
	frames [][]figure
	areas  map[string][]figure // by the class of years, or All
}

// estimate fills a figure for each frame and crossing, and for each class of years
// and crossing. The work is shared among the cores, each figure in a place of its
// own, so that the result does not depend on their number.
func (s *Season) estimate(ctx context.Context, frames []fieldwork.Domain, c fieldwork.Subgroups) (densityFigures, error) {
	all := densityFigures{frames: make([][]figure, len(frames)), areas: map[string][]figure{}}
	for i := range frames {
		all.frames[i] = make([]figure, len(c.List))
	}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, y := range jointYears(frames) {
		members := pick(frames, y.places)
		counts := make([]fieldwork.Counts, len(members))
		for j, f := range members {
			counts[j] = c.Count(f)
		}
		into := make([][]figure, len(y.areas))
		for a, years := range y.years {
			into[a] = make([]figure, len(c.List))
			all.areas[years] = into[a]
		}
		for from := range slices.Chunk(fieldwork.Indices(len(c.List)), crossingsPerTask) {
			g.Go(func() error {
				for _, k := range from {
					if err := ctx.Err(); err != nil {
						return err
					}
					strata, areas := s.jointly(members, y.areas, func(member int) []float64 {
						return fieldwork.Dense(make([]float64, len(members[member].Units)), counts[member][k])
					})
					for j, i := range y.places {
						all.frames[i][k] = strata[j]
					}
					for a := range areas {
						into[a][k] = areas[a]
					}
				}
				return nil
			})
		}
	}
	return all, g.Wait()
}

// yearsTogether are frames that tell of each other's clumping: those of all years,
// or of the classes of years, whose areas they make up.
type yearsTogether struct {
	places []int    // among the frames
	years  []string // of each area
	areas  [][]int  // places among those
}

// jointYears are the frames of all years, which have one area, and those of the
// classes of years, which have one for each class.
func jointYears(frames []fieldwork.Domain) []yearsTogether {
	together := []yearsTogether{{years: []string{All}}, {years: fieldwork.YearClasses(frames)}}
	for t := range together {
		y := &together[t]
		y.areas = make([][]int, len(y.years))
		for i, f := range frames {
			if a := slices.Index(y.years, f.Years); a >= 0 {
				y.areas[a] = append(y.areas[a], len(y.places))
				y.places = append(y.places, i)
			}
		}
	}
	return together
}

func pick[T any](list []T, places []int) []T {
	picked := make([]T, len(places))
	for i, at := range places {
		picked[i] = list[at]
	}
	return picked
}

// crossingsPerTask is few enough for the cores to share one class of years.
const crossingsPerTask = 16

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

// jointly estimates frames whose counts tell of each other's clumping: the density
// of each, and that of some of them together for each area. Counts returns what was
// counted in the units of one of them. Adaptive cluster plots have limits of their
// own.
func (s *Season) jointly(members []fieldwork.Domain, areas [][]int, counts func(member int) []float64) (strata, together []figure) {
	if slices.ContainsFunc(members, func(f fieldwork.Domain) bool { return f.Grid != nil }) {
		return s.adaptively(members, areas, counts)
	}
	samples := make([]density.NamedSample, len(members))
	strata = make([]figure, len(members))
	for i, f := range members {
		c := s.CollapsedWith(f)
		samples[i] = density.NamedSample{Name: c.Name, Sample: s.sample(f, counts(i)), Mean: c.Mean, With: c.With, Warnings: f.Warnings}
		strata[i].finds = fieldwork.Sum(samples[i].Count)
	}
	for a, j := range density.Areas(samples, areas, s.densityOptions()) {
		together = append(together, figure{Estimate: j.Area})
		for i, at := range areas[a] {
			strata[at].Estimate = j.Strata[i]
			together[a].finds += strata[at].finds
		}
	}
	return strata, together
}

func (s *Season) adaptively(members []fieldwork.Domain, areas [][]int, counts func(member int) []float64) (strata, together []figure) {
	estimates := make([]stats.Estimate, len(members))
	for i, f := range members {
		finds := counts(i)
		e := s.adaptive(f, finds).Density
		e.Warnings = append(slices.Clip(e.Warnings), f.Warnings...)
		estimates[i] = e
		strata = append(strata, figure{Estimate: e, finds: fieldwork.Sum(finds)})
	}
	for _, area := range areas {
		sum := figure{Estimate: s.pooledDensity(pick(members, area), pick(estimates, area))}
		for _, at := range area {
			sum.finds += strata[at].finds
		}
		together = append(together, sum)
	}
	return strata, together
}

// allFinds are the counts of all kinds in some frames.
func allFinds(members []fieldwork.Domain) func(member int) []float64 {
	return func(member int) []float64 { return fieldwork.FindsOf(members[member]) }
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
func (s *Season) landRows(method string, frames []fieldwork.Domain, figures densityFigures, c fieldwork.Subgroups) []DensityRow {
	if len(frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s of the survey was ever searched", fieldwork.UnitNoun(method))}
		return []DensityRow{densityRow(fieldwork.Headline(method), extent{}, figure{Estimate: stats.Missing(s.Settings.Confidence, 0, reason)})}
	}
	pooled := s.PooledStratum(frames)
	var rows []DensityRow
	for _, years := range append([]string{All}, fieldwork.YearClasses(frames)...) {
		land := sumFrames(frames, framesOf(frames, years))
		missed := s.NotReached(method, frames, years)
		for k, crossing := range c.List {
			f := figures.areas[years][k]
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

func (s *Season) stratumRows(method string, frames []fieldwork.Domain, figures densityFigures, c fieldwork.Subgroups) []DensityRow {
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
				rows = append(rows, densityRow(crossing.Key(method, stratum.Name, f.Years), here, figures.frames[i][k]))
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
