package report

import (
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// byDrawnSigns is a p-value with Wald's beside it.
func byDrawnSigns(p, wald float64) result.Tested {
	return result.Tested{P: column.Finite(p), PSE: column.Finite(math.Sqrt(p * (1 - p) / 2000)), Test: result.DrawnScores, WaldP: column.Finite(wald)}
}

// inventedModel is made up like all of the invented report.
func inventedModel() analyze.ModelAnswers {
	limited := func(value, lower, upper float64) analyze.Estimate {
		return analyze.Estimate{Value: column.Finite(value), Lower: column.Finite(lower), Upper: column.Finite(upper), Confidence: column.Finite(0.95), Interval: "log-t"}
	}
	yes := column.Bool{Value: true, Known: true}
	ageIsFire := stats.Warning{Code: "age-is-fire", Text: "each number of years since fire is a fire of its own, so that a difference between them may as well be one between the places"}
	none := stats.Warning{Code: stats.NoSecondFinds.Code, Text: "nothing was found of the second: the ratio has no value and no p-value"}
	contrast := func(comparison, years, mode, tree string, e analyze.Estimate, first, base int, p float64, w ...stats.Warning) analyze.ContrastRow {
		r := analyze.ContrastRow{Comparison: comparison, Method: analyze.PlotMethod, Years: years, Mode: mode, Tree: tree, Units: column.Count(162), Sites: column.Count(54),
			FirstFinds: column.Count(first), BaseFinds: column.Count(base), Estimate: e, Warnings: w}
		if p > 0 {
			r.Tested = byDrawnSigns(p, p)
			r.PAdjusted, r.Adjustment = column.Finite(min(1, 3*p)), "holm over 3 trees"
		}
		return r
	}
	return analyze.ModelAnswers{
		Fits: []analyze.ModelFitRow{{
			Method: analyze.PlotMethod, Family: "negative binomial", Terms: "mode + tree + years + mode:tree", Rows: column.Count(1620), Units: column.Count(162), Sites: column.Count(54), Fires: column.Count(3),
			Finds: column.Count(2011), LeftOut: column.Count(201), Coefficients: column.Count(14), K: column.Finite(0.41), KLower: column.Finite(0.33), KUpper: column.Finite(0.51), Confidence: column.Finite(0.95),
			LogLik: column.Finite(-1804.2), AIC: column.Finite(3638.4), PoissonAIC: column.Finite(7120.9), PoissonDispersion: column.Finite(7.31), Covariance: "CR2",
			Warnings: []stats.Warning{{Code: regress.EmptyCell.Code, Text: "nothing was found at mode saprotrophic, years unburned, so that its density is 0"}},
		}},
		Tests: []analyze.ModelTestRow{
			{Method: analyze.PlotMethod, Term: "mode", Kept: yes, DF: column.Count(1), F: column.Finite(9.1), DenDF: column.Finite(17.2), Tested: byDrawnSigns(0.011, 0.0077), LR: column.Finite(31.2), LRP: column.Finite(2e-8), PoissonP: column.Finite(1e-30)},
			{Method: analyze.PlotMethod, Term: "years", Kept: yes, DF: column.Count(3), Tested: byDrawnSigns(0.001, math.NaN()), LR: column.Finite(80.2), LRP: column.Finite(1e-16), PoissonP: column.Finite(1e-90), Warnings: []stats.Warning{ageIsFire}},
			{Method: analyze.PlotMethod, Term: "tree:years", Kept: column.Bool{Known: true}, Warnings: []stats.Warning{{Code: "too-few-finds", Text: "2011 finds are too few"}}},
		},
		Coefficients: []analyze.ModelRow{{Method: analyze.PlotMethod, Term: "mode", Level: "host-associated", Ratio: limited(0.61, 0.42, 0.9)}},
		Predicted: []analyze.PredictedRow{
			{Method: analyze.PlotMethod, Years: "1", Mode: survey.Saprotrophic, Tree: analyze.All, Units: column.Count(109), Finds: column.Count(812), Estimate: limited(372, 251, 552)},
			{Method: analyze.PlotMethod, Years: "1", Mode: survey.Saprotrophic, Tree: "grand fir", Units: column.Count(109), Finds: column.Count(140), Estimate: limited(64.2, 31, 133)},
		},
		Contrasts: []analyze.ContrastRow{
			contrast(analyze.HostToSapro, analyze.All, "", "grand fir", limited(0.44, 0.21, 0.93), 66, 140, 0.03),
			contrast(analyze.HostToSapro, analyze.All, "", "paper birch", limited(1.2, 0.7, 2.06), 181, 151, 0.5),
			contrast(analyze.HostToSapro, "1", "", analyze.All, limited(0.5, 0.3, 0.83), 406, 812, 0.009),
			contrast(analyze.HostToSapro, analyze.Unburned, "", analyze.All, analyze.Estimate{Lower: column.Finite(1.61), Confidence: column.Finite(0.95), Interval: "zero-count"}, 11, 0, 0, none),
			contrast("2 years since fire to 1 year since fire", "", survey.Saprotrophic, analyze.All, limited(0.31, 0.14, 0.69), 190, 812, 0.008, ageIsFire),
		},
		Declines: []analyze.DeclineRow{
			{Method: analyze.PlotMethod, Mode: analyze.All, FirstYears: column.Count(1), LastYears: column.Count(3), Ages: column.Count(3), Fires: column.Count(3), Units: column.Count(132), Sites: column.Count(44), Finds: column.Count(1990),
				PerYear: limited(0.41, 0.28, 0.6), Tested: byDrawnSigns(0.0005, 0.0004), Tenth: limited(2.58, 1.81, 4.51), DepartureP: column.Finite(0.62), Warnings: []stats.Warning{ageIsFire}},
			{Method: analyze.PlotMethod, Mode: survey.Saprotrophic, FirstYears: column.Count(1), LastYears: column.Count(3), Ages: column.Count(3), Fires: column.Count(3), Units: column.Count(132), Sites: column.Count(44), Finds: column.Count(1206),
				PerYear: limited(0.33, 0.21, 0.52), Tested: byDrawnSigns(0.0005, 0.0001), Tenth: limited(2.08, 1.48, 3.52), Warnings: []stats.Warning{ageIsFire}},
			{Method: analyze.PlotMethod, Mode: survey.HostAssociated, FirstYears: column.Count(1), LastYears: column.Count(3), Ages: column.Count(3), Fires: column.Count(3), Units: column.Count(132), Sites: column.Count(44), Finds: column.Count(784),
				PerYear: limited(0.8, 0.6, 1.07), Tested: byDrawnSigns(0.12, 0.11), Tenth: analyze.Estimate{Value: column.Finite(10.3), Lower: column.Finite(4.51)}, Warnings: []stats.Warning{{Code: regress.DeclineOpen.Code, Text: "the interval of the yearly factor holds 1"}, ageIsFire}},
		},
	}
}

// TestModelAnswers: each sentence names the effect, its interval and what it
// rests on.
func TestModelAnswers(t *testing.T) {
	got := strings.Join(allAnswers(inventedPage()), "\n")
	for _, want := range []string{
		"host-associated to saprotrophic fruit bodies at 0.440 by grand fir (0.210 to 0.930) and 1.20 by paper birch (0.70 to 2.06) (2,011 finds in 162 units of 54 sites, 3 years of fire",
		"1 of these intervals does not hold 1",
		"1.61 or more unburned, where no saprotrophic one was found",
		"the density of saprotrophic fruit bodies on plots is multiplied by 0.330 (95 % interval 0.210 to 0.520; 1,206 finds in 132 units of 44 sites, 3 years of fire, 1 to 3 years after fire)",
		"comes down to a tenth in 2.08 years (1.48 to 3.52)",
		"in 4.5 at the least; the interval holds 1, so that it may not fall at all",
		"Each number of years since fire is a fire of its own",
	} {
		if !strings.Contains(spaced(got), want) {
			t.Errorf("the answers lack %q:\n%s", want, spaced(got))
		}
	}
	p := inventedPage()
	p.Results.Model.Declines = []analyze.DeclineRow{{Method: analyze.PlotMethod, Mode: survey.Saprotrophic, FirstYears: column.Count(1), LastYears: column.Count(1), Warnings: []stats.Warning{{Code: "one-age", Text: "all burned units have the same years since fire"}}}}
	if got := strings.Join(allAnswers(p), "\n"); !strings.Contains(got, "All burned units have the same years since fire.") {
		t.Errorf("a decline that cannot be had has no reason:\n%s", got)
	}
}

// TestModelMethods: the page explains a model where there is one.
func TestModelMethods(t *testing.T) {
	with := section(t, inventedPage(), "methods")
	p := inventedPage()
	p.Results.Model = analyze.ModelAnswers{}
	p.Figures = nil
	without := section(t, p, "methods")
	for _, want := range []string{"The model of counts", "Bell & McCaffrey 2002", "Hemerik, Goeman & Finos 2020", "De Santis et al. 2025", "Haberman 1974", "Fieller 1954", "Venables & Ripley 2002"} {
		if !strings.Contains(with, want) || strings.Contains(without, want) {
			t.Errorf("%q: with a model %v, without %v", want, strings.Contains(with, want), strings.Contains(without, want))
		}
	}
}

// TestModelKinds holds the list of kinds to the doubts of the model.
func TestModelKinds(t *testing.T) {
	for _, code := range []string{
		stats.NoFinds.Code, stats.NoClumping.Code, regress.AliasedTerm.Code, regress.EmptyCell.Code, regress.NotEstimable.Code, stats.OneCluster.Code, regress.FewDF.Code, stats.FewClusters.Code,
		stats.TooWide.Code, regress.NoJointTest.Code, stats.NoSecondFinds.Code, stats.NoFirstFinds.Code, regress.NothingAtPlace.Code, stats.NoVariance.Code, regress.NoScoreTest.Code, regress.FewEffectiveClusters.Code, regress.DeclineOpen.Code, regress.NoDecline.Code,
		"age-is-fire", "one-fire", "two-ages", "one-age", "strata-within-years", "uncalled-left-out", "trees-unrecorded", "trees-gathered", "held-equal", "single-level", "too-few-finds", "term-without-parts", "model-not-fitted", "model-too-large",
	} {
		if _, ok := kinds[code]; !ok {
			t.Errorf("the report has no words for %q", code)
		}
	}
}
