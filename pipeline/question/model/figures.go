package model

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// predictedFigure has the predicted density of each mode by tree, a panel for each
// class of years since fire; nil where a method has none.
func (v view) predictedFigure(u page.Units, method string) *page.Figure {
	rows := v.cells(method)
	if len(rows) == 0 {
		return nil
	}
	return &page.Figure{
		Name:  "model-by-mode-and-tree-" + method,
		Title: page.Say("Density by mode, tree and years since fire, by the count model"),
		Caption: page.Say("Predicted densities with their confidence intervals, by %v. A panel is a class of years since fire; strata are weighted by area.",
			page.Methods(method)),
		Alt:  v.highest(rows),
		Form: func(about plots.About) page.Form { return v.multiples(about, u, rows) },
	}
}

// cells are the predicted densities of each mode by tree in each class of years; of all
// trees together where the model has none.
func (v view) cells(method string) []int {
	trees := slices.ContainsFunc(v.predicted, func(r PredictedRow) bool { return r.Method == method && r.Tree != result.All })
	var rows []int
	for i, r := range v.predicted {
		if r.Method == method && r.Years != result.All && (r.Tree != result.All) == trees && r.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// highest names the highest of some predicted densities.
func (v view) highest(rows []int) page.Text {
	most := slices.MaxFunc(rows, func(a, b int) int {
		return cmp.Compare(v.predicted[a].Value.Value, v.predicted[b].Value.Value)
	})
	r := v.predicted[most]
	of := page.Say("%v", r.Mode)
	if r.Tree != result.All {
		of = page.Say("%v near %v", of, page.Name(r.Tree))
	}
	return page.Say("The highest predicted density is %v, %v: %v.", of,
		page.YearsSinceFire(v.predictedOf.Cell(most, "years_since_fire")), page.Estimate(v.predictedOf.Cell(most, "density_per_ha")))
}

func (v view) multiples(about plots.About, u page.Units, rows []int) plots.Multiples {
	most := 0.0
	for _, row := range rows {
		most = max(most, v.predicted[row].Value.Value)
	}
	name, size := u.Shown("1/ha", most)
	form := plots.Multiples{About: about, Axis: plots.Axis{Label: "fruit bodies " + name, Scale: plots.SquareRoot}}
	for _, mode := range modes {
		form.Series = append(form.Series, page.ModeSeries(mode))
	}
	panels := map[string]int{}
	trees := map[string]int{}
	for _, row := range rows {
		r := v.predicted[row]
		if _, ok := panels[r.Years]; !ok {
			panels[r.Years] = len(form.Panels)
			form.Panels = append(form.Panels, plots.Multiple{Label: page.YearsSinceFire(v.predictedOf.Cell(row, "years_since_fire")).Sentence(u)})
		}
		if _, ok := trees[r.Tree]; !ok {
			trees[r.Tree] = len(form.Rows)
			form.Rows = append(form.Rows, treeLabel(r.Tree).Sentence(u))
		}
	}
	for i := range form.Panels {
		form.Panels[i].Marks = make([][]plots.Mark, len(form.Rows))
	}
	for _, row := range rows {
		r := v.predicted[row]
		m := page.Mark(v.predictedOf.Cell(row, "density_per_ha"), u, size)
		m.Series = slices.Index(modes, r.Mode)
		at := &form.Panels[panels[r.Years]].Marks[trees[r.Tree]]
		*at = append(*at, m)
	}
	return form
}

func treeLabel(tree string) page.Text {
	if tree == result.All {
		return page.Say("all trees")
	}
	return page.Name(tree)
}

// declineFigure has the density of each mode by years since fire, by class and by the
// log-linear trend; nil where a method has none.
func (v view) declineFigure(u page.Units, method string) *page.Figure {
	at := v.declineRow(method, result.All)
	if at < 0 || !slices.ContainsFunc(v.curves, func(c DeclineCurve) bool { return c.Method == method }) {
		return nil
	}
	return &page.Figure{
		Name:  "decline-with-years-" + method,
		Title: page.Say("Density by years since fire"),
		Caption: page.Say("Points are predicted densities of each class of years since fire, with their confidence intervals. The line is the "+
			"log-linear trend of burned strata with its confidence band. By %v.", page.Methods(method)),
		Alt: v.declineFinding(at),
		Form: func(about plots.About) page.Form {
			most := 0.0
			for _, c := range v.curves {
				for _, y := range c.Classes {
					most = max(most, y.Value.Value)
				}
			}
			name, size := u.Shown("1/ha", most)
			chart := plots.Chart{
				About: about, Abreast: 2,
				X: plots.Axis{Label: "years since fire", To: float64(v.declines[at].LastYears.Value)},
				Y: plots.Axis{Label: "fruit bodies " + name, Scale: plots.SquareRoot},
			}
			for _, mode := range []string{survey.HostAssociated, survey.Saprotrophic} {
				for _, c := range v.curves {
					if c.Method == method && c.Mode == mode {
						chart.Panels = append(chart.Panels, c.panel(size))
					}
				}
			}
			return chart
		},
	}
}

// panel draws a decline, in units of so many per hectare.
func (c DeclineCurve) panel(size float64) plots.Panel {
	s := page.ModeSeries(c.Mode)
	var classes, trend []plots.Point
	for _, y := range c.Classes {
		if y.Value.Known {
			classes = append(classes, plots.Point{X: float64(y.Years), Y: y.Value.Value / size, Lower: value(y.Lower) / size, Upper: value(y.Upper) / size})
		}
	}
	for _, p := range c.Line {
		if p.Value.Known {
			trend = append(trend, plots.Point{X: p.Years, Y: p.Value.Value / size, Lower: value(p.Lower) / size, Upper: value(p.Upper) / size})
		}
	}
	return plots.Panel{
		Label:  strings.ToUpper(c.Mode[:1]) + c.Mode[1:],
		Curves: []plots.Curve{{Label: "log-linear trend", Role: s.Role, Points: trend}},
		Dots:   []plots.Dots{{Label: "classes of years", Role: plots.Ink, Points: classes}},
	}
}
