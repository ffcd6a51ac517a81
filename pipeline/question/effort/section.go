package effort

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// Sections are the line at the head of the report, and what counts and what does
// not.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.HowMany, Question: "Effort and taxa"}
	if len(a.rows) == 0 {
		return []page.Section{s}
	}
	v := view{Answer: a, effort: table.Of(a.rows), recorded: taxaTable.Of(a.taxa)}
	area := v.area()
	s.Lead, s.Area = v.lead(), &area
	s.Text, s.Details = []page.Text{v.counting()}, []page.Text{v.roadsides(), v.notTargets()}
	for i, r := range a.rows {
		if fieldwork.UnitsNeverSearched.In(r.Warnings) {
			s.Limitations = append(s.Limitations, page.LimitsOf(v.effort, i)...)
		}
	}
	for i := range a.taxa {
		s.Limitations = append(s.Limitations, page.LimitsOf(v.recorded, i)...)
	}
	s.Appendix = v.appendix()
	return []page.Section{s, v.where(u)}
}

// view is an answer with its tables.
type view struct {
	Answer
	effort, recorded result.Table
}

// rowsOf are the rows of a method, or of all for "".
func (v view) rowsOf(method string) []int {
	var rows []int
	for i, r := range v.rows {
		if method == "" || r.Method == method {
			rows = append(rows, i)
		}
	}
	return rows
}

// methods are those with units, in the order of the rows.
func (v view) methods() []string {
	var list []string
	for _, r := range v.rows {
		if r.Units.Value > 0 && !slices.Contains(list, r.Method) {
			list = append(list, r.Method)
		}
	}
	return list
}

// area is that of all strata, each once.
func (v view) area() result.Cell {
	var rows []int
	seen := map[string]bool{}
	for i, r := range v.rows {
		if !seen[r.Stratum] {
			seen[r.Stratum] = true
			rows = append(rows, i)
		}
	}
	return result.Sum(v.effort, rows, "land_ha")
}

// lead says in a line who searched how much, and when.
func (v view) lead() page.Text {
	var units []page.Text
	for _, m := range v.methods() {
		n := result.Sum(v.effort, v.rowsOf(m), "units")
		if v.seasons(m) {
			units = append(units, page.Say("%v of %v", page.Count(n, "unit-season", "unit-seasons"), page.Methods(m)))
			continue
		}
		units = append(units, page.Count(n, noun[m], noun[m]+"s"))
	}
	if len(units) == 0 {
		return page.Say("%v; no unit was searched.", v.area())
	}
	first, last := v.span()
	between := page.Say("%v to %v", page.Dated(first), page.Dated(last))
	if first.Date == last.Date {
		between = page.Dated(first)
	}
	return page.Say("%v; %v; searched %v; %v of target taxa counted.", v.area(), page.And(units), between,
		page.Count(result.Sum(v.effort, v.rowsOf(""), "finds"), "fruit body", "fruit bodies"))
}

// noun is what one unit of a method is called.
var noun = map[string]string{result.Plot: "plot", result.Added: "added plot", result.Strip: "strip transect", result.Line: "line transect"}

// seasons reports whether units of a method were searched in more than one season.
func (v view) seasons(method string) bool {
	seen := map[string]bool{}
	for _, r := range v.rows {
		if r.Method != method {
			continue
		}
		if seen[r.Stratum] || fieldwork.SeasonsPooled.In(r.Warnings) {
			return true
		}
		seen[r.Stratum] = true
	}
	return false
}

// span is the first and the last day of search.
func (v view) span() (first, last result.Cell) {
	for i := range v.rows {
		f, l := v.effort.Cell(i, "first_visit"), v.effort.Cell(i, "last_visit")
		if f.Date.Known() && (!first.Date.Known() || f.Date.Compare(first.Date) < 0) {
			first = f
		}
		if l.Date.Known() && (!last.Date.Known() || l.Date.Compare(last.Date) > 0) {
			last = l
		}
	}
	return first, last
}

// counting says what the count of a unit is.
func (v view) counting() page.Text {
	units, visits := result.Sum(v.effort, v.rowsOf(""), "units"), result.Sum(v.effort, v.rowsOf(""), "visits")
	switch {
	case visits.Number.Value == 0:
		return page.Text{}
	case visits.Number.Value <= units.Number.Value:
		return page.Say("Each unit was searched once in a season: counts are of what stood on that day.")
	case v.rules.standing:
		return page.Say("Each visit recorded all that stood. The count of a unit is that of its fullest visit, of %v in all.", page.Count(visits, "visit", "visits"))
	}
	return page.Say("Each visit recorded fruit bodies not recorded before. The count of a unit is the sum over its visits, of %v in all.",
		page.Count(visits, "visit", "visits"))
}

// roadsides says whether units along roads count.
func (v view) roadsides() page.Text {
	n := result.Sum(v.effort, v.rowsOf(""), "roadside_units")
	switch {
	case n.Number.Value == 0:
		return page.Text{}
	case v.rules.together:
		return page.Say("Units along roads, no random sample of the survey area, count like all others (setting density.roadside): %v.", n)
	}
	return page.Say("Units along roads, no random sample, left out of strata with other units: %v.", n)
}

// notTargets names what was recorded and is not estimated.
func (v view) notTargets() page.Text {
	const most = 3
	var names []page.Text
	left := 0
	for i, r := range v.taxa {
		switch {
		case r.Target.Value || r.Finds.Value == 0:
		case len(names) == most:
			left++
		default:
			names = append(names, page.Say("%v (%v)", page.Name(r.Taxon), page.Bare(v.recorded.Cell(i, "finds"))))
		}
	}
	switch {
	case len(names) == 0:
		return page.Text{}
	case left > 0:
		names = append(names, page.Say("others"))
	}
	return page.Say("Recorded and not estimated, in fruit bodies: %v.", page.And(names))
}

// appendix has the effort by stratum, and what its words mean.
func (v view) appendix() []page.Part {
	var rows []int
	for i, r := range v.rows {
		if r.Units.Value > 0 {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return []page.Part{{
		Title: "By stratum",
		Text: []page.Text{
			page.Say("A find is a fruit body that a crew saw and recorded. What was hidden, had not come up or had gone is in no count."),
			page.Say("A site is a group of units that are not independent of each other; a unit outside any group is a site of its own. A unit " +
				"searched in two seasons is two unit-seasons; its ground counts once."),
		},
		Tables: []page.Table{{
			Caption: page.Say("Effort by stratum and years since fire"), Of: v.effort, Head: "Stratum",
			Label: func(row int) page.Text {
				r := v.rows[row]
				return page.Say("%v, %v, %v", page.Name(r.Stratum), page.YearsSinceFire(v.effort.Cell(row, "years_since_fire")), page.Methods(r.Method))
			},
			Columns: []page.Column{
				{Head: "Units", Name: "units"}, {Head: "Sites", Name: "sites"}, {Head: "Visits", Name: "visits"},
				{Head: "Searched", Name: "searched_ha"}, {Head: "Of the stratum", Name: "searched_percent"}, {Head: "Length", Name: "length_m"},
				{Head: "First day", Name: "first_visit"}, {Head: "Last day", Name: "last_visit"}, {Head: "Finds", Name: "finds"},
			},
			Rows: page.Largest(v.effort, rows, "finds"),
		}},
	}}
}
