package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// ObserverRow is one row of results/observers: an observer, or all of them
// together, by one model of their chances to see.
type ObserverRow struct {
	Method, Stratum, Observer string
	Model                     string
	Selected                  column.Bool
	Finds, Seen, Alone, Both  column.Int
	Chance                    Estimate
	OnLine                    Estimate     // along lines
	FruitBodies               column.Float // of all together, as the next two
	Present                   Estimate
	Chapman                   Estimate // finds, where two observers are all
	SightP                    column.Float
	Chao                      Estimate // finds, where three searched
	AIC, DeltaAIC, Weight     column.Float
	Warnings                  []stats.Warning
}

// PassRow is one row of results/passes: the catches of repeated passes and an
// estimate of what was there.
type PassRow struct {
	Method, Stratum, Estimator string
	Selected                   column.Bool
	Searches, Passes, Found    column.Int
	Catches                    string
	Chance, Together, Present  Estimate
	FitP                       column.Float
	Warnings                   []stats.Warning
}

// CorrectedRow is one row of results/corrected: a density as it was counted and
// made up for what was missed.
type CorrectedRow struct {
	Method, Stratum, Years              string
	Units, Finds                        column.Int
	Counted                             Estimate
	Correction                          string
	Chance                              Estimate
	Corrected                           Estimate
	DF                                  column.Float
	FromUnits, FromDistance, FromMissed column.Float // shares of the variance, percent
	Warnings                            []stats.Warning
}

// SeenShares are the shares of what was there that observers saw, for a figure.
type SeenShares struct {
	Method    string
	Observers []SeenShare // each, with the share seen of all
	Together  SeenShare
	Alone     []float64 // finds seen by each and nobody else
	Both      float64   // finds seen by two or more
	Unseen    float64   // finds that nobody saw, estimated from those above; NaN if they cannot be
	Lower     float64   // its limits
	Upper     float64   // NaN where it is open
}

// SeenShare is the chance of an observer to see a find.
type SeenShare struct {
	Observer            string
	Finds               int
	Value, Lower, Upper float64
}

