package analyze

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/adaptive"
	"ashtally/stats/density"
)

// adaptiveRows tells how the samples of adaptive cluster plots came out, with
// both estimates, and what their networks are.
func (s *Season) adaptiveRows(elements []fieldwork.UnitSeason) ([]AdaptiveRow, []NetworkRow) {
	c := s.Subgroups()
	frames := s.Domains(AdaptiveMethod, elements)
	results := make([]adaptive.Result, len(frames))
	var networks []NetworkRow
	for i, f := range frames {
		counts := fieldwork.Dense(make([]float64, len(f.Units)), c.Count(f)[0]) // the first crossing is all finds
		results[i] = estimate.Adaptive(s.Season, f, counts)
		if f.Years != All {
			networks = append(networks, s.networkRows(f, counts, results[i])...)
		}
	}
	var rows []AdaptiveRow
	for _, years := range append([]string{All}, fieldwork.YearClasses(frames)...) {
		if row := s.adaptiveLand(frames, results, years); row.Drawn.Known {
			rows = append(rows, row)
		}
	}
	for i, f := range frames {
		rows = append(rows, s.adaptiveRow(f, results[i]))
	}
	return rows, networks
}

func (s *Season) adaptiveRow(f fieldwork.Domain, r adaptive.Result) AdaptiveRow {
	ha := f.Grid.AreaHa
	row := AdaptiveRow{
		Stratum: s.Strata[f.Stratum].Name, Years: f.Years, Estimator: s.Settings.Adaptive.Estimator,
		Grid: column.Count(f.Grid.Plots), Drawn: column.Count(r.Drawn), Added: column.Count(r.Searched - r.Drawn), Edge: column.Count(r.Edge),
		HansenHurwitz: column.Finite(r.HansenHurwitz.Value / ha), HansenHurwitzSE: column.Finite(math.Sqrt(r.HansenHurwitz.Variance) / ha),
		HorvitzThompson: column.Finite(r.HorvitzThompson.Value / ha), HorvitzThompsonSE: column.Finite(math.Sqrt(r.HorvitzThompson.Variance) / ha),
		Naive: column.Finite(r.Naive), Overstates: column.Finite(100 * r.Overstates()),
		Warnings: append(slices.Clip(r.Density.Warnings), f.Warnings...),
	}
	met := 0
	for _, k := range r.Networks {
		if k.Number >= 0 {
			met++
		}
	}
	row.Networks = column.Count(met)
	if r.Drawn == 0 {
		row.HansenHurwitz, row.HansenHurwitzSE, row.HorvitzThompson, row.HorvitzThompsonSE = column.Float{}, column.Float{}, column.Float{}, column.Float{}
	}
	return row
}

// adaptiveLand weighs the strata of a class of years by their share of the
// land that adaptive cluster plots reached.
func (s *Season) adaptiveLand(frames []fieldwork.Domain, results []adaptive.Result, years string) AdaptiveRow {
	row := AdaptiveRow{Stratum: s.PooledStratum(frames), Years: years, Estimator: s.Settings.Adaptive.Estimator}
	var landHa float64
	for _, f := range frames {
		if f.Years == years {
			landHa += s.Strata[f.Stratum].AreaHa
		}
	}
	var hh, ht, naive float64
	var members []fieldwork.Domain
	var byHH, byHT []stats.Estimate
	for i, f := range frames {
		if f.Years != years {
			continue
		}
		r, share := results[i], s.Strata[f.Stratum].AreaHa/landHa
		one := s.adaptiveRow(f, r)
		row.Warnings = fromStratum(row.Warnings, one)
		members = append(members, f)
		byHH, byHT = append(byHH, meanPerHa(r.HansenHurwitz, r.Drawn, f.Grid.AreaHa)), append(byHT, meanPerHa(r.HorvitzThompson, r.Drawn, f.Grid.AreaHa))
		row.Grid, row.Drawn, row.Added = plusInt(row.Grid, one.Grid), plusInt(row.Drawn, one.Drawn), plusInt(row.Added, one.Added)
		row.Edge, row.Networks = plusInt(row.Edge, one.Edge), plusInt(row.Networks, one.Networks)
		hh, ht, naive = hh+share*one.HansenHurwitz.Or(math.NaN()), ht+share*one.HorvitzThompson.Or(math.NaN()), naive+share*r.Naive
	}
	row.HansenHurwitz, row.HorvitzThompson, row.Naive = column.Finite(hh), column.Finite(ht), column.Finite(naive)
	row.HansenHurwitzSE, row.HorvitzThompsonSE = s.adaptiveSE(members, byHH), s.adaptiveSE(members, byHT)
	reported := ht
	if row.Estimator == adaptive.HansenHurwitz {
		reported = hh
	}
	if reported > 0 {
		row.Overstates = column.Finite(100 * (naive/reported - 1))
	}
	row.Warnings = append(row.Warnings, density.Groups(estimate.Parts(s.Season, members, byHH)).Warnings...)
	row.Warnings = append(row.Warnings, s.NotReached(AdaptiveMethod, frames, years)...)
	return row
}

// meanPerHa is an estimated mean per plot as one per hectare.
func meanPerHa(m adaptive.Mean, drawn int, plotHa float64) stats.Estimate {
	return stats.Estimate{Value: m.Value / plotHa, SE: math.Sqrt(m.Variance) / plotHa, N: drawn}
}

// adaptiveSE is the standard error of some frames together.
func (s *Season) adaptiveSE(members []fieldwork.Domain, estimates []stats.Estimate) column.Float {
	var landHa, variance float64
	for _, p := range estimate.Collapsed(s.Season, members, estimates) {
		landHa += p.AreaHa
		variance += p.AreaHa * p.AreaHa * p.SE * p.SE
	}
	return column.Finite(math.Sqrt(variance) / landHa)
}

// fromStratum adds the warnings of a stratum that are not there yet.
func fromStratum(all []stats.Warning, row AdaptiveRow) []stats.Warning {
	for _, w := range row.Warnings {
		all = stats.AppendDistinct(all, w.InStratum(row.Stratum))
	}
	return all
}

func plusInt(a, b column.Int) column.Int {
	return column.Int{Value: a.Value + b.Value, Known: true}
}

// networkRows lists the networks of a frame, those without a drawn plot too.
func (s *Season) networkRows(f fieldwork.Domain, counts []float64, r adaptive.Result) []NetworkRow {
	g := f.Grid
	rows := make([]NetworkRow, len(g.Names))
	finds, searched := make([]float64, len(rows)), make([]int, len(rows))
	for i, at := range g.At {
		if k := g.Network[at]; k >= 0 {
			finds[k] += counts[i]
			searched[k]++
		}
	}
	for k, name := range g.Names {
		rows[k] = NetworkRow{
			Stratum: s.Strata[f.Stratum].Name, Years: f.Years, Network: name,
			Plots: column.Count(g.Size[k]), Searched: column.Count(searched[k]), Drawn: column.Count(0), Finds: column.Count(int(finds[k])),
			Warnings: []stats.Warning{{Code: "network-not-drawn", Text: "no plot of it was drawn in this stratum, so it counts nowhere"}},
		}
	}
	for _, k := range r.Networks {
		if k.Number < 0 {
			continue
		}
		row := &rows[k.Number]
		row.Drawn, row.Inclusion, row.Warnings = column.Count(k.Drawn), column.Finite(k.Inclusion), nil
		if k.Searched < k.Plots {
			row.Warnings = []stats.Warning{{Code: "network-incomplete", Text: "it was not searched whole; its other plots are taken for the mean of those that were"}}
		}
	}
	return rows
}
