package analyze

import (
	"fmt"
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// lineComparer makes the comparisons of lines. With one detection function the
// same share of both kinds is seen, so that their counts have the ratio of their
// densities; what a line has in place of an area is the length of its sides.
func (s *Season) lineComparer(t transects, c fieldwork.Subgroups) comparer {
	b := comparer{season: s, method: LineMethod, crossings: c, lines: &t}
	for _, f := range t.frames {
		b.frames = append(b.frames, t.counted(f))
	}
	b.countFrames()
	return b
}

// counted is a frame of lines with the finds at the distances used alone, and
// the length searched, in units that cancel, as its area.
func (t *transects) counted(f fieldwork.Domain) fieldwork.Domain {
	used := map[int]map[int]int64{} // element, group
	for i, find := range t.finds {
		if !t.reach.holds(find.DistanceM) {
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
	for i, e := range t.elements {
		place[season{e.Unit.ID, e.Year}] = i
	}
	f.Units, f.AreaHa = slices.Clone(f.Units), make([]float64, len(f.Units))
	for i := range f.Units {
		e := &f.Units[i]
		e.Counts = nil
		for group, n := range used[place[season{e.Unit.ID, e.Year}]] {
			e.Counts = append(e.Counts, fieldwork.GroupCount{Group: group, N: n})
		}
		slices.SortFunc(e.Counts, func(a, b fieldwork.GroupCount) int { return a.Group - b.Group })
		f.AreaHa[i] = e.Unit.HorizontalM * float64(e.Unit.Sides) / fieldwork.SquareMetresPerHa
	}
	return f
}

// lineRatio corrects the ratio of what was counted where the detection function
// depends on covariates, and so does not see the same share of both kinds.
func (b *comparer) lineRatio(r compare.Comparison, members []int, first, base fieldwork.Subgroup) (compare.Comparison, error) {
	t := b.lines
	if t.fit == nil || len(t.fit.Model.Covariates) == 0 || !(r.Value > 0) || math.IsInf(r.Value, 1) {
		r.Warnings = append(r.Warnings, b.seenAlike()...)
		return r, nil
	}
	frames := make([]fieldwork.Domain, len(members))
	for i, at := range members {
		frames[i] = b.frames[at]
	}
	part, transect, _ := b.season.partOf(*t, frames)
	part.Size = nil
	count := func(c fieldwork.Subgroup) []float64 {
		at := slices.Index(b.crossings.List, c)
		counted := make([]float64, len(t.finds))
		for i, f := range t.finds {
			if transect[t.on[i]] >= 0 && slices.Contains(b.crossings.Of[f.Group], at) {
				counted[i] = t.size[i]
			}
		}
		return counted
	}
	q, err := part.Ratio(t.fit, count(first), count(base), b.season.lineOptions())
	if err != nil {
		return r, fmt.Errorf("line transects: %w", err)
	}
	warnings := slices.Concat(r.Warnings, b.seenAlike())
	if r.Method == compare.LogT {
		r.Quotient = compare.Quotient{Estimate: q.Estimate, P: q.P}
		warnings = slices.Concat(r.Warnings, q.Warnings, warnings)
	} else { // limits that do not rest on the spread between lines, if any, move with the figure
		shift := q.Value / r.Value
		r.Value, r.Lower, r.Upper = q.Value, r.Lower*shift, r.Upper*shift
	}
	r.Warnings = warnings
	return r, nil
}

// seenAlike is the doubt of a comparison of kinds that are taken to be seen
// equally far, unless the function has a scale for each.
func (b *comparer) seenAlike() []stats.Warning {
	if b.lines == nil {
		return nil
	}
	if f := b.lines.fit; f != nil && slices.Contains(f.Model.Covariates, survey.OfMode) {
		return nil
	}
	return []stats.Warning{{Code: "detection-alike",
		Text: "both kinds are taken to be seen equally far from the line, so that finds have the ratio of densities; if one is easier to see it comes out too high. mode among the covariates of lines tells how far each is seen"}}
}
