package ground

import (
	"cmp"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// Row is one row of results/ground.
type Row struct {
	Method, Attribute, Class, Unit, Years, Mode string
	Units, Sites, Finds                         column.Int
	Share, Density                              result.Estimate
	Warnings                                    []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "ground",
	About: "fruit bodies per hectare on one class of ground, and the share of the survey area in it",
	Key: []result.Columns[Row]{
		result.Text("method", "plot, strip or line", func(r *Row) *string { return &r.Method }),
		result.Text("attribute", "severity of the burn, aspect, slope, elevation or ground cover", func(r *Row) *string { return &r.Attribute }),
		result.Text("class", "class of the attribute: a word, or from, and up to but without, a value", func(r *Row) *string { return &r.Class }),
		result.Text("class_unit", "unit of the bounds of the class; empty for a word", func(r *Row) *string { return &r.Unit }),
		result.Text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *Row) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the mode, or all", func(r *Row) *string { return &r.Mode }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("units", "", "units searched in the class, in seasons", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units with a unit in the class", func(r *Row) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted in the class", func(r *Row) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Share },
			result.Value("share_percent", "percent", "share of the survey area that lies in the class, estimated from the units"),
			result.SE("share_se_percent"), result.Lower("share_lower_percent"), result.Upper("share_upper_percent")),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Density },
			result.Value("density_per_ha", "1/ha", "fruit bodies per hectare of the class"), result.SE("se"), result.CV(),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval(), result.DF()),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

// compare orders classes by their places, and those of one place by name.
func compare(place, other float64, name, otherName string) int {
	return cmp.Or(cmp.Compare(place, other), cmp.Compare(name, otherName))
}
