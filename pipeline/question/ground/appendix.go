package ground

import (
	"slices"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// appendix has the modes and the other methods, and how classes are estimated.
func (v view) appendix() []page.Part {
	var parts []page.Part
	for _, method := range v.methods() {
		if rows := v.rowsOf(method, result.All, result.All); len(rows) > 0 {
			parts = append(parts, page.Part{Title: "By class, all of them", Tables: []page.Table{v.tableOf(rows)}})
		}
	}
	for _, method := range v.methods() {
		if rows := v.placesOf(method); len(rows) > 1 {
			part := page.Part{Title: "Where to look next", Tables: []page.Table{v.placesTable(rows[:min(len(rows), mostRows)])}}
			if gaps := v.unvisited(); method == v.rows[v.shown[0]].Method && !gaps.Empty() {
				part.Text = []page.Text{gaps}
			}
			parts = append(parts, part)
		}
		if rows := v.gradientsOf(method, result.All); len(rows) > 0 {
			rows = slices.Concat(rows, v.gradientsOf(method, survey.Saprotrophic), v.gradientsOf(method, survey.HostAssociated))
			parts = append(parts, page.Part{Title: "With the other attributes held equal", Tables: []page.Table{v.gradientsTable(rows)}})
		}
	}
	return append(parts, page.Part{
		Title: "How classes of ground are estimated",
		Text: []page.Text{
			page.Say("The class of a unit is known only once it has been drawn, so the number of units in a class, and its share of the survey area, " +
				"are random. The density of a class is the ratio of two estimated totals: fruit bodies in it over area in it. Its standard error is the " +
				"linearised one over all sites; a site without a unit in the class counts with zero."),
			page.Say("Limits are those of the units of the class, with what the class's share of each stratum varies put to them on the log scale. " +
				"Along line transects the shares are assumed known."),
			page.Say("A class that is a whole stratum differs from the others by all that the strata differ by. The ratios with the others held " +
				"equal are of a negative binomial model of the counts, with strata and years since fire as factors and cluster-robust limits. An " +
				"attribute that over a fifth of the units lack is not in it; a unit without one has its mean."),
			page.Say("Expected densities of combinations are of the same model, the mean of the units that lie in each. The first of many was chosen " +
				"for being the highest. In simulated burns the best combination was ranked first or second in three of four. The limits of the first " +
				"had their nominal coverage (SIMULATION.md of the question)."),
		},
		Formulas: []string{"D = Σ Wₕ Σ zᵢ yᵢ / aₕ  /  Σ Wₕ Σ zᵢ aᵢ / aₕ,  zᵢ = 1 in the class, else 0"},
		References: []string{
			"Cochran, W. G. (1977). Sampling Techniques, 3rd ed. Wiley, sections 2.13 and 5A.14.",
			"Särndal, C.-E., Swensson, B. & Wretman, J. (1992). Model Assisted Survey Sampling. Springer, chapter 10.",
			"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
		},
	})
}

// methods are those with a row, in order.
func (v view) methods() []string {
	var list []string
	for _, r := range v.rows {
		if !slices.Contains(list, r.Method) {
			list = append(list, r.Method)
		}
	}
	return list
}

func (v view) placesTable(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Combinations of ground by expected density, of those with several units, %v", page.Methods(v.places[rows[0]].Method)),
		Of:      v.placeOf, Head: "Ground", Rows: rows, Label: v.where,
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Sites", Name: "sites"}, {Head: "Finds", Name: "finds"},
			{Head: "Expected density", Name: "expected_per_ha"}, {Head: "Most near", Name: "leading_tree"}, {Head: "Best week, from", Name: "best_week"},
		},
	}
}

func (v view) gradientsTable(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Density ratios for a step of one attribute, %v", page.Methods(v.gradients[rows[0]].Method)),
		Of:      v.gradientOf, Head: "Step", Rows: rows,
		Label: func(row int) page.Text {
			if mode := v.gradients[row].Mode; mode != result.All {
				return page.Say("%v, %v", v.step(row), page.Name(mode))
			}
			return v.step(row)
		},
		Columns: []page.Column{{Head: "Sites", Name: "sites"}, {Head: "Finds", Name: "finds"}, {Head: "Ratio", Name: "ratio"},
			{Head: "p", Name: "p", Show: page.Probability}},
	}
}

// severity is the attribute that is of whole strata.
const severity = "severity"

// unvisited names the classes of aspect, slope, elevation and ground cover that no unit
// was searched in, of each class of years since fire, by the method shown; none where
// all were.
func (v view) unvisited() page.Text {
	method := v.rows[v.shown[0]].Method
	var years []string
	rowOf := map[string]int{}     // of each class of years, one that has it
	classes := map[string][]int{} // of each attribute, a row for each class
	searched := map[[3]string]bool{}
	var attributes []string
	for i, r := range v.rows {
		if r.Method != method || r.Mode != result.All || r.Attribute == severity {
			continue
		}
		if r.Years == result.All {
			if classes[r.Attribute] == nil {
				attributes = append(attributes, r.Attribute)
			}
			classes[r.Attribute] = append(classes[r.Attribute], i)
			continue
		}
		if !slices.Contains(years, r.Years) {
			years = append(years, r.Years)
			rowOf[r.Years] = i
		}
		searched[[3]string{r.Years, r.Attribute, r.Class}] = true
	}
	var gaps []page.Text
	for _, attribute := range attributes {
		for _, y := range years {
			var missing []page.Text
			for _, i := range classes[attribute] {
				if !searched[[3]string{y, attribute, v.rows[i].Class}] {
					missing = append(missing, v.class(i))
				}
			}
			if len(missing) == 0 || len(missing) == len(classes[attribute]) {
				continue // all were, or the attribute was not recorded or is of one class
			}
			gaps = append(gaps, page.Say("Not visited, %v: %v %v.", page.YearsSinceFire(v.of.Cell(rowOf[y], "years_since_fire")), page.Name(attribute),
				page.Join(missing, ", ")))
		}
	}
	return page.Join(gaps, " ")
}
