package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// PermutationRow is one row of results/permutation: a comparison tested by
// exchange.
type PermutationRow struct {
	Question               string
	Method, Stratum, Years string
	Mode, Exchanged        string
	Units, Sites           column.Int
	Figure                 Estimate // ratio; none over several classes at once
	Arrangements           column.Float
	Tried                  column.Int
	Way                    string // all or drawn
	P, PSE, MidP           column.Float
	PAdjusted              column.Float
	Adjustment             string
	Warnings               []stats.Warning
}

// PermutationTable declares results/permutation.
var PermutationTable = column.Table[PermutationRow]{
	Name:  "permutation",
	About: "a comparison tested by exchanging whole sites, or the modes within them, without supposing any distribution",
	Columns: []column.Column[PermutationRow]{
		text("question", "what is compared", func(r *PermutationRow) *string { return &r.Question }),
		text("method", "plot, strip or line", func(r *PermutationRow) *string { return &r.Method }),
		text("stratum", "all: the land as a whole", func(r *PermutationRow) *string { return &r.Stratum }),
		text("years_since_fire", "the classes of years compared, or all", func(r *PermutationRow) *string { return &r.Years }),
		text("mode", "the crew's call of the finds compared, or all", func(r *PermutationRow) *string { return &r.Mode }),
		text("exchanged", "what changes places", func(r *PermutationRow) *string { return &r.Exchanged }),
		whole("units", "", "units searched, in seasons", func(r *PermutationRow) *column.Int { return &r.Units }),
		whole("sites", "", "sites exchanged, or sites in seasons", func(r *PermutationRow) *column.Int { return &r.Sites }),
		number("ratio", "", "first over second: of modes, or of the later years to the earlier; empty over several years at once", func(r *PermutationRow) *column.Float { return &r.Figure.Value }),
		number("lower", "", "its lower confidence limit, linearised over sites", func(r *PermutationRow) *column.Float { return &r.Figure.Lower }),
		number("upper", "", "its upper confidence limit", func(r *PermutationRow) *column.Float { return &r.Figure.Upper }),
		number("confidence", "", "nominal level of the interval", func(r *PermutationRow) *column.Float { return &r.Figure.Confidence }),
		text("interval", "how the limits were found", func(r *PermutationRow) *string { return &r.Figure.Interval }),
		number("arrangements", "", "how many there are", func(r *PermutationRow) *column.Float { return &r.Arrangements }),
		text("gone_through", "all: every one, and p is exact; drawn: some at random", func(r *PermutationRow) *string { return &r.Way }),
		whole("tried", "", "how many were gone through", func(r *PermutationRow) *column.Int { return &r.Tried }),
		number("p", "", "share of the arrangements that differ as much, the one seen among them", func(r *PermutationRow) *column.Float { return &r.P }),
		number("p_se", "", "standard error of p by drawing; 0 where all were gone through", func(r *PermutationRow) *column.Float { return &r.PSE }),
		number("mid_p", "", "the same with half of those that tie with the one seen: about right on the whole where few finds make many tie and p is too large, but without its promise", func(r *PermutationRow) *column.Float { return &r.MidP }),
		number("p_adjusted", "", "p adjusted for the number of pairs of years", func(r *PermutationRow) *column.Float { return &r.PAdjusted }),
		text("adjustment", "how p was adjusted, and over which family", func(r *PermutationRow) *string { return &r.Adjustment }),
		warned(func(r *PermutationRow) []stats.Warning { return r.Warnings }),
	},
}
