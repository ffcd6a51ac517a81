package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// SensitivityRow is one row of results/sensitivity: the main answers by one rule.
type SensitivityRow struct {
	Method               string
	Stratum              string // All, or Reached
	Rule                 string
	DistanceM            column.Float
	IsRule               column.Bool // whether it is the distance that the settings name
	Units, Hosts, Others column.Int
	Density, Ratio       Estimate
	Warnings             []stats.Warning
}

// SensitivityTable declares results/sensitivity.
var SensitivityTable = column.Table[SensitivityRow]{
	Name:  "sensitivity",
	About: "host-associated density, and its ratio to the rest, by the crew's call or by one distance of the rule",
	Columns: []column.Column[SensitivityRow]{
		text("method", "plot or strip", func(r *SensitivityRow) *string { return &r.Method }),
		text("stratum", "all, or reached for those strata of it that the method reached", func(r *SensitivityRow) *string { return &r.Stratum }),
		text("rule", "crew's call; or distance: a find is host-associated whose nearest tree is a live host within it", func(r *SensitivityRow) *string { return &r.Rule }),
		number("distance_m", "m", "the distance; empty for the crew's call", func(r *SensitivityRow) *column.Float { return &r.DistanceM }),
		{Field: column.Field{Name: "of_settings", Form: column.Truth, About: "whether it is hosts.distance_m"}, At: func(r *SensitivityRow) any { return &r.IsRule }},
		whole("units", "", "units searched, in seasons", func(r *SensitivityRow) *column.Int { return &r.Units }),
		whole("host_finds", "fruit bodies", "host-associated fruit bodies by the rule", func(r *SensitivityRow) *column.Int { return &r.Hosts }),
		whole("other_finds", "fruit bodies", "the others: saprotrophic by the crew's call, or not near a live host", func(r *SensitivityRow) *column.Int { return &r.Others }),
		number("density_per_ha", "1/ha", "host-associated fruit bodies per hectare of these strata", func(r *SensitivityRow) *column.Float { return &r.Density.Value }),
		number("density_lower", "1/ha", "its lower confidence limit", func(r *SensitivityRow) *column.Float { return &r.Density.Lower }),
		number("density_upper", "1/ha", "its upper confidence limit", func(r *SensitivityRow) *column.Float { return &r.Density.Upper }),
		text("density_interval", "how the limits were found", func(r *SensitivityRow) *string { return &r.Density.Interval }),
		number("ratio", "", "host-associated to the others", func(r *SensitivityRow) *column.Float { return &r.Ratio.Value }),
		number("lower", "", "its lower confidence limit", func(r *SensitivityRow) *column.Float { return &r.Ratio.Lower }),
		number("upper", "", "its upper confidence limit", func(r *SensitivityRow) *column.Float { return &r.Ratio.Upper }),
		number("confidence", "", "nominal level of the intervals", func(r *SensitivityRow) *column.Float { return &r.Ratio.Confidence }),
		text("interval", "how the limits were found", func(r *SensitivityRow) *string { return &r.Ratio.Interval }),
		warned(func(r *SensitivityRow) []stats.Warning { return r.Warnings }),
	},
}
