package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// The declarations of the result tables, in the order they are written.
var (
	DensityTable = column.Table[DensityRow]{
		Name:  "density",
		About: "fruit bodies per hectare of one group of finds on one part of the land",
		Columns: append(keyColumns(func(r *DensityRow) *fieldwork.Key { return &r.Key }), []column.Column[DensityRow]{
			whole("units", "", "units searched, in seasons: a unit seen in two years counts twice", func(r *DensityRow) *column.Int { return &r.Units }),
			number("searched_ha", "ha", "horizontal area of the ground searched; ground searched in several seasons counts once", func(r *DensityRow) *column.Float { return &r.SearchedHa }),
			whole("finds", "fruit bodies", "fruit bodies of the group that were counted", func(r *DensityRow) *column.Int { return &r.Finds }),
			number("density_per_ha", "1/ha", "fruit bodies per hectare", func(r *DensityRow) *column.Float { return &r.Value }),
			number("se", "1/ha", "standard error of the density", func(r *DensityRow) *column.Float { return &r.SE }),
			number("cv", "", "standard error over density", func(r *DensityRow) *column.Float { return &r.CV }),
			number("lower", "1/ha", "lower confidence limit", func(r *DensityRow) *column.Float { return &r.Lower }),
			number("upper", "1/ha", "upper confidence limit", func(r *DensityRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *DensityRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *DensityRow) *string { return &r.Interval }),
			number("df", "", "degrees of freedom behind the interval", func(r *DensityRow) *column.Float { return &r.DF }),
			warned(func(r *DensityRow) []stats.Warning { return r.Warnings }),
		}...),
	}

	ComparisonTable = column.Table[ComparisonRow]{
		Name:  "comparison",
		About: "the ratio of one kind of finds to another, counted on the same units",
		Columns: slices.Concat([]column.Column[ComparisonRow]{
			text("comparison", "what is held against what", func(r *ComparisonRow) *string { return &r.Comparison }),
			text("method", "plot, strip or line", func(r *ComparisonRow) *string { return &r.Method }),
			text("stratum", overStrata, func(r *ComparisonRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *ComparisonRow) *string { return &r.Years }),
			text("tree", "species of the nearest tree, or all", func(r *ComparisonRow) *string { return &r.Tree }),
			whole("units", "", "units searched, in seasons", func(r *ComparisonRow) *column.Int { return &r.Units }),
			whole("finds", "fruit bodies", "fruit bodies above the line of the ratio", func(r *ComparisonRow) *column.Int { return &r.FirstFinds }),
			whole("base_finds", "fruit bodies", "fruit bodies below the line of the ratio", func(r *ComparisonRow) *column.Int { return &r.BaseFinds }),
			number("ratio", "", "the ratio, or the share", func(r *ComparisonRow) *column.Float { return &r.Value }),
			number("lower", "", "lower confidence limit", func(r *ComparisonRow) *column.Float { return &r.Lower }),
			number("upper", "", "upper confidence limit", func(r *ComparisonRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *ComparisonRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *ComparisonRow) *string { return &r.Interval }),
		}, testedColumns("a ratio of 1", func(r *ComparisonRow) *result.Tested { return &r.Tested }), []column.Column[ComparisonRow]{
			number("p_adjusted", "", "the same, adjusted for the number of comparisons in the family", func(r *ComparisonRow) *column.Float { return &r.PAdjusted }),
			text("adjustment", "how p was adjusted, and over which family", func(r *ComparisonRow) *string { return &r.Adjustment }),
			warned(func(r *ComparisonRow) []stats.Warning { return r.Warnings }),
		}),
	}

	DetectionTable = column.Table[DetectionRow]{
		Name:  "detection",
		About: "a detection function fitted to the distances of all finds along lines, and the density of the land that follows from it",
		Columns: []column.Column[DetectionRow]{
			text("method", "line", func(r *DetectionRow) *string { return &r.Method }),
			text("function", "key function and the terms that bend it", func(r *DetectionRow) *string { return &r.Function }),
			{Field: column.Field{Name: "selected", Form: column.Truth, About: "whether it describes the distances best; densities of lines rest on it, or on the mean over the functions nearly as good"}, At: func(r *DetectionRow) any { return &r.Selected }},
			whole("units", "", "lines searched, in seasons", func(r *DetectionRow) *column.Int { return &r.Lines }),
			whole("detections", "", "finds within the truncation, a group counted once", func(r *DetectionRow) *column.Int { return &r.Detections }),
			number("truncation_m", "m", "distance from the line to which finds are used", func(r *DetectionRow) *column.Float { return &r.TruncationM }),
			number("left_truncation_m", "m", "distance from the line from which finds are used; empty for all from the line on", func(r *DetectionRow) *column.Float { return &r.LeftM }),
			number("scale_m", "m", "scale of the function; empty for the uniform key", func(r *DetectionRow) *column.Float { return &r.ScaleM }),
			number("scale_se_m", "m", "its standard error", func(r *DetectionRow) *column.Float { return &r.ScaleSE }),
			number("shape", "", "shape of the hazard-rate key", func(r *DetectionRow) *column.Float { return &r.Shape }),
			number("shape_se", "", "its standard error", func(r *DetectionRow) *column.Float { return &r.ShapeSE }),
			text("adjustments", "terms that bend the key, and coefficients of the log of the scale where it depends on covariates, each with its standard error", func(r *DetectionRow) *string { return &r.Adjustments }),
			number("effective_half_width_m", "m", "width of a strip on one side in which as many would be found if none were missed", func(r *DetectionRow) *column.Float { return &r.HalfWidth.Value }),
			number("effective_half_width_se_m", "m", "its standard error", func(r *DetectionRow) *column.Float { return &r.HalfWidth.SE }),
			number("effective_half_width_lower_m", "m", "its lower confidence limit", func(r *DetectionRow) *column.Float { return &r.HalfWidth.Lower }),
			number("effective_half_width_upper_m", "m", "its upper confidence limit", func(r *DetectionRow) *column.Float { return &r.HalfWidth.Upper }),
			number("detection_probability", "", "share found of what lies within the truncation, all on the line taken for found", func(r *DetectionRow) *column.Float { return &r.Detected.Value }),
			number("detection_probability_lower", "", "its lower confidence limit", func(r *DetectionRow) *column.Float { return &r.Detected.Lower }),
			number("detection_probability_upper", "", "its upper confidence limit", func(r *DetectionRow) *column.Float { return &r.Detected.Upper }),
			number("detections_per_km", "1/km", "detections per km of line, strata weighed by area", func(r *DetectionRow) *column.Float { return &r.PerKm }),
			number("detections_per_km_se", "1/km", "its standard error", func(r *DetectionRow) *column.Float { return &r.PerKmSE }),
			number("density_per_ha", "1/ha", "fruit bodies per hectare of the land that lines reached, with this function", func(r *DetectionRow) *column.Float { return &r.Density.Value }),
			number("lower", "1/ha", "lower confidence limit of the density", func(r *DetectionRow) *column.Float { return &r.Density.Lower }),
			number("upper", "1/ha", "upper confidence limit of the density", func(r *DetectionRow) *column.Float { return &r.Density.Upper }),
			number("confidence", "", "nominal level of the intervals", func(r *DetectionRow) *column.Float { return &r.Density.Confidence }),
			number("variance_units_percent", "percent", "share of the variance of the density that comes from differences between units, sizes of groups among them", func(r *DetectionRow) *column.Float { return &r.FromUnits }),
			number("variance_detectability_percent", "percent", "share that comes from detectability, the estimated detection function", func(r *DetectionRow) *column.Float { return &r.FromDetectability }),
			number("variance_group_size_percent", "percent", "share that comes from group size, the correction for larger groups being seen farther off; empty without one", func(r *DetectionRow) *column.Float { return &r.FromGroupSize }),
			number("aic", "", "Akaike's information criterion; lower is better", func(r *DetectionRow) *column.Float { return &r.AIC }),
			number("aicc", "", "the same, corrected for small samples; empty where the finds are too few for it", func(r *DetectionRow) *column.Float { return &r.AICc }),
			number("delta_aic", "", "AIC above that of the best, or AICc where the settings rank by it", func(r *DetectionRow) *column.Float { return &r.DeltaAIC }),
			number("akaike_weight", "", "share of the evidence among the functions fitted", func(r *DetectionRow) *column.Float { return &r.Weight }),
			number("chi_square_p", "", "p-value of the fit, distances in intervals; small = the function does not fit", func(r *DetectionRow) *column.Float { return &r.ChiSquareP }),
			number("kolmogorov_smirnov_p", "", "p-value of the largest gap; too large, for the function is taken as known", func(r *DetectionRow) *column.Float { return &r.KolmogorovP }),
			number("cramer_von_mises_p", "", "p-value of the mean squared gap; too large likewise", func(r *DetectionRow) *column.Float { return &r.CramerP }),
			warned(func(r *DetectionRow) []stats.Warning { return r.Warnings }),
		},
	}
)

