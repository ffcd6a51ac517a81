package ground

import (
	"slices"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Sections are the clearest difference between classes, a sentence for each attribute,
// the figure and the table of the method with most finds, and the rest in the appendix.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Where, Question: "Classes of ground"}
	v := view{Answer: a, of: table.Of(a.rows), gradientOf: gradientTable.Of(a.gradients), placeOf: placeTable.Of(a.places)}
	v.shown = v.rowsOf(v.mainMethod(), result.All, result.All)
	if len(v.shown) == 0 {
		return []page.Section{s}
	}
	s.Finding, s.Text = v.finding()
	s.Text = []page.Text{page.Join(s.Text, " "), v.adjusted(), v.next()}
	s.Figure = v.figure()
	s.Table = v.shortTable()
	for _, i := range v.shown {
		s.Limitations = append(s.Limitations, page.LimitsOf(v.of, i)...)
	}
	s.Appendix = v.appendix()
	return []page.Section{s}
}

// view is an answer with its table and the rows that the section shows.
type view struct {
	Answer
	of, gradientOf, placeOf result.Table
	shown                   []int
}

// mainMethod is the one with most finds in the rows of an attribute.
func (v view) mainMethod() string {
	finds := map[string]int64{}
	best := ""
	for _, r := range v.rows {
		if r.Years == result.All && r.Mode == result.All {
			finds[r.Method] += r.Finds.Value
			if best == "" || finds[r.Method] > finds[best] {
				best = r.Method
			}
		}
	}
	return best
}

func (v view) rowsOf(method, years, mode string) []int {
	var rows []int
	for i, r := range v.rows {
		if r.Method == method && r.Years == years && r.Mode == mode {
			rows = append(rows, i)
		}
	}
	return rows
}

// fewestUnits is how many a class needs for a sentence to name it highest or lowest
// (common practice, no source).
const fewestUnits = 5

// contrast is the classes of an attribute with the highest and the lowest density.
type contrast struct {
	high, low int
	apart     bool // their intervals do not overlap
}

// contrasts has one for each attribute that has two classes with units enough.
func (v view) contrasts() []contrast {
	var list []contrast
	for from := 0; from < len(v.shown); {
		to := from
		c := contrast{-1, -1, false}
		for ; to < len(v.shown) && v.rows[v.shown[to]].Attribute == v.rows[v.shown[from]].Attribute; to++ {
			i := v.shown[to]
			r := v.rows[i]
			if r.Units.Value < fewestUnits || !r.Density.Value.Known {
				continue
			}
			if c.high < 0 || r.Density.Value.Value > v.rows[c.high].Density.Value.Value {
				c.high = i
			}
			if c.low < 0 || r.Density.Value.Value < v.rows[c.low].Density.Value.Value {
				c.low = i
			}
		}
		if c.high != c.low {
			lower, upper := v.rows[c.high].Density.Lower, v.rows[c.low].Density.Upper
			c.apart = lower.Known && upper.Known && lower.Value > upper.Value
			list = append(list, c)
		}
		from = to
	}
	return list
}

// finding has the contrast with the widest ratio among those whose intervals do not
// overlap, and the sentences on the others.
func (v view) finding() (finding page.Text, others []page.Text) {
	list := v.contrasts()
	best := -1
	for i, c := range list {
		if c.apart && (best < 0 || v.ratio(c) > v.ratio(list[best])) {
			best = i
		}
	}
	var overlapping []page.Text
	for i, c := range list {
		switch {
		case i == best:
		case c.apart:
			others = append(others, v.sentence(c))
		default:
			overlapping = append(overlapping, page.Name(v.rows[c.high].Attribute))
		}
	}
	if best >= 0 && len(overlapping) > 0 {
		others = append(others, page.Say("By %v, the intervals of the highest and the lowest class overlap.", page.And(overlapping)))
	}
	switch {
	case best >= 0:
		finding = v.sentence(list[best])
	case len(list) > 0:
		finding = page.Say("No class of ground differs clearly from another: the intervals of the highest and the lowest overlap for each attribute.")
	default:
		finding = page.Say("No attribute of the ground has two classes with units enough to tell them apart.")
	}
	return finding, others
}

