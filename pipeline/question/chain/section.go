package chain

import (
	"cmp"
	"slices"
	"strings"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Sections are the question's part of the report, which leads it.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.HowMany, Question: "From counted to grown", Leads: true}
	v := view{rows: a.rows, table: table.Of(a.rows), end: -1}
	for i, r := range a.rows {
		if r.headline() && r.Density.Value.Known {
			v.end = i
		}
	}
	if v.end < 0 {
		return []page.Section{s}
	}
	number := v.density(v.end)
	s.Finding = v.finding()
	s.Text = []page.Text{v.massSentence(), v.agreement()}
	s.Table, s.Figure = v.path(), v.figure(u, "from-counted-to-grown")
	s.Limitations = page.LimitsOf(v.table, v.end)
	s.Lines = v.lines()
	s.Card = &page.Card{Title: page.Say("Density of %v", v.sampled()), Number: &number, Label: "fruit bodies", Text: []page.Text{v.finding()},
		Figure: v.figure(u, "from-counted-to-grown-summary")}
	s.Appendix = v.appendix(u)
	return append([]page.Section{s}, v.where(u)...)
}

// where is the card of the summary that says where densities are highest, or which is
// the single stratum that was sampled.
func (v view) where(u page.Units) []page.Section {
	strata := v.densest()
	switch len(strata) {
	case 0:
		return nil
	case 1:
		name := page.Name(v.rows[strata[0]].Stratum)
		return []page.Section{{Chapter: page.Where, Question: "Density by stratum", Card: &page.Card{
			Title: page.Say("One stratum was sampled: %v", name), Text: []page.Text{page.Say("Density of %v: %v.", name, page.Estimate(v.density(strata[0])))},
		}}}
	}
	highest, lowest := strata[0], strata[len(strata)-1]
	text := page.Say("Highest density, %v: %v, %v. Lowest: %v, %v.", linkNames[v.rows[highest].Link],
		page.Name(v.rows[highest].Stratum), page.Estimate(v.density(highest)), page.Name(v.rows[lowest].Stratum), page.Estimate(v.density(lowest)))
	shown := slices.DeleteFunc(v.strata(), func(i int) bool { return slices.Index(strata, i) >= mostInFigure })
	return []page.Section{{Chapter: page.Where, Question: "Density by stratum", Card: &page.Card{
		Title: page.Say("Density is highest in %v", page.Name(v.rows[highest].Stratum)), Text: []page.Text{text},
		Figure: v.byStratum(u, "density-by-stratum-summary", shown),
	}}}
}

const mostInFigure = 11 // strata beside the survey area

// densest are the strata, those of highest density first.
func (v view) densest() []int {
	strata := v.strata()
	slices.SortStableFunc(strata, func(a, b int) int {
		return cmp.Compare(v.rows[b].Density.Value.Value, v.rows[a].Density.Value.Value)
	})
	return strata
}

// headline reports whether a row is the number that the survey leads with.
func (r Row) headline() bool { return r.whole() && r.Basis.Value }

// whole reports whether a row is of all methods and all strata reached.
func (r Row) whole() bool { return r.Method == result.All && r.Stratum == result.All }

// view is an answer with its table and the row that the report leads with.
type view struct {
	rows  []Row
	table result.Table
	end   int
}

func (v view) density(row int) result.Cell { return v.table.Cell(row, "density_per_ha") }

// sampled names what the headline is of.
func (v view) sampled() page.Text {
	if fieldwork.AreaNotReached.In(v.rows[v.end].Warnings) {
		return page.Say("the strata sampled")
	}
	return page.Say("the survey area")
}

// linkNames say what a density is corrected for at the end of a link.
var linkNames = map[string]string{
	survey.Counted:  "as counted",
	survey.Detected: "corrected for imperfect detection",
	survey.Whole:    "over the whole season",
}

// finding gives the density at the end of the chain.
func (v view) finding() page.Text {
	r := v.rows[v.end]
	finds := page.Count(v.table.Cell(v.end, "finds"), "find", "finds")
	if r.Density.Value.Value == 0 {
		return page.Say("No fruit body of the target taxa was found on %v; density of %v: %v.", v.searched(), v.sampled(), page.Estimate(v.density(v.end)))
	}
	return page.Say("Estimated density of fruit bodies in %v, %v: %v. It rests on %v on %v.", v.sampled(), linkNames[r.Link],
		page.Estimate(v.density(v.end)), finds, v.searched())
}

// searched counts the units and names their methods.
func (v view) searched() page.Text {
	r, units := v.rows[v.end], v.table.Cell(v.end, "units")
	what := page.Count(units, "unit", "units")
	if fieldwork.SeasonsPooled.In(r.Warnings) {
		what = page.Count(units, "unit-season", "unit-seasons")
	}
	methods := strings.Split(r.Methods, "+")
	if len(methods) == 1 && !fieldwork.SeasonsPooled.In(r.Warnings) {
		return page.Say("%v %v", page.Bare(units), page.Methods(methods[0]))
	}
	var names []page.Text
	for _, m := range methods {
		names = append(names, page.Methods(m))
	}
	return page.Say("%v (%v)", what, page.And(names))
}

