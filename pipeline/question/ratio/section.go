package ratio

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// Sections are the question's part of the report.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.Trees, Question: "Host-associated to saprotrophic ratio"}
	if v.all < 0 {
		return []page.Section{s}
	}
	s.Finding, s.Figure, s.Table = v.finding(), v.figure(u, v.method), v.short()
	s.Text, s.Details = []page.Text{v.verdict(), v.otherMethods()}, []page.Text{v.undetermined()}
	s.Limitations = page.LimitsOf(v.comparison, v.all)
	s.Lines = []page.Line{{Label: "by mode", Text: v.line()}}
	s.Appendix = v.appendix(u)
	return []page.Section{s}
}

// view is an answer with its table and the row that the report speaks of.
type view struct {
	rows       []Row
	comparison result.Table
	method     string
	all        int // ratio over all strata that the method sampled; -1 for none
}

// view chooses the first method that reached all strata, or else the first.
func (a Answer) view() view {
	v := view{rows: a.rows, comparison: table.Of(a.rows), all: -1}
	for i, r := range a.rows {
		if r.whole() && r.known() && (v.all < 0 || r.Stratum == result.All && a.rows[v.all].Stratum != result.All) {
			v.all, v.method = i, r.Method
		}
	}
	return v
}

// known reports whether a row has a ratio.
func (r Row) known() bool { return r.Comparison == hostToSapro && r.Ratio.Value.Known }

// compared reports whether a row compares any finds: without saprotrophic ones there is
// no ratio, and at best a lower limit.
func (r Row) compared() bool {
	return r.Comparison == hostToSapro && r.FirstFinds.Value+r.BaseFinds.Value > 0
}

// whole reports whether a row is of all strata that a method sampled, all years and
// trees.
func (r Row) whole() bool {
	return fieldwork.OverStrata(r.Stratum) && r.Years == result.All && r.Tree == result.All
}

func (v view) cell(row int) result.Cell { return v.comparison.Cell(row, "ratio") }

// rowsWhere are the ratios by a method that are kept.
func (v view) rowsWhere(method string, keep func(Row) bool) []int {
	var rows []int
	for i, r := range v.rows {
		if r.Method == method && r.compared() && keep(r) {
			rows = append(rows, i)
		}
	}
	return rows
}

// byYears and byTree are the rows of each class of years since fire and of each tree.
func (v view) byYears(method string) []int {
	return v.rowsWhere(method, func(r Row) bool {
		return fieldwork.OverStrata(r.Stratum) && r.Years != result.All && r.Tree == result.All
	})
}

func (v view) byTree(method string) []int {
	return v.rowsWhere(method, func(r Row) bool {
		return fieldwork.OverStrata(r.Stratum) && r.Years == result.All && r.Tree != result.All
	})
}

// sampled names the part of the survey area that a row over strata is of.
func (v view) sampled(row int) page.Text {
	if v.rows[row].Stratum == result.All {
		return page.Say("the survey area")
	}
	return page.Say("the strata sampled by %v", page.Methods(v.rows[row].Method))
}

// finding gives the ratio over strata.
func (v view) finding() page.Text {
	return page.Say("Host-associated to saprotrophic density ratio of %v: %v, by %v.", v.sampled(v.all), page.Estimate(v.cell(v.all)), page.Methods(v.method))
}

func (v view) line() page.Text {
	return page.Say("host-associated / saprotrophic %v (%v)", v.cell(v.all), page.Limits(v.cell(v.all)))
}

// verdict gives what the ratio rests on and the test of it.
func (v view) verdict() page.Text {
	finds := page.Say("The ratio rests on %v host-associated and %v saprotrophic fruit bodies",
		page.Bare(v.comparison.Cell(v.all, "finds")), page.Bare(v.comparison.Cell(v.all, "base_finds")))
	p := v.comparison.Cell(v.all, "p")
	if !p.Known() {
		return page.Say("%v.", finds)
	}
	return page.Say("%v. Test of a ratio of one: p %v (%v).", finds, p, testName(v.rows[v.all].Test))
}

