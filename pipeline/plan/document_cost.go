package plan

import (
	"math"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

func (d document) cost() page.DocumentPart {
	p := page.DocumentPart{ID: "cost", Title: "At what cost"}
	rows := func(t result.Table) (all []int) {
		for i := range t.Rows() {
			all = append(all, i)
		}
		return all
	}
	if best := marked(d.tables.UnitSize, "best"); len(best) > 0 {
		p.Finding = page.Say("For the same field time the least expected coefficient of variation is at units of %v.", d.tables.UnitSize.Cell(best[0], "unit_m2"))
	}
	best := func(t result.Table) func(int) bool {
		return func(r int) bool { return t.Cell(r, "best").Text == "yes" }
	}
	p.Tables = []*page.Table{{
		Caption: page.Say("Area of a unit, for the field time of the plan"), Of: d.tables.UnitSize, Head: "Unit",
		Rows: rows(d.tables.UnitSize), Strong: best(d.tables.UnitSize),
		Label: func(r int) page.Text { return page.Say("%v", d.tables.UnitSize.Cell(r, "unit_m2")) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Expected CV", Name: "expected_cv"},
			{Head: "if clumps are larger than units", Name: "expected_cv_large_clumps"}, {Head: "if far smaller", Name: "expected_cv_small_clumps"},
		},
	}, {
		Caption: page.Say("A second look, for the field time of the plan"), Of: d.tables.Looks, Head: "Looks",
		Rows: rows(d.tables.Looks), Strong: best(d.tables.Looks),
		Label: func(r int) page.Text { return page.Say("%v", d.tables.Looks.Cell(r, "looks").Text) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Found", Name: "found", Show: page.Probability}, {Head: "Bias", Name: "bias"},
			{Head: "CV", Name: "cv"}, {Head: "RMSE", Name: "rmse"},
		},
	}}
	p.Figures = []*page.Figure{d.unitSizeFigure(d.tables.UnitSize)}
	p.Limitations = limits(d.tables.Looks, d.numbers.Looks.Warnings)
	return p
}

// unitSizeFigure is the expected CV over the area of a unit.
func (d document) unitSizeFigure(t result.Table) *page.Figure {
	if t.Rows() == 0 {
		return nil
	}
	return &page.Figure{
		Name: "unit-size", Title: page.Say("Expected coefficient of variation by the area of a unit"),
		Caption: page.Say("Each area with as many units as the field time of the plan allows."),
		Alt:     page.Say("The expected coefficient of variation is %v at %v.", page.Bare(t.Cell(0, "expected_cv")), t.Cell(0, "unit_m2")),
		Form: func(about plots.About) page.Form {
			var panel plots.Panel
			for i, c := range []struct{ name, label string }{
				{"expected_cv", "basis of the plan"}, {"expected_cv_large_clumps", "clumps larger than units"}, {"expected_cv_small_clumps", "clumps far smaller"},
			} {
				curve := plots.Curve{Label: c.label, Role: []plots.Role{plots.Accent, plots.First, plots.Second}[i], Dashed: i > 0}
				for r := range t.Rows() {
					curve.Points = append(curve.Points, plots.Point{X: t.Cell(r, "unit_m2").Number.Value,
						Y: t.Cell(r, c.name).Number.Or(math.NaN()), Lower: math.NaN(), Upper: math.NaN()})
				}
				panel.Curves = append(panel.Curves, curve)
			}
			return plots.Chart{About: about, X: plots.Axis{Label: "area of a unit, m2", Scale: plots.Log},
				Y: plots.Axis{Label: "expected CV", Scale: plots.Linear}, Panels: []plots.Panel{panel}}
		},
	}
}

func (d document) power() page.DocumentPart {
	p := page.DocumentPart{ID: "power", Title: "With what power"}
	if d.tables.Power.Rows() == 0 {
		return p
	}
	var finding page.Text
	for i := range d.tables.Power.Rows() {
		planned := math.Abs(d.tables.Power.Cell(i, "ratio").Number.Value-d.Settings.Plan.Ratio) < 1e-9
		if planned && d.tables.Power.Cell(i, "comparison").Text == sameUnits && d.tables.Power.Cell(i, "units").Number.Value == d.tables.planned() {
			finding = page.Say("Two groups of finds on the same units that differ by the factor %v are told apart with probability %v.",
				page.Setting("plan.ratio", d.Settings.Plan.Ratio, ""), page.Probability(d.tables.Power.Cell(i, "power")))
		}
	}
	p.Finding = finding
	p.Figures = []*page.Figure{d.powerFigure(d.tables.Power)}
	for _, comparison := range []string{sameUnits, twoSets} {
		var rows []int
		for _, r := range with(d.tables.Power, "comparison", comparison) {
			if d.tables.Power.Cell(r, "units").Number.Value == d.tables.planned() {
				rows = append(rows, r)
			}
		}
		p.Tables = append(p.Tables, &page.Table{
			Caption: page.Say("Power with the planned units, %v", comparison), Of: d.tables.Power, Head: "Ratio", Rows: rows,
			Label: func(r int) page.Text { return page.Bare(d.tables.Power.Cell(r, "ratio")) },
			Columns: []page.Column{
				{Head: "Finds", Name: "finds"}, {Head: "Power", Name: "power", Show: page.Probability}, {Head: "SE", Name: "power_se"},
			},
		})
	}
	p.Text = []page.Text{page.Say("Tests are two-sided at the level %v, and those of the report. Two groups on the same units, such as modes "+
		"or finds near two trees, are assumed to share half of their clumping. Two sets are as many units in another year, or on another burn. "+
		"The table power has half and twice the units.", page.Bare(d.tables.Power.Cell(0, "level")))}
	return p
}

// planned is the number of units of the plan.
func (t tables) planned() float64 {
	if rows := marked(t.Size, "chosen"); len(rows) > 0 {
		return t.Size.Cell(rows[0], "units").Number.Value
	}
	return math.NaN()
}

// powerFigure is the power over the ratio, a panel a comparison.
func (d document) powerFigure(t result.Table) *page.Figure {
	return &page.Figure{
		Name: "power", Title: page.Say("Power by the ratio of two densities"),
		Caption: page.Say("Probability that the test detects the ratio, with half, all and twice the planned units."),
		Alt: page.Say("Power is %v at a ratio of %v with %v units.", page.Probability(t.Cell(0, "power")),
			page.Bare(t.Cell(0, "ratio")), page.Bare(t.Cell(0, "units"))),
		Form: func(about plots.About) page.Form {
			form := plots.Chart{About: about, X: plots.Axis{Label: "ratio", Scale: plots.Log}, Y: plots.Axis{Label: "power", To: 1, Scale: plots.Linear}}
			for _, comparison := range []string{sameUnits, twoSets} {
				panel := plots.Panel{Label: comparison}
				for _, r := range with(t, "comparison", comparison) {
					label := page.Bare(t.Cell(r, "units")).Sentence(page.UnitsOf(d.Settings)) + " units"
					if k := len(panel.Curves); k == 0 || panel.Curves[k-1].Label != label {
						panel.Curves = append(panel.Curves, plots.Curve{Label: label, Role: []plots.Role{plots.First, plots.Accent, plots.Second}[k%3]})
					}
					c := &panel.Curves[len(panel.Curves)-1]
					c.Points = append(c.Points, plots.Point{X: t.Cell(r, "ratio").Number.Value, Y: t.Cell(r, "power").Number.Value, Lower: math.NaN(), Upper: math.NaN()})
				}
				form.Panels = append(form.Panels, panel)
			}
			return form
		},
	}
}
