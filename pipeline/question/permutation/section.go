package permutation

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// Sections are sentences on unburned ground and on the pair of years farthest apart, and
// a part of the appendix.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Trees, Question: "Permutation tests"}
	v := a.view()
	if len(v.tested) == 0 {
		return []page.Section{s}
	}
	part := page.Part{Title: "Permutation tests", Tables: []page.Table{v.short()}}
	for _, row := range []int{v.burn, v.apart} {
		if row >= 0 {
			s.Text = append(s.Text, v.sentence(row))
			s.Limitations = append(s.Limitations, page.LimitsOf(v.table, row)...)
		}
	}
	if pairs := v.pairs(); len(pairs) > 0 {
		part.Figures = []*page.Figure{v.figure(pairs, u)}
	}
	s.Appendix = []page.Part{part, methods}
	return []page.Section{s}
}

// view is an answer with the rows that the report speaks of.
type view struct {
	rows   []Row
	table  result.Table
	tested []int // rows of one method that have a p-value
	apart  int   // of them, the densities of all finds in the latest years and the first; -1 for none
	burn   int   // of them, the densities of all finds on unburned ground and in the first years; -1 for none
}

// view chooses the first method that reached all strata, or else the first.
func (a Answer) view() view {
	v := view{rows: a.rows, table: table.Of(a.rows), apart: -1, burn: -1}
	method := -1
	for i, r := range a.rows {
		if r.P.Known && (method < 0 || r.Stratum == result.All && a.rows[method].Stratum != result.All) {
			method = i
		}
	}
	least, most := math.Inf(1), math.Inf(-1)
	for i, r := range a.rows {
		if !r.P.Known || r.Method != a.rows[method].Method {
			continue
		}
		v.tested = append(v.tested, i)
		if r.Question != densityByYears || r.Mode != result.All {
			continue
		}
		if second, _, _ := strings.Cut(r.Years, against); second == result.Unburned && v.burn < 0 {
			v.burn = i
		}
		later, earlier, ok := r.ages()
		if ok && earlier <= least && later >= most {
			least, most, v.apart = earlier, later, i
		}
	}
	return v
}

// ages are the years since fire of a row that compares two classes of burned ground.
func (r Row) ages() (later, earlier float64, ok bool) {
	second, first, _ := strings.Cut(r.Years, against)
	later, err := strconv.ParseFloat(second, 64)
	if err != nil {
		return 0, 0, false
	}
	earlier, err = strconv.ParseFloat(first, 64)
	return later, earlier, err == nil
}

// sentence gives the ratio of a pair of years with its test.
func (v view) sentence(row int) page.Text {
	ratio, p := v.table.Cell(row, "ratio"), v.table.Cell(row, "p_adjusted")
	if !p.Known() {
		p = v.table.Cell(row, "p")
	}
	text := page.Say("Density ratio by years since fire, %v: ", v.table.Cell(row, "years_since_fire"))
	if ratio.Known() {
		text = page.Say("%v%v; ", text, page.Estimate(ratio))
	}
	return page.Say("%vp %v (permutation test, %v permuted).", text, p, page.Count(v.table.Cell(row, "sites"), "site", "sites"))
}

// pairs are the rows of two classes of years: densities of all finds, and ratios of
// modes.
func (v view) pairs() []int {
	return slices.DeleteFunc(slices.Clone(v.tested), func(row int) bool {
		r := v.rows[row]
		return r.Years == result.All || r.Mode != result.All
	})
}

// compared names what a row compares.
func (r Row) compared() string {
	switch {
	case r.Question == ratioOfModes:
		return "Host-associated to saprotrophic density"
	case r.Question == ratioByYears:
		return "Ratio of host-associated to saprotrophic density"
	case r.Mode == result.All:
		return "Density of all finds"
	}
	return "Density of " + r.Mode + " finds"
}

// classes names the classes of years of a row.
func (v view) classes(row int) page.Text {
	c := v.table.Cell(row, "years_since_fire")
	switch {
	case v.rows[row].Question == ratioOfModes:
		return page.Say("all years")
	case c.Text == result.All:
		return page.Say("all classes at once")
	}
	return page.Say("%v", strings.Replace(c.Text, against, " relative to ", 1))
}

