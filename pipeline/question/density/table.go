package density

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/density.
type Row struct {
	fieldwork.Key
	Units      column.Int
	SearchedHa column.Float
	Finds      column.Int
	Density    result.Estimate
	Warnings   []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "density",
	About: "density of one group of finds in one part of the survey area",
	Key: []result.Columns[Row]{
		result.Text("method", "plot, adaptive-cluster (drawn plots with those added beside them), strip or line; added plots are in no row of plot",
			func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *Row) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the mode, or all", func(r *Row) *string { return &r.Mode }),
		result.Text("tree", "species of the nearest tree, unrecorded, or all", func(r *Row) *string { return &r.Tree }),
		result.Text("taxon", "target taxon, or all of them", func(r *Row) *string { return &r.Taxon }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("units", "", "units searched, in seasons: a unit seen in two years counts twice", func(r *Row) *column.Int { return &r.Units }),
		result.Number("searched_ha", "ha", "horizontal area of the ground searched; ground searched in several seasons counts once",
			func(r *Row) *column.Float { return &r.SearchedHa }),
		result.Whole("finds", "fruit bodies", "fruit bodies of the group that were counted", func(r *Row) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Density },
			result.Value("density_per_ha", "1/ha", "fruit bodies per hectare"),
			result.SE("se").Says("standard error of the density"), result.CV().Says("standard error over density"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval(), result.DF()),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

// allFinds reports whether a row counts all target finds together.
func (r Row) allFinds() bool {
	return r.Mode == result.All && r.Tree == result.All && r.Taxon == result.All
}

func rowOf(key fieldwork.Key, searched effort, d estimate.Density) Row {
	return Row{
		Key: key, Units: column.Count(searched.units), SearchedHa: column.Finite(searched.searchedHa),
		Finds: column.Count(int(d.Finds)), Density: result.Of(d.Estimate), Warnings: d.Warnings,
	}
}