func (v view) ratio(c contrast) float64 {
	return v.rows[c.high].Density.Value.Value / v.rows[c.low].Density.Value.Value
}

func (v view) sentence(c contrast) page.Text {
	low := v.of.Cell(c.low, "density_per_ha")
	return page.Say("%v: density is highest in class %v, %v, and lowest in class %v, %v (%v).", page.Name(v.rows[c.high].title()),
		v.class(c.high), page.Estimate(v.of.Cell(c.high, "density_per_ha")), v.class(c.low), low, page.Limits(low))
}

// adjusted has the ratio for a step of each attribute, the others held equal, of all
// finds by the method shown.
func (v view) adjusted() page.Text {
	var ratios []page.Text
	for _, i := range v.gradientsOf(v.rows[v.shown[0]].Method, result.All) {
		ratio := v.gradientOf.Cell(i, "ratio")
		ratios = append(ratios, page.Say("Density ratio, %v, others held equal: %v (%v).", v.step(i), ratio, page.Limits(ratio)))
	}
	return page.Join(ratios, " ")
}

// gradientsOf are the rows of a method and mode that have a ratio.
func (v view) gradientsOf(method, mode string) []int {
	var rows []int
	for i, r := range v.gradients {
		if r.Method == method && r.Mode == mode && r.Ratio.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// step is "slope, per 10 percent".
func (v view) step(row int) page.Text {
	r := v.gradients[row]
	if r.Per == fromSouth {
		return page.Name("north-facing against south-facing")
	}
	return page.Name(r.Attribute + " per " + strings.Replace(r.Per, " percent", " %", 1))
}

// placesOf are the combinations of a method with units enough, as ranked.
func (v view) placesOf(method string) []int {
	var rows []int
	for i, r := range v.places {
		if r.Method == method && r.Units.Value >= fewestUnits && r.Density.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// next names the combination with the highest expected density.
func (v view) next() page.Text {
	rows := v.placesOf(v.rows[v.shown[0]].Method)
	if len(rows) < 2 {
		return page.Text{}
	}
	i := rows[0]
	text := page.Say("Highest expected density of the ground visited: %v, on %v.", page.Estimate(v.placeOf.Cell(i, "expected_per_ha")), v.where(i))
	if r := v.places[i]; r.Tree != "" && r.Week.Known() {
		text = page.Say("%v Most were found near %v and in the week of %v.", text, page.Name(r.Tree), page.Dated(v.placeOf.Cell(i, "best_week")))
	}
	return page.Say("%v Ground that was not visited is in no figure.", text)
}

// unvisited names the classes of aspect, slope, elevation and ground cover that no unit
// was searched in, of each class of years since fire, by the method shown; none where
// all were.
func (v view) unvisited() page.Text {
	method := v.rows[v.shown[0]].Method
	var years []string
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
			gaps = append(gaps, page.Say("%v %v (%v)", page.Name(attribute), page.Join(missing, ", "), page.Name(y)))
		}
	}
	if len(gaps) == 0 {
		return page.Text{}
	}
	return page.Say("Not visited, with the years since fire in brackets: %v.", page.Join(gaps, "; "))
}

// where is "1 year since fire, severe, south, 1200 to 1400 m".
func (v view) where(row int) page.Text {
	r := v.places[row]
	parts := []page.Text{page.YearsSinceFire(v.placeOf.Cell(row, "years_since_fire"))}
	for _, name := range []string{r.Severity, r.Aspect} {
		if name != "" && name != r.Years {
			parts = append(parts, page.Name(name))
		}
	}
	if r.Elevation != "" {
		parts = append(parts, page.Name(r.Elevation+" m"))
	}
	return page.Join(parts, ", ")
}

// title is the attribute as a heading.
func (r Row) title() string { return strings.ToUpper(r.Attribute[:1]) + r.Attribute[1:] }

// class names the class of a row with its unit.
func (v view) class(row int) page.Text {
	r := v.rows[row]
	switch r.Unit {
	case "":
		return page.Name(r.Class)
	case "percent":
		return page.Name(r.Class + " %")
	}
	return page.Name(r.Class + " " + r.Unit)
}

// figure has the classes of each attribute under its name.
func (v view) figure() *page.Figure {
	finding, _ := v.finding()
	return &page.Figure{
		Name:    "density-by-ground",
		Title:   page.Say("Density by class of ground"),
		Caption: page.Say("Fruit bodies per hectare of each class, by %v, all years and modes. Classes are not adjusted for each other: steep slopes may also be high ones.", page.Methods(v.rows[v.shown[0]].Method)),
		Alt:     finding,
		Form: func(about plots.About) page.Form {
			form := page.Rows{
				Of: v.of, Column: "density_per_ha", Rows: v.shown,
				Label: func(row int) page.Text { return page.Say("%v: %v", page.Name(v.rows[row].Attribute), v.class(row)) },
				Note:  func(row int) string { return page.Reason(v.rows[row].Warnings) },
			}.Form(about, page.Units{})
			form.Axis.Scale = plots.SquareRoot
			form.Rows = v.headed(form.Rows)
			return form
		},
	}
}

// headed puts the name of each attribute over its classes.
func (v view) headed(rows []plots.Row) []plots.Row {
	var list []plots.Row
	last := ""
	for i, row := range rows {
		at := v.shown[i]
		if a := v.rows[at].title(); a != last {
			list, last = append(list, plots.Row{Label: a, Heading: true}), a
		}
		row.Label = v.class(at).Sentence(page.Units{})
		list = append(list, row)
	}
	return list
}

const mostRows = 12

// severity is the attribute that is of whole strata.
const severity = "severity"

// shortTable has the classes with most finds.
func (v view) shortTable() *page.Table {
	rows := slices.Clone(page.Largest(v.of, v.shown, "finds"))
	if len(rows) > mostRows {
		rows = rows[:mostRows]
	}
	slices.Sort(rows)
	t := v.tableOf(rows)
	return &t
}

func (v view) tableOf(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Density by class of ground, %v", page.Methods(v.rows[rows[0]].Method)),
		Of:      v.of, Head: "Class", Rows: rows,
		Label: func(row int) page.Text { return page.Say("%v, %v", page.Name(v.rows[row].Attribute), v.class(row)) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Sites", Name: "sites"}, {Head: "Finds", Name: "finds"},
			{Head: "Share of the area", Name: "share_percent"}, {Head: "Density", Name: "density_per_ha"},
		},
	}
}

// appendix has the modes and the other methods, and how classes are estimated.
func (v view) appendix() []page.Part {
	var parts []page.Part
	shown := map[string]bool{}
	for _, r := range v.rows {
		if shown[r.Method] {
			continue
		}
		shown[r.Method] = true
		rows := v.rowsOf(r.Method, result.All, result.All)
		if len(rows) == 0 {
			continue
		}
		parts = append(parts, page.Part{Title: "By class, all of them", Tables: []page.Table{v.tableOf(rows)}})
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
			page.Say("The class of a unit is known only once it has been drawn, so the number of units in a class, and its share of the survey area, are random. The density of a class is the ratio of two estimated totals: fruit bodies in it over area in it. Its standard error is the linearised one over all sites; a site without a unit in the class counts with zero."),
			page.Say("Limits are those of the units of the class, with what the class's share of each stratum varies put to them on the log scale. Along line transects the shares are taken as known."),
			page.Say("A class that is a whole stratum differs from the others by all that the strata differ by. The ratios with the others held equal are of a negative binomial model of the counts, with strata and years since fire as factors and cluster-robust limits. An attribute that over a fifth of the units lack is not in it; a unit without one has its mean."),
			page.Say("Expected densities of combinations are of the same model, the mean of the units that lie in each. The first of many was chosen for being the highest. In simulated burns the best combination was ranked first or second in three of four. The limits of the first had their nominal coverage (SIMULATION.md of the question)."),
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
		Columns: []page.Column{{Head: "Sites", Name: "sites"}, {Head: "Finds", Name: "finds"}, {Head: "Ratio", Name: "ratio"}, {Head: "p", Name: "p", Show: page.Probability}},
	}
}
