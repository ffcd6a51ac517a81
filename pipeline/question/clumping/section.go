package clumping

import (
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// Sections are a part of the appendix, with a sentence on the domain with most finds.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.HowMany, Question: "Aggregation of finds"}
	t := table.Of(a.rows)
	var found []int
	most := -1
	for i, r := range a.rows {
		if r.Finds.Value == 0 {
			continue
		}
		found = append(found, i)
		if most < 0 || r.Finds.Value > a.rows[most].Finds.Value {
			most = i
		}
	}
	if most < 0 {
		return []page.Section{s}
	}
	s.Details = []page.Text{a.sentence(t, most)}
	shown := page.Largest(t, found, "finds")
	s.Appendix = []page.Part{
		{Title: "By stratum", Figures: []*page.Figure{a.figure(t, shown, most, u)}, Tables: []page.Table{shortTable(t, shown)}},
		methods,
	}
	return []page.Section{s}
}

// sentence describes the counts of one domain.
func (a Answer) sentence(t result.Table, row int) page.Text {
	text := page.Say("Variance-to-mean ratio of counts per unit where most were found (%v, %v): %v",
		page.Name(a.rows[row].Stratum), page.Methods(a.rows[row].Method), t.Cell(row, "variance_to_mean"))
	if k := t.Cell(row, "k"); k.Known() {
		text = page.Say("%v; negative binomial k %v", text, page.Estimate(k))
	}
	return page.Say("%v.", text)
}

// shortTable has some rows of the result table.
func shortTable(t result.Table, rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Aggregation of finds in units, by stratum and years since fire"),
		Of:      t, Head: "Stratum", Rows: rows,
		Label: func(row int) page.Text { return domain(t, row) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Finds", Name: "finds"}, {Head: "Mean per unit", Name: "mean_per_unit"},
			{Head: "Variance-to-mean ratio", Name: "variance_to_mean"}, {Head: "Morisita’s index", Name: "morisita"},
			{Head: "k", Name: "k"}, {Head: "p of the fit", Name: "fit_p"},
		},
		Below: []page.Text{page.Say("Variance-to-mean ratio and Morisita’s index are 1 for finds at random and larger for aggregated ones. The " +
			"smaller k, the stronger the aggregation.")},
	}
}

// domain names what a row is of.
func domain(t result.Table, row int) page.Text {
	return page.Say("%v, %v, %v", page.Name(t.Cell(row, "stratum").Text), page.YearsSinceFire(t.Cell(row, "years_since_fire")),
		page.Methods(t.Cell(row, "method").Text))
}

// figure has the cumulative distribution of the counts in some domains, and those
// of the fitted negative binomial and Poisson distributions.
func (a Answer) figure(t result.Table, rows []int, most int, u page.Units) *page.Figure {
	return &page.Figure{
		Name:  "counts-against-fit",
		Title: page.Say("Counts per unit and fitted distributions"),
		Caption: page.Say("Share of units with so many fruit bodies or fewer: as counted, and as the fitted negative binomial and Poisson " +
			"distributions expect. Shown are at most twelve domains, those with most finds."),
		Alt: a.sentence(t, most),
		Form: func(about plots.About) page.Form {
			form := plots.Chart{
				About: about,
				X:     plots.Axis{Label: "fruit bodies per unit", Scale: plots.SquareRoot},
				Y:     plots.Axis{Label: "share of units", Suffix: " %", Scale: plots.Linear, To: 100},
			}
			for _, row := range rows {
				p := a.fits[row].panel()
				p.Label = page.Name(t.Cell(row, "stratum").Text).Sentence(u)
				detail := page.Say("%v, %v", page.Methods(t.Cell(row, "method").Text), page.YearsSinceFire(t.Cell(row, "years_since_fire")))
				if k := t.Cell(row, "k"); k.Known() {
					detail = page.Say("%v; k %v", detail, page.Bare(k))
				}
				p.Detail = detail.Sentence(u)
				form.Panels = append(form.Panels, p)
			}
			return form
		},
	}
}

// panel has the three distributions.
func (f fit) panel() plots.Panel {
	top := 0
	of := map[int]float64{}
	for _, n := range f.counts {
		top = max(top, n)
		of[n]++
	}
	counted := make([]float64, top+1)
	for n := range counted {
		counted[n] = of[n]
	}
	units := float64(len(f.counts))
	p := plots.Panel{Curves: []plots.Curve{{Label: "counted", Role: plots.Ink, Step: true, Points: cumulative(counted, units)}}}
	if len(f.negativeBinomial) > 0 {
		p.Curves = append(p.Curves, plots.Curve{Label: "negative binomial", Role: plots.Accent, Points: cumulative(f.negativeBinomial, units)})
	}
	if len(f.poisson) > 0 {
		p.Curves = append(p.Curves, plots.Curve{Label: "Poisson", Role: plots.Muted, Dashed: true, Points: cumulative(f.poisson, units)})
	}
	return p
}

// cumulative is the percentage of units with n or fewer, at places that lie closer
// together for small n.
func cumulative(units []float64, all float64) []plots.Point {
	const everyOne = 30 // up to here each n is a place
	var x, y []float64
	var sum float64
	next := 0
	for n, here := range units {
		sum += here
		if n < next && n < len(units)-1 {
			continue
		}
		x, y = append(x, float64(n)), append(y, 100*min(sum/all, 1))
		if next = n + 1; n >= everyOne {
			next = n + n/everyOne + 1
		}
	}
	return plots.Along(x, y)
}

// methods says how aggregation is measured.
var methods = page.Part{
	Title: "How aggregation is measured",
	Text: []page.Text{
		page.Say("The variance-to-mean ratio is Pearson's chi-square of a Poisson distribution over its degrees of freedom, for units of the " +
			"areas searched. Morisita's index is the probability that two finds drawn at random share a unit, relative to finds at random on the ground searched."),
		page.Say("The k of the negative binomial is estimated by maximum likelihood, with profile likelihood limits. Its fit is tested by " +
			"chi-square over classes of counts. Line transects are left out: their finds come from no fixed area."),
	},
	Formulas: []string{"X² = Σ (yᵢ − D aᵢ)² / (D aᵢ),  variance-to-mean ratio = X² / (n − 1)"},
	References: []string{
		"Anscombe, F. J. (1950). Sampling theory of the negative binomial and logarithmic series distributions. Biometrika 37, 358-382.",
		"Bliss, C. I. & Fisher, R. A. (1953). Fitting the negative binomial distribution to biological data. Biometrics 9, 176-200.",
		"Fisher, R. A., Thornton, H. G. & Mackenzie, W. A. (1922). The accuracy of the plating method of estimating the density of bacterial " +
			"populations. Annals of Applied Biology 9, 325-359.",
		"Morisita, M. (1959). Measuring of the dispersion of individuals and analysis of the distributional patterns. Memoirs of the Faculty of " +
			"Science, Kyushu University, Series E (Biology) 2, 215-235.",
	},
}
