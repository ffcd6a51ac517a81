package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// ModelRow is one row of results/model: a coefficient.
type ModelRow struct {
	Method, Term, Level string
	Coefficient, SE     column.Float // on the log scale
	Ratio               Estimate     // exp of it: a rate ratio, or of the constant a density
	DF, T               column.Float
	result.Tested
	PoissonLower column.Float // what the Poisson would have for limits, without clusters
	PoissonUpper column.Float
	Warnings     []stats.Warning
}

// ModelTestRow is one row of results/model_tests: a term.
type ModelTestRow struct {
	Method, Term  string
	Kept          column.Bool
	DF            column.Int
	F, DenDF      column.Float
	result.Tested // WaldP of F
	LR, LRP       column.Float
	PoissonP      column.Float // of the Poisson's likelihood ratio
	Warnings      []stats.Warning
}

// ModelFitRow is one row of results/model_fits: a whole model.
type ModelFitRow struct {
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
	Estimate
	DF       column.Float
	Warnings []stats.Warning
}

// ContrastRow is one row of results/contrasts.
type ContrastRow struct {
	Comparison, Method, Years, Mode, Tree string
	Units, Sites                          column.Int
	FirstFinds, BaseFinds                 column.Int
	Estimate
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
	PerYear               Estimate
	DF                    column.Float
	result.Tested
	Tenth      Estimate
	DepartureP column.Float
	Warnings   []stats.Warning
}

