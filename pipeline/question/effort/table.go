package effort

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/effort.
type Row struct {
	Method, Stratum, Years string
	AreaHa                 column.Float
	Units, Sites, Visits   column.Int
	RoadsideUnits          column.Int // in no estimate, unless the settings say together
	SearchedHa             column.Float
	SearchedPercent        column.Float
	LengthM                column.Float // of transects
	First, Last            column.Date
	Finds                  column.Int // fruit bodies of the target taxa, in all units
	Found                  column.Int // units with one
	Warnings               []stats.Warning
}

// TaxonRow is one row of results/taxa.
type TaxonRow struct {
	Taxon                        string
	Target                       column.Bool
	Rows, Finds, Units           column.Int
	Hollow, NotHollow, Unchecked column.Int // fruit bodies by the lengthwise cut
	MassG                        column.Float
	Warnings                     []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "effort",
	Basis: result.Basis{Searches: true},
	About: "what was searched of one stratum in one class of years since fire: one season of burned ground, all seasons of unburned ground",
	Key: []result.Columns[Row]{
		result.Text("method", "plot, added (plots that were added beside others), strip or line", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum", func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, or unburned", func(r *Row) *string { return &r.Years }),
	},
	Columns: []result.Columns[Row]{
		result.Number("land_ha", "ha", "area of the stratum", func(r *Row) *column.Float { return &r.AreaHa }),
		result.Whole("units", "", "units searched, in seasons: a unit seen in two years counts twice", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("units_with_finds", "", "those of them with a fruit body of the target taxa", func(r *Row) *column.Int { return &r.Found }),
		result.Whole("sites", "", "independent groups of units", func(r *Row) *column.Int { return &r.Sites }),
		result.Whole("visits", "", "searches of these units", func(r *Row) *column.Int { return &r.Visits }),
		result.Whole("roadside_units", "", "units along a road, among the units", func(r *Row) *column.Int { return &r.RoadsideUnits }),
		result.Number("searched_ha", "ha", "horizontal area of the ground searched; ground searched in several seasons, as of unburned strata, counts once", func(r *Row) *column.Float { return &r.SearchedHa }),
		result.Number("searched_percent", "percent", "share of the stratum that was searched", func(r *Row) *column.Float { return &r.SearchedPercent }),
		result.Number("length_m", "m", "length of the transects, each once", func(r *Row) *column.Float { return &r.LengthM }),
		result.Day("first_visit", "first day of search", func(r *Row) *column.Date { return &r.First }),
		result.Day("last_visit", "last day of search", func(r *Row) *column.Date { return &r.Last }),
		result.Whole("finds", "fruit bodies", "fruit bodies of the target taxa that were recorded", func(r *Row) *column.Int { return &r.Finds }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

var taxaTable = result.Declaration[TaxonRow]{
	Name:  "taxa",
	Basis: result.Basis{Searches: true, AnyTaxon: true},
	About: "what was found of one taxon, estimated or not",
	Key: []result.Columns[TaxonRow]{
		result.Text("taxon", "the crew's name", func(r *TaxonRow) *string { return &r.Taxon }),
	},
	Columns: []result.Columns[TaxonRow]{
		result.Truth("target", "whether it is estimated", func(r *TaxonRow) *column.Bool { return &r.Target }),
		result.Whole("rows", "", "rows of finds", func(r *TaxonRow) *column.Int { return &r.Rows }),
		result.Whole("finds", "fruit bodies", "fruit bodies in them", func(r *TaxonRow) *column.Int { return &r.Finds }),
		result.Whole("units", "", "units it was found in", func(r *TaxonRow) *column.Int { return &r.Units }),
		result.Whole("hollow", "fruit bodies", "fruit bodies recorded as hollow when cut lengthwise", func(r *TaxonRow) *column.Int { return &r.Hollow }),
		result.Whole("not_hollow", "fruit bodies", "fruit bodies recorded as not hollow", func(r *TaxonRow) *column.Int { return &r.NotHollow }),
		result.Whole("unchecked", "fruit bodies", "fruit bodies not cut, or not recorded", func(r *TaxonRow) *column.Int { return &r.Unchecked }),
		result.Number("mass_g", "g", "mass recorded", func(r *TaxonRow) *column.Float { return &r.MassG }),
	},
	Warnings: func(r *TaxonRow) []stats.Warning { return r.Warnings },
}
