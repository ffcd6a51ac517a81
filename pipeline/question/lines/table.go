package lines

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// DetectionRow is one row of results/detection: a detection function fitted to
// the finds along all lines.
type DetectionRow struct {
	Method, Function     string
	Selected             column.Bool
	Lines, Detections    column.Int
	TruncationM, LeftM   column.Float // finds are used from LeftM, unknown for 0, to TruncationM
	ScaleM, ScaleSE      column.Float
	Shape, ShapeSE       column.Float
	Adjustments          string
	HalfWidth, Detected  result.Estimate
	PerKm, PerKmSE       column.Float // detections per km of line
	FromUnits            column.Float // shares of the variance of the density, percent
	FromDetectability    column.Float
	FromGroupSize        column.Float
	AIC, AICc            column.Float
	DeltaAIC, Weight     column.Float // by the criterion of the settings
	ChiSquareP           column.Float
	KolmogorovP, CramerP column.Float
	Density              result.Estimate // fruit bodies per ha of the area, with this function
	Warnings             []stats.Warning
}

// VisibilityRow is one row of results/visibility: how far and how well finds
// along lines are seen at one level of a covariate.
type VisibilityRow struct {
	Method, Covariate, Level string
	At                       column.Float // the level of a measured covariate
	Function                 string
	Selected                 column.Bool
	Detections               column.Int
	HalfWidth, Detected      result.Estimate
	Gain                     column.Float // in AIC or AICc
	Warnings                 []stats.Warning
}

var detectionTable = result.Declaration[DetectionRow]{
	Name:  "detection",
	About: "a detection function fitted to the distances of all finds along lines, and the density that follows from it",
	Key: []result.Columns[DetectionRow]{
		result.Text("method", "line", func(r *DetectionRow) *string { return &r.Method }),
		result.Text("function", "key function and the terms that bend it", func(r *DetectionRow) *string { return &r.Function }),
	},
	Columns: []result.Columns[DetectionRow]{
		result.Truth("selected", "whether it describes the distances best; densities of lines rest on it, or on the mean over the functions nearly as good", func(r *DetectionRow) *column.Bool { return &r.Selected }),
		result.Whole("units", "", "lines searched, in seasons", func(r *DetectionRow) *column.Int { return &r.Lines }),
		result.Whole("detections", "", "finds within the truncation, a group counted once", func(r *DetectionRow) *column.Int { return &r.Detections }),
		result.Number("truncation_m", "m", "distance from the line to which finds are used", func(r *DetectionRow) *column.Float { return &r.TruncationM }),
		result.Number("left_truncation_m", "m", "distance from the line from which finds are used; empty for all from the line on",
			func(r *DetectionRow) *column.Float { return &r.LeftM }),
		result.Number("scale_m", "m", "scale of the function; empty for the uniform key", func(r *DetectionRow) *column.Float { return &r.ScaleM }),
		result.Number("scale_se_m", "m", "its standard error", func(r *DetectionRow) *column.Float { return &r.ScaleSE }),
		result.Number("shape", "", "shape of the hazard-rate key", func(r *DetectionRow) *column.Float { return &r.Shape }),
		result.Number("shape_se", "", "its standard error", func(r *DetectionRow) *column.Float { return &r.ShapeSE }),
		result.Text("adjustments", "terms that bend the key, and coefficients of the log of the scale where it depends on covariates, each with "+
			"its standard error", func(r *DetectionRow) *string { return &r.Adjustments }),
		result.EstimateOf(func(r *DetectionRow) *result.Estimate { return &r.HalfWidth },
			result.Value("effective_half_width_m", "m", "width of a strip on one side in which as many would be found if none were missed"),
			result.SE("effective_half_width_se_m").Says("its standard error"),
			result.Lower("effective_half_width_lower_m").Says("its lower confidence limit"),
			result.Upper("effective_half_width_upper_m").Says("its upper confidence limit")),
		result.EstimateOf(func(r *DetectionRow) *result.Estimate { return &r.Detected },
			result.Value("detection_probability", "", "share found of what lies within the truncation, detection on the line assumed to be certain"),
			result.Lower("detection_probability_lower").Says("its lower confidence limit"),
			result.Upper("detection_probability_upper").Says("its upper confidence limit")),
		result.Number("detections_per_km", "1/km", "detections per km of line, strata weighed by area", func(r *DetectionRow) *column.Float { return &r.PerKm }),
		result.Number("detections_per_km_se", "1/km", "its standard error", func(r *DetectionRow) *column.Float { return &r.PerKmSE }),
		result.EstimateOf(func(r *DetectionRow) *result.Estimate { return &r.Density },
			result.Value("density_per_ha", "1/ha", "density of the strata that lines reached, with this function"),
			result.Lower("lower").Says("lower confidence limit of the density"), result.Upper("upper").Says("upper confidence limit of the density"),
			result.Confidence().Says("nominal level of the intervals")),
		result.Number("variance_units_percent", "percent", "share of the variance of the density that comes from differences between units, sizes "+
			"of groups among them", func(r *DetectionRow) *column.Float { return &r.FromUnits }),
		result.Number("variance_detectability_percent", "percent", "share that comes from detectability, the estimated detection function",
			func(r *DetectionRow) *column.Float { return &r.FromDetectability }),
		result.Number("variance_group_size_percent", "percent", "share that comes from group size, the correction for larger groups being seen "+
			"farther off; empty without one", func(r *DetectionRow) *column.Float { return &r.FromGroupSize }),
		result.Number("aic", "", "Akaike's information criterion; lower is better", func(r *DetectionRow) *column.Float { return &r.AIC }),
		result.Number("aicc", "", "the same, corrected for small samples; empty where the finds are too few for it",
			func(r *DetectionRow) *column.Float { return &r.AICc }),
		result.Number("delta_aic", "", "AIC above that of the best, or AICc where the settings rank by it",
			func(r *DetectionRow) *column.Float { return &r.DeltaAIC }),
		result.Number("akaike_weight", "", "share of the evidence among the functions fitted", func(r *DetectionRow) *column.Float { return &r.Weight }),
		result.Number("chi_square_p", "", "p-value of the fit, distances in intervals; small = the function does not fit",
			func(r *DetectionRow) *column.Float { return &r.ChiSquareP }),
		result.Number("kolmogorov_smirnov_p", "", "p-value of the largest gap; too large, as the function is assumed known",
			func(r *DetectionRow) *column.Float { return &r.KolmogorovP }),
		result.Number("cramer_von_mises_p", "", "p-value of the mean squared gap; too large likewise", func(r *DetectionRow) *column.Float { return &r.CramerP }),
	},
	Warnings: func(r *DetectionRow) []stats.Warning { return r.Warnings },
}

