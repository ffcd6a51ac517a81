package analyze

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// lineDensities estimates every crossing on every part of the land that has
// lines, in the order of the tables.
func (s *Season) lineDensities(ctx context.Context, t transects, c fieldwork.Subgroups) ([]DensityRow, error) {
	if len(t.frames) == 0 {
		return withoutEdge(s.landRows(LineMethod, nil, estimate.Densities{}, c)), nil
	}
	kinds := t.kinds(c)
	var rows []DensityRow
	add := func(members []fieldwork.Domain, stratum, years string, more []stats.Warning) error {
		figures, err := s.linesIn(ctx, t, members, kinds)
		for k, f := range figures {
			f.Warnings = slices.Concat(f.Warnings, sharedFunction(c.List[k], t.fit), s.WarningsOf(members), more)
			rows = append(rows, densityRow(c.List[k].Key(LineMethod, stratum, years), extent{units: fieldwork.UnitsIn(members)}, f))
		}
		return err
	}
	for _, years := range append([]string{All}, fieldwork.YearClasses(t.frames)...) {
		members := slices.DeleteFunc(slices.Clone(t.frames), func(f fieldwork.Domain) bool { return f.Years != years })
		if err := add(members, s.PooledStratum(t.frames), years, s.NotReached(LineMethod, t.frames, years)); err != nil {
			return nil, err
		}
	}
	for at, stratum := range s.Strata {
		here := slices.DeleteFunc(slices.Clone(t.frames), func(f fieldwork.Domain) bool { return f.Stratum != at })
		for _, f := range here {
			if err := add([]fieldwork.Domain{f}, stratum.Name, f.Years, nil); err != nil {
				return nil, err
			}
		}
		if len(here) == 0 {
			rows = append(rows, s.unsearchedRow(LineMethod, stratum.Name))
		}
	}
	return withoutEdge(rows), nil
}

// withoutEdge empties the searched area: a line has no edge.
func withoutEdge(rows []DensityRow) []DensityRow {
	for i := range rows {
		rows[i].SearchedHa = column.Float{}
	}
	return rows
}

// kinds lists, for each crossing, the finds that it counts.
func (t *transects) kinds(c fieldwork.Subgroups) [][]int {
	kinds := make([][]int, len(c.List))
	for i, f := range t.finds {
		for _, k := range c.Of[f.Group] {
			kinds[k] = append(kinds[k], i)
		}
	}
	return kinds
}

// crossingsPerTask is few enough for the cores to share one class of years.
const crossingsPerTask = 16

// linesIn estimates every crossing on the land of some frames together. The
// work is shared among the cores, each figure in a place of its own.
func (s *Season) linesIn(ctx context.Context, t transects, members []fieldwork.Domain, kinds [][]int) ([]estimate.Density, error) {
	part, transect, from := s.partOf(t, members)
	count, err := s.counter(t, part, from)
	if err != nil {
		return nil, err
	}
	figures := make([]estimate.Density, len(kinds))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for from := range slices.Chunk(fieldwork.Indices(len(kinds)), crossingsPerTask) {
		g.Go(func() error {
			counted := make([]float64, len(t.finds))
			for _, k := range from {
				if err := ctx.Err(); err != nil {
					return err
				}
				clear(counted)
				for _, i := range kinds[k] {
					if transect[t.on[i]] >= 0 {
						counted[i] = t.size[i]
					}
				}
				f, err := s.countLines(t, len(part.Transects), counted, count)
				if err != nil {
					return err
				}
				figures[k] = f
			}
			return nil
		})
	}
	return figures, g.Wait()
}

// counting is how one kind of finds on a part of the lines is estimated.
type counting func(counted []float64) (lines.Counting, error)

