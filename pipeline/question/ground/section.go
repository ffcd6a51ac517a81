package ground

import (
	"slices"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// Sections are the clearest difference between classes, a sentence for each attribute,
// the figure and the table of the method with most finds, and the rest in the appendix.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Where, Question: "Classes of ground"}
	v := view{Answer: a, of: table.Of(a.rows)}
	v.shown = v.rowsOf(v.mainMethod(), result.All, result.All)
	if len(v.shown) == 0 {
		return []page.Section{s}
	}
	s.Finding, s.Text = v.finding()
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
	of    result.Table
	shown []int
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
	for i, c := range list {
		if i != best {
			others = append(others, v.sentence(c))
		}
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
	text := page.Say("%v: highest density in class %v, %v; lowest in class %v, %v", page.Name(v.rows[c.high].title()),
		v.class(c.high), page.Estimate(v.of.Cell(c.high, "density_per_ha")), v.class(c.low), page.Estimate(v.of.Cell(c.low, "density_per_ha")))
	if !c.apart {
		return page.Say("%v; the intervals overlap.", text)
	}
	return page.Say("%v.", text)
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
	return append(parts, page.Part{
		Title: "How classes of ground are estimated",
		Text: []page.Text{
			page.Say("The class of a unit is known only once it has been drawn, so the number of units in a class, and its share of the survey area, are random. The density of a class is the ratio of two estimated totals: fruit bodies in it over area in it. Its standard error is the linearised one over all sites; a site without a unit in the class counts with zero."),
			page.Say("Limits are those of the units of the class, with what the class's share of each stratum varies put to them on the log scale. Along line transects the shares are taken as known."),
			page.Say("A class that is a whole stratum differs from the others by all that the strata differ by. The count model compares attributes with the others held equal."),
		},
		Formulas: []string{"D = Σ Wₕ Σ zᵢ yᵢ / aₕ  /  Σ Wₕ Σ zᵢ aᵢ / aₕ,  zᵢ = 1 in the class, else 0"},
		References: []string{
			"Cochran, W. G. (1977). Sampling Techniques, 3rd ed. Wiley, sections 2.13 and 5A.14.",
			"Särndal, C.-E., Swensson, B. & Wretman, J. (1992). Model Assisted Survey Sampling. Springer, chapter 10.",
			"Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. Statistics in Medicine 27, 1693-1702.",
		},
	})
}
