package effort

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/position"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// UnitRow is where a unit lies, as far as it is told, and what was found in it in all
// its seasons.
type UnitRow struct {
	Method, Stratum, Unit, Site string
	Seasons                     column.Int
	AreaHa, LengthM             column.Float
	Finds                       column.Int
	PerHa, PerKm                column.Float
	Positions                   string // a word of position.Disclosure
	Latitude, Longitude         column.Float
	UncertaintyM                column.Float
	BearingDeg                  column.Float
	Warnings                    []stats.Warning
}

var unitTable = result.Declaration[UnitRow]{
	Name:  "units",
	About: "where one unit that was searched lies, as far as the settings tell it, and what was found in it by the counting rule, all seasons together",
	Basis: result.Basis{Units: true},
	Key: []result.Columns[UnitRow]{
		result.Text("method", "plot, added, strip or line", func(r *UnitRow) *string { return &r.Method }),
		result.Text("stratum", "stratum", func(r *UnitRow) *string { return &r.Stratum }),
		result.Text("unit", "plot or transect", func(r *UnitRow) *string { return &r.Unit }),
	},
	Columns: []result.Columns[UnitRow]{
		result.Text("site", "group of units that are not independent; empty for a unit that is its own", func(r *UnitRow) *string { return &r.Site }),
		result.Whole("seasons", "", "seasons in which it was searched", func(r *UnitRow) *column.Int { return &r.Seasons }),
		result.Number("area_ha", "ha", "horizontal area searched; empty of a line", func(r *UnitRow) *column.Float { return &r.AreaHa }),
		result.Number("length_m", "m", "length of a transect, horizontal of a line", func(r *UnitRow) *column.Float { return &r.LengthM }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted in all seasons", func(r *UnitRow) *column.Int { return &r.Finds }),
		result.Number("per_ha", "1/ha", "fruit bodies counted per hectare searched, mean of the seasons; empty of a line",
			func(r *UnitRow) *column.Float { return &r.PerHa }),
		result.Number("per_km", "1/km", "fruit bodies counted per kilometre of a line, mean of the seasons", func(r *UnitRow) *column.Float { return &r.PerKm }),
		result.Text("position", "exact, generalized to the centre of a grid cell, or withheld (settings report.positions, dataset.blurred and "+
			"dataset.withheld)", func(r *UnitRow) *string { return &r.Positions }),
		result.Number("latitude", "degree", "latitude, WGS 84, north positive", func(r *UnitRow) *column.Float { return &r.Latitude }),
		result.Number("longitude", "degree", "longitude, WGS 84, east positive", func(r *UnitRow) *column.Float { return &r.Longitude }),
		result.Number("coordinate_uncertainty_m", "m", "greatest distance from a generalized position to the recorded one",
			func(r *UnitRow) *column.Float { return &r.UncertaintyM }),
		result.Number("bearing_deg", "degree", "bearing of a transect, clockwise from true north; empty where the position is not exact",
			func(r *UnitRow) *column.Float { return &r.BearingDeg }),
	},
	Warnings: func(r *UnitRow) []stats.Warning { return r.Warnings },
}

// unitRows has a row for each unit that was searched, in the order of seasons.
func unitRows(s *fieldwork.Season, seasons []fieldwork.UnitSeason, positions position.Protection) []UnitRow {
	var rows []UnitRow
	at := map[string]int{}
	for _, e := range seasons {
		u := e.Unit
		i, ok := at[u.ID]
		if !ok {
			i = len(rows)
			at[u.ID] = i
			rows = append(rows, unitRow(s, u, positions))
		}
		rows[i].Seasons.Value++
		rows[i].Finds.Value += e.Finds()
	}
	for i := range rows {
		r := &rows[i]
		searched := float64(r.Seasons.Value)
		if r.Method == result.Line {
			r.PerKm = column.Finite(float64(r.Finds.Value) / (r.LengthM.Value / 1000 * searched))
		} else {
			r.PerHa = column.Finite(float64(r.Finds.Value) / (r.AreaHa.Value * searched))
		}
	}
	fieldwork.InFileOrder(s, rows, func(r *UnitRow) (string, string) { return r.Method, r.Stratum })
	return rows
}

func unitRow(s *fieldwork.Season, u *fieldwork.Unit, positions position.Protection) UnitRow {
	g := positions.Ground(u.ID, u.Ground())
	row := UnitRow{
		Method: u.Method, Stratum: s.Strata[u.Stratum].Name, Unit: u.ID, Site: u.Site,
		Seasons: column.Count(0), Finds: column.Count(0), Positions: positions.Of(u.ID).String(),
	}
	if g.Latitude.Known && g.Longitude.Known {
		row.Latitude, row.Longitude, row.UncertaintyM = g.Latitude, g.Longitude, positions.UncertaintyM(u.ID)
	}
	if positions.Of(u.ID) == position.Exact {
		row.BearingDeg = u.BearingDeg
	}
	row.LengthM, row.AreaHa = sizeOf(u)
	return row
}

// sizeOf is the length of a transect and the area of what has one.
func sizeOf(u *fieldwork.Unit) (lengthM, areaHa column.Float) {
	switch u.Method {
	case result.Line:
		return column.Finite(u.HorizontalM), column.Float{}
	case result.Strip:
		return column.Finite(u.LengthM), column.Finite(u.AreaHa)
	}
	return column.Float{}, column.Finite(u.AreaHa)
}
