package density

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// fullFigure has the area and its strata by every method.
func (v view) fullFigure(u page.Units) *page.Figure {
	rows := v.rowsWhere(func(r Row) bool {
		return r.Years == result.All && r.allFinds() && r.Density.Value.Known && fieldwork.OverStrata(r.Stratum)
	})
	strata := v.strataRows("")
	shown := v.densest(strata, mostInFigure)
	for _, i := range strata {
		if slices.Contains(shown, v.rows[i].Stratum) {
			rows = append(rows, i)
		}
	}
	return v.stratumFigure(u, rows)
}

func (v view) stratumFigure(u page.Units, rows []int) *page.Figure {
	return &page.Figure{
		Name:    "density-by-stratum",
		Title:   page.Say("Density by stratum"),
		Caption: page.Say("Estimates with their confidence intervals, in fruit bodies per unit of area."),
		Alt:     v.finding(),
		Form: func(about plots.About) page.Form {
			form := page.Rows{
				Of: v.density, Column: "density_per_ha", Rows: rows, Label: v.place, Strong: v.strong,
				Series: func(row int) plots.Series { return page.MethodSeries(v.rows[row].Method) },
			}.Form(about, u)
			form.Axis.Label = "fruit bodies " + form.Axis.Label
			return form
		},
	}
}

// modeRows are the densities of each mode by tree and years since fire, over strata.
func (v view) modeRows(method string) []int {
	return v.rowsWhere(func(r Row) bool {
		return r.Method == method && fieldwork.OverStrata(r.Stratum) && r.Taxon == result.All &&
			r.Years != result.All && r.Tree != result.All && r.Mode != result.All && r.Density.Value.Known
	})
}

// modeFigure has a panel for each class of years since fire; nil where no tree was
// recorded with any find.
func (v view) modeFigure(u page.Units, method, name string) *page.Figure {
	rows := v.modeRows(method)
	if len(rows) == 0 {
		return nil
	}
	return &page.Figure{
		Name:    name,
		Title:   page.Say("Density by mode, tree and years since fire, by %v", page.Methods(method)),
		Caption: page.Say("Fruit bodies per unit of area with their confidence intervals, by the nearest tree. Hollow marks: none found."),
		Alt:     v.modeSentence(),
		Form: func(about plots.About) page.Form {
			unit, size := u.Shown("1/ha", 0)
			form := plots.Multiples{About: about, Axis: plots.Axis{Label: "fruit bodies " + unit}}
			for _, mode := range modes {
				form.Series = append(form.Series, page.ModeSeries(mode))
			}
			tree, panel := map[string]int{}, map[string]int{}
			for _, i := range rows {
				if name := v.rows[i].Tree; !slices.Contains(form.Rows, treeName(name)) {
					tree[name] = len(form.Rows)
					form.Rows = append(form.Rows, treeName(name))
				}
			}
			for _, i := range rows {
				r := v.rows[i]
				at, ok := panel[r.Years]
				if !ok {
					at = len(form.Panels)
					panel[r.Years] = at
					form.Panels = append(form.Panels, plots.Multiple{
						Label: page.YearsSinceFire(v.density.Cell(i, "years_since_fire")).Sentence(u), Marks: make([][]plots.Mark, len(form.Rows)),
					})
				}
				m := page.Mark(v.cell(i), u, size)
				m.Series = slices.Index(modes, r.Mode)
				marks := &form.Panels[at].Marks[tree[r.Tree]]
				*marks = append(*marks, m)
			}
			return form
		},
	}
}

func treeName(tree string) string {
	if tree == result.Unrecorded {
		return "no tree recorded"
	}
	return tree
}