// The declarations of the result tables of what was missed.
var (
	ObserversTable = column.Table[ObserverRow]{
		Name:  "observers",
		About: "what independent observers saw of what was there: one of them, or all together, by one model of their chances",
		Columns: []column.Column[ObserverRow]{
			text("method", "plot, strip or line", func(r *ObserverRow) *string { return &r.Method }),
			text("stratum", overStrata, func(r *ObserverRow) *string { return &r.Stratum }),
			text("observer", "who, or all together", func(r *ObserverRow) *string { return &r.Observer }),
			text("model", "what the chance to see a find depends on", func(r *ObserverRow) *string { return &r.Model }),
			{Field: column.Field{Name: "selected", Form: column.Truth, About: "whether results/corrected rests on it"}, At: func(r *ObserverRow) any { return &r.Selected }},
			whole("finds", "", "finds made where two or more searched and it is known who saw them, the observer of the row among those who searched; a group counts once", func(r *ObserverRow) *column.Int { return &r.Finds }),
			whole("seen", "", "those the observer saw", func(r *ObserverRow) *column.Int { return &r.Seen }),
			whole("seen_alone", "", "those nobody else saw", func(r *ObserverRow) *column.Int { return &r.Alone }),
			whole("seen_by_several", "", "those that two or more saw", func(r *ObserverRow) *column.Int { return &r.Both }),
			number("probability", "", "chance to see a find that was there; of all together, that one of those who searched saw it", func(r *ObserverRow) *column.Float { return &r.Chance.Value }),
			number("probability_se", "", "its standard error", func(r *ObserverRow) *column.Float { return &r.Chance.SE }),
			number("probability_lower", "", "its lower confidence limit", func(r *ObserverRow) *column.Float { return &r.Chance.Lower }),
			number("probability_upper", "", "its upper confidence limit", func(r *ObserverRow) *column.Float { return &r.Chance.Upper }),
			number("on_the_line", "", "chance that one of them saw a find that lay on the line itself", func(r *ObserverRow) *column.Float { return &r.OnLine.Value }),
			number("on_the_line_se", "", "its standard error", func(r *ObserverRow) *column.Float { return &r.OnLine.SE }),
			number("on_the_line_lower", "", "its lower confidence limit", func(r *ObserverRow) *column.Float { return &r.OnLine.Lower }),
			number("on_the_line_upper", "", "its upper confidence limit", func(r *ObserverRow) *column.Float { return &r.OnLine.Upper }),
			number("fruit_bodies", "fruit bodies", "fruit bodies found where observers were named", func(r *ObserverRow) *column.Float { return &r.FruitBodies }),
			number("present", "fruit bodies", "fruit bodies that were there, those missed among them; groups may differ in their chance", func(r *ObserverRow) *column.Float { return &r.Present.Value }),
			number("present_se", "fruit bodies", "its standard error", func(r *ObserverRow) *column.Float { return &r.Present.SE }),
			number("present_lower", "fruit bodies", "its lower confidence limit", func(r *ObserverRow) *column.Float { return &r.Present.Lower }),
			number("present_upper", "fruit bodies", "its upper confidence limit; empty where it is open", func(r *ObserverRow) *column.Float { return &r.Present.Upper }),
			number("chapman_finds", "", "finds that were there where both searched, by Chapman's estimator of two observers, for comparison", func(r *ObserverRow) *column.Float { return &r.Chapman.Value }),
			number("chapman_lower", "", "its lower confidence limit", func(r *ObserverRow) *column.Float { return &r.Chapman.Lower }),
			number("chapman_upper", "", "its upper confidence limit", func(r *ObserverRow) *column.Float { return &r.Chapman.Upper }),
			number("even_sight_p", "", "p-value of the test that finds alike in the model were equally easy to see, where three observers searched, by how many of them saw each", func(r *ObserverRow) *column.Float { return &r.SightP }),
			number("chao_finds", "", "Chao's lower bound of the finds that were there where three or more searched, whatever the differences between finds", func(r *ObserverRow) *column.Float { return &r.Chao.Value }),
			number("chao_lower", "", "its lower confidence limit", func(r *ObserverRow) *column.Float { return &r.Chao.Lower }),
			number("chao_upper", "", "its upper confidence limit", func(r *ObserverRow) *column.Float { return &r.Chao.Upper }),
			number("confidence", "", "nominal level of the intervals", func(r *ObserverRow) *column.Float { return &r.Chance.Confidence }),
			number("aic", "", "Akaike's information criterion; lower is better", func(r *ObserverRow) *column.Float { return &r.AIC }),
			number("delta_aic", "", "AIC above that of the model selected", func(r *ObserverRow) *column.Float { return &r.DeltaAIC }),
			number("akaike_weight", "", "share of the evidence among the models that could be selected", func(r *ObserverRow) *column.Float { return &r.Weight }),
			warned(func(r *ObserverRow) []stats.Warning { return r.Warnings }),
		},
	}

	PassesTable = column.Table[PassRow]{
		Name:  "passes",
		About: "what repeated passes over units found, and what was there by one estimator",
		Columns: []column.Column[PassRow]{
			text("method", "plot, strip or line", func(r *PassRow) *string { return &r.Method }),
			text("stratum", "stratum, by its own catches, or all", func(r *PassRow) *string { return &r.Stratum }),
			text("estimator", "zippin: maximum likelihood given the total, units pooled; carle-strub: weighted likelihood, beside it", func(r *PassRow) *string { return &r.Estimator }),
			{Field: column.Field{Name: "selected", Form: column.Truth, About: "whether it is the one that corrections by passes rest on"}, At: func(r *PassRow) any { return &r.Selected }},
			whole("searches", "", "searches of a unit on a day with two passes or more", func(r *PassRow) *column.Int { return &r.Searches }),
			whole("passes", "", "most passes of a search", func(r *PassRow) *column.Int { return &r.Passes }),
			text("catches", "fruit bodies found in the first pass of these searches, in the second and so on, divided by ;", func(r *PassRow) *string { return &r.Catches }),
			whole("finds", "fruit bodies", "fruit bodies found in all searches, those of a single pass among them", func(r *PassRow) *column.Int { return &r.Found }),
			number("probability", "", "chance to be found in one pass, of what is there when it begins", func(r *PassRow) *column.Float { return &r.Chance.Value }),
			number("probability_se", "", "its standard error", func(r *PassRow) *column.Float { return &r.Chance.SE }),
			number("probability_lower", "", "its lower confidence limit", func(r *PassRow) *column.Float { return &r.Chance.Lower }),
			number("probability_upper", "", "its upper confidence limit", func(r *PassRow) *column.Float { return &r.Chance.Upper }),
			number("found_share", "", "share of what was there that all searches found", func(r *PassRow) *column.Float { return &r.Together.Value }),
			number("found_share_lower", "", "its lower confidence limit", func(r *PassRow) *column.Float { return &r.Together.Lower }),
			number("found_share_upper", "", "its upper confidence limit", func(r *PassRow) *column.Float { return &r.Together.Upper }),
			number("present", "fruit bodies", "fruit bodies that were there, those missed among them", func(r *PassRow) *column.Float { return &r.Present.Value }),
			number("present_se", "fruit bodies", "its standard error", func(r *PassRow) *column.Float { return &r.Present.SE }),
			number("present_lower", "fruit bodies", "its lower confidence limit", func(r *PassRow) *column.Float { return &r.Present.Lower }),
			number("present_upper", "fruit bodies", "its upper confidence limit; empty where it is open", func(r *PassRow) *column.Float { return &r.Present.Upper }),
			number("confidence", "", "nominal level of the intervals", func(r *PassRow) *column.Float { return &r.Chance.Confidence }),
			number("fit_p", "", "p-value of every pass having the same chance (chi-square); empty with two passes", func(r *PassRow) *column.Float { return &r.FitP }),
			warned(func(r *PassRow) []stats.Warning { return r.Warnings }),
		},
	}

	CorrectedTable = column.Table[CorrectedRow]{
		Name:  "corrected",
		About: "fruit bodies per hectare of all target finds on one part of the land, as counted and made up for what was missed",
		Columns: []column.Column[CorrectedRow]{
			text("method", "plot, strip or line", func(r *CorrectedRow) *string { return &r.Method }),
			text("stratum", overStrata, func(r *CorrectedRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *CorrectedRow) *string { return &r.Years }),
			whole("units", "", "units searched, in seasons", func(r *CorrectedRow) *column.Int { return &r.Units }),
			whole("finds", "fruit bodies", "fruit bodies that were counted", func(r *CorrectedRow) *column.Int { return &r.Finds }),
			number("counted_per_ha", "1/ha", "fruit bodies per hectare as in results/density; of lines, with all on the line taken for found", func(r *CorrectedRow) *column.Float { return &r.Counted.Value }),
			number("counted_lower", "1/ha", "its lower confidence limit", func(r *CorrectedRow) *column.Float { return &r.Counted.Lower }),
			number("counted_upper", "1/ha", "its upper confidence limit", func(r *CorrectedRow) *column.Float { return &r.Counted.Upper }),
			text("correction", "what it is made up by: observers, passes, or observers on the line", func(r *CorrectedRow) *string { return &r.Correction }),
			number("probability", "", "chance to be found: share of what was there that was counted; of lines, of what lay on the line", func(r *CorrectedRow) *column.Float { return &r.Chance.Value }),
			number("probability_se", "", "its standard error", func(r *CorrectedRow) *column.Float { return &r.Chance.SE }),
			number("density_per_ha", "1/ha", "fruit bodies per hectare, those missed among them", func(r *CorrectedRow) *column.Float { return &r.Corrected.Value }),
			number("se", "1/ha", "its standard error, of units and of the chance to be found together", func(r *CorrectedRow) *column.Float { return &r.Corrected.SE }),
			number("cv", "", "standard error over density", func(r *CorrectedRow) *column.Float { return &r.Corrected.CV }),
			number("lower", "1/ha", "lower confidence limit", func(r *CorrectedRow) *column.Float { return &r.Corrected.Lower }),
			number("upper", "1/ha", "upper confidence limit", func(r *CorrectedRow) *column.Float { return &r.Corrected.Upper }),
			number("confidence", "", "nominal level of the intervals", func(r *CorrectedRow) *column.Float { return &r.Counted.Confidence }),
			text("interval", "how the limits were found", func(r *CorrectedRow) *string { return &r.Corrected.Interval }),
			number("df", "", "degrees of freedom of the standard error", func(r *CorrectedRow) *column.Float { return &r.DF }),
			number("variance_units_percent", "percent", "share of the variance that comes from differences between units", func(r *CorrectedRow) *column.Float { return &r.FromUnits }),
			number("variance_distance_percent", "percent", "share that comes from the detection function, along lines", func(r *CorrectedRow) *column.Float { return &r.FromDistance }),
			number("variance_missed_percent", "percent", "share that comes from the chance to be found", func(r *CorrectedRow) *column.Float { return &r.FromMissed }),
			warned(func(r *CorrectedRow) []stats.Warning { return r.Warnings }),
		},
	}
)
