package ground

import (
	"slices"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
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
	s.Leads = true
	s.Figure = v.figure(s.Finding, u)
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
	step, unit, _ := strings.Cut(r.Per, " ")
	return page.Say("%v per %v", page.Name(r.Attribute), page.Bounds(step, unit))
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

// where is "1 year since fire, severe, south, 1200 to 1400 m".
func (v view) where(row int) page.Text {
	r := v.places[row]
	return page.Ground(v.placeOf.Cell(row, "years_since_fire"), r.Severity, r.Aspect, r.Elevation)
}

// title is the attribute as a heading.
func (r Row) title() string { return strings.ToUpper(r.Attribute[:1]) + r.Attribute[1:] }

// class names the class of a row with its unit.
func (v view) class(row int) page.Text {
	r := v.rows[row]
	if r.Unit == "" {
		return page.Name(r.Class)
	}
	return page.Bounds(r.Class, r.Unit)
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
