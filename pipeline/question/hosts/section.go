package hosts

import (
	"math"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Sections are the question's part of the report.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.Trees, Question: "Host trees", Appendix: v.appendix(u)}
	if v.selected >= 0 {
		s.Finding, s.Table, s.Figure = v.selectionFinding(), v.selectionTable(), v.selectionFigure(u)
		s.Limitations = page.LimitsOf(v.selectionOf, v.selected)
	}
	if v.near >= 0 {
		s.Text = append(s.Text, v.nearSentence())
		s.Limitations = append(s.Limitations, page.LimitsOf(v.associationOf, v.near)...)
	}
	if v.agreed >= 0 {
		s.Text = append(s.Text, v.agreementSentence())
	}
	if v.ruled >= 0 {
		s.Text = append(s.Text, v.sensitivitySentence())
	}
	return []page.Section{s}
}

// view is an answer with its tables and the rows that the report speaks of, -1 for
// none.
type view struct {
	Answer
	selectionOf, associationOf, agreementOf, sensitivityOf result.Table

	selected int // selection over the area, of the host farthest from 1
	near     int // association of all finds at the distance nearest to that of the rule
	agreed   int // agreement over all strata
	ruled    int // sensitivity at the distance of the rule
}

func (a Answer) view() view {
	v := view{
		Answer:      a,
		selectionOf: selectionTable.Of(a.selection), associationOf: associationTable.Of(a.association),
		agreementOf: agreementTable.Of(a.agreement), sensitivityOf: sensitivityTable.Of(a.sensitivity),
	}
	v.selected = v.farthest()
	v.near = v.atRule()
	v.agreed = first(a.agreement, func(r AgreementRow) (string, bool) {
		return r.Stratum, overAll(r.Stratum, r.Years) && r.Kappa.Value.Known
	})
	v.ruled = first(a.sensitivity, func(r SensitivityRow) (string, bool) {
		return r.Stratum, r.IsRule.Value && r.Ratio.Value.Known && r.Hosts.Value > 0
	})
	return v
}

// overAll reports whether a row is of all strata that a method reached, in all years.
func overAll(stratum, years string) bool { return fieldwork.OverStrata(stratum) && years == result.All }

// first is the first of the rows to be spoken of, of a method that reached all strata
// if there is one; -1 for none.
func first[R any](rows []R, of func(R) (stratum string, spoken bool)) int {
	at, whole := -1, false
	for i, r := range rows {
		stratum, spoken := of(r)
		if spoken && (at < 0 || !whole && stratum == result.All) {
			at, whole = i, stratum == result.All
		}
	}
	return at
}

// farthest is the row of the host whose selection ratio is farthest from 1, of those
// whose interval excludes 1 if there are any.
func (v view) farthest() int {
	method := first(v.selection, func(r SelectionRow) (string, bool) {
		return r.Stratum, overAll(r.Stratum, r.Years) && r.Scale == overArea && r.Ratio.Value.Known
	})
	at := -1
	for _, i := range v.hostRows(method) {
		if at < 0 || v.selection[i].before(v.selection[at]) {
			at = i
		}
	}
	return at
}

// hostRows are the rows of all hosts beside a row, but for those without a ratio.
func (v view) hostRows(beside int) []int {
	var rows []int
	for i, r := range v.selection {
		if beside >= 0 && r.Method == v.selection[beside].Method && overAll(r.Stratum, r.Years) && r.Scale == overArea && r.Ratio.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// before reports whether a host says more than another: its interval excludes 1, or
// its ratio is farther from it.
func (r SelectionRow) before(other SelectionRow) bool {
	if e := r.excludesOne(); e != other.excludesOne() {
		return e
	}
	away := func(r SelectionRow) float64 { return math.Abs(math.Log(max(r.Ratio.Value.Value, 1e-9))) }
	return away(r) > away(other)
}

func (r SelectionRow) excludesOne() bool {
	return r.Ratio.Lower.Known && r.Ratio.Lower.Value > 1 || r.Ratio.Upper.Known && r.Ratio.Upper.Value < 1
}

// atRule is the row of all finds within the distance nearest to that of the rule.
func (v view) atRule() int {
	rule := math.NaN()
	for _, r := range v.agreement {
		rule = r.DistanceM.Value
	}
	told := func(r AssociationRow) bool {
		return overAll(r.Stratum, r.Years) && r.Mode == result.All && r.Measure == withinDistance && r.Estimate.Value.Known
	}
	at := first(v.association, func(r AssociationRow) (string, bool) { return r.Stratum, told(r) })
	for i, r := range v.association {
		if at >= 0 && told(r) && r.Method == v.association[at].Method && math.Abs(r.DistanceM.Value-rule) < math.Abs(v.association[at].DistanceM.Value-rule) {
			at = i
		}
	}
	return at
}

// offered names a measure of availability.
func offered(availability string) string {
	switch availability {
	case survey.BasalArea:
		return "basal area"
	case survey.Cover:
		return "crown cover"
	}
	return "stems"
}

func (v view) selectionFinding() page.Text {
	r := v.selection[v.selected]
	return page.Say("Selection ratio of %v: %v, its share of the host-associated finds over its share of live %v, by %v.",
		page.Name(r.Tree), page.Estimate(v.selectionOf.Cell(v.selected, "selection_ratio")), offered(r.Availability), page.Methods(r.Method))
}

func (v view) selectionTable() *page.Table {
	r := v.selection[v.selected]
	return &page.Table{
		Caption: page.Say("Selection of hosts, by %v", page.Methods(r.Method)),
		Of:      v.selectionOf, Head: "Host", Rows: v.hostRows(v.selected),
		Label: func(row int) page.Text { return page.Name(v.selection[row].Tree) },
		Columns: []page.Column{
			{Head: "Finds", Name: "finds"}, {Head: "Share of finds", Name: "used_share"},
			{Head: "Share of live " + offered(r.Availability), Name: "available_share"},
			{Head: "Selection ratio", Name: "selection_ratio"}, {Head: "Adjusted p", Name: "p_adjusted"},
		},
		Below: []page.Text{page.Say("A ratio of one is use in proportion to availability. The intervals hold jointly for all hosts. Selection of " +
			"a host is not proof of a partnership with its roots.")},
	}
}

func (v view) nearSentence() page.Text {
	r := v.association[v.near]
	ratio := v.associationOf.Cell(v.near, "figure")
	return page.Say("Ratio of finds to random points within %v of a live host: %v, by %v (share of finds %v, of points %v).",
		v.associationOf.Cell(v.near, "distance_m"), page.Estimate(ratio), page.Methods(r.Method),
		v.associationOf.Cell(v.near, "of_finds"), v.associationOf.Cell(v.near, "of_points"))
}

func (v view) agreementSentence() page.Text {
	return page.Say("Agreement of the crew’s call of the mode with a rule of distance (%v): kappa %v.",
		v.agreementOf.Cell(v.agreed, "distance_m"), page.Estimate(v.agreementOf.Cell(v.agreed, "kappa")))
}

func (v view) sensitivitySentence() page.Text {
	rule := v.sensitivityOf.Cell(v.ruled, "ratio")
	text := page.Say("Host-associated to other density ratio by a rule of distance (%v): %v", v.sensitivityOf.Cell(v.ruled, "distance_m"), page.Estimate(rule))
	for i, r := range v.sensitivity {
		if r.Rule == crewRule && r.Method == v.sensitivity[v.ruled].Method && r.Ratio.Value.Known {
			return page.Say("%v; by the crew’s call %v.", text, v.sensitivityOf.Cell(i, "ratio"))
		}
	}
	return page.Say("%v.", text)
}