// pathRows are the links of the headline.
func (v view) pathRows() []int {
	var rows []int
	for i, r := range v.rows {
		if r.whole() {
			rows = append(rows, i)
		}
	}
	return rows
}

// massSentence gives the mass at the end of the chain.
func (v view) massSentence() page.Text {
	for _, i := range v.pathRows() {
		if v.rows[i].Link == massLink {
			mass := v.table.Cell(i, "factor")
			mass.Unit = "g"
			return page.Say("In fresh mass: %v, at %v a fruit body.", page.Estimate(v.table.Cell(i, "kg_per_ha")), mass)
		}
	}
	return page.Text{}
}

// agreement says whether methods that sampled the same strata agree.
func (v view) agreement() page.Text {
	first := v.pathRows()[0]
	p := v.table.Cell(first, "disagreement_p")
	switch {
	case !p.Known():
		return page.Text{}
	case methodsDisagree.In(v.rows[first].Warnings):
		return page.Say("Methods that sampled the same strata may disagree (p = %v), so one of them stands alone there: %v.", page.Probability(p),
			page.And(v.methodNames(first)))
	}
	return page.Say("Methods that sampled the same strata do not differ beyond chance (p = %v); they are combined by weights from the design.",
		page.Probability(p))
}

func (v view) methodNames(row int) []page.Text {
	var names []page.Text
	for _, m := range strings.Split(v.rows[row].Methods, "+") {
		names = append(names, page.Methods(m))
	}
	return names
}

// stepLabel names a link in a table or a figure.
func stepLabel(link string) string {
	switch link {
	case survey.Detected:
		return "corrected for detection"
	case survey.Whole:
		return "whole season"
	case massLink:
		return "in fresh mass (factor in g)"
	}
	return link
}

// path is the table of the links of the headline.
func (v view) path() *page.Table {
	return &page.Table{
		Caption: page.Say("From counted to grown, %v", v.sampled()), Of: v.table, Head: "Link",
		Label: func(row int) page.Text { return page.Say("%v", stepLabel(v.rows[row].Link)) },
		Columns: []page.Column{
			{Head: "Factor", Name: "factor"}, {Head: "Density", Name: "density_per_ha"}, {Head: "Fresh mass", Name: "kg_per_ha"},
			{Head: "Variance", Name: "variance_percent"},
		},
		Rows: v.pathRows(), Strong: func(row int) bool { return row == v.end },
		Below: []page.Text{page.Say("Each density is the one above it times the factor. Variance: the share of the last interval that the link brings.")},
	}
}

// figure has the links of the headline as bars.
func (v view) figure(u page.Units, name string) *page.Figure {
	return &page.Figure{
		Name:    name,
		Title:   page.Say("From counted to grown"),
		Caption: page.Say("Fruit bodies per unit of area with their confidence intervals, and the factor of each link."),
		Alt:     v.finding(),
		Form: func(about plots.About) page.Form {
			unit, size := u.Shown("1/ha", v.density(v.end).Number.Value)
			form := plots.Chain{About: about, Axis: plots.Axis{Label: "fruit bodies " + unit},
				Heads: plots.Heads{Value: unit, Range: page.Level(v.density(v.end)) + " CI"}}
			for _, i := range v.pathRows() {
				if v.rows[i].Link == massLink {
					continue
				}
				step := plots.Step{Label: stepLabel(v.rows[i].Link), Mark: page.Mark(v.density(i), u, size)}
				if factor := v.table.Cell(i, "factor"); factor.Known() {
					step.Factor = page.Say("× %v (%v)", page.Bare(factor), page.Limits(factor)).Sentence(u)
				}
				form.Steps = append(form.Steps, step)
				if i == v.end {
					break
				}
			}
			return form
		},
	}
}

// lines are those of the terminal: the area, and its strata, the densest first.
func (v view) lines() []page.Line {
	row := func(i int, part bool) *page.LineRow {
		return &page.LineRow{Part: part, Estimate: v.density(i), Units: v.table.Cell(i, "units"), Finds: v.table.Cell(i, "finds")}
	}
	label := "survey area"
	if fieldwork.AreaNotReached.In(v.rows[v.end].Warnings) {
		label = "strata sampled"
	}
	list := []page.Line{{Label: label, Row: row(v.end, false)}}
	strata := v.densest()
	if len(strata) < 2 {
		return list
	}
	for _, i := range strata {
		list = append(list, page.Line{Label: v.rows[i].Stratum, Row: row(i, true)})
	}
	return list
}

// strata are the ends of the chains of the strata, all methods together.
func (v view) strata() []int {
	var rows []int
	for i, r := range v.rows {
		if r.Method == result.All && !r.whole() && r.Basis.Value && r.Density.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}
