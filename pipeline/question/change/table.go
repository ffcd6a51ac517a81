package change

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/change"
	"ashtally/stats/strata"
)

// Warnings are the types that rows of the question may carry.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{own, change.Warnings, strata.Warnings}
}

// own are those that arise here.
var own stats.WarningTypes

var (
	rulesDiffer      = own.New("rules-differ", stats.Scope, "Seasons with different counting rules")
	targetsDiffer    = own.New("targets-differ", stats.Scope, "Seasons with different target taxa")
	roadsidesDiffer  = own.New("roadsides-differ", stats.Scope, "Seasons that count roadsides differently")
	visitsDiffer     = own.New("visits-differ", stats.Scope, "Seasons with unequal numbers of visits")
	areaDiffers      = own.New("land-differs", stats.Scope, "Strata whose area differs between seasons")
	linesNotCompared = own.New("lines-not-compared", stats.Note, "Line transects not compared")
)

// Row is one row of results/change: two seasons of one stratum, or of all strata.
type Row struct {
	Method, Stratum        string
	From, To               string // the seasons: their years
	FromSurvey, ToSurvey   string // the folders they came from, "" for the survey of the run
	UnitsFrom, UnitsTo     column.Int
	Shared                 column.Int // units or sites visited in both
	FindsFrom, FindsTo     column.Int
	DensityFrom, DensityTo column.Float
	Ratio                  result.Estimate
	P, PAdjusted           column.Float
	Adjustment             string
	Difference             result.Estimate
	Warnings               []stats.Warning
}

// seasonDensity is the density of one stratum in one season, for the figure.
type seasonDensity struct {
	Method, Stratum string
	Season          string
	Units, Finds    int
	Density         stats.Estimate
}

var table = result.Declaration[Row]{
	Name:  "change",
	Basis: result.Basis{Earlier: true},
	About: "the change of density in one part of the survey area from one season to another",
	Key: []result.Columns[Row]{
		result.Text("method", "plot, strip or line", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *Row) *string { return &r.Stratum }),
		result.Text("from_year", "calendar year of the earlier season", func(r *Row) *string { return &r.From }),
		result.Text("to_year", "calendar year of the latter season", func(r *Row) *string { return &r.To }),
		result.Text("from_survey", "folder that the earlier season came from; empty for the survey of the run", func(r *Row) *string { return &r.FromSurvey }),
		result.Text("to_survey", "folder that the latter season came from", func(r *Row) *string { return &r.ToSurvey }),
	},
	Columns: []result.Columns[Row]{
		result.Whole("from_units", "", "units searched in the earlier season", func(r *Row) *column.Int { return &r.UnitsFrom }),
		result.Whole("to_units", "", "units searched in the latter season", func(r *Row) *column.Int { return &r.UnitsTo }),
		result.Whole("in_both", "", "independent units or sites visited in both", func(r *Row) *column.Int { return &r.Shared }),
		result.Whole("from_finds", "fruit bodies", "fruit bodies counted in the earlier season", func(r *Row) *column.Int { return &r.FindsFrom }),
		result.Whole("to_finds", "fruit bodies", "fruit bodies counted in the latter season", func(r *Row) *column.Int { return &r.FindsTo }),
		result.Number("from_density_per_ha", "1/ha", "density of the earlier season", func(r *Row) *column.Float { return &r.DensityFrom }),
		result.Number("to_density_per_ha", "1/ha", "density of the latter season", func(r *Row) *column.Float { return &r.DensityTo }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "latter density over earlier"),
			result.Lower("ratio_lower").Says("its lower confidence limit"), result.Upper("ratio_upper").Says("its upper confidence limit")),
		result.Number("p", "", "p-value of a ratio of 1", func(r *Row) *column.Float { return &r.P }),
		result.Number("p_adjusted", "", "p adjusted for the strata that are compared together", func(r *Row) *column.Float { return &r.PAdjusted }),
		result.Text("adjustment", "how p was adjusted, and over which family", func(r *Row) *string { return &r.Adjustment }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Difference },
			result.Value("difference_per_ha", "1/ha", "latter density less earlier"),
			result.Lower("difference_lower").Says("its lower confidence limit"), result.Upper("difference_upper").Says("its upper confidence limit")),
		result.Number("confidence", "", "nominal level of the intervals", func(r *Row) *column.Float { return &r.Ratio.Confidence }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}
