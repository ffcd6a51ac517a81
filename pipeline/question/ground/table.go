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
	About: "density on one class of ground, and its share of the survey area",
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

// GradientRow is one row of results/ground_ratios.
type GradientRow struct {
	Method, Attribute, Per, Mode string
	Units, Sites, Finds          column.Int
	Ratio                        result.Estimate
	DF                           column.Float
	result.Tested
	Warnings []stats.Warning
}

var gradientTable = result.Declaration[GradientRow]{
	Name:  "ground_ratios",
	About: "the ratio of densities for a step in one attribute of the ground, the others, strata and years since fire held equal",
	Key: []result.Columns[GradientRow]{
		result.Text("method", "plot or strip", func(r *GradientRow) *string { return &r.Method }),
		result.Text("attribute", "north-facing (the cosine of the aspect), slope, elevation or ground cover", func(r *GradientRow) *string { return &r.Attribute }),
		result.Text("per", "the step that the ratio is for", func(r *GradientRow) *string { return &r.Per }),
		result.Text("mode", "the crew's call of the mode, or all", func(r *GradientRow) *string { return &r.Mode }),
	},
	Columns: []result.Columns[GradientRow]{
		result.Whole("units", "", "units searched, in seasons", func(r *GradientRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *GradientRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted", func(r *GradientRow) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *GradientRow) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "ratio of densities for one step; above 1 density rises with the attribute"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *GradientRow) *column.Float { return &r.DF }),
		result.TestedColumns("a ratio of 1", func(r *GradientRow) *result.Tested { return &r.Tested }),
	},
	Warnings: func(r *GradientRow) []stats.Warning { return r.Warnings },
}

// PlaceRow is one row of results/ground_ranked.
type PlaceRow struct {
	Method                             string
	Rank                               column.Int
	Years, Severity, Aspect, Elevation string
	Units, Sites, Finds                column.Int
	Density                            result.Estimate
	DF                                 column.Float
	Tree                               string
	TreeFinds                          column.Int
	Week                               column.Date
	WeekFinds                          column.Int
	Warnings                           []stats.Warning
}

var placeTable = result.Declaration[PlaceRow]{
	Name:  "ground_ranked",
	About: "the density expected on one combination of ground that was visited, highest first; what was not visited is in no row",
	Key: []result.Columns[PlaceRow]{
		result.Text("method", "plot or strip", func(r *PlaceRow) *string { return &r.Method }),
		result.Whole("rank", "", "1 for the highest expected density of the method", func(r *PlaceRow) *column.Int { return &r.Rank }),
		result.Text("years_since_fire", "growing seasons since the fire, or unburned", func(r *PlaceRow) *string { return &r.Years }),
		result.Text("severity", "severity of the burn, or unburned", func(r *PlaceRow) *string { return &r.Severity }),
		result.Text("aspect", "quarter of the compass; empty where it was not recorded", func(r *PlaceRow) *string { return &r.Aspect }),
		result.Text("elevation_band_m", "from, and up to but without, a height in metres; empty where it was not recorded",
			func(r *PlaceRow) *string { return &r.Elevation }),
	},
	Columns: []result.Columns[PlaceRow]{
		result.Whole("units", "", "units searched there, in seasons", func(r *PlaceRow) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units with a unit there", func(r *PlaceRow) *column.Int { return &r.Sites }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted there", func(r *PlaceRow) *column.Int { return &r.Finds }),
		result.EstimateOf(func(r *PlaceRow) *result.Estimate { return &r.Density },
			result.Value("expected_per_ha", "1/ha", "fruit bodies per hectare that the model of counts expects of these units"), result.SE("se"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval()),
		result.Number("df", "", "degrees of freedom behind the interval", func(r *PlaceRow) *column.Float { return &r.DF }),
		result.Text("leading_tree", "tree that most were found near", func(r *PlaceRow) *string { return &r.Tree }),
		result.Whole("leading_tree_finds", "fruit bodies", "fruit bodies near it", func(r *PlaceRow) *column.Int { return &r.TreeFinds }),
		result.Day("best_week", "Monday of the week in which most were found", func(r *PlaceRow) *column.Date { return &r.Week }),
		result.Whole("week_finds", "fruit bodies", "fruit bodies found in that week", func(r *PlaceRow) *column.Int { return &r.WeekFinds }),
	},
	Warnings: func(r *PlaceRow) []stats.Warning { return r.Warnings },
}
