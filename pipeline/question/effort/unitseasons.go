package effort

import (
	"cmp"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/position"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// UnitSeasonRow is one row of results/unit_seasons.
type UnitSeasonRow struct {
	*SearchedUnit // the same of all modes and trees
	Mode, Tree    string
	Finds         column.Int
}

// of is what the row has in common with others; nothing of the row that says what types
// the columns have.
func (r *UnitSeasonRow) of() *SearchedUnit {
	if r.SearchedUnit == nil {
		return new(SearchedUnit)
	}
	return r.SearchedUnit
}

// SearchedUnit is what rows of a unit in a season have in common.
type SearchedUnit struct {
	Method, Stratum, Unit string
	Season                column.Int
	Site, Years, Severity string
	Roadside              column.Bool
	AreaHa, LengthM       column.Float
	SlopePercent          column.Float
	AspectDeg, ElevationM column.Float
	CoverPercent          column.Float
	Visits, Counted       column.Int
	First, Last           column.Date
	Warnings              []stats.Warning
}

var unitSeasonTable = result.Declaration[UnitSeasonRow]{
	Name:  "unit_seasons",
	About: "what one unit yielded in one season, of one mode near one tree, by the counting rule. A unit without finds has the row of all modes and trees alone",
	Basis: result.Basis{Units: true},
	Key: []result.Columns[UnitSeasonRow]{
		result.Text("method", "plot, added, strip or line", func(r *UnitSeasonRow) *string { return &r.of().Method }),
		result.Text("stratum", "stratum", func(r *UnitSeasonRow) *string { return &r.of().Stratum }),
		result.Text("unit", "plot or transect", func(r *UnitSeasonRow) *string { return &r.of().Unit }),
		result.Whole("year", "", "calendar year", func(r *UnitSeasonRow) *column.Int { return &r.of().Season }),
		result.Text("mode", "the crew's call of the mode; all for the row with every find of the target taxa", func(r *UnitSeasonRow) *string { return &r.Mode }),
		result.Text("tree", "species of the nearest tree, unrecorded, or all", func(r *UnitSeasonRow) *string { return &r.Tree }),
	},
	Columns: []result.Columns[UnitSeasonRow]{
		result.Text("site", "group of units that are not independent; empty for a unit that is its own", func(r *UnitSeasonRow) *string { return &r.of().Site }),
		result.Text("years_since_fire", "growing seasons since the fire, or unburned", func(r *UnitSeasonRow) *string { return &r.of().Years }),
		result.Text("severity", "severity of the burn of the stratum, or unburned", func(r *UnitSeasonRow) *string { return &r.of().Severity }),
		result.Truth("roadside", "whether it lies along a road", func(r *UnitSeasonRow) *column.Bool { return &r.of().Roadside }),
		result.Number("area_ha", "ha", "horizontal area searched; empty of a line", func(r *UnitSeasonRow) *column.Float { return &r.of().AreaHa }),
		result.Number("length_m", "m", "length of a transect, horizontal of a line", func(r *UnitSeasonRow) *column.Float { return &r.of().LengthM }),
		result.Number("slope_percent", "percent", "slope", func(r *UnitSeasonRow) *column.Float { return &r.of().SlopePercent }),
		result.Number("aspect_deg", "degree", "aspect, clockwise from north; empty where the position is not exact",
			func(r *UnitSeasonRow) *column.Float { return &r.of().AspectDeg }),
		result.Number("elevation_m", "m", "elevation; empty where the position is not exact", func(r *UnitSeasonRow) *column.Float { return &r.of().ElevationM }),
		result.Number("ground_cover_percent", "percent", "ground cover, mean of the searches that count",
			func(r *UnitSeasonRow) *column.Float { return &r.of().CoverPercent }),
		result.Whole("visits", "", "searches in the season", func(r *UnitSeasonRow) *column.Int { return &r.of().Visits }),
		result.Whole("counted_visits", "", "those that make the count by the counting rule", func(r *UnitSeasonRow) *column.Int { return &r.of().Counted }),
		result.Day("first_visit", "first day of search", func(r *UnitSeasonRow) *column.Date { return &r.of().First }),
		result.Day("last_visit", "last day of search", func(r *UnitSeasonRow) *column.Date { return &r.of().Last }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted; finds beyond the truncation of a line among them",
			func(r *UnitSeasonRow) *column.Int { return &r.Finds }),
	},
	Warnings: func(r *UnitSeasonRow) []stats.Warning { return r.of().Warnings },
}

// unitSeasonRows has a row of all finds for each unit-season, and one for each mode and
// tree found in it.
func unitSeasonRows(s *fieldwork.Season, seasons []fieldwork.UnitSeason, positions position.Protection) []UnitSeasonRow {
	var rows []UnitSeasonRow
	for _, e := range seasons {
		unit := searchedUnit(s, e, positions)
		rows = append(rows, UnitSeasonRow{unit, result.All, result.All, column.Count(int(e.Finds()))})
		type kind struct{ mode, tree string }
		finds := map[kind]int64{}
		var kinds []kind
		for _, c := range e.Counts {
			g := s.Groups[c.Group]
			k := kind{g.Mode, g.Tree}
			if _, ok := finds[k]; !ok {
				kinds = append(kinds, k)
			}
			finds[k] += c.N
		}
		slices.SortFunc(kinds, func(a, b kind) int { return cmp.Or(cmp.Compare(a.mode, b.mode), cmp.Compare(a.tree, b.tree)) })
		for _, k := range kinds {
			rows = append(rows, UnitSeasonRow{unit, k.mode, k.tree, column.Count(int(finds[k]))})
		}
	}
	fieldwork.InFileOrder(s, rows, func(r *UnitSeasonRow) (string, string) { return r.Method, r.Stratum })
	return rows
}

func searchedUnit(s *fieldwork.Season, e fieldwork.UnitSeason, positions position.Protection) *SearchedUnit {
	u := e.Unit
	g := positions.Ground(u.ID, u.Ground())
	one := &SearchedUnit{
		Method: u.Method, Stratum: s.Strata[u.Stratum].Name, Unit: u.ID, Season: column.Count(e.Year),
		Site: u.Site, Years: e.Years, Severity: s.SeverityOf(u), Roadside: column.Bool{Value: u.Roadside, Known: true},
		SlopePercent: u.SlopePercent, AspectDeg: g.AspectDeg, ElevationM: g.ElevationM, CoverPercent: s.MeanCover(e),
		Visits: column.Count(len(e.Visits)), Counted: column.Count(len(e.Counted)),
		First: s.Visits[e.Visits[0]].Date, Last: s.Visits[e.Visits[len(e.Visits)-1]].Date,
	}
	one.LengthM, one.AreaHa = sizeOf(u)
	return one
}
