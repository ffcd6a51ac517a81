package chain

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/chain.
type Row struct {
	Method, Stratum, Link  string
	AreaHa                 column.Float
	Methods                string // of a row of all methods, joined by +
	Units, Finds           column.Int
	Weight                 column.Float // percent
	Factor, Density, Kg    result.Estimate
	Share                  column.Float // percent
	DisagreeX2, DisagreeDF column.Float
	DisagreeP              column.Float
	Basis                  column.Bool
	Warnings               []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "chain",
	About: "the way from the density counted to the one that grew, a link a row, by each method and by all together",
	Key: []result.Columns[Row]{
		result.Text("method", "plot, strip or line; all for the methods together", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum; of all methods, all for the strata that any of them reached; of one method, all for the survey area, or "+
			"reached for those strata of it that the method reached", func(r *Row) *string { return &r.Stratum }),
		result.Text("link", "counted: as in density; detected: corrected for imperfect detection; season: for the part of the season that nobody "+
			"saw too; mass: in fresh mass. A link that the survey cannot give is left out, and the warnings say why", func(r *Row) *string { return &r.Link }),
	},
	Columns: []result.Columns[Row]{
		result.Number("land_ha", "ha", "land that the figures stand for", func(r *Row) *column.Float { return &r.AreaHa }),
		result.Text("methods", "of a row of all methods those that it rests on, joined by +", func(r *Row) *string { return &r.Methods }),
		result.Whole("units", "", "units searched, in seasons", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted", func(r *Row) *column.Int { return &r.Finds }),
		result.Number("weight_percent", "percent", "weight of the method in the density of all methods in its stratum",
			func(r *Row) *column.Float { return &r.Weight }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Factor },
			result.Value("factor", "", "what the link multiplies the density before it by; of mass, g of a fruit body"),
			result.Lower("factor_lower").Says("its lower confidence limit"), result.Upper("factor_upper").Says("its upper confidence limit")),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Density },
			result.Value("density_per_ha", "1/ha", "fruit bodies per hectare at the end of the link; empty for mass"),
			result.SE("se").Says("its standard error"),
			result.Lower("lower").Says("its lower confidence limit"), result.Upper("upper").Says("its upper confidence limit"),
			result.Confidence(), result.Interval()),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Kg },
			result.Value("kg_per_ha", "kg/ha", "fresh mass per hectare, of the row of mass"),
			result.Lower("kg_per_ha_lower").Says("its lower confidence limit"), result.Upper("kg_per_ha_upper").Says("its upper confidence limit")),
		result.Number("variance_percent", "percent", "share of the variance of the chain's end, on the log scale, that the link brings",
			func(r *Row) *column.Float { return &r.Share }),
		result.Number("disagreement_x2", "", "chi-square statistic of the agreement of the methods, on the row of all methods that is counted",
			func(r *Row) *column.Float { return &r.DisagreeX2 }),
		result.Number("disagreement_df", "", "its degrees of freedom", func(r *Row) *column.Float { return &r.DisagreeDF }),
		result.Number("disagreement_p", "", "its p-value", func(r *Row) *column.Float { return &r.DisagreeP }),
		result.Truth("basis", "whether crop and harvest stand on the row; that of all methods and all strata is the survey's headline",
			func(r *Row) *column.Bool { return &r.Basis }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}
