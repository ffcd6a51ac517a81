package season

import (
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// appendix is what the appendix has beside the full tables.
func (v view) appendix(u page.Units) []page.Part {
	if v.whole < 0 {
		return nil
	}
	parts := []page.Part{{Title: "Curves", Figures: []*page.Figure{v.curveFigure(u)}}}
	if f := v.elevationFigure(u); f != nil {
		parts[0].Figures = append(parts[0].Figures, f)
	}
	if v.total >= 0 {
		rows := v.totalRows()
		parts = append(parts, page.Part{
			Title: totalName(v), Figures: []*page.Figure{v.totalFigure(u, rows)}, Tables: []page.Table{v.totalTable(rows)},
		})
	}
	parts = append(parts, curveMethods(v))
	if v.total >= 0 && !v.standing {
		parts = append(parts, totalMethods(v))
	}
	if v.cell("aic_degree_days").Known() {
		parts = append(parts, warmth(v), warmthMethods(v))
	}
	return parts
}

func totalName(v view) string {
	if v.standing {
		return "Standing crop at the peak"
	}
	return "Season total"
}

func (v view) placeLabel(row int) page.Text {
	switch s := v.totals[row].Stratum; s {
	case result.All:
		return page.Say("survey area")
	case result.Reached:
		return page.Say("strata sampled")
	default:
		return page.Name(s)
	}
}

// strongTotal reports whether a total is of the survey area; that of a part of it
// is none.
func (v view) strongTotal(row int) bool { return v.totals[row].Stratum == result.All }

func (v view) totalTable(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("%v by stratum, %v", totalName(v), page.Year(v.cell("year"))), Of: v.sums, Head: "Stratum",
		Label: func(row int) page.Text {
			return page.Say("%v, %v", v.placeLabel(row), page.Methods(v.totals[row].Method))
		},
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Finds", Name: "finds"}, {Head: "Found", Name: "found_per_ha"},
			{Head: "Observed share", Name: "observed_share"}, {Head: totalName(v), Name: "total_per_ha"}, {Head: "Basis", Name: "basis"},
		},
		Rows: rows, Strong: v.strongTotal,
		Below: []page.Text{page.Say("Observed: nine tenths of the flush or more could be observed; extrapolated: less.")},
	}
}

// warmth compares the curve by days with that by degree days.
func warmth(v view) page.Part {
	return page.Part{
		Title: "Days and degree days",
		Text: []page.Text{page.Say("AIC of the curve of all units over days: %v; over degree days: %v. Peak: %v. Sums begin on %v. The curve of "+
			"lower AIC describes the visits better; a difference of under two hardly distinguishes them.",
			page.Bare(v.cell("aic_days")), page.Bare(v.cell("aic_degree_days")), page.Estimate(v.cell("peak_degree_days")), v.cell("degree_days_from"))},
	}
}

func curveMethods(v view) page.Part {
	p := page.Part{
		Title: "How the curve of the season is estimated",
		Text: []page.Text{
			page.Say("The logarithm of the rate at which fruit bodies come up is quadratic in time: a Gaussian curve. Where visits record only what "+
				"is new, its integral from one visit to the next is fitted, as far back as fruit bodies stand: %v days (setting curve.standing_days). "+
				"Where visits record all that stand, the curve is that of the standing crop.", page.Name(v.settings.StandingDays.String())),
			page.Say("What one visit missed and a later one recorded as new, by the detection probability and the curve, is part of what the later " +
				"one is expected to record. Without it a curve of visits close together would come late."),
			page.Say("In the formula x is the day, e the elevation, d its delay, r one along roads and l their lead. The height a is free for each " +
				"method, stratum and side of the road. Counts are negative binomial; parameters are maximum likelihood estimates. Variances are " +
				"jackknife approximations over units or sites. The peak and its shifts have Fieller limits, onset and end limits by MOVER from those of peak and width."),
			page.Say("Fit is tested by a smooth test with sign flips of units or sites. A Gaussian curve that is rejected gives way to a skewed " +
				"(log-gamma) or a bimodal one, by AIC, where that is not rejected; otherwise no curve is reported. There is none either with visits on " +
				"fewer than four dates, with all finds in one unit or site, or with a peak outside the visits."),
		},
		Formulas: []string{"log rate = a + g e + b₁ z + b₂ z²,  z = x − d e + l r"},
		References: []string{
			"Bell, R. M. & McCaffrey, D. F. (2002). Bias reduction in standard errors for linear regression with multi-stage samples. Survey Methodology 28, 169-181.",
			"Fieller, E. C. (1954). Some problems in interval estimation. Journal of the Royal Statistical Society, Series B 16, 175-185.",
			"Hemerik, J., Goeman, J. J. & Finos, L. (2020). Robust testing in generalized linear models by sign flipping score contributions. " +
				"Journal of the Royal Statistical Society, Series B 82, 841-864.",
			"Imbens, G. W. & Kolesár, M. (2016). Robust standard errors in small samples: some practical advice. Review of Economics and Statistics 98, 701-712.",
			"Lawless, J. F. (1987). Negative binomial and mixed Poisson regression. Canadian Journal of Statistics 15, 209-225.",
			"Neyman, J. (1937). “Smooth test” for goodness of fit. Skandinavisk Aktuarietidskrift 20, 149-199.",
			"Prentice, R. L. (1974). A log gamma model and its maximum likelihood estimation. Biometrika 61, 539-544.",
			"ter Braak, C. J. F. & Looman, C. W. N. (1986). Weighted averaging, logistic regression and the Gaussian response model. Vegetatio 65, 3-11.",
			"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
		},
	}
	if v.cell("days_per_100m").Known() {
		p.References = append(p.References, "Hopkins, A. D. (1920). The bioclimatic law. Journal of the Washington Academy of Sciences 10, 34-40.")
	}
	return p
}

func totalMethods(v view) page.Part {
	return page.Part{
		Title: "How season totals are estimated",
		Text: []page.Text{
			page.Say("The season total is the density found over the share of the flush that the visits could observe, by the curve of all units. " +
				"Its variance leaves out one unit or site at a time, on the log scale, and includes that of the curve."),
			page.Say("How long a fruit body stands is an assumption: the usual figure has no source, and visits do not tell. Limits are those of a " +
				"partially identified parameter. They cover days that vary from body to body (exponential) about the least mean of the setting, and the " +
				"most days of the setting."),
		},
		References: []string{"Imbens, G. W. & Manski, C. F. (2004). Confidence intervals for partially identified parameters. Econometrica 72, 1845-1857."},
	}
}

func warmthMethods(v view) page.Part {
	return page.Part{
		Title: "How degree days are summed",
		Text: []page.Text{
			page.Say("Degree days are the sum of how far each day's mean temperature exceeds %v, from one day on that is the same for all units of a "+
				"year: the first from which readings cover most visits. A visit has degree days where its station has no gap of over three days.",
				page.Setting("curve.base_temperature_c", v.settings.BaseTemperatureC, "°C")),
			page.Say("Stations of the same units are averaged over days that all have. A station that covers fewer visits is left out, or lends days " +
				"that others lack, less its mean difference over at least a fortnight in common (method of differences)."),
		},
		References: []string{"World Meteorological Organization. Guide to Climatological Practices. WMO-No. 100."},
	}
}