func keyColumns[R any](at func(*R) *fieldwork.Key) []column.Column[R] {
	return []column.Column[R]{
		text("method", "plot, adaptive-cluster (drawn plots with those added beside them), strip or line; added plots are in no row of plot", func(r *R) *string { return &at(r).Method }),
		text("stratum", overStrata, func(r *R) *string { return &at(r).Stratum }),
		text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *R) *string { return &at(r).Years }),
		text("mode", "the crew's call of the mode, or all", func(r *R) *string { return &at(r).Mode }),
		text("tree", "species of the nearest tree, unrecorded, or all", func(r *R) *string { return &at(r).Tree }),
		text("taxon", "target taxon, or all of them", func(r *R) *string { return &at(r).Taxon }),
	}
}

func text[R any](name, about string, at func(*R) *string) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Form: column.Text, About: about}, At: func(r *R) any { return at(r) }}
}

func number[R any](name, unit, about string, at func(*R) *column.Float) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Unit: unit, Form: column.Number, About: about}, At: func(r *R) any { return at(r) }}
}

func whole[R any](name, unit, about string, at func(*R) *column.Int) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Unit: unit, Form: column.Whole, About: about}, At: func(r *R) any { return at(r) }}
}

// overStrata is what the column stratum holds where strata are pooled too.
const overStrata = "stratum; all for the survey area, or reached for those strata of it that the method reached"

// warned is the last column of every result table.
func warned[R any](at func(*R) []stats.Warning) column.Column[R] {
	return text("warnings", "what is doubtful about the row, or why it is empty; a code and a sentence each, divided by |",
		func(r *R) *string {
			joined := result.WarningsCell(at(r))
			return &joined
		})
}
