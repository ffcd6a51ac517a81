package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// VisibilityRow is one row of results/visibility: how far and how well finds
// along lines are seen at one level of a covariate.
type VisibilityRow struct {
	Method, Covariate, Level string
	At                       column.Float // the level of a measured covariate
	Function                 string
	Selected                 column.Bool
	Detections               column.Int
	HalfWidth, Detected      Estimate
	Gain                     column.Float // in AIC or AICc
	Warnings                 []stats.Warning
}

// VisibilityTable declares results/visibility.
var VisibilityTable = column.Table[VisibilityRow]{
	Name:  "visibility",
	About: "how far and how well finds along lines are seen at one level of a covariate, by the best detection function that depends on it, at the mean or commonest level of its other covariates",
	Columns: []column.Column[VisibilityRow]{
		text("method", "line", func(r *VisibilityRow) *string { return &r.Method }),
		text("covariate", "what sight may depend on", func(r *VisibilityRow) *string { return &r.Covariate }),
		text("level", "its level; of a measured covariate which quartile", func(r *VisibilityRow) *string { return &r.Level }),
		number("at", "", "the value there of a measured covariate: fruit bodies in a find, or percent of the ground covered; else empty", func(r *VisibilityRow) *column.Float { return &r.At }),
		text("function", "the detection function", func(r *VisibilityRow) *string { return &r.Function }),
		{Field: column.Field{Name: "selected", Form: column.Truth, About: "whether the densities of lines rest on this function"}, At: func(r *VisibilityRow) any { return &r.Selected }},
		whole("detections", "", "finds used at this level; all of them for a measured covariate", func(r *VisibilityRow) *column.Int { return &r.Detections }),
		number("effective_half_width_m", "m", "width of a strip on one side in which as many would be found if none were missed", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.Value }),
		number("effective_half_width_se_m", "m", "its standard error", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.SE }),
		number("effective_half_width_lower_m", "m", "its lower confidence limit", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.Lower }),
		number("effective_half_width_upper_m", "m", "its upper confidence limit", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.Upper }),
		number("detection_probability", "", "share found of what lies within the distances used, all on the line taken for found", func(r *VisibilityRow) *column.Float { return &r.Detected.Value }),
		number("detection_probability_lower", "", "its lower confidence limit", func(r *VisibilityRow) *column.Float { return &r.Detected.Lower }),
		number("detection_probability_upper", "", "its upper confidence limit", func(r *VisibilityRow) *column.Float { return &r.Detected.Upper }),
		number("confidence", "", "nominal level of the intervals", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.Confidence }),
		number("aic_gain", "", "AIC, or AICc where the settings rank by it, of the best function without this covariate less that of this one; over 0 the finds ask for it", func(r *VisibilityRow) *column.Float { return &r.Gain }),
		warned(func(r *VisibilityRow) []stats.Warning { return r.Warnings }),
	},
}

// Fit is what the fitted curve leads one to expect, against what was seen, for
// the figure of the selected detection function; empty without one.
type Fit struct {
	Function   string
	Detections int
	Classes    bool // distances were recorded in classes
	Pairs      []detect.Agreement
	Band       float64 // NaN in classes
}