// The declarations of the model's tables.
var (
	ModelTable = column.Table[ModelRow]{
		Name:  "model",
		About: "a coefficient of the model of counts: by what factor density differs from the base, all else alike",
		Columns: slices.Concat([]column.Column[ModelRow]{
			text("method", "plot or strip", func(r *ModelRow) *string { return &r.Method }),
			text("term", "what the density depends on; a:b is what two have together beyond each; constant is the density where every term is at its base", func(r *ModelRow) *string { return &r.Term }),
			text("level", "the level held against the base, which is the first: saprotrophic, the tree first by name, the fewest years", func(r *ModelRow) *string { return &r.Level }),
			number("coefficient", "", "natural logarithm of the ratio", func(r *ModelRow) *column.Float { return &r.Coefficient }),
			number("se", "", "its standard error", func(r *ModelRow) *column.Float { return &r.SE }),
			number("ratio", "", "the ratio of densities; of the constant, fruit bodies per hectare", func(r *ModelRow) *column.Float { return &r.Ratio.Value }),
			number("lower", "", "lower confidence limit of the ratio", func(r *ModelRow) *column.Float { return &r.Ratio.Lower }),
			number("upper", "", "upper confidence limit of the ratio", func(r *ModelRow) *column.Float { return &r.Ratio.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *ModelRow) *column.Float { return &r.Ratio.Confidence }),
			text("interval", "how the limits were found", func(r *ModelRow) *string { return &r.Ratio.Interval }),
			number("df", "", "degrees of freedom behind the interval", func(r *ModelRow) *column.Float { return &r.DF }),
			number("t", "", "coefficient over standard error", func(r *ModelRow) *column.Float { return &r.T }),
		}, testedColumns("a ratio of 1", func(r *ModelRow) *result.Tested { return &r.Tested }), []column.Column[ModelRow]{
			number("poisson_lower", "", "lower limit if every fruit body came alone, to be held against: too near", func(r *ModelRow) *column.Float { return &r.PoissonLower }),
			number("poisson_upper", "", "upper limit if every fruit body came alone", func(r *ModelRow) *column.Float { return &r.PoissonUpper }),
			warned(func(r *ModelRow) []stats.Warning { return r.Warnings }),
		}),
	}

	ModelTestTable = column.Table[ModelTestRow]{
		Name:  "model_tests",
		About: "the test of a term: whether densities differ by it, beside the others",
		Columns: slices.Concat([]column.Column[ModelTestRow]{
			text("method", "plot or strip", func(r *ModelTestRow) *string { return &r.Method }),
			text("term", "what the density may depend on; without the terms that hold it whole", func(r *ModelTestRow) *string { return &r.Term }),
			{Field: column.Field{Name: "kept", Form: column.Truth, About: "whether the finds could carry it"}, At: func(r *ModelTestRow) any { return &r.Kept }},
			whole("df", "", "coefficients it stands for", func(r *ModelTestRow) *column.Int { return &r.DF }),
			number("f", "", "Wald's statistic by the covariance of the settings, of wald_p", func(r *ModelTestRow) *column.Float { return &r.F }),
			number("denominator_df", "", "its second degrees of freedom; empty = infinite", func(r *ModelTestRow) *column.Float { return &r.DenDF }),
		}, testedColumns("the term changing nothing", func(r *ModelTestRow) *result.Tested { return &r.Tested }), []column.Column[ModelTestRow]{
			number("likelihood_ratio", "", "likelihood-ratio statistic, which takes counts of a site for independent", func(r *ModelTestRow) *column.Float { return &r.LR }),
			number("likelihood_ratio_p", "", "its p-value by chi-square", func(r *ModelTestRow) *column.Float { return &r.LRP }),
			number("poisson_p", "", "the same if every fruit body came alone, to be held against: too small", func(r *ModelTestRow) *column.Float { return &r.PoissonP }),
			warned(func(r *ModelTestRow) []stats.Warning { return r.Warnings }),
		}),
	}

	ModelFitTable = column.Table[ModelFitRow]{
		Name:  "model_fits",
		About: "a fitted model of counts as a whole",
		Columns: []column.Column[ModelFitRow]{
			text("method", "plot or strip", func(r *ModelFitRow) *string { return &r.Method }),
			text("family", "negative binomial, or Poisson where the counts are no more clumped than chance", func(r *ModelFitRow) *string { return &r.Family }),
			text("terms", "what the density depends on", func(r *ModelFitRow) *string { return &r.Terms }),
			whole("rows", "", "counts: units in seasons by modes and trees", func(r *ModelFitRow) *column.Int { return &r.Rows }),
			whole("units", "", "units searched, in seasons", func(r *ModelFitRow) *column.Int { return &r.Units }),
			whole("sites", "", "independent groups of units", func(r *ModelFitRow) *column.Int { return &r.Sites }),
			whole("fires", "", "years of fire among the strata", func(r *ModelFitRow) *column.Int { return &r.Fires }),
			whole("finds", "fruit bodies", "fruit bodies in the counts", func(r *ModelFitRow) *column.Int { return &r.Finds }),
			whole("left_out", "fruit bodies", "fruit bodies left out, as nobody called their mode or tree", func(r *ModelFitRow) *column.Int { return &r.LeftOut }),
			whole("coefficients", "", "coefficients that could be fitted", func(r *ModelFitRow) *column.Int { return &r.Coefficients }),
			number("k", "", "clumping of the counts; empty where there is none to measure", func(r *ModelFitRow) *column.Float { return &r.K }),
			number("k_lower", "", "lower confidence limit of k", func(r *ModelFitRow) *column.Float { return &r.KLower }),
			number("k_upper", "", "upper confidence limit of k", func(r *ModelFitRow) *column.Float { return &r.KUpper }),
			number("confidence", "", "nominal level of the interval", func(r *ModelFitRow) *column.Float { return &r.Confidence }),
			number("log_likelihood", "", "maximum of the log-likelihood", func(r *ModelFitRow) *column.Float { return &r.LogLik }),
			number("aic", "", "Akaike's information criterion; lower is better", func(r *ModelFitRow) *column.Float { return &r.AIC }),
			number("poisson_aic", "", "that of the Poisson model of the same terms", func(r *ModelFitRow) *column.Float { return &r.PoissonAIC }),
			number("poisson_dispersion", "", "Pearson's chi-square of the Poisson model over its degrees of freedom; about 1 if every fruit body came alone", func(r *ModelFitRow) *column.Float { return &r.PoissonDispersion }),
			text("covariance", "how it is known how sure the coefficients are", func(r *ModelFitRow) *string { return &r.Covariance }),
			warned(func(r *ModelFitRow) []stats.Warning { return r.Warnings }),
		},
	}

	PredictedTable = column.Table[PredictedRow]{
		Name:  "predicted",
		About: "fruit bodies per hectare by the model of counts, strata weighed by their area",
		Columns: []column.Column[PredictedRow]{
			text("method", "plot or strip", func(r *PredictedRow) *string { return &r.Method }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *PredictedRow) *string { return &r.Years }),
			text("mode", "the crew's call of the mode", func(r *PredictedRow) *string { return &r.Mode }),
			text("tree", "species of the nearest tree, or all: their sum", func(r *PredictedRow) *string { return &r.Tree }),
			whole("units", "", "units searched, in seasons", func(r *PredictedRow) *column.Int { return &r.Units }),
			whole("finds", "fruit bodies", "fruit bodies of this mode and tree in them", func(r *PredictedRow) *column.Int { return &r.Finds }),
			number("density_per_ha", "1/ha", "fruit bodies per hectare by the model", func(r *PredictedRow) *column.Float { return &r.Value }),
			number("se", "1/ha", "its standard error", func(r *PredictedRow) *column.Float { return &r.SE }),
			number("lower", "1/ha", "lower confidence limit", func(r *PredictedRow) *column.Float { return &r.Lower }),
			number("upper", "1/ha", "upper confidence limit", func(r *PredictedRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *PredictedRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *PredictedRow) *string { return &r.Interval }),
			number("df", "", "degrees of freedom behind the interval", func(r *PredictedRow) *column.Float { return &r.DF }),
			warned(func(r *PredictedRow) []stats.Warning { return r.Warnings }),
		},
	}

	ContrastTable = column.Table[ContrastRow]{
		Name:  "contrasts",
		About: "the ratio of two densities of the model of counts",
		Columns: slices.Concat([]column.Column[ContrastRow]{
			text("comparison", "what is held against what", func(r *ContrastRow) *string { return &r.Comparison }),
			text("method", "plot or strip", func(r *ContrastRow) *string { return &r.Method }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all; empty where they are what is compared", func(r *ContrastRow) *string { return &r.Years }),
			text("mode", "the crew's call of the mode; empty where it is what is compared", func(r *ContrastRow) *string { return &r.Mode }),
			text("tree", "species of the nearest tree, or all", func(r *ContrastRow) *string { return &r.Tree }),
			whole("units", "", "units searched, in seasons", func(r *ContrastRow) *column.Int { return &r.Units }),
			whole("sites", "", "independent groups of them", func(r *ContrastRow) *column.Int { return &r.Sites }),
			whole("finds", "fruit bodies", "fruit bodies above the line of the ratio", func(r *ContrastRow) *column.Int { return &r.FirstFinds }),
			whole("base_finds", "fruit bodies", "fruit bodies below the line of the ratio", func(r *ContrastRow) *column.Int { return &r.BaseFinds }),
			number("ratio", "", "the ratio of the densities", func(r *ContrastRow) *column.Float { return &r.Value }),
			number("lower", "", "lower confidence limit", func(r *ContrastRow) *column.Float { return &r.Lower }),
			number("upper", "", "upper confidence limit", func(r *ContrastRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *ContrastRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *ContrastRow) *string { return &r.Interval }),
			number("df", "", "degrees of freedom behind the interval", func(r *ContrastRow) *column.Float { return &r.DF }),
		}, testedColumns("a ratio of 1", func(r *ContrastRow) *result.Tested { return &r.Tested }), []column.Column[ContrastRow]{
			number("p_adjusted", "", "the same, adjusted for the number of comparisons in the family", func(r *ContrastRow) *column.Float { return &r.PAdjusted }),
			text("adjustment", "how p was adjusted, and over which family", func(r *ContrastRow) *string { return &r.Adjustment }),
			warned(func(r *ContrastRow) []stats.Warning { return r.Warnings }),
		}),
	}

	DeclineTable = column.Table[DeclineRow]{
		Name:  "decline",
		About: "how density falls with the years since fire, by the same factor each year",
		Columns: slices.Concat([]column.Column[DeclineRow]{
			text("method", "plot or strip", func(r *DeclineRow) *string { return &r.Method }),
			text("mode", "the crew's call of the mode, or all", func(r *DeclineRow) *string { return &r.Mode }),
			whole("first_years", "", "fewest years since fire", func(r *DeclineRow) *column.Int { return &r.FirstYears }),
			whole("last_years", "", "most years since fire", func(r *DeclineRow) *column.Int { return &r.LastYears }),
			whole("ages", "", "different years since fire", func(r *DeclineRow) *column.Int { return &r.Ages }),
			whole("fires", "", "different years of fire", func(r *DeclineRow) *column.Int { return &r.Fires }),
			whole("units", "", "units searched on burned land, in seasons", func(r *DeclineRow) *column.Int { return &r.Units }),
			whole("sites", "", "independent groups of them", func(r *DeclineRow) *column.Int { return &r.Sites }),
			whole("finds", "fruit bodies", "fruit bodies of the mode in them", func(r *DeclineRow) *column.Int { return &r.Finds }),
			number("ratio_per_year", "", "density of one year over that of the year before", func(r *DeclineRow) *column.Float { return &r.PerYear.Value }),
			number("lower", "", "lower confidence limit of the ratio", func(r *DeclineRow) *column.Float { return &r.PerYear.Lower }),
			number("upper", "", "upper confidence limit of the ratio", func(r *DeclineRow) *column.Float { return &r.PerYear.Upper }),
			number("confidence", "", "nominal level of the intervals", func(r *DeclineRow) *column.Float { return &r.PerYear.Confidence }),
			text("interval", "how the limits were found", func(r *DeclineRow) *string { return &r.PerYear.Interval }),
			number("df", "", "degrees of freedom behind the interval", func(r *DeclineRow) *column.Float { return &r.DF }),
		}, testedColumns("no change", func(r *DeclineRow) *result.Tested { return &r.Tested }), []column.Column[DeclineRow]{
			number("tenth_years", "year", "years in which the density falls to a tenth", func(r *DeclineRow) *column.Float { return &r.Tenth.Value }),
			number("tenth_lower_years", "year", "its lower confidence limit", func(r *DeclineRow) *column.Float { return &r.Tenth.Lower }),
			number("tenth_upper_years", "year", "its upper confidence limit; empty where it is open", func(r *DeclineRow) *column.Float { return &r.Tenth.Upper }),
			number("departure_p", "", "p-value of an even decline against classes of years, by the same test; small = it is not even", func(r *DeclineRow) *column.Float { return &r.DepartureP }),
			warned(func(r *DeclineRow) []stats.Warning { return r.Warnings }),
		}),
	}
)
