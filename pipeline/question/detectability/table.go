package detectability

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// ObserverRow is one row of results/observers: an observer, or all of them together,
// by one model of their detection probabilities.
type ObserverRow struct {
	Method, Stratum, Observer string
	Model                     string
	Selected                  column.Bool
	Finds, Seen, Alone, Both  column.Int
	Probability               result.Estimate // of detection
	OnLine                    result.Estimate // g(0), along lines
	FruitBodies               column.Float    // of all together, as the next two
	Present                   result.Estimate
	Chapman                   result.Estimate // finds, where two observers are all
	SightP                    column.Float
	Chao                      result.Estimate // finds, where three searched
	AIC, DeltaAIC, Weight     column.Float
	Warnings                  []stats.Warning
}

// PassRow is one row of results/passes: the catches of repeated passes and a removal
// estimate of what was present.
type PassRow struct {
	Method, Stratum, Estimator string
	Selected                   column.Bool
	Searches, Passes, Found    column.Int
	Catches                    string
	Probability                result.Estimate // of detection in a pass
	Together, Present          result.Estimate
	FitP                       column.Float
	Warnings                   []stats.Warning
}

// CorrectedRow is one row of results/corrected: a density as it was counted and
// corrected for imperfect detection.
type CorrectedRow struct {
	Method, Stratum, Years              string
	Units, Finds                        column.Int
	Counted                             result.Estimate
	Correction                          string
	Probability                         result.Estimate // of detection
	Corrected                           result.Estimate
	FromUnits, FromDistance, FromMissed column.Float // shares of the variance, percent
	Warnings                            []stats.Warning
}

var observersTable = result.Declaration[ObserverRow]{
	Name:  "observers",
	About: "what independent observers saw of what was there: one of them, or all together, by one model of their chances",
	Key: []result.Columns[ObserverRow]{
		result.Text("method", "plot, strip or line", func(r *ObserverRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *ObserverRow) *string { return &r.Stratum }),
		result.Text("observer", "who, or all together", func(r *ObserverRow) *string { return &r.Observer }),
		result.Text("model", "what the chance to see a find depends on", func(r *ObserverRow) *string { return &r.Model }),
	},
	Columns: []result.Columns[ObserverRow]{
		result.Truth("selected", "whether results/corrected rests on it", func(r *ObserverRow) *column.Bool { return &r.Selected }),
		result.Whole("finds", "", "finds made where two or more searched and it is known who saw them, the observer of the row among those who "+
			"searched; a group counts once", func(r *ObserverRow) *column.Int { return &r.Finds }),
		result.Whole("seen", "", "those the observer saw", func(r *ObserverRow) *column.Int { return &r.Seen }),
		result.Whole("seen_alone", "", "those nobody else saw", func(r *ObserverRow) *column.Int { return &r.Alone }),
		result.Whole("seen_by_several", "", "those that two or more saw", func(r *ObserverRow) *column.Int { return &r.Both }),
		result.EstimateOf(func(r *ObserverRow) *result.Estimate { return &r.Probability },
			result.Value("probability", "", "chance to see a find that was there; of all together, that one of those who searched saw it"),
			result.SE("probability_se").Says("its standard error"),
			result.Lower("probability_lower").Says("its lower confidence limit"),
			result.Upper("probability_upper").Says("its upper confidence limit")),
		result.EstimateOf(func(r *ObserverRow) *result.Estimate { return &r.OnLine },
			result.Value("on_the_line", "", "chance that one of them saw a find that lay on the line itself"),
			result.SE("on_the_line_se").Says("its standard error"),
			result.Lower("on_the_line_lower").Says("its lower confidence limit"),
			result.Upper("on_the_line_upper").Says("its upper confidence limit")),
		result.Number("fruit_bodies", "fruit bodies", "fruit bodies found where observers were named", func(r *ObserverRow) *column.Float { return &r.FruitBodies }),
		result.EstimateOf(func(r *ObserverRow) *result.Estimate { return &r.Present },
			result.Value("present", "fruit bodies", "fruit bodies that were there, those missed among them; groups may differ in their chance"),
			result.SE("present_se").Says("its standard error"),
			result.Lower("present_lower").Says("its lower confidence limit"),
			result.Upper("present_upper").Says("its upper confidence limit; empty where it is open")),
		result.EstimateOf(func(r *ObserverRow) *result.Estimate { return &r.Chapman },
			result.Value("chapman_finds", "", "finds that were there where both searched, by Chapman's estimator of two observers, for comparison"),
			result.Lower("chapman_lower").Says("its lower confidence limit"),
			result.Upper("chapman_upper").Says("its upper confidence limit")),
		result.Number("even_sight_p", "", "p-value of the test that finds alike in the model were equally easy to see, where three observers "+
			"searched, by how many of them saw each", func(r *ObserverRow) *column.Float { return &r.SightP }),
		result.EstimateOf(func(r *ObserverRow) *result.Estimate { return &r.Chao },
			result.Value("chao_finds", "", "Chao's lower bound of the finds that were there where three or more searched, whatever the differences between finds"),
			result.Lower("chao_lower").Says("its lower confidence limit"),
			result.Upper("chao_upper").Says("its upper confidence limit")),
		result.Number("confidence", "", "nominal level of the intervals", func(r *ObserverRow) *column.Float { return &r.Probability.Confidence }),
		result.Number("aic", "", "Akaike's information criterion; lower is better", func(r *ObserverRow) *column.Float { return &r.AIC }),
		result.Number("delta_aic", "", "AIC above that of the model selected", func(r *ObserverRow) *column.Float { return &r.DeltaAIC }),
		result.Number("akaike_weight", "", "share of the evidence among the models that could be selected", func(r *ObserverRow) *column.Float { return &r.Weight }),
	},
	Warnings: func(r *ObserverRow) []stats.Warning { return r.Warnings },
}