var visibilityTable = result.Declaration[VisibilityRow]{
	Name: "visibility",
	About: "how far and how well finds along lines are seen at one level of a covariate, by the best detection function that depends on it, at " +
		"the mean or commonest level of its other covariates",
	Key: []result.Columns[VisibilityRow]{
		result.Text("method", "line", func(r *VisibilityRow) *string { return &r.Method }),
		result.Text("covariate", "what sight may depend on", func(r *VisibilityRow) *string { return &r.Covariate }),
		result.Text("level", "its level; of a measured covariate which quartile", func(r *VisibilityRow) *string { return &r.Level }),
	},
	Columns: []result.Columns[VisibilityRow]{
		result.Number("at", "", "the value there of a measured covariate: fruit bodies in a find, or percent of the ground covered; else empty",
			func(r *VisibilityRow) *column.Float { return &r.At }),
		result.Text("function", "the detection function", func(r *VisibilityRow) *string { return &r.Function }),
		result.Truth("selected", "whether the densities of lines rest on this function", func(r *VisibilityRow) *column.Bool { return &r.Selected }),
		result.Whole("detections", "", "finds used at this level; all of them for a measured covariate", func(r *VisibilityRow) *column.Int { return &r.Detections }),
		result.EstimateOf(func(r *VisibilityRow) *result.Estimate { return &r.HalfWidth },
			result.Value("effective_half_width_m", "m", "width of a strip on one side in which as many would be found if none were missed"),
			result.SE("effective_half_width_se_m").Says("its standard error"),
			result.Lower("effective_half_width_lower_m").Says("its lower confidence limit"),
			result.Upper("effective_half_width_upper_m").Says("its upper confidence limit")),
		result.EstimateOf(func(r *VisibilityRow) *result.Estimate { return &r.Detected },
			result.Value("detection_probability", "", "share found of what lies within the distances used, detection on the line assumed to be certain"), result.Lower("detection_probability_lower").Says("its lower confidence limit"), result.Upper("detection_probability_upper").Says("its upper confidence limit")),
		result.Number("confidence", "", "nominal level of the intervals", func(r *VisibilityRow) *column.Float { return &r.HalfWidth.Confidence }),
		result.Number("aic_gain", "", "AIC, or AICc where the settings rank by it, of the best function without this covariate less that of this "+
			"one; over 0 the finds ask for it", func(r *VisibilityRow) *column.Float { return &r.Gain }),
	},
	Warnings: func(r *VisibilityRow) []stats.Warning { return r.Warnings },
}
