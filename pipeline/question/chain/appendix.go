package chain

import (
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// appendix is what the appendix has beside the full table.
func (v view) appendix(u page.Units) []page.Part {
	parts := []page.Part{}
	if rows := v.strata(); len(rows) > 1 {
		parts = append(parts, page.Part{Title: "By stratum, all methods together", Figures: []*page.Figure{v.byStratum(u, "grown-by-stratum", rows)},
			Tables: []page.Table{*v.strataTable(rows)}})
	}
	return append(parts, how)
}

func (v view) place(row int) page.Text {
	if v.rows[row].whole() {
		return v.sampled()
	}
	return page.Name(v.rows[row].Stratum)
}

func (v view) byStratum(u page.Units, name string, rows []int) *page.Figure {
	return &page.Figure{
		Name:    name,
		Title:   page.Say("Density by stratum, %v, all methods together", linkNames[v.rows[v.end].Link]),
		Caption: page.Say("Estimates with their confidence intervals."),
		Alt:     v.finding(),
		Form: func(about plots.About) page.Form {
			return page.Rows{
				Of: v.table, Column: "density_per_ha", Rows: append([]int{v.end}, rows...), Label: v.place,
				Strong: func(row int) bool { return row == v.end },
			}.Form(about, u)
		},
	}
}

func (v view) strataTable(rows []int) *page.Table {
	return &page.Table{
		Caption: page.Say("Density by stratum, %v, all methods together", linkNames[v.rows[v.end].Link]), Of: v.table, Head: "Stratum", Label: v.place,
		Columns: []page.Column{
			{Head: "Density", Name: "density_per_ha"}, {Head: "Finds", Name: "finds"}, {Head: "Units", Name: "units"},
			{Head: "Methods", Name: "methods", Show: func(c result.Cell) page.Text { return page.Say("%v", page.And(v.methodNames(c.Row))) }},
		},
		Rows: append([]int{v.end}, rows...), Strong: func(row int) bool { return row == v.end },
	}
}

// how says how the chain is estimated.
var how = page.Part{
	Title: "How the chain is estimated",
	Text: []page.Text{
		page.Say("Methods that sampled the same stratum are combined. Each is weighted by the variance that its design promises: number of " +
			"independent units or sites, area searched, the correction’s own uncertainty, and a clumping shared by all counts. The variance that a " +
			"sample shows of itself is not used, as it is small where little was found. The limits of the combination come from all counts together. " +
			"Agreement is tested by chi-square on the log scale, by the limits of each method. Under p = 0.2 the method that sampled most area, or " +
			"that the settings name, stands alone. A level of 0.05 would seldom tell a method that finds a third less."),
		page.Say("Adaptive cluster plots are not combined: their drawn plots are those of the plots."),
		page.Say("Detection: fruit bodies present over those counted. Where each visit records what is new, what one search missed may be " +
			"recorded on the next visit. That part, by the days that fruit bodies stand, is not corrected for twice. Lines are corrected by their " +
			"detection function in the density counted already; the link corrects for what was missed on the line itself."),
		page.Say("Season: one over the share of the flush that the visits could see, by the curve of all units. Its limits take in how else fruit " +
			"bodies may stand. Where visits record all that stand, or units were searched in several years, the link is left out."),
		page.Say("The limits of each link multiply on the log scale. Factors of strata that rest on the same estimate err together; those of " +
			"several methods err independently. The density and its factors are taken as independent, and of mass the correlation with the counts is estimated."),
	},
	Formulas: []string{"w ∝ 1 / [ 1/(n k) + F/(D a) + c² ]", "log U’ = log D’ + √( (log U/D)² + (log Fᵤ/F)² )"},
	References: []string{
		"Cochran, W. G. (1954). The combination of estimates from different experiments. Biometrics 10, 101-129.",
		"Imbens, G. W. & Manski, C. F. (2004). Confidence intervals for partially identified parameters. Econometrica 72, 1845-1857.",
		"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
	},
}
