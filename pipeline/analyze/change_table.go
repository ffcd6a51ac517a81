package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// ChangeRow is one row of results/change: two seasons of one stratum, or of the
// land as a whole, held against each other.
type ChangeRow struct {
	Method, Stratum        string
	From, To               string // the seasons: their years
	FromSurvey, ToSurvey   string // the folders they came from, "" for the survey of the run
	UnitsFrom, UnitsTo     column.Int
	Shared                 column.Int // units or sites visited in both
	FindsFrom, FindsTo     column.Int
	DensityFrom, DensityTo column.Float
	Ratio                  Estimate
	P, PAdjusted           column.Float
	Adjustment             string
	Difference             Estimate
	Warnings               []stats.Warning
}

// SeasonDensity is the density of one stratum in one season, for the figure of
// seasons side by side.
type SeasonDensity struct {
	Method, Stratum string
	Season          string
	Units, Finds    int
	Estimate
	Warnings []stats.Warning
}

// ChangeTable declares results/change.
var ChangeTable = column.Table[ChangeRow]{
	Name:  "change",
	About: "the change of the density of one part of the land from one season to another",
	Columns: slices.Concat([]column.Column[ChangeRow]{
		text("method", "plot, strip or line", func(r *ChangeRow) *string { return &r.Method }),
		text("stratum", overStrata, func(r *ChangeRow) *string { return &r.Stratum }),
		text("from_year", "calendar year of the earlier season", func(r *ChangeRow) *string { return &r.From }),
		text("to_year", "calendar year of the latter season", func(r *ChangeRow) *string { return &r.To }),
		text("from_survey", "folder that the earlier season came from; empty for the survey of the run", func(r *ChangeRow) *string { return &r.FromSurvey }),
		text("to_survey", "folder that the latter season came from", func(r *ChangeRow) *string { return &r.ToSurvey }),
		whole("from_units", "", "units searched in the earlier season", func(r *ChangeRow) *column.Int { return &r.UnitsFrom }),
		whole("to_units", "", "units searched in the latter season", func(r *ChangeRow) *column.Int { return &r.UnitsTo }),
		whole("in_both", "", "independent units or sites visited in both", func(r *ChangeRow) *column.Int { return &r.Shared }),
		whole("from_finds", "fruit bodies", "fruit bodies counted in the earlier season", func(r *ChangeRow) *column.Int { return &r.FindsFrom }),
		whole("to_finds", "fruit bodies", "fruit bodies counted in the latter season", func(r *ChangeRow) *column.Int { return &r.FindsTo }),
		number("from_density_per_ha", "1/ha", "density of the earlier season", func(r *ChangeRow) *column.Float { return &r.DensityFrom }),
		number("to_density_per_ha", "1/ha", "density of the latter season", func(r *ChangeRow) *column.Float { return &r.DensityTo }),
		number("ratio", "", "latter density over earlier", func(r *ChangeRow) *column.Float { return &r.Ratio.Value }),
		number("ratio_lower", "", "its lower confidence limit", func(r *ChangeRow) *column.Float { return &r.Ratio.Lower }),
		number("ratio_upper", "", "its upper confidence limit", func(r *ChangeRow) *column.Float { return &r.Ratio.Upper }),
		number("p", "", "p-value of a ratio of 1", func(r *ChangeRow) *column.Float { return &r.P }),
		number("p_adjusted", "", "p adjusted for the strata that are compared together", func(r *ChangeRow) *column.Float { return &r.PAdjusted }),
		text("adjustment", "how p was adjusted, and over which family", func(r *ChangeRow) *string { return &r.Adjustment }),
		number("difference_per_ha", "1/ha", "latter density less earlier", func(r *ChangeRow) *column.Float { return &r.Difference.Value }),
		number("difference_lower", "1/ha", "its lower confidence limit", func(r *ChangeRow) *column.Float { return &r.Difference.Lower }),
		number("difference_upper", "1/ha", "its upper confidence limit", func(r *ChangeRow) *column.Float { return &r.Difference.Upper }),
		number("confidence", "", "nominal level of the intervals", func(r *ChangeRow) *column.Float { return &r.Ratio.Confidence }),
		warned(func(r *ChangeRow) []stats.Warning { return r.Warnings }),
	}),
}
