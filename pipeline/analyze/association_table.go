package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// AssociationRow is one row of results/association: finds against reference
// points by their distance to a live host.
type AssociationRow struct {
	Method, Stratum, Years, Mode    string
	Measure                         string
	DistanceM                       column.Float // none for a median
	Units, Sites                    column.Int
	Finds, Points                   column.Int
	FindsWithin, PointsWithin       column.Int
	OfFinds, OfPoints               column.Float // the share within the distance, or the median in m
	Figure                          Estimate     // ratio of the shares, or difference of the medians
	P, RangeP                       column.Float
	Lowest, Highest                 column.Float
	EnvelopeLowest, EnvelopeHighest column.Float
	Warnings                        []stats.Warning
}

// AssociationTable declares results/association.
var AssociationTable = column.Table[AssociationRow]{
	Name:  "association",
	About: "how near finds stand to a live host, against points drawn at random in the same units",
	Columns: []column.Column[AssociationRow]{
		text("method", "plot, strip or line", func(r *AssociationRow) *string { return &r.Method }),
		text("stratum", overStrata, func(r *AssociationRow) *string { return &r.Stratum }),
		text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *AssociationRow) *string { return &r.Years }),
		text("mode", "the crew's call of the finds compared, or all", func(r *AssociationRow) *string { return &r.Mode }),
		text("measure", "share within a distance, or median distance", func(r *AssociationRow) *string { return &r.Measure }),
		number("distance_m", "m", "the distance; empty for a median", func(r *AssociationRow) *column.Float { return &r.DistanceM }),
		whole("units", "", "units with both finds and reference points, in seasons", func(r *AssociationRow) *column.Int { return &r.Units }),
		whole("sites", "", "independent groups of units", func(r *AssociationRow) *column.Int { return &r.Sites }),
		whole("finds", "fruit bodies", "fruit bodies in them whose nearest tree is recorded", func(r *AssociationRow) *column.Int { return &r.Finds }),
		whole("points", "", "reference points in them", func(r *AssociationRow) *column.Int { return &r.Points }),
		whole("finds_within", "fruit bodies", "fruit bodies within the distance of a live host", func(r *AssociationRow) *column.Int { return &r.FindsWithin }),
		whole("points_within", "", "reference points within it", func(r *AssociationRow) *column.Int { return &r.PointsWithin }),
		number("of_finds", "", "share of the finds within the distance; their median distance in m", func(r *AssociationRow) *column.Float { return &r.OfFinds }),
		number("of_points", "", "the same of the reference points, each unit's weighed as its finds are", func(r *AssociationRow) *column.Float { return &r.OfPoints }),
		number("figure", "", "ratio of the shares, 1 where finds stand like points; difference of the medians in m, 0 where they do", func(r *AssociationRow) *column.Float { return &r.Figure.Value }),
		number("se", "", "its standard error", func(r *AssociationRow) *column.Float { return &r.Figure.SE }),
		number("lower", "", "lower confidence limit", func(r *AssociationRow) *column.Float { return &r.Figure.Lower }),
		number("upper", "", "upper confidence limit", func(r *AssociationRow) *column.Float { return &r.Figure.Upper }),
		number("confidence", "", "nominal level of the interval and of the envelopes", func(r *AssociationRow) *column.Float { return &r.Figure.Confidence }),
		text("interval", "how the limits were found", func(r *AssociationRow) *string { return &r.Figure.Interval }),
		number("p", "", "p-value by swapping finds and points of whole sites, at this distance alone", func(r *AssociationRow) *column.Float { return &r.P }),
		number("range_p", "", "p-value of the greatest departure over the whole range of distances", func(r *AssociationRow) *column.Float { return &r.RangeP }),
		number("swapped_lower", "", "lowest ratio that swaps reach at this distance alone, at the confidence", func(r *AssociationRow) *column.Float { return &r.Lowest }),
		number("swapped_upper", "", "highest ratio likewise; empty where it is open", func(r *AssociationRow) *column.Float { return &r.Highest }),
		number("envelope_lower", "", "lowest ratio that swaps reach anywhere in the range, at the confidence", func(r *AssociationRow) *column.Float { return &r.EnvelopeLowest }),
		number("envelope_upper", "", "highest ratio likewise; empty where it is open", func(r *AssociationRow) *column.Float { return &r.EnvelopeHighest }),
		warned(func(r *AssociationRow) []stats.Warning { return r.Warnings }),
	},
}
