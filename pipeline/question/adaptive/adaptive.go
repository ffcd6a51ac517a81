// Package adaptive is the question of what adaptive cluster plots add to the drawn
// ones: the networks they form, the Hansen-Hurwitz and the Horvitz-Thompson estimate
// of the density, and the mean of all plots, which is biased.
package adaptive

import (
	"context"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/adaptive"
	"ashtally/stats/density"
	"ashtally/stats/strata"
)

// Answer is the samples of adaptive cluster plots and their networks.
type Answer struct {
	rows     []Row
	networks []NetworkRow
}

// Tables are results/adaptive and results/networks.
func (a Answer) Tables() []result.Table {
	return []result.Table{adaptiveTable.Of(a.rows), networksTable.Of(a.networks)}
}

// Warnings are the types of warnings of its rows.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{adaptive.Warnings, density.Warnings, strata.Warnings}
}

// Ask estimates all finds on the plots that were drawn from a grid, with those added
// to them.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	var a Answer
	c := s.Subgroups()
	domains := s.Domains(result.Adaptive, s.UnitSeasons())
	results := make([]adaptive.Result, len(domains))
	for i, d := range domains {
		counts := fieldwork.Dense(make([]float64, len(d.Units)), c.Count(d)[0]) // the first subgroup is all finds
		results[i] = estimate.Adaptive(s, d, counts)
		if d.Years != result.All {
			a.networks = append(a.networks, networkRows(s, d, counts, results[i])...)
		}
	}
	for _, years := range append([]string{result.All}, fieldwork.YearClasses(domains)...) {
		if row := areaRow(s, domains, results, years); row.Drawn.Known {
			a.rows = append(a.rows, row)
		}
	}
	for i, d := range domains {
		a.rows = append(a.rows, rowOf(s, d, results[i]))
	}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return "", r.Stratum })
	fieldwork.InFileOrder(s, a.networks, func(r *NetworkRow) (string, string) { return "", r.Stratum })
	return a, nil
}

// areaRow weights the strata of a class of years by their share of the area that
// adaptive cluster plots reached.
func areaRow(s *fieldwork.Season, domains []fieldwork.Domain, results []adaptive.Result, years string) Row {
	row := Row{Stratum: s.PooledStratum(domains), Years: years, Estimator: s.Settings.Adaptive.Estimator}
	var areaHa float64
	for _, f := range domains {
		if f.Years == years {
			areaHa += s.Strata[f.Stratum].AreaHa
		}
	}
	var hh, ht, naive float64
	var members []fieldwork.Domain
	var byHH, byHT []stats.Estimate
	for i, f := range domains {
		if f.Years != years {
			continue
		}
		r, share := results[i], s.Strata[f.Stratum].AreaHa/areaHa
		one := rowOf(s, f, r)
		row.Warnings = fromStratum(row.Warnings, one)
		members = append(members, f)
		byHH, byHT = append(byHH, meanPerHa(r.HansenHurwitz, r.Drawn, f.Grid.AreaHa)), append(byHT, meanPerHa(r.HorvitzThompson, r.Drawn, f.Grid.AreaHa))
		row.Grid, row.Drawn, row.Added = plusInt(row.Grid, one.Grid), plusInt(row.Drawn, one.Drawn), plusInt(row.Added, one.Added)
		row.Edge, row.Networks = plusInt(row.Edge, one.Edge), plusInt(row.Networks, one.Networks)
		hh, ht, naive = hh+share*one.HansenHurwitz.Or(math.NaN()), ht+share*one.HorvitzThompson.Or(math.NaN()), naive+share*r.Naive
	}
	row.HansenHurwitz, row.HorvitzThompson, row.Naive = column.Finite(hh), column.Finite(ht), column.Finite(naive)
	row.HansenHurwitzSE, row.HorvitzThompsonSE = se(s, members, byHH), se(s, members, byHT)
	reported := ht
	if row.Estimator == adaptive.HansenHurwitz {
		reported = hh
	}
	if reported > 0 {
		row.Overstates = column.Finite(100 * (naive/reported - 1))
	}
	row.Warnings = append(row.Warnings, density.Groups(estimate.Parts(s, members, byHH)).Warnings...)
	row.Warnings = append(row.Warnings, s.NotReached(result.Adaptive, domains, years)...)
	return row
}

// meanPerHa is an estimated mean per plot as one per hectare.
func meanPerHa(m adaptive.Mean, drawn int, plotHa float64) stats.Estimate {
	return stats.Estimate{Value: m.Value / plotHa, SE: math.Sqrt(m.Variance) / plotHa, N: drawn}
}

// se is the standard error of some domains together.
func se(s *fieldwork.Season, members []fieldwork.Domain, estimates []stats.Estimate) column.Float {
	var areaHa, variance float64
	for _, p := range estimate.Collapsed(s, members, estimates) {
		areaHa += p.AreaHa
		variance += p.AreaHa * p.AreaHa * p.SE * p.SE
	}
	return column.Finite(math.Sqrt(variance) / areaHa)
}

// fromStratum adds the warnings of a stratum that are not there yet.
func fromStratum(all []stats.Warning, row Row) []stats.Warning {
	for _, w := range row.Warnings {
		all = stats.AppendDistinct(all, w.InStratum(row.Stratum))
	}
	return all
}

func plusInt(a, b column.Int) column.Int {
	return column.Int{Value: a.Value + b.Value, Known: true}
}

// networkRows lists the networks of a domain, those without a drawn plot too.
func networkRows(s *fieldwork.Season, f fieldwork.Domain, counts []float64, r adaptive.Result) []NetworkRow {
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
			Warnings: []stats.Warning{adaptive.NetworkNotDrawn.With("no plot of it was drawn in this stratum, so it counts nowhere")},
		}
	}
	for _, k := range r.Networks {
		if k.Number < 0 {
			continue
		}
		row := &rows[k.Number]
		row.Drawn, row.Inclusion, row.Warnings = column.Count(k.Drawn), column.Finite(k.Inclusion), nil
		if k.Searched < k.Plots {
			row.Warnings = []stats.Warning{adaptive.NetworkIncomplete.With("it was not searched whole; its other plots are assumed to have the mean of those that were")}
		}
	}
	return rows
}
