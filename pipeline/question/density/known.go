package density

import (
	"context"
	"slices"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// lookUp is the densities of all finds together, for the questions that need them.
type lookUp struct {
	season *fieldwork.Season
	lines  *transect.Lines
	rows   map[place]Row
}

// place is a part of the survey area as one method saw it.
type place struct{ method, stratum, years string }

func newLookUp(s *fieldwork.Season, lines *transect.Lines, rows []Row) *lookUp {
	d := &lookUp{season: s, lines: lines, rows: map[place]Row{}}
	for _, r := range rows {
		if r.allFinds() {
			d.rows[place{r.Method, r.Stratum, r.Years}] = r
		}
	}
	return d
}

// Of is the density by a method in a stratum and a class of years since fire, as
// the result table has it.
func (d *lookUp) Of(method, stratum, years string) (stats.Estimate, bool) {
	r, ok := d.rows[place{method, stratum, years}]
	return r.Density.Stats(r.Warnings), ok
}

// Over is the density of some domains of a method together, with limits at a
// nominal level. The other domains of their years tell of the variance.
func (d *lookUp) Over(ctx context.Context, members []fieldwork.Domain, confidence float64) (stats.Estimate, error) {
	if members[0].Method == result.Line {
		return d.lines.At(confidence).Over(ctx, members)
	}
	s := d.season.WithConfidence(confidence)
	all := inYears(s.Domains(members[0].Method, s.UnitSeasons()), members[0].Years)
	here := slices.DeleteFunc(fieldwork.Indices(len(all)), func(i int) bool {
		return !slices.ContainsFunc(members, func(m fieldwork.Domain) bool { return m.Stratum == all[i].Stratum })
	})
	_, areas := estimate.Jointly(s, all, [][]int{here}, estimate.AllFinds(all))
	return areas[0].Estimate, nil
}
