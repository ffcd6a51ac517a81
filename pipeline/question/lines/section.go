package lines

import (
	"cmp"
	"math"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Sections are the question's part of the report.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Detection, Question: "Detection along lines"}
	v := a.view()
	if v.row < 0 {
		return []page.Section{s}
	}
	s.Finding, s.Figure, s.Table = v.finding(), v.detectionFigure(u), v.functions()
	s.Text = []page.Text{v.halfWidth(), v.variance()}
	s.Limitations = page.LimitsOf(v.detection, v.row)
	if len(a.visibility) > 0 {
		s.Appendix = append(s.Appendix, page.Part{Title: "What detection depends on",
			Figures: []*page.Figure{v.covariateFigure(u)}, Tables: []page.Table{v.covariates()}})
	}
	s.Appendix = append(s.Appendix, page.Part{Title: "Fit of the detection function", Figures: []*page.Figure{v.fitFigure()}}, methods)
	return []page.Section{s}
}

// view is an answer with its tables and the row of the selected function, -1 for
// none.
type view struct {
	Answer
	detection, visibility result.Table
	row                   int
}

func (a Answer) view() view {
	return view{a, detectionTable.Of(a.detection), visibilityTable.Of(a.visibility), a.selected()}
}

// cell is one of the row of the selected function.
func (v view) cell(column string) result.Cell { return v.detection.Cell(v.row, column) }

func (v view) finding() page.Text {
	p := v.cell("detection_probability")
	return page.Say("Estimated detection probability within %v of a line: %v (%v), from %v.",
		v.cell("truncation_m"), p, page.Interval(p), page.Count(v.cell("detections"), "detection", "detections"))
}

func (v view) halfWidth() page.Text {
	w := v.cell("effective_half_width_m")
	return page.Say("Effective half-width of the lines: %v (%v). Densities along lines as counted assume that detection on the line itself is certain.",
		w, page.Interval(w))
}

// variance says what the variance of the density comes from.
func (v view) variance() page.Text {
	units, detection := v.cell("variance_units_percent"), v.cell("variance_detectability_percent")
	if !units.Known() || !detection.Known() {
		return page.Text{}
	}
	return page.Say("Of the variance of the density along lines, %v comes from differences between lines and %v from the detection function.", units, detection)
}

// functions is the table of the detection functions fitted.
func (v view) functions() *page.Table {
	t := &page.Table{
		Caption: page.Say("Detection functions, the best first"), Of: v.detection, Head: "Detection function",
		Label: func(row int) page.Text { return page.Name(v.Answer.detection[row].Function) },
		Columns: []page.Column{
			{Head: "Detection probability", Name: "detection_probability"}, {Head: "Effective half-width", Name: "effective_half_width_m"},
			{Head: "Density", Name: "density_per_ha"}, {Head: "ΔAIC", Name: "delta_aic"}, {Head: "Akaike weight", Name: "akaike_weight"},
		},
		Strong: func(row int) bool { return row == v.row },
	}
	for i, r := range v.Answer.detection {
		if r.Density.Value.Known {
			t.Rows = append(t.Rows, i)
		}
	}
	return t
}

// covariates is the table of the detection probability at the levels of covariates.
func (v view) covariates() page.Table {
	t := page.Table{
		Caption: page.Say("Detection along lines by covariate"), Of: v.visibility, Head: "Covariate and level",
		Label: v.level,
		Columns: []page.Column{
			{Head: "Detections", Name: "detections"}, {Head: "Detection probability", Name: "detection_probability"},
			{Head: "Effective half-width", Name: "effective_half_width_m"}, {Head: "AIC better by", Name: "aic_gain"},
		},
		Strong: func(row int) bool { return v.Answer.visibility[row].Selected.Value },
		Below:  []page.Text{page.Say("Each covariate is shown by the best function that depends on it. Densities rest on the functions in bold.")},
	}
	for i := range v.Answer.visibility {
		t.Rows = append(t.Rows, i)
	}
	return t
}