var passesTable = result.Declaration[PassRow]{
	Name:  "passes",
	About: "what repeated passes over units found, and what was there by one estimator",
	Key: []result.Columns[PassRow]{
		result.Text("method", "plot, strip or line", func(r *PassRow) *string { return &r.Method }),
		result.Text("stratum", "stratum, by its own catches, or all", func(r *PassRow) *string { return &r.Stratum }),
		result.Text("estimator", "zippin: maximum likelihood given the total, units pooled; carle-strub: weighted likelihood, beside it",
			func(r *PassRow) *string { return &r.Estimator }),
	},
	Columns: []result.Columns[PassRow]{
		result.Truth("selected", "whether it is the one that corrections by passes rest on", func(r *PassRow) *column.Bool { return &r.Selected }),
		result.Whole("searches", "", "searches of a unit on a day with two passes or more", func(r *PassRow) *column.Int { return &r.Searches }),
		result.Whole("passes", "", "most passes of a search", func(r *PassRow) *column.Int { return &r.Passes }),
		result.Text("catches", "fruit bodies found in the first pass of these searches, in the second and so on, divided by ;",
			func(r *PassRow) *string { return &r.Catches }),
		result.Whole("finds", "fruit bodies", "fruit bodies found in all searches, those of a single pass among them",
			func(r *PassRow) *column.Int { return &r.Found }),
		result.EstimateOf(func(r *PassRow) *result.Estimate { return &r.Probability },
			result.Value("probability", "", "chance to be found in one pass, of what is there when it begins"),
			result.SE("probability_se").Says("its standard error"),
			result.Lower("probability_lower").Says("its lower confidence limit"),
			result.Upper("probability_upper").Says("its upper confidence limit")),
		result.EstimateOf(func(r *PassRow) *result.Estimate { return &r.Together },
			result.Value("found_share", "", "share of what was there that all searches found"),
			result.Lower("found_share_lower").Says("its lower confidence limit"),
			result.Upper("found_share_upper").Says("its upper confidence limit")),
		result.EstimateOf(func(r *PassRow) *result.Estimate { return &r.Present },
			result.Value("present", "fruit bodies", "fruit bodies that were there, those missed among them"),
			result.SE("present_se").Says("its standard error"),
			result.Lower("present_lower").Says("its lower confidence limit"),
			result.Upper("present_upper").Says("its upper confidence limit; empty where it is open")),
		result.Number("confidence", "", "nominal level of the intervals", func(r *PassRow) *column.Float { return &r.Probability.Confidence }),
		result.Number("fit_p", "", "p-value of every pass having the same chance (chi-square); empty with two passes",
			func(r *PassRow) *column.Float { return &r.FitP }),
	},
	Warnings: func(r *PassRow) []stats.Warning { return r.Warnings },
}

var correctedTable = result.Declaration[CorrectedRow]{
	Name:  "corrected",
	About: "density of all target finds in one part of the survey area, as counted and corrected for imperfect detection",
	Key: []result.Columns[CorrectedRow]{
		result.Text("method", "plot, strip or line", func(r *CorrectedRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *CorrectedRow) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *CorrectedRow) *string { return &r.Years }),
	},
	Columns: []result.Columns[CorrectedRow]{
		result.Whole("units", "", "units searched, in seasons", func(r *CorrectedRow) *column.Int { return &r.Units }),
		result.Whole("finds", "fruit bodies", "fruit bodies that were counted", func(r *CorrectedRow) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *CorrectedRow) *result.Estimate { return &r.Counted },
			result.Value("counted_per_ha", "1/ha", "fruit bodies per hectare as in results/density; of lines, with detection on the line assumed to be certain"),
			result.Lower("counted_lower").Says("its lower confidence limit"),
			result.Upper("counted_upper").Says("its upper confidence limit")),
		result.Text("correction", "what it is made up by: observers, passes, or observers on the line", func(r *CorrectedRow) *string { return &r.Correction }),
		result.EstimateOf(func(r *CorrectedRow) *result.Estimate { return &r.Probability },
			result.Value("probability", "", "chance to be found: share of what was there that was counted; of lines, of what lay on the line"),
			result.SE("probability_se").Says("its standard error")),
		result.EstimateOf(func(r *CorrectedRow) *result.Estimate { return &r.Corrected },
			result.Value("density_per_ha", "1/ha", "fruit bodies per hectare, those missed among them"),
			result.SE("se").Says("its standard error, of units and of the chance to be found together"),
			result.CV().Says("standard error over density"),
			result.Lower("lower").Says("lower confidence limit"),
			result.Upper("upper").Says("upper confidence limit")),
		result.Number("confidence", "", "nominal level of the intervals", func(r *CorrectedRow) *column.Float { return &r.Counted.Confidence }),
		result.Text("interval", "how the limits were found", func(r *CorrectedRow) *string { return &r.Corrected.Interval }),
		result.Number("df", "", "degrees of freedom of the standard error", func(r *CorrectedRow) *column.Float { return &r.Corrected.DF }),
		result.Number("variance_units_percent", "percent", "share of the variance that comes from differences between units",
			func(r *CorrectedRow) *column.Float { return &r.FromUnits }),
		result.Number("variance_distance_percent", "percent", "share that comes from the detection function, along lines",
			func(r *CorrectedRow) *column.Float { return &r.FromDistance }),
		result.Number("variance_missed_percent", "percent", "share that comes from the chance to be found",
			func(r *CorrectedRow) *column.Float { return &r.FromMissed }),
	},
	Warnings: func(r *CorrectedRow) []stats.Warning { return r.Warnings },
}