// short has the tests of the report's method.
func (v view) short() page.Table {
	rows := v.pairs()
	for _, row := range v.tested {
		if v.rows[row].Question == ratioOfModes {
			rows = append([]int{row}, rows...)
		}
	}
	if len(rows) == 0 {
		rows = v.tested
	}
	return page.Table{
		Caption: page.Say("Permutation tests, %v", page.Methods(v.rows[rows[0]].Method)),
		Of:      v.table, Head: "Compared", Rows: rows,
		Label: func(row int) page.Text { return page.Say("%v, %v", v.rows[row].compared(), v.classes(row)) },
		Columns: []page.Column{
			{Head: "Sites", Name: "sites"}, {Head: "Ratio", Name: "ratio"}, {Head: "Tried", Name: "tried"},
			{Head: "p", Name: "p"}, {Head: "Mid-p", Name: "mid_p"}, {Head: "Adjusted p", Name: "p_adjusted"},
		},
	}
}

// figure has the ratio of each pair of years.
func (v view) figure(rows []int, u page.Units) *page.Figure {
	main := rows[0]
	if v.apart >= 0 {
		main = v.apart
	}
	return &page.Figure{
		Name:  "ratios-between-years",
		Title: page.Say("Densities and ratios of modes between years since fire"),
		Caption: page.Say("Each row is the later class of years relative to the earlier, by %v. Intervals are linearized over sites; p is of the "+
			"permutation test, adjusted over the pairs.", page.Methods(v.rows[main].Method)),
		Alt: v.sentence(main),
		Form: func(about plots.About) page.Form {
			form := plots.Rows{
				About: about,
				Axis:  plots.Axis{Label: "ratio", Scale: plots.Log},
				Heads: plots.Heads{Value: "ratio", Range: page.Level(v.table.Cell(main, "ratio")) + " CI", Cells: []string{"p"}},
				Rules: []plots.Line{{At: 1, Label: "no difference"}},
			}
			for k, row := range rows {
				r := v.rows[row]
				if k == 0 || v.rows[rows[k-1]].compared() != r.compared() {
					form.Rows = append(form.Rows, plots.Row{Label: r.compared(), Heading: true})
				}
				p := v.table.Cell(row, "p_adjusted")
				if !p.Known() {
					p = v.table.Cell(row, "p")
				}
				one := plots.Row{Label: v.classes(row).Sentence(u), Cells: []string{page.Bare(p).Sentence(u)}}
				if ratio := v.table.Cell(row, "ratio"); ratio.Known() {
					one.Marks = []plots.Mark{page.Mark(ratio, u, 1)}
				} else {
					one.Note = "nothing found on one side"
				}
				form.Rows = append(form.Rows, one)
			}
			return form
		},
	}
}

// methods says how the tests are made.
var methods = page.Part{
	Title: "How the permutation tests are made",
	Text: []page.Text{
		page.Say("Whole sites are permuted between classes of years since fire, within strata where a stratum has several classes. Seasons of a " +
			"site searched more than once are permuted within it. For the ratio of modes the modes are permuted within each site."),
		page.Say("The p-value is the share of arrangements, the observed one included, whose statistic is at least as extreme. Ratios are " +
			"studentized; the test of densities is one of equal distributions of finds per area. Where there are too many arrangements, a random " +
			"sample of them is drawn. The mid-p counts half of the arrangements that tie with the observed one; it is about right where few finds " +
			"make many tie, but it may err. P-values of pairs are adjusted by Holm's method."),
	},
	Formulas: []string{"p = (1 + #{|T*| ≥ |T|}) / (1 + R)"},
	References: []string{
		"Fisher, R. A. (1935). The Design of Experiments. Oliver & Boyd.",
		"Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics 6, 65-70.",
		"Phipson, B. & Smyth, G. K. (2010). Permutation P-values should never be zero: calculating exact P-values when permutations are randomly " +
			"drawn. Statistical Applications in Genetics and Molecular Biology 9, article 39.",
	},
}
