package adaptive

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
	"ashtally/stats/adaptive"
)

// Sections are parts of the appendix: a sentence on what the added plots change first.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.HowMany, Question: "Adaptive cluster plots"}
	v := a.view()
	if v.spoken < 0 {
		return []page.Section{s}
	}
	s.Details = []page.Text{v.sentence()}
	for _, l := range page.LimitsOf(v.adaptive, v.spoken) {
		if l.Warning.Is(adaptive.NetworkNotDrawn) || l.Warning.Is(adaptive.NetworkIncomplete) { // the others are those of the density
			s.Limitations = append(s.Limitations, l)
		}
	}
	s.Appendix = []page.Part{{Title: "Estimators and networks", Figures: []*page.Figure{v.figure(u)}, Tables: []page.Table{v.estimates(), v.largest()}}, methods}
	return []page.Section{s}
}

// view is an answer with its tables and the rows that the report speaks of.
type view struct {
	Answer
	adaptive, drawn result.Table
	shown           []int // rows of all years: the strata together where there are several, and each
	spoken          int   // of the sentence; -1 where there is no estimate
}

func (a Answer) view() view {
	v := view{Answer: a, adaptive: adaptiveTable.Of(a.rows), drawn: networksTable.Of(a.networks), spoken: -1}
	var strata, together []int
	for i, r := range a.rows {
		switch {
		case r.Years != result.All:
		case fieldwork.OverStrata(r.Stratum):
			together = append(together, i)
		default:
			strata = append(strata, i)
		}
	}
	v.shown = strata
	if len(strata) > 1 {
		v.shown = append(together, strata...)
	}
	if len(v.shown) > 0 && v.reported(v.shown[0]).Known() {
		v.spoken = v.shown[0]
	}
	return v
}

// reported is the density by the estimator that the settings ask for.
func (v view) reported(row int) result.Cell {
	if v.rows[row].Estimator == adaptive.HansenHurwitz {
		return v.adaptive.Cell(row, "hansen_hurwitz_per_ha")
	}
	return v.adaptive.Cell(row, "horvitz_thompson_per_ha")
}

// estimatorName names the estimator of a row.
func estimatorName(r Row) string {
	if r.Estimator == adaptive.HansenHurwitz {
		return "Hansen-Hurwitz"
	}
	return "Horvitz-Thompson"
}

// place names the part of the survey area that a row is of.
func (v view) place(row int) page.Text {
	switch r := v.rows[row]; {
	case !fieldwork.OverStrata(r.Stratum):
		return page.Name(r.Stratum)
	case r.Stratum == result.All:
		return page.Say("survey area")
	}
	return page.Say("strata sampled")
}

// sentence says what was drawn and added, and how far the mean of all plots is off.
func (v view) sentence() page.Text {
	cell := func(column string) result.Cell { return v.adaptive.Cell(v.spoken, column) }
	text := page.Say("Adaptive cluster plots (%v): %v drawn, %v added, %v.", v.place(v.spoken), page.Bare(cell("drawn_plots")),
		page.Bare(cell("added_plots")), page.Count(cell("networks"), "network", "networks"))
	naive := cell("naive_per_ha")
	if v.rows[v.spoken].Added.Or(0) == 0 || !naive.Known() {
		return text
	}
	return page.Say("%v %v estimate: %v. The mean of all plots, %v, is biased: plots were added where finds were.",
		text, estimatorName(v.rows[v.spoken]), v.reported(v.spoken), naive)
}

// estimates is the table of the parts of the survey area.
func (v view) estimates() page.Table {
	return page.Table{
		Caption: page.Say("Adaptive cluster plots by stratum"),
		Of:      v.adaptive, Head: "Stratum", Rows: v.shown, Label: v.place,
		Columns: []page.Column{
			{Head: "Plots in the grid", Name: "grid_plots"}, {Head: "Drawn", Name: "drawn_plots"}, {Head: "Added", Name: "added_plots"},
			{Head: "Edge plots", Name: "edge_plots"}, {Head: "Networks", Name: "networks"},
			{Head: "Horvitz-Thompson", Name: "horvitz_thompson_per_ha"}, {Head: "Standard error", Name: "horvitz_thompson_se"},
			{Head: "Hansen-Hurwitz", Name: "hansen_hurwitz_per_ha"}, {Head: "Standard error", Name: "hansen_hurwitz_se"},
		},
		Strong: func(row int) bool { return v.rows[row].Stratum == result.All },
		Below:  []page.Text{page.Say("An edge plot was added and did not meet the threshold; it counts in no estimate.")},
	}
}

