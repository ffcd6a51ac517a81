package ratio

import (
	"slices"

	"ashtally/pipeline/page"
	"ashtally/plots"
)

// mostInFigure bounds the trees of a figure.
const mostInFigure = 16

// figure has the ratio over strata, by years since fire and by tree.
func (v view) figure(u page.Units, method string) *page.Figure {
	all := v.rowsWhere(method, Row.whole)
	years, trees := v.byYears(method), v.byTree(method)
	for len(trees) > mostInFigure {
		trees = v.withoutScarcest(trees)
	}
	main := v.cell(all[0])
	return &page.Figure{
		Name:    "ratio-by-tree-" + method,
		Title:   page.Say("Host-associated to saprotrophic density ratio, by %v", page.Methods(method)),
		Caption: page.Say("Ratios with their confidence intervals; the line is a ratio of one, as many of either mode."),
		Alt:     page.Say("Host-associated to saprotrophic density ratio of %v, by %v: %v.", v.sampled(all[0]), page.Methods(method), page.Estimate(main)),
		Form: func(about plots.About) page.Form {
			form := plots.Rows{
				About: about, Axis: plots.Axis{Label: "host-associated to saprotrophic", Scale: v.scale(slices.Concat(all, years, trees))},
				Heads: plots.Heads{Value: "ratio", Range: page.Level(main) + " CI", Cells: []string{"finds"}},
				Rules: []plots.Line{{At: 1, Label: "equal"}}, NoneLabel: "no host-associated finds",
			}
			for _, group := range []struct {
				head string
				rows []int
			}{{"", all}, {"years since fire", years}, {"nearest tree", trees}} {
				if group.head != "" && len(group.rows) > 0 {
					form.Rows = append(form.Rows, plots.Row{Label: group.head, Heading: true})
				}
				for _, i := range group.rows {
					form.Rows = append(form.Rows, plots.Row{
						Label: v.part(i).Sentence(u), Strong: v.rows[i].whole(), Marks: []plots.Mark{page.Mark(v.cell(i), u, 1)}, Note: page.Reason(v.rows[i].Warnings),
						Cells: []string{page.Say("%v / %v", page.Bare(v.comparison.Cell(i, "finds")), page.Bare(v.comparison.Cell(i, "base_finds"))).Sentence(u)},
					})
				}
			}
			return form
		},
	}
}

// scale is logarithmic, so that a ratio and its inverse lie equally far from one; with a
// ratio of 0 it is square-root.
func (v view) scale(rows []int) plots.Scale {
	if slices.ContainsFunc(rows, func(i int) bool { return v.rows[i].known() && v.rows[i].Ratio.Value.Value <= 0 }) {
		return plots.SquareRoot
	}
	return plots.Log
}
