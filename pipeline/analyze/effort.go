package analyze

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// effortRows says what was searched: a row for each method, stratum and class
// of years since fire, roadside units included. A stratum that a method did
// not reach has a row too.
func (s *Season) effortRows(elements []element) []EffortRow {
	var rows []EffortRow
	for _, method := range s.methods() {
		for at := range s.strata {
			var here []element
			for _, e := range elements {
				if e.unit.method == method && e.unit.stratum == at {
					here = append(here, e)
				}
			}
			rows = append(rows, s.effortIn(method, at, here)...)
		}
	}
	return rows
}

// ground is what each method searched in any season.
func (s *Season) ground(elements []element) map[string]Ground {
	by := map[string]Ground{}
	for _, method := range s.methods() {
		of := slices.DeleteFunc(slices.Clone(elements), func(e element) bool { return e.unit.method != method })
		by[method] = Ground{AreaHa: overUnits(of, areaOf), LengthM: overUnits(of, lengthOf)}
	}
	return by
}

func (s *Season) effortIn(method string, at int, here []element) []EffortRow {
	unseen := s.unseenWarning(method, at)
	if len(here) == 0 {
		row := s.effortRow(method, at, All, nil)
		row.Warnings = append(unseen, stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in this stratum", noun(method))})
		return []EffortRow{row}
	}
	var rows []EffortRow
	for _, years := range yearsOf(here) {
		var members []element
		for _, e := range here {
			if e.years == years {
				members = append(members, e)
			}
		}
		row := s.effortRow(method, at, years, members)
		row.Warnings = append(unseen, frameWarnings(members)...)
		rows = append(rows, row)
	}
	return rows
}

// unseenWarning names the units that were laid out and never searched. They
// are in no estimate, and the crew should know.
func (s *Season) unseenWarning(method string, at int) []stats.Warning {
	searched := map[int]bool{}
	for _, v := range s.visits {
		searched[v.unit] = true
	}
	var names []string
	for i, u := range s.units {
		if u.method == method && u.stratum == at && !searched[i] {
			names = append(names, u.id)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []stats.Warning{{Code: "never-searched", Text: fmt.Sprintf("%d units have no visit and are in no estimate: %s", len(names), nameList(names))}}
}

func (s *Season) effortRow(method string, at int, years string, members []element) EffortRow {
	land := s.strata[at].landHa
	row := EffortRow{
		Method: method, Stratum: s.strata[at].name, Years: years,
		LandHa: column.Finite(land), Units: column.Count(len(members)),
	}
	sites := map[string]bool{}
	var visits, roadside int
	var finds int64
	for _, e := range members {
		sites[e.site()] = true
		visits += len(e.visits)
		finds += e.finds()
		if e.unit.roadside {
			roadside++
		}
		s.widen(&row, e)
	}
	row.Sites, row.Visits, row.RoadsideUnits = column.Count(len(sites)), column.Count(visits), column.Count(roadside)
	row.Finds = known(finds)
	if method != LineMethod {
		searchedHa := overUnits(members, areaOf)
		row.SearchedHa = column.Finite(searchedHa)
		row.SearchedPercent = column.Finite(100 * searchedHa / land)
	}
	if method != PlotMethod && method != AddedMethod {
		row.LengthM = column.Finite(overUnits(members, lengthOf))
	}
	return row
}

// widen stretches the row's first and last day to the visits of e.
func (s *Season) widen(row *EffortRow, e element) {
	first, last := s.visits[e.visits[0]].date, s.visits[e.visits[len(e.visits)-1]].date
	if !row.First.Known() || first.Compare(row.First) < 0 {
		row.First = first
	}
	if !row.Last.Known() || last.Compare(row.Last) > 0 {
		row.Last = last
	}
}

// nameList writes names as a list of at most eight.
func nameList(names []string) string {
	const shown = 8
	if len(names) <= shown {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:shown], ", "), len(names)-shown)
}
