package model

import (
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// appendix is what the appendix has beside the full tables.
func (v view) appendix(u page.Units) []page.Part {
	main := page.Part{Title: "Terms of the count model", Tables: []page.Table{v.testTable(v.method())}}
	if v.fits[v.main].K.Known {
		main.Text = []page.Text{v.dispersion()}
	}
	parts := []page.Part{main}
	if f := v.declineFigure(u, v.method()); f != nil {
		parts = append(parts, page.Part{Title: "Trend with years since fire", Figures: []*page.Figure{f}, Tables: []page.Table{v.declineTable(v.method())}})
	}
	for row, r := range v.fits {
		if row != v.main && r.Coefficients.Known && r.Finds.Value > 0 {
			parts = append(parts, v.otherMethod(u, row))
		}
	}
	return append(parts, v.methods()...)
}

// otherMethod is what a method says that the report does not speak of.
func (v view) otherMethod(u page.Units, row int) page.Part {
	method := v.fits[row].Method
	part := page.Part{Title: "Count model by " + page.Methods(method).Sentence(u), Text: []page.Text{v.restsOn(row)}}
	if at := v.declineRow(method, result.All); at >= 0 {
		part.Text = append(part.Text, v.declineFinding(at))
	}
	for _, f := range []*page.Figure{v.predictedFigure(u, method), v.declineFigure(u, method)} {
		if f != nil {
			part.Figures = append(part.Figures, f)
		}
	}
	if t := v.ratioTable(method); t != nil {
		part.Tables = append(part.Tables, *t)
	}
	return part
}

// dispersion gives the overdispersion of the counts.
func (v view) dispersion() page.Text {
	cell := func(column string) result.Cell { return v.fitOf.Cell(v.main, column) }
	text := page.Say("Clumping parameter k of the negative binomial: %v", cell("k"))
	if lower, upper := cell("k_lower"), cell("k_upper"); lower.Known() && upper.Known() {
		text = page.Say("%v (%v to %v)", text, lower, upper)
	}
	if aic, poisson := cell("aic"), cell("poisson_aic"); aic.Known() && poisson.Known() {
		return page.Say("%v. AIC %v, that of the Poisson model %v.", text, aic, poisson)
	}
	return page.Say("%v.", text)
}

func (v view) testTable(method string) page.Table {
	t := page.Table{
		Caption: page.Say("Tests of the terms of the count model, %v", page.Methods(method)),
		Of:      v.testOf, Head: "Term", Label: func(row int) page.Text { return page.Say("%v", v.tests[row].Term) },
		Columns: []page.Column{
			{Head: "In the model", Name: "kept"}, {Head: "df", Name: "df"}, {Head: "p", Name: "p"}, {Head: "Wald p", Name: "wald_p"},
			{Head: "Likelihood-ratio p", Name: "likelihood_ratio_p"}, {Head: "Poisson p", Name: "poisson_p"},
		},
		Below: []page.Text{page.Say("A term is tested beside all others except interactions that contain it. The likelihood-ratio tests assume " +
			"independent counts within sites, and that of the Poisson model also no overdispersion: their p-values are too small, and are given to show by how much.")},
	}
	for i, r := range v.tests {
		if r.Method == method {
			t.Rows = append(t.Rows, i)
		}
	}
	return t
}

func (v view) declineTable(method string) page.Table {
	t := page.Table{
		Caption: page.Say("Ratio of density from one year since fire to the next, %v", page.Methods(method)),
		Of:      v.declineOf, Head: "Mode",
		Label: func(row int) page.Text {
			if v.declines[row].Mode == result.All {
				return page.Say("both modes")
			}
			return page.Say("%v", v.declines[row].Mode)
		},
		Columns: []page.Column{
			{Head: "Finds", Name: "finds"}, {Head: "Sites", Name: "sites"}, {Head: "Ratio per year", Name: "ratio_per_year"}, {Head: "p", Name: "p"},
			{Head: "Time to a tenth", Name: "tenth_years"}, {Head: "p of departure from the trend", Name: "departure_p"},
		},
		Strong: func(row int) bool { return v.declines[row].Mode == result.All },
	}
	for i, r := range v.declines {
		if r.Method == method {
			t.Rows = append(t.Rows, i)
		}
	}
	return t
}

// methods says how the model is fitted and what is read from it.
func (v view) methods() []page.Part {
	model := page.Part{
		Title: "How the count model is fitted",
		Text: []page.Text{
			page.Say("Each unit-season has one count for each mode and tree, zeros included. Counts are negative binomial with a log link and the " +
				"area searched as offset; coefficients and clumping are estimated by maximum likelihood. Finds whose mode or tree was not called are " +
				"left out. A term is left out, with its reason, where it has a single level, where other terms determine it, or where there are under " +
				"five finds for each coefficient. A level without finds has density 0 with an upper limit."),
		},
		Formulas: []string{"μ = a exp(x′β),  var = μ + μ²/k"},
		References: []string{
			"Haberman, S. J. (1974). The Analysis of Frequency Data. University of Chicago Press.",
			"Lawless, J. F. (1987). Negative binomial and mixed Poisson regression. Canadian Journal of Statistics 15, 209-225.",
			"Venables, W. N. & Ripley, B. D. (2002). Modern Applied Statistics with S, 4th ed. Springer.",
			"Vittinghoff, E. & McCulloch, C. E. (2007). Relaxing the rule of ten events per variable in logistic and Cox regression. American " +
				"Journal of Epidemiology 165, 710-718.",
		},
	}
	switch v.fits[v.main].Covariance {
	case survey.CR2:
		model.Text = append(model.Text, page.Say("The covariance is cluster-robust over sites by bias-reduced linearization (CR2), with "+
			"Satterthwaite degrees of freedom and Hotelling’s test of several coefficients. Squares of clumped counts are very uneven. The degrees "+
			"of freedom are therefore at most one and a half times the effective number of sites."))
		model.References = append(model.References,
			"Bell, R. M. & McCaffrey, D. F. (2002). Bias reduction in standard errors for linear regression with multi-stage samples. Survey Methodology 28, 169-181.",
			"Pustejovsky, J. E. & Tipton, E. (2018). Small-sample methods for cluster-robust variance estimation and hypothesis testing in fixed "+
				"effects models. Journal of Business & Economic Statistics 36, 672-683.")
	case survey.CR1:
		model.Text = append(model.Text, page.Say("The covariance is cluster-robust over sites (CR1)."))
		model.References = append(model.References, "Liang, K.-Y. & Zeger, S. L. (1986). Longitudinal data analysis using generalized linear "+
			"models. Biometrika 73, 13-22.")
	default:
		model.Text = append(model.Text, page.Say("Covariance and p-values are those of the likelihood, which assumes independent counts, by the settings."))
		return []page.Part{model, estimates}
	}
	return []page.Part{model, tests, estimates}
}

var tests = page.Part{
	Title: "How the terms of the count model are tested",
	Text: []page.Text{
		page.Say("P-values are those of a cluster-level sign-flip score test. The model is fitted under the null hypothesis; each site " +
			"contributes its effective score, whose sign is as likely to be one as the other. P is the share of sign vectors whose standardized " +
			"score is at least as extreme as the one observed. Where there are many, a random sample of them is taken. It can be computed for levels " +
			"without finds, and is conservative where few sites contribute. Where one mode is far more clumped than the other, it may be too small."),
		page.Say("Intervals are Wald’s. Where interval and p-value disagree, the p-value says whether there is a difference. P-values of a " +
			"family of comparisons are adjusted."),
	},
	References: []string{
		"De Santis, R., Goeman, J. J., Hemerik, J., Davenport, S. & Finos, L. (2025). Inference in generalized linear models with robustness to " +
			"misspecified variances. Journal of the American Statistical Association.",
		"Hemerik, J., Goeman, J. J. & Finos, L. (2020). Robust testing in generalized linear models by sign flipping score contributions. Journal " +
			"of the Royal Statistical Society, Series B 82, 841-864.",
		"Kline, P. & Santos, A. (2012). A score based approach to wild bootstrap inference. Journal of Econometric Methods 1, 23-41.",
	},
}

var estimates = page.Part{
	Title: "What is estimated by the count model",
	Text: []page.Text{
		page.Say("A predicted density is the sum over its trees, averaged over strata by area. Its limits, and those of the ratio of two, are " +
			"symmetric on the log scale."),
		page.Say("The decline has the years since fire as a number, on burned strata alone and without the term for strata. The time to a tenth " +
			"is log 10 over the slope; its limits are those of the slope, inverted, and one of them may not exist. A model of this kind shows association, not cause."),
	},
	Formulas:   []string{"D(t) = D(0) exp(β t),  ratio per year = exp(β),  time to a tenth = −log(10)/β"},
	References: []string{"Fieller, E. C. (1954). Some problems in interval estimation. Journal of the Royal Statistical Society, Series B 16, 175-185."},
}
