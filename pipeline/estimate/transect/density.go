package transect

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// byGroup is the finds of each subgroup, by their places among all.
type byGroup [][]int

func (t *Lines) bySubgroup(c fieldwork.Subgroups) byGroup {
	kinds := make(byGroup, len(c.List))
	for i, f := range t.finds {
		for _, k := range c.Of[f.Group] {
			kinds[k] = append(kinds[k], i)
		}
	}
	return kinds
}

// BySubgroup estimates every subgroup on the area of some domains together, with
// the warnings of the domains.
func (t *Lines) BySubgroup(ctx context.Context, members []fieldwork.Domain, c fieldwork.Subgroups) ([]estimate.Density, error) {
	list, err := t.densities(ctx, members, t.bySubgroup(c))
	for k := range list {
		list[k].Warnings = slices.Concat(list[k].Warnings, sharedFunction(c.List[k], t.Fit), t.s.WarningsOf(members))
	}
	return list, err
}

// Over is the density of all finds on the area of some domains together.
func (t *Lines) Over(ctx context.Context, members []fieldwork.Domain) (stats.Estimate, error) {
	list, err := t.densities(ctx, members, t.bySubgroup(t.s.Subgroups())[:1]) // the first subgroup is all finds
	if err != nil {
		return stats.Estimate{}, err
	}
	return list[0].Estimate, nil
}

// subgroupsPerTask is few enough for the cores to share one class of years.
const subgroupsPerTask = 16

// densities estimates some subgroups on the area of some domains together. The work
// is shared among the cores, each density in a place of its own.
func (t *Lines) densities(ctx context.Context, members []fieldwork.Domain, kinds byGroup) ([]estimate.Density, error) {
	part, transect, from := t.partOf(members)
	count, err := t.counter(part, from)
	if err != nil {
		return nil, err
	}
	list := make([]estimate.Density, len(kinds))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for from := range slices.Chunk(fieldwork.Indices(len(kinds)), subgroupsPerTask) {
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
				d, err := t.density(len(part.Transects), counted, count)
				if err != nil {
					return err
				}
				list[k] = d
			}
			return nil
		})
	}
	return list, g.Wait()
}

// counting is how one kind of finds on a part of the lines is estimated.
type counting func(counted []float64) (lines.Counting, error)

// counter estimates by the delta method, or by the bootstrap over lines.
func (t *Lines) counter(part lines.Survey, from []int) (counting, error) {
	if t.replay == nil {
		return func(counted []float64) (lines.Counting, error) { return part.Counted(t.Fit, counted, t.Options()) }, nil
	}
	portion, err := t.replay.Portion(part, from)
	if err != nil {
		return nil, fmt.Errorf("line transects: %w", err)
	}
	return portion.Counted, nil
}

// Survey is the lines of some domains, a stratum each.
func (t *Lines) Survey(members []fieldwork.Domain) lines.Survey {
	part, _, _ := t.partOf(members)
	return part
}

