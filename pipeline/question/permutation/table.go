package permutation

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/permute"
	"ashtally/stats/strata"
)

// Row is one row of results/permutation.
type Row struct {
	Question               string
	Method, Stratum, Years string
	Mode, Exchanged        string
	Units, Sites           column.Int
	Ratio                  result.Estimate // none over several classes at once
	Arrangements           column.Float
	Way                    string // all or drawn
	Tried                  column.Int
	P, PSE, MidP           column.Float
	PAdjusted              column.Float
	Adjustment             string
	Warnings               []stats.Warning
}

var table = result.Declaration[Row]{
	Name:  "permutation",
	About: "a comparison tested by exchanging whole sites, or the modes within them, without supposing any distribution",
	Key: []result.Columns[Row]{
		result.Text("question", "what is compared", func(r *Row) *string { return &r.Question }),
		result.Text("method", "plot, strip or line", func(r *Row) *string { return &r.Method }),
		result.Text("stratum", "all: the whole survey area", func(r *Row) *string { return &r.Stratum }),
		result.Text("years_since_fire", "the classes of years compared, or all", func(r *Row) *string { return &r.Years }),
		result.Text("mode", "the crew's call of the finds compared, or all", func(r *Row) *string { return &r.Mode }),
	},
	Columns: []result.Columns[Row]{
		result.Text("exchanged", "what changes places", func(r *Row) *string { return &r.Exchanged }),
		result.Whole("units", "", "units searched, in seasons", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("sites", "", "sites exchanged, or sites in seasons", func(r *Row) *column.Int { return &r.Sites }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &r.Ratio },
			result.Value("ratio", "", "first over second: of modes, or of the later years to the earlier; empty over several years at once"),
			result.Lower("lower").Says("its lower confidence limit, linearised over sites"),
			result.Upper("upper").Says("its upper confidence limit"),
			result.Confidence(), result.Interval()),
		result.Number("arrangements", "", "how many there are", func(r *Row) *column.Float { return &r.Arrangements }),
		result.Text("gone_through", "all: every one, and p is exact; drawn: some at random", func(r *Row) *string { return &r.Way }),
		result.Whole("tried", "", "number evaluated", func(r *Row) *column.Int { return &r.Tried }),
		result.Number("p", "", "share of the arrangements that differ as much, the one seen among them", func(r *Row) *column.Float { return &r.P }),
		result.Number("p_se", "", "standard error of p by drawing; 0 where all were evaluated", func(r *Row) *column.Float { return &r.PSE }),
		result.Number("mid_p", "", "the same with half of those that tie with the one seen: about right on the whole where few finds make many "+
			"tie and p is too large, but without its promise", func(r *Row) *column.Float { return &r.MidP }),
		result.Number("p_adjusted", "", "p adjusted for the number of pairs of years", func(r *Row) *column.Float { return &r.PAdjusted }),
		result.Text("adjustment", "how p was adjusted, and over which family", func(r *Row) *string { return &r.Adjustment }),
	},
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

// Warnings are the types of warnings that rows may carry.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{own, permute.Warnings, strata.Warnings}
}

// own are those that arise here.
var own stats.WarningTypes

var (
	yearsAreStrata = own.New("years-are-strata", stats.Scope, "Years that cannot be told from strata")
	severalYears   = own.New("several-years", stats.Note, "Several classes of years compared at once")
	noRatio        = own.New("no-ratio", stats.Unavailable, "No ratio")
	noLimits       = own.New("ratio-without-limits", stats.Unavailable, "A ratio without limits")
)