// covariateNames are the names of covariates in words.
var covariateNames = map[string]string{
	survey.Observer: "observer", survey.InStratum: "stratum", survey.OfMode: "mode", survey.NearTree: "tree", survey.OfTaxon: "taxon",
	survey.GroupSize: "group size", survey.GroundCover: "ground cover",
}

// level names a covariate and its level: "ground cover, lower quartile 20 %".
func (v view) level(row int) page.Text {
	r := v.Answer.visibility[row]
	name := cmp.Or(covariateNames[r.Covariate], r.Covariate)
	if !r.At.Known {
		return page.Say("%v: %v", name, page.Name(r.Level))
	}
	at := page.Bare(v.visibility.Cell(row, "at"))
	if r.Covariate == survey.GroundCover {
		at = page.Say("%v %%", at)
	}
	return page.Say("%v: %v, %v", name, r.Level, at)
}

// detectionFigure has the distances of the finds, and the detection function fitted.
func (v view) detectionFigure(u page.Units) *page.Figure {
	mu := v.cell("effective_half_width_m")
	return &page.Figure{
		Name:  "detection-function",
		Title: page.Say("Detection falls with distance from the line"),
		Caption: page.Say("Detections by distance, scaled to the fitted detection function (%v), with its pointwise confidence limits.",
			page.Name(v.Answer.detection[v.row].Function)),
		Alt: v.finding(),
		Form: func(about plots.About) page.Form {
			name, size := u.Shown("m", 0)
			panel := plots.Panel{}
			bars := plots.Bars{Label: "detections, scaled"}
			for _, b := range v.curve.bars {
				bars.Bars = append(bars.Bars, plots.Bar{From: b.From / size, To: b.To / size, Height: b.Height})
			}
			fitted := plots.Curve{Label: "detection function", Role: plots.Ink}
			for _, at := range v.curve.curve {
				fitted.Points = append(fitted.Points, plots.Point{X: at.Distance / size, Y: at.G, Lower: at.Lower, Upper: at.Upper})
			}
			panel.Bars, panel.Curves = []plots.Bars{bars}, []plots.Curve{fitted}
			if mu.Number.Known && mu.Number.Value <= v.Answer.detection[v.row].TruncationM.Value {
				panel.Up = []plots.Line{{At: mu.Number.Value / size, Label: page.Say("effective half-width %v", mu).Sentence(u)}}
			}
			return plots.Chart{
				About: about, X: plots.Axis{Label: "distance from the line (" + name + ")"},
				Y: plots.Axis{Label: "detection probability", Scale: plots.Linear}, Panels: []plots.Panel{panel},
			}
		},
	}
}

// fitFigure has the observed against the expected shares of detections.
func (v view) fitFigure() *page.Figure {
	return &page.Figure{
		Name:    "detection-fit",
		Title:   page.Say("Observed and fitted distribution of distances"),
		Caption: page.Say("A function that fits has its points along the line of equality. The band holds 95 % of samples of a known function (Kolmogorov-Smirnov)."),
		Alt:     page.Say("Quantile plot of %v detections; chi-square test of the fit: p = %v.", page.Bare(v.cell("detections")), page.Bare(v.cell("chi_square_p"))),
		Form: func(about plots.About) page.Form {
			equal := plots.Curve{Label: "equality", Role: plots.Muted}
			for _, at := range steps(0, 100, 100) {
				p := plots.Point{X: at, Y: at, Lower: math.NaN(), Upper: math.NaN()}
				if band := 100 * v.curve.band; !math.IsNaN(band) {
					p.Lower, p.Upper = max(at-band, 0), min(at+band, 100)
				}
				equal.Points = append(equal.Points, p)
			}
			pairs := plots.Dots{Label: "detections", Role: plots.Accent, Small: len(v.curve.pairs) > 30}
			for _, p := range v.curve.pairs {
				pairs.Points = append(pairs.Points, plots.Point{X: 100 * p.Fitted, Y: 100 * p.Observed, Lower: math.NaN(), Upper: math.NaN()})
			}
			return plots.Chart{
				About: about, X: plots.Axis{Label: "expected share up to a distance", Suffix: " %"},
				Y:      plots.Axis{Label: "observed share", Suffix: " %", Scale: plots.Linear, To: 100},
				Panels: []plots.Panel{{Curves: []plots.Curve{equal}, Dots: []plots.Dots{pairs}}},
			}
		},
	}
}