// partOf makes a survey of the lines of some domains, a stratum each. It also
// returns the place of each unit-season among its transects, -1 for those
// elsewhere, whose finds only bear on the detection function, and the unit-season
// of each transect.
func (t *Lines) partOf(members []fieldwork.Domain) (part lines.Survey, transect, from []int) {
	type season struct {
		unit string
		year int
	}
	at := map[season]int{}
	for h, f := range members {
		part.Strata = append(part.Strata, t.lineStratum(f))
		for _, e := range f.Units {
			at[season{e.Unit.ID, e.Year}] = len(part.Transects)
			part.Transects = append(part.Transects, lines.Transect{
				Stratum: h, Site: e.Cluster(), Length: e.Unit.HorizontalM, Sides: e.Unit.Sides, Sequence: int(e.Unit.Sequence.Or(fieldwork.NoPlace)), Name: e.Unit.ID,
			})
		}
	}
	for _, e := range t.Units {
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

func (t *Lines) lineStratum(f fieldwork.Domain) lines.Stratum {
	c := t.s.CollapsedWith(f)
	return lines.Stratum{Name: c.Name, AreaHa: t.s.LandHa(f), Mean: c.Mean, With: c.With}
}

// density estimates what is counted; where there is no detection function,
// only that nothing was found can be said.
func (t *Lines) density(units int, counted []float64, count counting) (estimate.Density, error) {
	finds := fieldwork.Sum(counted)
	if t.Fit == nil {
		e := stats.Missing(t.s.Settings.Confidence, units, t.Reason)
		if finds == 0 {
			e.Value = 0
		}
		return estimate.Density{Estimate: e, Finds: finds}, nil
	}
	r, err := count(counted)
	if err != nil {
		return estimate.Density{}, fmt.Errorf("line transects: %w", err)
	}
	r.Density.Warnings = append(r.Density.Warnings, t.Warnings...)
	return estimate.Density{Estimate: r.Density, Finds: finds}, nil
}

// Corrected is the density of all finds on the area of some domains together, as
// counted and divided by the detection probability on the line, g(0).
func (t *Lines) Corrected(members []fieldwork.Domain, onLine stats.Estimate) (estimate.Density, lines.Counting, error) {
	part, transect, from := t.partOf(members)
	count, err := t.counter(part, from)
	if err != nil {
		return estimate.Density{}, lines.Counting{}, err
	}
	counted := make([]float64, len(t.finds))
	for i := range t.finds {
		if transect[t.on[i]] >= 0 {
			counted[i] = t.size[i]
		}
	}
	d, err := t.density(len(part.Transects), counted, count)
	if err != nil || math.IsNaN(onLine.Value) || t.Fit == nil {
		return d, lines.Counting{}, err
	}
	o := t.Options()
	o.OnLine.Value, o.OnLine.SE = onLine.Value, orZero(onLine.SE)
	r, err := part.Counted(t.Fit, counted, o)
	if err != nil {
		return d, r, fmt.Errorf("line transects: %w", err)
	}
	if t.replay != nil && d.Value > 0 {
		r.Density.Value = d.Value / onLine.Value
		r.Density.SE = r.Density.Value * math.Hypot(d.CV(), orZero(onLine.CV()))
		r.Density.Interval = movedLimits(r.Density.Value, d.Estimate, onLine)
	}
	return d, r, nil
}

// movedLimits are the limits of a density that was divided by a probability: those
// of both together on the log scale (Zou & Donner 2008, Statistics in Medicine 27:
// 1693-1702).
func movedLimits(value float64, counted, chance stats.Estimate) stats.Interval {
	i := counted.Interval
	down := math.Hypot(math.Log(counted.Value/counted.Lower), orZero(math.Log(chance.Upper/chance.Value)))
	up := math.Hypot(math.Log(counted.Upper/counted.Value), orZero(math.Log(chance.Value/chance.Lower)))
	i.Lower, i.Upper = value*math.Exp(-down), value*math.Exp(up)
	return i
}

// orZero is 0 for a probability without limits, which its row warns of.
func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// Options are those of the settings.
func (t *Lines) Options() lines.Options {
	o := lines.Options{Confidence: t.s.Settings.Confidence, Systematic: t.s.Settings.Density.Systematic}
	if t.s.Settings.Lines.GroupSize != survey.ByEvidence {
		o.Size = lines.SizeMethod(t.s.Settings.Lines.GroupSize)
	}
	return o
}

// sharedFunction warns of a density of some of the finds only, unless
// the function has a scale of its own for what tells them apart.
func sharedFunction(c fieldwork.Subgroup, fit *detect.Fit) []stats.Warning {
	if fit == nil {
		return nil
	}
	own := func(name string) bool { return slices.Contains(fit.Model.Covariates, name) }
	if (c.Mode == result.All || own(survey.OfMode)) && (c.Tree == result.All || own(survey.NearTree)) && (c.Taxon == result.All || own(survey.OfTaxon)) {
		return nil
	}
	return []stats.Warning{DetectionShared.With("how far finds of this kind are seen is taken from all finds along lines; if they are harder " +
		"or easier to see, the figure is too low or too high")}
}
