package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
)

// effortRows says what was searched: a row for each method, stratum and class
// of years since fire, roadside units included. A stratum that a method did
// not reach has a row too.
func (s *Season) effortRows(elements []fieldwork.UnitSeason) []EffortRow {
	var rows []EffortRow
	for _, method := range s.Methods() {
		for at := range s.Strata {
			var here []fieldwork.UnitSeason
			for _, e := range elements {
				if e.Unit.Method == method && e.Unit.Stratum == at {
					here = append(here, e)
				}
			}
			rows = append(rows, s.effortIn(method, at, here)...)
		}
	}
	return rows
}

// ground is what each method searched in any season.
func (s *Season) ground(elements []fieldwork.UnitSeason) map[string]Ground {
	by := map[string]Ground{}
	for _, method := range s.Methods() {
		of := slices.DeleteFunc(slices.Clone(elements), func(e fieldwork.UnitSeason) bool { return e.Unit.Method != method })
		by[method] = Ground{AreaHa: fieldwork.OverUnits(of, fieldwork.AreaOf), LengthM: fieldwork.OverUnits(of, fieldwork.LengthOf)}
	}
	return by
}

func (s *Season) effortIn(method string, at int, here []fieldwork.UnitSeason) []EffortRow {
	unseen := s.NeverSearched(method, at)
	if len(here) == 0 {
		row := s.effortRow(method, at, All, nil)
		row.Warnings = append(unseen, stats.Warning{Code: "no-units", Text: fmt.Sprintf("no %s was searched in this stratum", fieldwork.UnitNoun(method))})
		return []EffortRow{row}
	}
	var rows []EffortRow
	for _, years := range fieldwork.YearsOf(here) {
		var members []fieldwork.UnitSeason
		for _, e := range here {
			if e.Years == years {
				members = append(members, e)
			}
		}
		row := s.effortRow(method, at, years, members)
		row.Warnings = append(unseen, fieldwork.VisitWarnings(members)...)
		rows = append(rows, row)
	}
	return rows
}

func (s *Season) effortRow(method string, at int, years string, members []fieldwork.UnitSeason) EffortRow {
	land := s.Strata[at].AreaHa
	row := EffortRow{
		Method: method, Stratum: s.Strata[at].Name, Years: years,
		LandHa: column.Finite(land), Units: column.Count(len(members)),
	}
	sites := map[string]bool{}
	var visits, roadside int
	var finds int64
	for _, e := range members {
		sites[e.Cluster()] = true
		visits += len(e.Visits)
		finds += e.Finds()
		if e.Unit.Roadside {
			roadside++
		}
		s.widen(&row, e)
	}
	row.Sites, row.Visits, row.RoadsideUnits = column.Count(len(sites)), column.Count(visits), column.Count(roadside)
	row.Finds = column.Count(int(finds))
	if method != LineMethod {
		searchedHa := fieldwork.OverUnits(members, fieldwork.AreaOf)
		row.SearchedHa = column.Finite(searchedHa)
		row.SearchedPercent = column.Finite(100 * searchedHa / land)
	}
	if method != PlotMethod && method != AddedMethod {
		row.LengthM = column.Finite(fieldwork.OverUnits(members, fieldwork.LengthOf))
	}
	return row
}

// widen stretches the row's first and last day to the visits of e.
func (s *Season) widen(row *EffortRow, e fieldwork.UnitSeason) {
	first, last := s.Visits[e.Visits[0]].Date, s.Visits[e.Visits[len(e.Visits)-1]].Date
	if !row.First.Known() || first.Compare(row.First) < 0 {
		row.First = first
	}
	if !row.Last.Known() || last.Compare(row.Last) > 0 {
		row.Last = last
	}
}