// testName is the textbook name of the test that a p-value is of.
func testName(test string) string {
	switch test {
	case result.AllSigns, result.DrawnSigns:
		return "cluster-level sign-flip test"
	case result.WaldTest:
		return "Wald test"
	}
	return test
}

// otherMethods gives the ratio by each other method.
func (v view) otherMethods() page.Text {
	var list []page.Text
	for i, r := range v.rows {
		if r.Method == v.method || !r.whole() || !r.known() {
			continue
		}
		of := "survey area"
		if r.Stratum == result.Reached {
			of = "strata sampled only"
		}
		list = append(list, page.Say("Ratio by %v, %v: %v (%v).", page.Methods(r.Method), of, v.cell(i), page.Limits(v.cell(i))))
	}
	return page.Join(list, " ")
}

// undetermined gives the share of the fruit bodies that the ratio leaves out.
func (v view) undetermined() page.Text {
	for i, r := range v.rows {
		if r.Comparison == undeterminedShare && r.Method == v.method && r.whole() && r.Ratio.Value.Known {
			return page.Say("Share of fruit bodies with undetermined mode, which the ratio leaves out: %v.", page.Estimate(v.cell(i)))
		}
	}
	return page.Text{}
}

// part names what a row is of, other than all.
func (v view) part(row int) page.Text {
	r := v.rows[row]
	years := page.YearsSinceFire(v.comparison.Cell(row, "years_since_fire"))
	switch {
	case r.whole() && r.Stratum == result.All:
		return page.Say("survey area")
	case r.whole():
		return page.Say("strata sampled")
	case !fieldwork.OverStrata(r.Stratum):
		return page.Name(r.Stratum)
	case r.Tree == result.All:
		return years
	case r.Years == result.All:
		return treeName(r.Tree)
	}
	return page.Say("%v, %v", treeName(r.Tree), years)
}

func treeName(tree string) page.Text {
	if tree == result.Unrecorded {
		return page.Say("no tree recorded")
	}
	return page.Name(tree)
}

// columns are those of the tables of ratios.
var columns = []page.Column{
	{Head: "Ratio", Name: "ratio"}, {Head: "Host-associated", Name: "finds"}, {Head: "Saprotrophic", Name: "base_finds"},
	{Head: "Units", Name: "units"}, {Head: "p", Name: "p"}, {Head: "Adjusted p", Name: "p_adjusted"},
}

// tableOf has some rows of one method.
func (v view) tableOf(caption, head, method string, rows []int) page.Table {
	return page.Table{
		Caption: page.Say("%v, by %v", caption, page.Methods(method)), Of: v.comparison, Head: head, Label: v.part, Columns: columns, Rows: rows,
		Strong: func(row int) bool { return v.rows[row].whole() && v.rows[row].Stratum == result.All },
	}
}

// short is the table of the area, the years since fire and the trees with most finds.
func (v view) short() *page.Table {
	const most = 12 // rows that a short table shows
	rows := append([]int{v.all}, v.byYears(v.method)...)
	trees := v.byTree(v.method)
	for room := most - len(rows); len(trees) > 0 && len(trees) > room; {
		trees = v.withoutScarcest(trees)
	}
	t := v.tableOf("Host-associated to saprotrophic density ratio", "Years since fire, or nearest tree", v.method, append(rows, trees...))
	return &t
}

// withoutScarcest leaves out the row with fewest finds.
func (v view) withoutScarcest(rows []int) []int {
	least := 0
	finds := func(i int) int64 { return v.rows[rows[i]].FirstFinds.Value + v.rows[rows[i]].BaseFinds.Value }
	for i := range rows {
		if finds(i) < finds(least) {
			least = i
		}
	}
	return append(append([]int{}, rows[:least]...), rows[least+1:]...)
}
