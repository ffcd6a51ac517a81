package model

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// CoefficientRow is one row of results/model: a coefficient.
type CoefficientRow struct {
	Method, Term, Level string
	Coefficient, SE     column.Float    // on the log scale
	Ratio               result.Estimate // exp of it: a rate ratio, or of the constant a density
	DF, T               column.Float
	result.Tested
	PoissonLower column.Float // what the Poisson would have for limits, without clusters
	PoissonUpper column.Float
	Warnings     []stats.Warning
}

// TestRow is one row of results/model_tests: a term.
type TestRow struct {
	Method, Term  string
	Kept          column.Bool
	DF            column.Int
	F, DenDF      column.Float
	result.Tested // WaldP of F
	LR, LRP       column.Float
	PoissonP      column.Float // of the Poisson's likelihood ratio
	Warnings      []stats.Warning
}

// FitRow is one row of results/model_fits: a whole model.
type FitRow struct {
	Method, Family, Terms     string
	Rows, Units, Sites, Fires column.Int
	Finds, LeftOut            column.Int
	Coefficients              column.Int
	K, KLower, KUpper         column.Float
	Confidence                column.Float
	LogLik, AIC, PoissonAIC   column.Float
	PoissonDispersion         column.Float
	Covariance                string
	Warnings                  []stats.Warning
}

// PredictedRow is one row of results/predicted.
type PredictedRow struct {
	Method, Years, Mode, Tree string
	Units, Finds              column.Int
	result.Estimate
	DF       column.Float
	Warnings []stats.Warning
}

// ContrastRow is one row of results/contrasts.
type ContrastRow struct {
	Comparison, Method, Years, Mode, Tree string
	Units, Sites                          column.Int
	FirstFinds, BaseFinds                 column.Int
	result.Estimate
	DF column.Float
	result.Tested
	PAdjusted  column.Float
	Adjustment string
	Warnings   []stats.Warning
}

// DeclineRow is one row of results/decline.
type DeclineRow struct {
	Method, Mode          string
	FirstYears, LastYears column.Int
	Ages, Fires           column.Int
	Units, Sites, Finds   column.Int
	PerYear               result.Estimate
	DF                    column.Float
	result.Tested
	Tenth      result.Estimate
	DepartureP column.Float
	Warnings   []stats.Warning
}

var coefficientTable = result.Declaration[CoefficientRow]{
	Name:  "model",
	About: "a coefficient of the model of counts: by what factor density differs from the base, all else alike",
	Key: []result.Columns[CoefficientRow]{
		result.Text("method", "plot or strip", func(r *CoefficientRow) *string { return &r.Method }),
		result.Text("term", "what the density depends on; a:b is what two have together beyond each; constant is the density where every term is at its base", func(r *CoefficientRow) *string { return &r.Term }),
		result.Text("level", "the level compared with the base, which is the first: saprotrophic, the tree first by name, the fewest years",
			func(r *CoefficientRow) *string { return &r.Level }),
	},
	Columns: []result.Columns[CoefficientRow]{
		result.Number("coefficient", "", "natural logarithm of the ratio", func(r *CoefficientRow) *column.Float { return &r.Coefficient }),
		result.Number("se", "", "its standard error", func(r *CoefficientRow) *column.Float { return &r.SE }),
		result.EstimateOf(func(r *CoefficientRow) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "the ratio of densities; of the constant, fruit bodies per hectare"),
			result.Lower("lower").Says("lower confidence limit of the ratio"),
			result.Upper("upper").Says("upper confidence limit of the ratio"),
			result.Confidence(),
			result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *CoefficientRow) *column.Float { return &r.DF }),
		result.Number("t", "", "coefficient over standard error", func(r *CoefficientRow) *column.Float { return &r.T }),
		result.TestedColumns("a ratio of 1", func(r *CoefficientRow) *result.Tested { return &r.Tested }),
		result.Number("poisson_lower", "", "lower limit if fruit bodies occurred independently, for comparison: too narrow",
			func(r *CoefficientRow) *column.Float { return &r.PoissonLower }),
		result.Number("poisson_upper", "", "upper limit if fruit bodies occurred independently", func(r *CoefficientRow) *column.Float { return &r.PoissonUpper }),
	},
	Warnings: func(r *CoefficientRow) []stats.Warning { return r.Warnings },
}