// covariateFigure has the detection probability at each level.
func (v view) covariateFigure(u page.Units) *page.Figure {
	p := v.visibility.Cell(0, "detection_probability")
	return &page.Figure{
		Name:    "detection-by-covariate",
		Title:   page.Say("Detection probability along lines by covariate"),
		Caption: page.Say("Estimates with their confidence intervals, each at the mean or commonest level of the other covariates of its function."),
		Alt:     page.Say("Detection probability for %v: %v (%v).", v.level(0), p, page.Interval(p)),
		Form: func(about plots.About) page.Form {
			form := plots.Rows{
				About: about, Axis: plots.Axis{Label: "detection probability"},
				Heads: plots.Heads{Value: "probability", Range: page.Level(p) + " CI"},
			}
			for i, r := range v.Answer.visibility {
				form.Rows = append(form.Rows, plots.Row{
					Label: v.level(i).Sentence(u), Strong: r.Selected.Value, Note: page.Reason(r.Warnings),
					Marks: []plots.Mark{page.Mark(v.visibility.Cell(i, "detection_probability"), u, 1)},
				})
			}
			return form
		},
	}
}

// methods says how detection functions are estimated.
var methods = page.Part{
	Title: "How detection functions are estimated",
	Text: []page.Text{
		page.Say("Half-normal, hazard-rate and uniform key functions are fitted to the distances of all detections by maximum likelihood. The " +
			"settings may ask for adjustment terms and for covariates of the scale. The function of lowest AIC (or AICc) is selected."),
		page.Say("The density is detections per length of line over twice the effective half-width, strata weighted by area, times the mean group " +
			"size. Its intervals are by the bootstrap over lines, with the functions refitted and averaged by their Akaike weights, or by the delta " +
			"method, as the settings ask."),
		page.Say("Where larger groups are detected farther off, their mean size is regressed on the detection probability. A shoulder of the " +
			"function is tested by the detections nearest to the line against those that a half-normal expects (binomial test)."),
		page.Say("Fruit bodies on the line are assumed to be detected with certainty, distances to be measured without error, and lines to be " +
			"placed independently of the fruit bodies. Where some on the line are missed the density is too low by their share."),
	},
	Formulas: []string{"D = n s / (2 L w p),  p = (1/w) ∫ g(x) dx"},
	References: []string{
		"Buckland, S. T., Anderson, D. R., Burnham, K. P., Laake, J. L., Borchers, D. L. & Thomas, L. (2001). Introduction to Distance Sampling. " +
			"Oxford University Press.",
		"Buckland, S. T., Burnham, K. P. & Augustin, N. H. (1997). Model selection: an integral part of inference. Biometrics 53, 603-618.",
		"Burnham, K. P., Anderson, D. R. & Laake, J. L. (1980). Estimation of density from line transect sampling of biological populations. " +
			"Wildlife Monographs 72, 3-202.",
		"Drummer, T. D. & McDonald, L. L. (1987). Size bias in line transect sampling. Biometrics 43, 13-21.",
		"Fewster, R. M., Buckland, S. T., Burnham, K. P., Borchers, D. L., Jupp, P. E., Laake, J. L. & Thomas, L. (2009). Estimating the " +
			"encounter rate variance in distance sampling. Biometrics 65, 225-236.",
		"Marques, F. F. C. & Buckland, S. T. (2003). Incorporating covariates into standard line transect analyses. Biometrics 59, 924-935.",
		"Stephens, M. A. (1970). Use of the Kolmogorov-Smirnov, Cramér-von Mises and related statistics without extensive tables. Journal of the " +
			"Royal Statistical Society, Series B 32, 115-122.",
	},
}