// largest is the table of the networks with most finds.
func (v view) largest() page.Table {
	var all []int
	for i := range v.networks {
		all = append(all, i)
	}
	t := page.Table{
		Caption: page.Say("Networks with most finds"), Of: v.drawn, Head: "Network",
		Rows: page.Largest(v.drawn, all, "finds"),
		Label: func(row int) page.Text {
			return page.Say("%v, %v, %v", page.Name(v.networks[row].Network), page.Name(v.networks[row].Stratum),
				page.YearsSinceFire(v.drawn.Cell(row, "years_since_fire")))
		},
		Columns: []page.Column{
			{Head: "Plots", Name: "plots"}, {Head: "Drawn", Name: "drawn_plots"}, {Head: "Finds", Name: "finds"},
			{Head: "Inclusion probability", Name: "inclusion_probability"},
		},
	}
	return t
}

// figure has both estimates of each stratum and the mean of all plots.
func (v view) figure(u page.Units) *page.Figure {
	return &page.Figure{
		Name:    "adaptive-estimators",
		Title:   page.Say("Density from adaptive cluster plots by estimator"),
		Caption: page.Say("Both estimates are unbiased; the mean of all plots, the added ones as if drawn, is not. Intervals are in the table of densities."),
		Alt:     v.sentence(),
		Form: func(about plots.About) page.Form {
			unit, size := u.Shown("1/ha", 0)
			form := plots.Rows{
				About: about, Axis: plots.Axis{Label: "fruit bodies " + unit},
				Heads: plots.Heads{Value: unit, Range: "standard error"},
				Series: []plots.Series{
					{Label: "Horvitz-Thompson", Role: plots.Accent, Shape: plots.Diamond},
					{Label: "Hansen-Hurwitz", Role: plots.Ink, Shape: plots.Diamond},
					{Label: "mean of all plots", Role: plots.Muted, Shape: plots.Circle},
				},
			}
			for _, row := range v.shown {
				r := plots.Row{Label: v.place(row).Sentence(u), Strong: v.rows[row].Stratum == result.All, Note: page.Reason(v.rows[row].Warnings)}
				for i, columns := range [][2]string{
					{"horvitz_thompson_per_ha", "horvitz_thompson_se"}, {"hansen_hurwitz_per_ha", "hansen_hurwitz_se"}, {"naive_per_ha", ""},
				} {
					c := v.adaptive.Cell(row, columns[0])
					if !c.Known() {
						continue
					}
					m := page.Mark(c, u, size)
					m.Series = i
					if columns[1] != "" {
						m.Range = page.Bare(v.adaptive.Cell(row, columns[1])).Sentence(u)
					}
					r.Marks = append(r.Marks, m)
				}
				form.Rows = append(form.Rows, r)
			}
			return form
		},
	}
}

// methods says how adaptive cluster plots are estimated.
var methods = page.Part{
	Title: "How adaptive cluster plots are estimated",
	Text: []page.Text{
		page.Say("Plots are drawn at random from a grid of equal plots. Where one meets the threshold, its neighbours are added, and theirs, " +
			"until the clump is walked round. Connected plots that meet the threshold form a network; a plot that does not meet it is a network of its own."),
		page.Say("A network of m plots comes into the sample with the inclusion probability α. The Horvitz-Thompson estimator divides the total " +
			"of each network by α; the Hansen-Hurwitz estimator takes the mean over drawn plots of the mean of their network. Both are unbiased, " +
			"and edge plots that were not drawn count in neither."),
		page.Say("Networks are those of all finds together. The density of one mode, tree or taxon counts its own finds in the same networks. " +
			"Rows of plots leave added plots out."),
		page.Say("Assumptions: the drawn plots are a simple random sample without replacement. Each network was searched whole with all its edge. " +
			"Every fruit body in a plot was found."),
	},
	Formulas: []string{"α = 1 − C(N − m, n) / C(N, n),  D = Σ (y / α) / (N a)"},
	References: []string{
		"Hansen, M. H. & Hurwitz, W. N. (1943). On the theory of sampling from finite populations. Annals of Mathematical Statistics 14, 333-362.",
		"Horvitz, D. G. & Thompson, D. J. (1952). A generalization of sampling without replacement from a finite universe. Journal of the " +
			"American Statistical Association 47, 663-685.",
		"Thompson, S. K. (1990). Adaptive cluster sampling. Journal of the American Statistical Association 85, 1050-1059.",
		"Thompson, S. K. (1992). Sampling. Wiley, New York.",
	},
}