var testTable = result.Declaration[TestRow]{
	Name:  "model_tests",
	About: "the test of a term: whether densities differ by it, beside the others",
	Key: []result.Columns[TestRow]{
		result.Text("method", "plot or strip", func(r *TestRow) *string { return &r.Method }),
		result.Text("term", "what the density may depend on; without the terms that hold it whole", func(r *TestRow) *string { return &r.Term }),
	},
	Columns: []result.Columns[TestRow]{
		result.Truth("kept", "whether the finds could carry it", func(r *TestRow) *column.Bool { return &r.Kept }),
		result.Whole("df", "", "coefficients it stands for", func(r *TestRow) *column.Int { return &r.DF }),
		result.Number("f", "", "Wald's statistic by the covariance of the settings, of wald_p", func(r *TestRow) *column.Float { return &r.F }),
		result.Number("denominator_df", "", "its second degrees of freedom; empty = infinite", func(r *TestRow) *column.Float { return &r.DenDF }),
		result.TestedColumns("the term changing nothing", func(r *TestRow) *result.Tested { return &r.Tested }),
		result.Number("likelihood_ratio", "", "likelihood-ratio statistic, which takes counts of a site for independent",
			func(r *TestRow) *column.Float { return &r.LR }),
		result.Number("likelihood_ratio_p", "", "its p-value by chi-square", func(r *TestRow) *column.Float { return &r.LRP }),
		result.Number("poisson_p", "", "the same if fruit bodies occurred independently, for comparison: too small",
			func(r *TestRow) *column.Float { return &r.PoissonP }),
	},
	Warnings: func(r *TestRow) []stats.Warning { return r.Warnings },
}

var fitTable = result.Declaration[FitRow]{
	Name:  "model_fits",
	About: "a fitted model of counts as a whole",
	Key: []result.Columns[FitRow]{
		result.Text("method", "plot or strip", func(r *FitRow) *string { return &r.Method }),
	},
	Columns: []result.Columns[FitRow]{
		result.Text("family", "negative binomial, or Poisson where the counts are no more clumped than chance", func(r *FitRow) *string { return &r.Family }),
		result.Text("terms", "what the density depends on", func(r *FitRow) *string { return &r.Terms }),
		result.Whole("rows", "", "counts: units in seasons by modes and trees", func(r *FitRow) *column.Int { return &r.Rows }),
		result.Whole("units", "", "units searched, in seasons", func(r *FitRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *FitRow) *column.Int { return &r.Sites }),
		result.Whole("fires", "", "years of fire among the strata", func(r *FitRow) *column.Int { return &r.Fires }),
		result.Whole("finds", "fruit bodies", "fruit bodies in the counts", func(r *FitRow) *column.Int { return &r.Finds }),
		result.Whole("left_out", "fruit bodies", "fruit bodies left out, as nobody called their mode or tree", func(r *FitRow) *column.Int { return &r.LeftOut }),
		result.Whole("coefficients", "", "coefficients that could be fitted", func(r *FitRow) *column.Int { return &r.Coefficients }),
		result.Number("k", "", "clumping of the counts; empty where there is none to measure", func(r *FitRow) *column.Float { return &r.K }),
		result.Number("k_lower", "", "lower confidence limit of k", func(r *FitRow) *column.Float { return &r.KLower }),
		result.Number("k_upper", "", "upper confidence limit of k", func(r *FitRow) *column.Float { return &r.KUpper }),
		result.Number("confidence", "", "nominal level of the interval", func(r *FitRow) *column.Float { return &r.Confidence }),
		result.Number("log_likelihood", "", "maximum of the log-likelihood", func(r *FitRow) *column.Float { return &r.LogLik }),
		result.Number("aic", "", "Akaike's information criterion; lower is better", func(r *FitRow) *column.Float { return &r.AIC }),
		result.Number("poisson_aic", "", "that of the Poisson model of the same terms", func(r *FitRow) *column.Float { return &r.PoissonAIC }),
		result.Number("poisson_dispersion", "", "Pearson's chi-square of the Poisson model over its degrees of freedom; about 1 if fruit bodies "+
			"occurred independently", func(r *FitRow) *column.Float { return &r.PoissonDispersion }),
		result.Text("covariance", "how it is known how sure the coefficients are", func(r *FitRow) *string { return &r.Covariance }),
	},
	Warnings: func(r *FitRow) []stats.Warning { return r.Warnings },
}

var predictedTable = result.Declaration[PredictedRow]{
	Name:  "predicted",
	About: "density by the model of counts, strata weighted by their area",
	Key: []result.Columns[PredictedRow]{
		result.Text("method", "plot or strip", func(r *PredictedRow) *string { return &r.Method }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *PredictedRow) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the mode", func(r *PredictedRow) *string { return &r.Mode }),
		result.Text("tree", "species of the nearest tree, or all: their sum", func(r *PredictedRow) *string { return &r.Tree }),
	},
	Columns: []result.Columns[PredictedRow]{
		result.Whole("units", "", "units searched, in seasons", func(r *PredictedRow) *column.Int { return &r.Units }),
		result.Whole("finds", "fruit bodies", "fruit bodies of this mode and tree in them", func(r *PredictedRow) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *PredictedRow) *result.Estimate { return &r.Estimate },
			result.Value("density_per_ha", "1/ha", "fruit bodies per hectare by the model"),
			result.SE("se").Says("its standard error"),
			result.Lower("lower"),
			result.Upper("upper"),
			result.Confidence(),
			result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *PredictedRow) *column.Float { return &r.DF }),
	},
	Warnings: func(r *PredictedRow) []stats.Warning { return r.Warnings },
}

