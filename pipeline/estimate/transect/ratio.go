package transect

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// Counted is a domain of lines with the finds at the distances used alone, and
// the length searched, in units that cancel, as its area.
func (t *Lines) Counted(f fieldwork.Domain) fieldwork.Domain {
	used := map[int]map[int]int64{} // unit-season, group
	for i, find := range t.finds {
		if !t.Range.Holds(find.DistanceM) {
			continue
		}
		if used[t.on[i]] == nil {
			used[t.on[i]] = map[int]int64{}
		}
		used[t.on[i]][find.Group] += find.N
	}
	type season struct {
		unit string
		year int
	}
	place := map[season]int{}
	for i, e := range t.Units {
		place[season{e.Unit.ID, e.Year}] = i
	}
	f.Units, f.AreaHa = slices.Clone(f.Units), make([]float64, len(f.Units))
	for i := range f.Units {
		e := *f.Units[i].Yield
		e.Counts = nil
		for group, n := range used[place[season{e.Unit.ID, e.Year}]] {
			e.Counts = append(e.Counts, fieldwork.GroupCount{Group: group, N: n})
		}
		slices.SortFunc(e.Counts, func(a, b fieldwork.GroupCount) int { return a.Group - b.Group })
		f.Units[i] = fieldwork.UnitSeason{Yield: &e}
		f.AreaHa[i] = e.Unit.HorizontalM * float64(e.Unit.Sides) / fieldwork.SquareMetresPerHa
	}
	return f
}

// Ratio corrects the ratio of what was counted in some domains of two subgroups
// where the detection function depends on covariates, and so does not see the same
// share of both.
func (t *Lines) Ratio(r compare.Comparison, members []fieldwork.Domain, c fieldwork.Subgroups, first, base fieldwork.Subgroup) (compare.Comparison, error) {
	if !t.Depends() || !(r.Value > 0) || math.IsInf(r.Value, 1) {
		r.Warnings = append(r.Warnings, t.SeenAlike()...)
		return r, nil
	}
	part, transect, _ := t.partOf(members)
	part.Size = nil
	count := func(g fieldwork.Subgroup) []float64 {
		at := slices.Index(c.List, g)
		counted := make([]float64, len(t.finds))
		for i, f := range t.finds {
			if transect[t.on[i]] >= 0 && slices.Contains(c.Of[f.Group], at) {
				counted[i] = t.size[i]
			}
		}
		return counted
	}
	q, err := part.Ratio(t.Fit, count(first), count(base), t.Options())
	if err != nil {
		return r, fmt.Errorf("line transects: %w", err)
	}
	warnings := slices.Concat(r.Warnings, t.SeenAlike())
	if r.Method == compare.LogT {
		r.Quotient = compare.Quotient{Estimate: q.Estimate, P: q.P}
		warnings = slices.Concat(r.Warnings, q.Warnings, warnings)
	} else { // limits that do not rest on the variance between lines, if any, move with the ratio
		shift := q.Value / r.Value
		r.Value, r.Lower, r.Upper = q.Value, r.Lower*shift, r.Upper*shift
	}
	r.Warnings = warnings
	return r, nil
}

// Depends reports whether the detection function depends on covariates.
func (t *Lines) Depends() bool { return t.Fit != nil && len(t.Fit.Model.Covariates) > 0 }

// SeenAlike warns of a comparison of kinds that are assumed to have the same
// detection function, unless it has a scale for each mode.
func (t *Lines) SeenAlike() []stats.Warning {
	if t.Fit != nil && slices.Contains(t.Fit.Model.Covariates, survey.OfMode) {
		return nil
	}
	return []stats.Warning{DetectionAlike.With("both kinds are taken to be seen equally far from the line, so that finds have the ratio of " +
		"densities; if one is easier to see it comes out too high. mode among the covariates of lines tells how far each is seen")}
}
