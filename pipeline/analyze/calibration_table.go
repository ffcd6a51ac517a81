package analyze

import "ashtally/pipeline/column"

// CalibrationRow is how one method did in one world at one size.
type CalibrationRow struct {
	Figure, Family, World, Systematic, Method, Verdict string
	Units, Samples                                     column.Int
	Finds, Coverage, SE, Low, High, None               column.Float
	Width, Shortest, Open, Warned, Wide                column.Float
	EffectiveUnits, K                                  column.Float
}

// CalibrationTable declares the table of the calibration.
var CalibrationTable = column.Table[CalibrationRow]{
	Name:  "calibration",
	About: "how often the intervals of one method held the truth in one world at one size",
	Columns: []column.Column[CalibrationRow]{
		text("figure", "what was estimated", func(r *CalibrationRow) *string { return &r.Figure }),
		text("family", "kind of world", func(r *CalibrationRow) *string { return &r.Family }),
		text("world", "where the truth is known", func(r *CalibrationRow) *string { return &r.World }),
		text("systematic", "variance of a layout; empty for units at random", func(r *CalibrationRow) *string { return &r.Systematic }),
		whole("units", "", "independent pieces of a sample: units, sites in worlds with sites, or lines; of areas in each stratum", func(r *CalibrationRow) *column.Int { return &r.Units }),
		number("finds", "", "finds expected in a sample", func(r *CalibrationRow) *column.Float { return &r.Finds }),
		text("interval", "how the limits were found", func(r *CalibrationRow) *string { return &r.Method }),
		whole("samples", "", "samples drawn", func(r *CalibrationRow) *column.Int { return &r.Samples }),
		number("coverage", "", "share of them whose interval held the truth", func(r *CalibrationRow) *column.Float { return &r.Coverage }),
		number("standard_error", "", "of the coverage", func(r *CalibrationRow) *column.Float { return &r.SE }),
		number("lower_misses", "", "share whose lower limit lay above the truth", func(r *CalibrationRow) *column.Float { return &r.Low }),
		number("upper_misses", "", "share whose upper limit lay below the truth", func(r *CalibrationRow) *column.Float { return &r.High }),
		number("no_interval", "", "share without an interval", func(r *CalibrationRow) *column.Float { return &r.None }),
		number("median_width", "", "median width of the intervals over the truth; empty where most are open above", func(r *CalibrationRow) *column.Float { return &r.Width }),
		number("shortest_width", "", "width over the truth of the shortest interval that could be had, as said of the figure; empty where none is known", func(r *CalibrationRow) *column.Float { return &r.Shortest }),
		number("open_above", "", "share with finds enough but no upper limit that says something", func(r *CalibrationRow) *column.Float { return &r.Open }),
		number("effective_units", "", "median effective number of units or sites of an area", func(r *CalibrationRow) *column.Float { return &r.EffectiveUnits }),
		number("k", "", "median clumping of the strata of an area; empty where most samples look Poisson", func(r *CalibrationRow) *column.Float { return &r.K }),
		number("warned", "", "share whose figure said that its interval may not keep its level", func(r *CalibrationRow) *column.Float { return &r.Warned }),
		number("said_wide", "", "share whose figure said that its interval is on the safe side", func(r *CalibrationRow) *column.Float { return &r.Wide }),
		text("verdict", "of the default interval: holds, wide or misses; small for samples under the sizes of the goal; empty for other methods", func(r *CalibrationRow) *string { return &r.Verdict }),
	},
}
