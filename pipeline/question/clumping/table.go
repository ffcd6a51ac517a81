package clumping

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/dispersion"
)

// Row is one row of results/clumping.
type Row struct {
	Method, Stratum, Years      string
	Units, Finds                column.Int
	MeanPerUnit, VarianceToMean column.Float
	VarianceToMeanP, Morisita   column.Float
	K                           result.Estimate // of the negative binomial
	FitChiSquare, FitP          column.Float
	FitDF                       column.Int
	Warnings                    []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "clumping",
	About: "aggregation of finds in units of one part of the survey area",
	Key: []result.Columns[Row]{
		result.Text("method", "plot or strip", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum", func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, or unburned", func(r *Row) *string { return &r.Years }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("units", "", "units searched", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted", func(r *Row) *column.Int { return &r.Finds }),
		result.Number("mean_per_unit", "fruit bodies", "mean count of a unit", func(r *Row) *column.Float { return &r.MeanPerUnit }),
		result.Number("variance_to_mean", "", "variance-to-mean ratio; 1 for finds scattered at random", func(r *Row) *column.Float { return &r.VarianceToMean }),
		result.Number("variance_to_mean_p", "", "p-value of random scatter (chi-square)", func(r *Row) *column.Float { return &r.VarianceToMeanP }),
		result.Number("morisita", "", "Morisita's index; 1 for finds scattered at random; units of equal area only",
			func(r *Row) *column.Float { return &r.Morisita }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.K },
			result.Value("k", "", "negative binomial k; the smaller, the more clumped"),
			result.Lower("k_lower").Says("lower confidence limit of k"),
			result.Upper("k_upper").Says("upper confidence limit of k; empty where it is open"),
			result.Confidence()),
		result.Number("fit_chi_square", "", "chi-square of the negative binomial fit", func(r *Row) *column.Float { return &r.FitChiSquare }),
		result.Whole("fit_df", "", "its degrees of freedom", func(r *Row) *column.Int { return &r.FitDF }),
		result.Number("fit_p", "", "its p-value; small = the distribution does not fit", func(r *Row) *column.Float { return &r.FitP }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

// rowOf is the row of a domain.
func rowOf(d fieldwork.Domain, stratum string, c dispersion.Clumps) Row {
	return Row{
		Method: d.Method, Stratum: stratum, Years: d.Years,
		Units: column.Count(c.Units), Finds: column.Count(c.Finds),
		MeanPerUnit: column.Finite(c.MeanPerUnit), VarianceToMean: column.Finite(column.UnlessRounding(c.VarianceToMean, 1)),
		VarianceToMeanP: column.Finite(c.P), Morisita: column.Finite(c.Morisita), K: result.Of(c.Estimate),
		FitChiSquare: column.Finite(c.NegBin.ChiSquare), FitP: column.Finite(c.NegBin.P), FitDF: fitDF(c.NegBin),
		Warnings: append(slices.Clip(c.Warnings), d.Warnings...),
	}
}

// fitDF is unknown where there is no chi-square.
func fitDF(f dispersion.Fit) column.Int {
	if math.IsNaN(f.ChiSquare) {
		return column.Int{}
	}
	return column.Count(f.DF)
}