// counter estimates by the delta method, or by the lines drawn again.
func (s *Season) counter(t transects, part lines.Survey, from []int) (counting, error) {
	if t.replay == nil {
		return func(counted []float64) (lines.Counting, error) { return part.Counted(t.fit, counted, s.lineOptions()) }, nil
	}
	portion, err := t.replay.Portion(part, from)
	if err != nil {
		return nil, fmt.Errorf("line transects: %w", err)
	}
	return portion.Counted, nil
}

// partOf makes a survey of the lines of some frames, a stratum each. It also
// returns the place of each element among its transects, -1 for those
// elsewhere, whose finds only help to tell how far the crew sees, and the
// element of each transect.
func (s *Season) partOf(t transects, members []fieldwork.Domain) (part lines.Survey, transect, from []int) {
	type season struct {
		unit string
		year int
	}
	at := map[season]int{}
	for h, f := range members {
		part.Strata = append(part.Strata, s.lineStratum(f))
		for _, e := range f.Units {
			at[season{e.Unit.ID, e.Year}] = len(part.Transects)
			part.Transects = append(part.Transects, lines.Transect{
				Stratum: h, Site: e.Cluster(), Length: e.Unit.HorizontalM, Sides: e.Unit.Sides, Sequence: int(e.Unit.Sequence.Or(fieldwork.NoPlace)), Name: e.Unit.ID,
			})
		}
	}
	for _, e := range t.elements {
		i, ok := at[season{e.Unit.ID, e.Year}]
		if !ok {
			i = -1
		}
		transect = append(transect, i)
	}
	from = make([]int, len(part.Transects))
	for e, i := range transect {
		if i >= 0 {
			from[i] = e
		}
	}
	for _, on := range t.on {
		part.On = append(part.On, max(transect[on], 0))
	}
	if slices.ContainsFunc(t.size, func(n float64) bool { return n > 1 }) {
		part.Size = t.size
	}
	return part, transect, from
}

func (s *Season) lineStratum(f fieldwork.Domain) lines.Stratum {
	c := s.CollapsedWith(f)
	return lines.Stratum{Name: c.Name, AreaHa: s.Strata[f.Stratum].AreaHa, Mean: c.Mean, With: c.With}
}

// countLines estimates what is counted; where there is no detection function,
// only that nothing was found can be said.
func (s *Season) countLines(t transects, units int, counted []float64, count counting) (estimate.Density, error) {
	finds := fieldwork.Sum(counted)
	if t.fit == nil {
		e := stats.Missing(s.Settings.Confidence, units, t.reason)
		if finds == 0 {
			e.Value = 0
		}
		return estimate.Density{Estimate: e, Finds: finds}, nil
	}
	r, err := count(counted)
	if err != nil {
		return estimate.Density{}, fmt.Errorf("line transects: %w", err)
	}
	r.Density.Warnings = append(r.Density.Warnings, t.doubts...)
	return estimate.Density{Estimate: r.Density, Finds: finds}, nil
}

func (s *Season) lineOptions() lines.Options {
	o := lines.Options{Confidence: s.Settings.Confidence, Systematic: s.Settings.Density.Systematic}
	if s.Settings.Lines.GroupSize != survey.ByEvidence {
		o.Size = lines.SizeMethod(s.Settings.Lines.GroupSize)
	}
	return o
}

// sharedFunction is the doubt of a figure for some of the finds only, unless
// the function has a scale of its own for what tells them apart.
func sharedFunction(c fieldwork.Subgroup, fit *detect.Fit) []stats.Warning {
	if fit == nil {
		return nil
	}
	own := func(name string) bool { return slices.Contains(fit.Model.Covariates, name) }
	if (c.Mode == All || own(survey.OfMode)) && (c.Tree == All || own(survey.NearTree)) && (c.Taxon == All || own(survey.OfTaxon)) {
		return nil
	}
	return []stats.Warning{{Code: "detection-shared",
		Text: "how far finds of this kind are seen is taken from all finds along lines; if they are harder or easier to see, the figure is too low or too high"}}
}
