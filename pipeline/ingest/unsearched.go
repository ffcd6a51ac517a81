package ingest

import (
	"fmt"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// unsearchedName is the file of planned units that were not searched: unit
// nonresponse, in the words of survey sampling. Such a unit is not a zero.
const unsearchedName = "unsearched.csv"

// UnsearchedTable is the table of unsearched.csv among the inputs.
const UnsearchedTable = "unsearched"

// unsearchedColumns are its headers. Others are the crew's own.
var unsearchedColumns = []string{"unit", "reason", "replacement"}

const maxUnsearched = 20_000

// BesideTables are the tables among the inputs that hold no row of the survey.
var BesideTables = []string{SettingsTable, AcceptedTable, UnsearchedTable, TracksTable}

func (o *opener) unsearched() {
	o.folder.unsearched, _ = o.small(unsearchedName, UnsearchedTable, unsearchedColumns, maxUnsearched)
}

// unsearched holds the units that were not searched to the units and visits, and
// tells how much of the plan was met.
func (a *acrossRows) unsearched() {
	t := a.folder.unsearched
	if t == nil {
		return
	}
	if _, lost := a.known.lostUnit(); lost {
		return
	}
	replaces := map[string]smallRow{} // a unit to the row that it stands in for
	for _, row := range t.rows {
		a.unsearchedUnit(row)
		a.replacement(row, replaces)
	}
	a.planMet(t, replaces)
}

// unsearchedUnit takes a row: the unit is known, was not visited, and there is a
// reason.
func (a *acrossRows) unsearchedUnit(row smallRow) {
	text := row.cell("unit")
	u := a.known.units[text]
	switch {
	case text == "":
		a.block(row.about("unit", "is empty, and it is needed", "write the plot or transect that was not searched"))
	case u == nil:
		a.block(row.about("unit", "the unit "+phrase.Quote(text)+" is not known",
			join(a.nearKnown(text, a.known.unitNames), "write it as in plots or transects, and keep its row there")))
	case u.unsearched != nil:
		a.block(row.about("unit", "the unit "+phrase.Quote(text)+" stands on line "+fmt.Sprint(u.unsearched.line)+" already", "give each unit one row"))
	case u.visited():
		a.block(row.about("unit", "the unit "+phrase.Quote(text)+" was visited on "+a.known.visit(u.first).date().String()+" ("+a.where(a.known.visit(u.first).spot)+")",
			"remove this row, or the visit if nobody searched there"))
	case row.cell("reason") == "":
		a.block(row.about("reason", "is empty, and it is needed", "write why, in the crew's own words: snags, no access, no time"))
		u.unsearched = &row
	default:
		u.unsearched = &row
	}
}

// replacement takes the unit that was searched in place of the row's.
func (a *acrossRows) replacement(row smallRow, replaces map[string]smallRow) {
	text := row.cell("replacement")
	first, twice := replaces[text]
	switch {
	case text == "":
	case a.known.units[text] == nil:
		a.block(row.about("replacement", "the unit "+phrase.Quote(text)+" is not known",
			join(a.nearKnown(text, a.known.unitNames), "add its row to plots or transects")))
	case text == row.cell("unit"):
		a.block(row.about("replacement", "is the unit itself", "name the unit that was searched instead, or leave it empty"))
	case twice:
		a.block(row.about("replacement", "the unit "+phrase.Quote(text)+" stands in for "+phrase.Quote(first.cell("unit"))+" already", "one unit replaces one"))
	default:
		replaces[text] = row
	}
}

// mostNamed is how many units that were not searched are named with their reason.
const mostNamed = 20

// planMet tells the share of the planned units that was searched. Planned are all
// units of the sheets but for the replacements.
func (a *acrossRows) planMet(t *smallTable, replaces map[string]smallRow) {
	var planned, searched, replaced, missing int
	var named []string
	for _, u := range a.known.unitOrder {
		if _, stands := replaces[u.name]; stands {
			continue
		}
		planned++
		if u.visited() || u.lost != nil {
			searched++
			continue
		}
		missing++
		why := "no reason given"
		if u.unsearched != nil {
			why = u.unsearched.cell("reason")
			if other := a.known.units[u.unsearched.cell("replacement")]; other != nil && other.visited() {
				replaced++
				why += ", " + phrase.Quote(other.name) + " in its place"
			}
		}
		if missing <= mostNamed {
			named = append(named, fmt.Sprintf("%s (%s)", phrase.Quote(u.name), short(why)))
		}
	}
	if missing == 0 || planned == 0 {
		return
	}
	if missing > mostNamed {
		named = append(named, fmt.Sprintf("and %d more", missing-mostNamed))
	}
	a.notice(survey.Fault{Place: survey.Place{File: t.name},
		Problem: fmt.Sprintf("the plan was met in part: of %d planned units %d were searched, %.0f %%; %d of the others were replaced; not searched: %s",
			planned, searched, 100*float64(searched)/float64(planned), replaced, strings.Join(named, ", ")),
		Remedy: "a unit that was not searched is no zero and counts in no estimate; where the reason goes with what grows there, as steep or " +
			"snagged ground may, the estimates are of the ground that could be searched"})
}

// short cuts a reason to what a list can hold.
func short(text string) string {
	const most = 80
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "..."
	}
	return text
}
