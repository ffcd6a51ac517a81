// Package effort is the question of what was searched, when, and how much of the
// survey area that is, and of what was recorded there, estimated or not.
package effort

import (
	"context"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// Answer is the effort by method and stratum, the taxa recorded, and the units with
// their positions.
type Answer struct {
	rows   []Row
	taxa   []TaxonRow
	units  []UnitSeasonRow
	places []UnitRow
	rules  rules
}

// rules are the settings by which visits and roadsides count and positions are told.
type rules struct {
	standing bool    // each visit recorded all that stood
	together bool    // roadsides count like any other unit
	cellM    float64 // side of the cells that positions are generalized to
}

// Tables are results/effort, results/taxa, results/unit_seasons and results/units.
func (a Answer) Tables() []result.Table {
	return []result.Table{table.Of(a.rows), taxaTable.Of(a.taxa), unitSeasonTable.Of(a.units), unitTable.Of(a.places)}
}

// Ask sums what was searched: a row for each method, stratum and class of years
// since fire, roadside units included. A stratum that a method did not reach has a
// row too.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	a := Answer{taxa: taxonRows(s), rules: rules{
		standing: s.Settings.Counting.Rule == survey.Standing,
		together: s.Settings.Density.Roadside == survey.Together,
		cellM:    s.Settings.Dataset.CellM(),
	}}
	seasons, positions := s.UnitSeasons(), s.Positions()
	a.units, a.places = unitSeasonRows(s, seasons, positions), unitRows(s, seasons, positions)
	for _, method := range s.Methods() {
		for at := range s.Strata {
			var here []fieldwork.UnitSeason
			for _, e := range seasons {
				if e.Unit.Method == method && e.Unit.Stratum == at {
					here = append(here, e)
				}
			}
			a.rows = append(a.rows, rowsIn(s, method, at, here)...)
		}
	}
	fieldwork.InFileOrder(s, a.rows, func(r *Row) (string, string) { return r.Method, r.Stratum })
	return a, nil
}

// rowsIn has a row for each class of years since fire of a stratum.
func rowsIn(s *fieldwork.Season, method string, at int, here []fieldwork.UnitSeason) []Row {
	unseen := s.NeverSearched(method, at)
	if len(here) == 0 {
		row := rowOf(s, method, at, result.All, nil)
		row.Warnings = append(unseen, stats.NoUnits.With("no %s was searched in this stratum", fieldwork.UnitNoun(method)))
		return []Row{row}
	}
	var rows []Row
	for _, years := range fieldwork.YearsOf(here) {
		var members []fieldwork.UnitSeason
		for _, e := range here {
			if e.Years == years {
				members = append(members, e)
			}
		}
		row := rowOf(s, method, at, years, members)
		row.Warnings = append(unseen, fieldwork.VisitWarnings(members)...)
		rows = append(rows, row)
	}
	return rows
}

func rowOf(s *fieldwork.Season, method string, at int, years string, members []fieldwork.UnitSeason) Row {
	area := s.Strata[at].AreaHa
	row := Row{
		Method: method, Stratum: s.Strata[at].Name, Years: years,
		AreaHa: column.Finite(area), Units: column.Count(len(members)),
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
		row.span(s.Visits[e.Visits[0]].Date, s.Visits[e.Visits[len(e.Visits)-1]].Date)
	}
	row.Sites, row.Visits, row.RoadsideUnits = column.Count(len(sites)), column.Count(visits), column.Count(roadside)
	row.Finds, row.Found = column.Count(int(finds)), column.Count(foundIn(members))
	if method != result.Line {
		searchedHa := fieldwork.OverUnits(members, fieldwork.AreaOf)
		row.SearchedHa = column.Finite(searchedHa)
		row.SearchedPercent = column.Finite(100 * searchedHa / area)
	}
	if method != result.Plot && method != result.Added {
		row.LengthM = column.Finite(fieldwork.OverUnits(members, fieldwork.LengthOf))
	}
	return row
}

// span stretches the row's first and last day.
func (r *Row) span(first, last column.Date) {
	if !r.First.Known() || first.Compare(r.First) < 0 {
		r.First = first
	}
	if !r.Last.Known() || last.Compare(r.Last) > 0 {
		r.Last = last
	}
}
