package ratio

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// appendix has the ratios by other methods, by stratum, and by tree within years.
func (v view) appendix(u page.Units) []page.Part {
	var parts []page.Part
	for _, method := range []string{result.Plot, result.Strip, result.Line} {
		if method != v.method && len(v.rowsWhere(method, func(r Row) bool { return r.whole() && r.known() })) > 0 {
			rows := append(append(v.rowsWhere(method, Row.whole), v.byYears(method)...), v.byTree(method)...)
			parts = append(parts, page.Part{
				Title:   "By years since fire and tree, by " + page.Methods(method).Sentence(u),
				Figures: []*page.Figure{v.figure(u, method)},
				Tables:  []page.Table{v.tableOf("Host-associated to saprotrophic density ratio", "Years since fire, or nearest tree", method, rows)},
			})
		}
	}
	strata := v.rowsWhere(v.method, func(r Row) bool { return !fieldwork.OverStrata(r.Stratum) })
	within := v.rowsWhere(v.method, func(r Row) bool { return r.Years != result.All && r.Tree != result.All })
	for _, t := range []page.Table{
		v.tableOf("Host-associated to saprotrophic density ratio by stratum", "Stratum", v.method, page.Largest(v.comparison, strata, "base_finds")),
		v.tableOf("Host-associated to saprotrophic density ratio by tree within years since fire", "Tree and years since fire",
			v.method, page.Largest(v.comparison, within, "base_finds")),
	} {
		if len(t.Rows) > 0 {
			parts = append(parts, page.Part{Title: t.Head, Tables: []page.Table{t}})
		}
	}
	return append(parts, methods)
}

// methods says how the ratios are estimated and tested.
var methods = page.Part{
	Title: "How ratios of modes are estimated",
	Text: []page.Text{
		page.Say("Both modes are counted on the same units and share their soil and weather, so they are not compared as two samples. The " +
			"variance of the ratio of the two densities is by linearization of the differences within units, sites within strata, with degrees of " +
			"freedom by Satterthwaite’s rule. Its limits are by Student’s t on the log scale (“log-t”), those of a share on the logit scale " +
			"(“logit-t”). Where one kind was not found, or the variance cannot be estimated, they are the exact ones of a binomial count " +
			"(“binomial-exact”). These are too narrow for clumped fruit bodies."),
		page.Say("The test reported is a cluster-level sign-flip test: without a difference each site is as likely to have the one mode ahead as " +
			"the other. The p-value is the share of sign patterns whose sum is as far from zero as that observed. Where there are many patterns, a " +
			"sample of them is drawn. It rests on no variance and may disagree with the limits near significance; the test is then the one reported. " +
			"It assumes that both modes clump alike. Where one clumps far more, up to 9 of 100 tests at a level of 0.05 are significant without a difference."),
		page.Say("Along lines the test is Wald’s where the detection function depends on covariates. p-values of a family (strata, years since " +
			"fire, trees) are adjusted by Holm’s step-down method."),
		page.Say("A p-value says how well the data agree with a ratio of one. It does not say how large a difference is: the ratio and its " +
			"interval do. “Host-associated” is the crew’s judgement of where a find stood."),
	},
	Formulas: []string{"z = y₁ / D₁ - y₂ / D₂ of a unit,  limits: R exp(± t s)"},
	References: []string{
		"Binder, D. A. (1983). On the variances of asymptotically normal estimators from complex surveys. International Statistical Review 51, 279-292.",
		"Clopper, C. J. & Pearson, E. S. (1934). The use of confidence or fiducial limits illustrated in the case of the binomial. Biometrika 26, 404-413.",
		"Fisher, R. A. (1935). The Design of Experiments. Oliver & Boyd, Edinburgh.",
		"Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics 6, 65-70.",
		"Korn, E. L. & Graubard, B. I. (1999). Analysis of Health Surveys. Wiley, New York.",
		"Särndal, C.-E., Swensson, B. & Wretman, J. (1992). Model Assisted Survey Sampling. Springer, New York.",
		"Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics Bulletin 2, 110-114.",
	},
}