var contrastTable = result.Declaration[ContrastRow]{
	Name:  "contrasts",
	About: "the ratio of two densities of the model of counts",
	Key: []result.Columns[ContrastRow]{
		result.Text("comparison", "the two that are compared", func(r *ContrastRow) *string { return &r.Comparison }),
		result.Text("method", "plot or strip", func(r *ContrastRow) *string { return &r.Method }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all; empty where they are what is compared",
			func(r *ContrastRow) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the mode; empty where it is what is compared", func(r *ContrastRow) *string { return &r.Mode }),
		result.Text("tree", "species of the nearest tree, or all", func(r *ContrastRow) *string { return &r.Tree }),
	},
	Columns: []result.Columns[ContrastRow]{
		result.Whole("units", "", "units searched, in seasons", func(r *ContrastRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of them", func(r *ContrastRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies above the line of the ratio", func(r *ContrastRow) *column.Int { return &r.FirstFinds }),
		result.Whole("base_finds", "fruit bodies", "fruit bodies below the line of the ratio", func(r *ContrastRow) *column.Int { return &r.BaseFinds }),
		result.EstimateOf(func(r *ContrastRow) *result.Estimate { return &r.Estimate },
			result.Value("ratio", "", "the ratio of the densities"),
			result.Lower("lower"),
			result.Upper("upper"),
			result.Confidence(),
			result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *ContrastRow) *column.Float { return &r.DF }),
		result.TestedColumns("a ratio of 1", func(r *ContrastRow) *result.Tested { return &r.Tested }),
		result.Number("p_adjusted", "", "the same, adjusted for the number of comparisons in the family", func(r *ContrastRow) *column.Float { return &r.PAdjusted }),
		result.Text("adjustment", "how p was adjusted, and over which family", func(r *ContrastRow) *string { return &r.Adjustment }),
	},
	Warnings: func(r *ContrastRow) []stats.Warning { return r.Warnings },
}

var declineTable = result.Declaration[DeclineRow]{
	Name:  "decline",
	About: "how density falls with the years since fire, by the same factor each year",
	Key: []result.Columns[DeclineRow]{
		result.Text("method", "plot or strip", func(r *DeclineRow) *string { return &r.Method }),
		result.Text("mode", "the crew's call of the mode, or all", func(r *DeclineRow) *string { return &r.Mode }),
	},
	Columns: []result.Columns[DeclineRow]{
		result.Whole("first_years", "", "fewest years since fire", func(r *DeclineRow) *column.Int { return &r.FirstYears }),
		result.Whole("last_years", "", "most years since fire", func(r *DeclineRow) *column.Int { return &r.LastYears }),
		result.Whole("ages", "", "different years since fire", func(r *DeclineRow) *column.Int { return &r.Ages }),
		result.Whole("fires", "", "different years of fire", func(r *DeclineRow) *column.Int { return &r.Fires }),
		result.Whole("units", "", "units searched on burned land, in seasons", func(r *DeclineRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of them", func(r *DeclineRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies of the mode in them", func(r *DeclineRow) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *DeclineRow) *result.Estimate { return &r.PerYear },
			result.Value("ratio_per_year", "", "density of one year over that of the year before"),
			result.Lower("lower").Says("lower confidence limit of the ratio"),
			result.Upper("upper").Says("upper confidence limit of the ratio"),
			result.Confidence().Says("nominal level of the intervals"),
			result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *DeclineRow) *column.Float { return &r.DF }),
		result.TestedColumns("no change", func(r *DeclineRow) *result.Tested { return &r.Tested }),
		result.EstimateOf(func(r *DeclineRow) *result.Estimate { return &r.Tenth },
			result.Value("tenth_years", "year", "years in which the density falls to a tenth"),
			result.Lower("tenth_lower_years").Says("its lower confidence limit"),
			result.Upper("tenth_upper_years").Says("its upper confidence limit; empty where it is open")),
		result.Number("departure_p", "", "p-value of an even decline against classes of years, by the same test; small = it is not even",
			func(r *DeclineRow) *column.Float { return &r.DepartureP }),
	},
	Warnings: func(r *DeclineRow) []stats.Warning { return r.Warnings },
}
