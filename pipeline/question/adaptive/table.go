package adaptive

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/adaptive"
)

// Row is one row of results/adaptive.
type Row struct {
	Stratum, Years                     string
	Grid, Drawn, Added, Edge, Networks column.Int
	HansenHurwitz, HansenHurwitzSE     column.Float // per ha
	HorvitzThompson, HorvitzThompsonSE column.Float
	Estimator                          string // the one in results/density
	Naive, Overstates                  column.Float
	Warnings                           []stats.Warning
}

// NetworkRow is one row of results/networks.
type NetworkRow struct {
	Stratum, Years, Network string
	Plots, Searched, Drawn  column.Int
	Finds                   column.Int
	Inclusion               column.Float
	Warnings                []stats.Warning
}

var adaptiveTable = result.Declaration[Row]{
	Name:  "adaptive",
	Basis: result.Basis{Method: result.Adaptive},
	About: "results of adaptive cluster plots in one part of the survey area, with both estimates of their density and the naive density, " +
		"which ignores the design",
	Key: []result.Columns[Row]{
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *Row) *string { return &r.Years }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("grid_plots", "", "plots that the stratum divides into, its area over that of a plot", func(r *Row) *column.Int { return &r.Grid }),
		result.Whole("drawn_plots", "", "plots searched that were drawn at random", func(r *Row) *column.Int { return &r.Drawn }),
		result.Whole("added_plots", "", "plots searched that were added beside others", func(r *Row) *column.Int { return &r.Added }),
		result.Whole("edge_plots", "", "those of the added plots that did not meet the threshold; they count in no estimate",
			func(r *Row) *column.Int { return &r.Edge }),
		result.Whole("networks", "", "connected sets of plots that met the threshold and were drawn into the sample",
			func(r *Row) *column.Int { return &r.Networks }),
		result.Number("hansen_hurwitz_per_ha", "1/ha", "fruit bodies per hectare, by the means of the networks that the drawn plots lie in",
			func(r *Row) *column.Float { return &r.HansenHurwitz }),
		result.Number("hansen_hurwitz_se", "1/ha", "its standard error", func(r *Row) *column.Float { return &r.HansenHurwitzSE }),
		result.Number("horvitz_thompson_per_ha", "1/ha", "fruit bodies per hectare, by the totals of networks over their chance to be drawn",
			func(r *Row) *column.Float { return &r.HorvitzThompson }),
		result.Number("horvitz_thompson_se", "1/ha", "its standard error", func(r *Row) *column.Float { return &r.HorvitzThompsonSE }),
		result.Text("estimator", "which of the two is in results/density", func(r *Row) *string { return &r.Estimator }),
		result.Number("naive_per_ha", "1/ha", "mean of all plots searched, added ones as if drawn: not an estimate", func(r *Row) *column.Float { return &r.Naive }),
		result.Number("naive_over_percent", "percent", "by how much that lies over the density", func(r *Row) *column.Float { return &r.Overstates }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

var networksTable = result.Declaration[NetworkRow]{
	Name:  "networks",
	Basis: result.Basis{Method: result.Adaptive},
	About: "a network of adaptive cluster plots in one season: connected plots that met the threshold",
	Key: []result.Columns[NetworkRow]{
		result.Text("stratum", "stratum; a network that reaches into another is cut there", func(r *NetworkRow) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, or unburned", func(r *NetworkRow) *string { return &r.Years }),
		result.Text("network", "the crew's name", func(r *NetworkRow) *string { return &r.Network }),
	},
	Columns: []result.Columns[NetworkRow]{
		result.Whole("plots", "", "plots of it", func(r *NetworkRow) *column.Int { return &r.Plots }),
		result.Whole("searched", "", "those of them that were searched in the season", func(r *NetworkRow) *column.Int { return &r.Searched }),
		result.Whole("drawn_plots", "", "those of them that were drawn at random", func(r *NetworkRow) *column.Int { return &r.Drawn }),
		result.Whole("finds", "fruit bodies", "fruit bodies of the target taxa in it", func(r *NetworkRow) *column.Int { return &r.Finds }),
		result.Number("inclusion_probability", "", "chance that the draw hits it", func(r *NetworkRow) *column.Float { return &r.Inclusion }),
	},
	Warnings: func(r *NetworkRow) []stats.Warning { return r.Warnings },
}

func rowOf(s *fieldwork.Season, f fieldwork.Domain, r adaptive.Result) Row {
	ha := f.Grid.AreaHa
	row := Row{
		Stratum: s.Strata[f.Stratum].Name, Years: f.Years, Estimator: s.Settings.Adaptive.Estimator,
		Grid: column.Count(f.Grid.Plots), Drawn: column.Count(r.Drawn), Added: column.Count(r.Searched - r.Drawn), Edge: column.Count(r.Edge),
		HansenHurwitz: column.Finite(r.HansenHurwitz.Value / ha), HansenHurwitzSE: column.Finite(math.Sqrt(r.HansenHurwitz.Variance) / ha),
		HorvitzThompson: column.Finite(r.HorvitzThompson.Value / ha), HorvitzThompsonSE: column.Finite(math.Sqrt(r.HorvitzThompson.Variance) / ha),
		Naive: column.Finite(r.Naive), Overstates: column.Finite(100 * r.Overstates()),
		Warnings: append(slices.Clip(r.Density.Warnings), f.Warnings...),
	}
	met := 0
	for _, k := range r.Networks {
		if k.Number >= 0 {
			met++
		}
	}
	row.Networks = column.Count(met)
	if r.Drawn == 0 {
		row.HansenHurwitz, row.HansenHurwitzSE, row.HorvitzThompson, row.HorvitzThompsonSE = column.Float{}, column.Float{}, column.Float{}, column.Float{}
	}
	return row
}
