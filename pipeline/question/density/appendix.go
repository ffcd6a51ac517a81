package density

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// appendix is what the appendix has beside the full table.
func (v view) appendix(u page.Units) []page.Part {
	var parts []page.Part
	if years := v.byYears(); len(years.Rows) > 0 {
		parts = append(parts, page.Part{Title: "By years since fire", Tables: []page.Table{years}})
	}
	if taxa := v.byTaxon(); len(taxa.Rows) > 1 {
		parts = append(parts, page.Part{Title: "By taxon", Tables: []page.Table{taxa}})
	}
	return append(parts, methods)
}

// byYears has the strata of each class of years since fire together.
func (v view) byYears() page.Table {
	return page.Table{
		Caption: page.Say("Density by years since fire"), Of: v.density, Head: "Years since fire and method",
		Label: func(row int) page.Text {
			return page.Say("%v, %v", page.YearsSinceFire(v.density.Cell(row, "years_since_fire")), page.Methods(v.rows[row].Method))
		},
		Columns: columns,
		Rows: v.rowsWhere(func(r Row) bool {
			return fieldwork.OverStrata(r.Stratum) && r.Years != result.All && r.allFinds() && r.Density.Value.Known
		}),
	}
}

// byTaxon has each target taxon over strata.
func (v view) byTaxon() page.Table {
	return page.Table{
		Caption: page.Say("Density by taxon, over strata, by %v", page.Methods(v.method)), Of: v.density, Head: "Taxon",
		Label: func(row int) page.Text { return page.Name(v.rows[row].Taxon) }, Columns: columns,
		Rows: page.Largest(v.density, v.rowsWhere(func(r Row) bool {
			return r.Method == v.method && fieldwork.OverStrata(r.Stratum) && r.Years == result.All && r.Mode == result.All && r.Tree == result.All && r.Taxon != result.All
		}), "finds"),
	}
}

// modeTables has each mode by tree over all years, by a method.
func (v view) modeTables(method string) []page.Table {
	t := page.Table{
		Caption: page.Say("Density by mode and tree, over strata, by %v", page.Methods(method)), Of: v.density, Head: "Mode and tree",
		Label: func(row int) page.Text {
			r := v.rows[row]
			return page.Say("%v, %v", r.Mode, page.Name(treeName(r.Tree)))
		},
		Columns: columns,
	}
	t.Rows = page.Largest(v.density, v.rowsWhere(func(r Row) bool {
		return r.Method == method && fieldwork.OverStrata(r.Stratum) && r.Years == result.All && r.Mode != result.All && r.Tree != result.All && r.Taxon == result.All
	}), "finds")
	return []page.Table{t}
}

// methods says how densities are estimated.
var methods = page.Part{
	Title: "How densities are estimated",
	Text: []page.Text{
		page.Say("The density in a stratum is its finds over the horizontal area searched, units without finds included. Its variance is that of " +
			"a ratio by linearization over sites: the units of a site are taken together. Where more than a twentieth of a stratum was searched, the " +
			"finite population correction applies. Strip transects laid out in sequence may have a variance by successive differences (setting density.systematic)."),
		page.Say("Strata are weighted by their areas, with degrees of freedom by Satterthwaite’s rule. A unit searched in several seasons has " +
			"the mean of a season; its ground counts once. A stratum with a single unit or site is collapsed with another for the variance."),
		page.Say("Setting density.interval chooses the limits. “model-averaged” averages the tail probabilities of several models of the " +
			"counts, weighted by their likelihood. Simulated surveys of known density set how large that average is at a limit. The models are the negative binomial, the zero-inflated negative binomial and the Poisson-lognormal. " +
			"The limits “nb-profile” are the profile likelihood of the negative binomial. Those of “log-t” and “t” rest on the standard " +
			"error and Student’s t. Those of “bca” and “bootstrap-t” resample sites. Those of “empirical-likelihood” reweight the counts."),
		page.Say("Where nothing was found, or all units have the same count, limits are the exact ones of a Poisson count, which are too narrow " +
			"for clumped fruit bodies. Limits of several strata together are those of the strata, combined by the method of variance estimates " +
			"recovery (MOVER), where the models of the counts do not give them."),
		page.Say("Adaptive cluster plots are estimated by the networks that the drawn plots met (Horvitz-Thompson or Hansen-Hurwitz). Densities " +
			"along lines rest on the detection function of all finds along lines."),
		page.Say("A fruit body that a crew walked past, that had not come up or had gone is in no count: the density is of what was counted."),
	},
	Formulas: []string{"D = Σ W D,  D = Σ y / Σ a in a stratum,  v = m / (m - 1) Σ (y - D a)² / (Σ a)²", "log-t limits: D exp(± t √(log(1 + cv²)))"},
	References: []string{
		"Burnham, K. P., Anderson, D. R., White, G. C., Brownie, C. & Pollock, K. H. (1987). Design and analysis methods for fish survival " +
			"experiments based on release-recapture. American Fisheries Society Monograph 5.",
		"Cochran, W. G. (1977). Sampling Techniques, 3rd ed. Wiley.",
		"Davison, A. C. & Hinkley, D. V. (1997). Bootstrap Methods and their Application. Cambridge University Press.",
		"Efron, B. (1987). Better bootstrap confidence intervals. Journal of the American Statistical Association 82, 171-185.",
		"Fewster, R. M., Buckland, S. T., Burnham, K. P., Borchers, D. L., Jupp, P. E., Laake, J. L. & Thomas, L. (2009). Estimating the " +
			"encounter rate variance in distance sampling. Biometrics 65, 225-236.",
		"Fletcher, D. & Turek, D. (2012). Model-averaged profile likelihood intervals. Journal of Agricultural, Biological, and Environmental Statistics 17, 38-51.",
		"Garwood, F. (1936). Fiducial limits for the Poisson distribution. Biometrika 28, 437-442.",
		"Jolly, G. M. (1969). Sampling methods for aerial censuses of wildlife populations. East African Agricultural and Forestry Journal 34, 46-49.",
		"Lambert, D. (1992). Zero-inflated Poisson regression, with an application to defects in manufacturing. Technometrics 34, 1-14.",
		"Lawless, J. F. (1987). Negative binomial and mixed Poisson regression. Canadian Journal of Statistics 15, 209-225.",
		"Owen, A. B. (1988). Empirical likelihood ratio confidence intervals for a single functional. Biometrika 75, 237-249.",
		"Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics Bulletin 2, 110-114.",
		"Thompson, S. K. (1990). Adaptive cluster sampling. Journal of the American Statistical Association 85, 1050-1059.",
		"Turek, D. & Fletcher, D. (2012). Model-averaged Wald confidence intervals. Computational Statistics and Data Analysis 56, 2809-2815.",
		"Venzon, D. J. & Moolgavkar, S. H. (1988). A method for computing profile-likelihood-based confidence intervals. Applied Statistics 37, 87-94.",
		"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
	},
}
