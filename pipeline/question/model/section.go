package model

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Sections are the question's part of the report: the decline with years since fire,
// or without one the ratio of modes that is farthest from 1.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.Trees, Question: "Count model"}
	if v.main < 0 {
		return []page.Section{s}
	}
	decline, ratio := v.declineRow(v.method(), result.All), v.farthest()
	switch {
	case decline >= 0:
		s.Finding, s.Limitations = v.declineFinding(decline), page.LimitsOf(v.declineOf, decline)
		s.Text = append(s.Text, v.bothModes(decline)...)
		if ratio >= 0 {
			s.Text = append(s.Text, v.ratioSentence(ratio))
		}
	case ratio >= 0:
		s.Finding, s.Limitations = v.ratioSentence(ratio), page.LimitsOf(v.contrastOf, ratio)
	}
	if !s.Finding.Empty() {
		s.Text = append(s.Text, v.restsOn(v.main))
		s.Figure, s.Table = v.predictedFigure(u, v.method()), v.ratioTable(v.method())
	}
	s.Appendix = v.appendix(u)
	return []page.Section{s}
}

// view is an answer with its tables and the fit that the report speaks of.
type view struct {
	Answer
	fitOf, testOf, predictedOf, contrastOf, declineOf result.Table
	main                                              int // of the fits; -1 for none
}

// view chooses the fit of the method that reached all strata, or else of most units.
func (a Answer) view() view {
	v := view{
		Answer: a, fitOf: fitTable.Of(a.fits), testOf: testTable.Of(a.tests), predictedOf: predictedTable.Of(a.predicted),
		contrastOf: contrastTable.Of(a.contrasts), declineOf: declineTable.Of(a.declines), main: -1,
	}
	for i, r := range a.fits {
		if r.Coefficients.Known && r.Finds.Value > 0 && (v.main < 0 || r.before(a.fits[v.main])) {
			v.main = i
		}
	}
	return v
}

// before reports whether a fit says more of the survey area than another.
func (r FitRow) before(other FitRow) bool {
	if all := r.reachedAll(); all != other.reachedAll() {
		return all
	}
	return r.Units.Value > other.Units.Value
}

func (r FitRow) reachedAll() bool { return !fieldwork.AreaNotReached.In(r.Warnings) }

func (v view) method() string { return v.fits[v.main].Method }

// declineRow is the row of a mode that has a ratio per year; -1 for none.
func (v view) declineRow(method, mode string) int {
	for i, r := range v.declines {
		if r.Method == method && r.Mode == mode && r.PerYear.Value.Known {
			return i
		}
	}
	return -1
}

// perYear is the ratio of a row of the decline with its interval.
func (v view) perYear(row int) page.Text {
	return page.Estimate(v.declineOf.Cell(row, "ratio_per_year"))
}

// declineFinding gives the ratio per year of each mode, or of both together where one
// has none.
func (v view) declineFinding(row int) page.Text {
	method := v.declines[row].Method
	lead := page.Say("Ratio of density from one year since fire to the next, by %v: ", page.Methods(method))
	host, sapro := v.declineRow(method, survey.HostAssociated), v.declineRow(method, survey.Saprotrophic)
	if host < 0 || sapro < 0 {
		return page.Say("%v%v.", lead, v.perYear(row))
	}
	return page.Say("%vsaprotrophic %v, host-associated %v.", lead, v.perYear(sapro), v.perYear(host))
}

// bothModes gives the ratio per year of both modes together with its test, and the
// time to a tenth of each mode that falls.
func (v view) bothModes(row int) []page.Text {
	both := page.Say("Both modes together: %v", v.perYear(row))
	if p := v.declineOf.Cell(row, "p"); p.Known() {
		both = page.Say("%v; test of no change: p %v (%v)", both, p, testName(v.declines[row].Test))
	}
	texts := []page.Text{page.Say("%v.", both)}
	for _, mode := range modes {
		at := v.declineRow(v.method(), mode)
		if at < 0 || !(v.declines[at].PerYear.Upper.Or(1) < 1) {
			continue
		}
		if c := v.declineOf.Cell(at, "tenth_years"); c.Known() {
			texts = append(texts, page.Say("Estimated time in which %v density falls to a tenth: %v years (%v).", mode, page.Bare(c), page.Interval(c)))
		}
	}
	return texts
}

