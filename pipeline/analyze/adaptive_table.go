package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// AdaptiveRow is one row of results/adaptive.
type AdaptiveRow struct {
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

// The declarations of the tables of adaptive cluster plots.
var (
	AdaptiveTable = column.Table[AdaptiveRow]{
		Name:  "adaptive",
		About: "how the adaptive cluster plots of one part of the land came out, with both estimates of their density and what they would be mistaken for",
		Columns: []column.Column[AdaptiveRow]{
			text("stratum", overStrata, func(r *AdaptiveRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *AdaptiveRow) *string { return &r.Years }),
			whole("grid_plots", "", "plots that the land divides into, its area over that of a plot", func(r *AdaptiveRow) *column.Int { return &r.Grid }),
			whole("drawn_plots", "", "plots searched that were drawn at random", func(r *AdaptiveRow) *column.Int { return &r.Drawn }),
			whole("added_plots", "", "plots searched that were added beside others", func(r *AdaptiveRow) *column.Int { return &r.Added }),
			whole("edge_plots", "", "those of the added plots that did not meet the threshold; they count in no estimate", func(r *AdaptiveRow) *column.Int { return &r.Edge }),
			whole("networks", "", "connected sets of plots that met the threshold and were drawn into the sample", func(r *AdaptiveRow) *column.Int { return &r.Networks }),
			number("hansen_hurwitz_per_ha", "1/ha", "fruit bodies per hectare, by the means of the networks that the drawn plots lie in", func(r *AdaptiveRow) *column.Float { return &r.HansenHurwitz }),
			number("hansen_hurwitz_se", "1/ha", "its standard error", func(r *AdaptiveRow) *column.Float { return &r.HansenHurwitzSE }),
			number("horvitz_thompson_per_ha", "1/ha", "fruit bodies per hectare, by the totals of networks over their chance to be drawn", func(r *AdaptiveRow) *column.Float { return &r.HorvitzThompson }),
			number("horvitz_thompson_se", "1/ha", "its standard error", func(r *AdaptiveRow) *column.Float { return &r.HorvitzThompsonSE }),
			text("estimator", "which of the two is in results/density", func(r *AdaptiveRow) *string { return &r.Estimator }),
			number("naive_per_ha", "1/ha", "mean of all plots searched, added ones as if drawn: not an estimate", func(r *AdaptiveRow) *column.Float { return &r.Naive }),
			number("naive_over_percent", "percent", "by how much that lies over the density", func(r *AdaptiveRow) *column.Float { return &r.Overstates }),
			warned(func(r *AdaptiveRow) []stats.Warning { return r.Warnings }),
		},
	}

	NetworksTable = column.Table[NetworkRow]{
		Name:  "networks",
		About: "a network of adaptive cluster plots in one season: connected plots that met the threshold",
		Columns: []column.Column[NetworkRow]{
			text("stratum", "stratum; a network that reaches into another is cut there", func(r *NetworkRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, or unburned", func(r *NetworkRow) *string { return &r.Years }),
			text("network", "the crew's name", func(r *NetworkRow) *string { return &r.Network }),
			whole("plots", "", "plots of it", func(r *NetworkRow) *column.Int { return &r.Plots }),
			whole("searched", "", "those of them that were searched in the season", func(r *NetworkRow) *column.Int { return &r.Searched }),
			whole("drawn_plots", "", "those of them that were drawn at random", func(r *NetworkRow) *column.Int { return &r.Drawn }),
			whole("finds", "fruit bodies", "fruit bodies of the target taxa in it", func(r *NetworkRow) *column.Int { return &r.Finds }),
			number("inclusion_probability", "", "chance that the draw hits it", func(r *NetworkRow) *column.Float { return &r.Inclusion }),
			warned(func(r *NetworkRow) []stats.Warning { return r.Warnings }),
		},
	}
)
