package ratio

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/comparison.
type Row struct {
	Comparison            string
	Method, Stratum       string
	Years, Tree           string
	Units                 column.Int
	FirstFinds, BaseFinds column.Int // fruit bodies of the numerator and of the denominator
	Ratio                 result.Estimate
	result.Tested
	PAdjusted  column.Float
	Adjustment string
	Warnings   []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "comparison",
	About: "the ratio of one kind of finds to another, counted on the same units",
	Key: []result.Columns[Row]{
		result.Text("comparison", "the two that are compared", func(r *Row) *string { return &r.Comparison }),
		result.Text("method", "plot, strip or line", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *Row) *string { return &r.Years }),
		result.Text("tree", "species of the nearest tree, or all", func(r *Row) *string { return &r.Tree }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("units", "", "units searched, in seasons", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("finds", "fruit bodies", "fruit bodies above the line of the ratio", func(r *Row) *column.Int { return &r.FirstFinds }),
		result.Whole("base_finds", "fruit bodies", "fruit bodies below the line of the ratio", func(r *Row) *column.Int { return &r.BaseFinds }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "the ratio, or the share"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval()),
		result.TestedColumns("a ratio of 1", func(r *Row) *result.Tested { return &r.Tested }),
		result.Number("p_adjusted", "", "the same, adjusted for the number of comparisons in the family", func(r *Row) *column.Float { return &r.PAdjusted }),
		result.Text("adjustment", "how p was adjusted, and over which family", func(r *Row) *string { return &r.Adjustment }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}