// testName is the textbook name of the test that a p-value is of.
func testName(test string) string {
	switch test {
	case result.AllScores, result.DrawnScores:
		return "cluster-level sign-flip score test"
	case result.WaldTest:
		return "Wald test"
	}
	return test
}

// ofModes reports whether a row is a ratio of modes, within a tree or a class of years.
func (r ContrastRow) ofModes() bool { return r.Comparison == hostToSapro }

// farthest is the ratio of modes within a tree that is farthest from 1, of those whose
// interval excludes it if there are any; without trees the same within years. -1 for
// none.
func (v view) farthest() int {
	at := -1
	for i, r := range v.contrasts {
		if r.Method != v.method() || !r.ofModes() || !r.Value.Known {
			continue
		}
		if at < 0 || r.before(v.contrasts[at]) {
			at = i
		}
	}
	return at
}

func (r ContrastRow) before(other ContrastRow) bool {
	if tree := r.Tree != result.All; tree != (other.Tree != result.All) {
		return tree
	}
	if excludes := r.excludesOne(); excludes != other.excludesOne() {
		return excludes
	}
	away := func(r ContrastRow) float64 { return math.Abs(math.Log(max(r.Value.Value, 1e-9))) }
	return away(r) > away(other)
}

func (r ContrastRow) excludesOne() bool {
	return r.Lower.Known && r.Lower.Value > 1 || r.Upper.Known && r.Upper.Value < 1
}

// within names the tree or the class of years of a ratio of modes.
func (v view) within(row int) page.Text {
	if tree := v.contrasts[row].Tree; tree != result.All {
		return page.Name(tree)
	}
	return page.YearsSinceFire(v.contrastOf.Cell(row, "years_since_fire"))
}

func (v view) ratioSentence(row int) page.Text {
	at := page.Say(", %v", v.within(row))
	if v.contrasts[row].Tree != result.All {
		at = page.Say(" near %v", v.within(row))
	}
	text := page.Say("Host-associated to saprotrophic density ratio%v: %v", at, page.Estimate(v.contrastOf.Cell(row, "ratio")))
	if p := v.contrastOf.Cell(row, "p_adjusted"); p.Known() {
		return page.Say("%v; adjusted p %v.", text, p)
	}
	return page.Say("%v.", text)
}

// restsOn says what a fit rests on: its terms, finds, units, sites and years of fire.
func (v view) restsOn(row int) page.Text {
	cell := func(column string) result.Cell { return v.fitOf.Cell(row, column) }
	text := page.Say("Count model (%v) of %v in %v of %v, %v.", v.fits[row].Terms,
		page.Count(cell("finds"), "fruit body", "fruit bodies"), page.Count(cell("units"), "unit", "units"),
		page.Count(cell("sites"), "site", "sites"), page.Count(cell("fires"), "year of fire", "years of fire"))
	if out := cell("left_out"); out.Number.Or(0) > 0 {
		return page.Say("%v Left out: %v whose mode or tree was not called.", text, page.Count(out, "fruit body", "fruit bodies"))
	}
	return text
}

// ratioTable has the ratios of modes by tree and by years since fire; nil for none.
func (v view) ratioTable(method string) *page.Table {
	var rows []int
	for i, r := range v.contrasts {
		if r.Method == method && r.ofModes() && (r.Value.Known || r.Lower.Known) {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return &page.Table{
		Caption: page.Say("Host-associated to saprotrophic density ratio by the count model, %v", page.Methods(method)),
		Of:      v.contrastOf, Head: "Within", Rows: page.Largest(v.contrastOf, rows, "units"), Label: v.within,
		Columns: []page.Column{
			{Head: "Host-associated", Name: "finds"}, {Head: "Saprotrophic", Name: "base_finds"},
			{Head: "Ratio", Name: "ratio"}, {Head: "Adjusted p", Name: "p_adjusted"},
		},
	}
}

func value(f column.Float) float64 { return f.Or(math.NaN()) }
