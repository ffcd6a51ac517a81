package analyze

import (
	"context"
	"math"
	"slices"

	"ashtally/pipeline/estimate"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// Densities are the densities of all finds together, for the questions that need
// them.
type Densities struct {
	season *Season
	lines  *transect.Lines
	rows   map[fieldwork.Key]DensityRow
}

func (s *Season) knownDensities(lines *transect.Lines, rows []DensityRow) *Densities {
	d := &Densities{season: s, lines: lines, rows: map[fieldwork.Key]DensityRow{}}
	for _, r := range rows {
		d.rows[r.Key] = r
	}
	return d
}

// Of is the density by a method in a stratum and a class of years since fire, as
// the result table has it.
func (d *Densities) Of(method, stratum, years string) (stats.Estimate, bool) {
	key := fieldwork.Pooled(method, stratum)
	key.Years = years
	r, ok := d.rows[key]
	return r.asEstimate(d.season.Settings.Confidence), ok
}

// asEstimate is the row as the statistics know it.
func (r DensityRow) asEstimate(confidence float64) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: r.Value.Or(nan), SE: r.SE.Or(nan), Warnings: r.Warnings, Interval: stats.Interval{
		Lower: r.Lower.Or(nan), Upper: r.Upper.Or(nan), Confidence: confidence, DF: r.DF.Or(nan), Method: r.Interval}}
}

// Over is the density of some domains of a method together, with limits at a
// nominal level. The other domains of their years tell of clumping.
func (d *Densities) Over(ctx context.Context, members []fieldwork.Domain, confidence float64) (stats.Estimate, error) {
	if members[0].Method == LineMethod {
		return d.lines.At(confidence).Over(ctx, members)
	}
	s := &Season{Season: d.season.WithConfidence(confidence)}
	all := slices.DeleteFunc(s.Domains(members[0].Method, s.UnitSeasons()), func(f fieldwork.Domain) bool { return f.Years != members[0].Years })
	here := slices.DeleteFunc(fieldwork.Indices(len(all)), func(i int) bool {
		return !slices.ContainsFunc(members, func(f fieldwork.Domain) bool { return f.Stratum == all[i].Stratum })
	})
	_, areas := estimate.Jointly(s.Season, all, [][]int{here}, estimate.AllFinds(all))
	return areas[0].Estimate, nil
}
