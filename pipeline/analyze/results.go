package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// The words of grouping columns.
const (
	All            = result.All
	Burned         = result.Burned
	Unburned       = result.Unburned
	Unrecorded     = result.Unrecorded
	Reached        = result.Reached
	PlotMethod     = result.Plot
	StripMethod    = result.Strip
	LineMethod     = result.Line
	AdaptiveMethod = result.Adaptive
	AddedMethod    = result.Added
)

// Results are the answers of a run, a slice of rows for each result table.
type Results struct {
	Comparison []ComparisonRow
}

// Estimate is a figure and its interval as the tables hold them: unknown where
// it cannot be had.
type Estimate struct {
	Value, SE, CV, Lower, Upper, Confidence column.Float
	Interval                                string
}

func figures(e stats.Estimate) Estimate {
	e.SE = column.UnlessRounding(e.SE, e.Value)
	return Estimate{
		Value: column.Finite(e.Value), SE: column.Finite(e.SE), CV: column.Finite(e.CV()),
		Lower: column.Finite(e.Lower), Upper: column.Finite(e.Upper),
		Confidence: column.Finite(e.Confidence), Interval: e.Method,
	}
}

// ComparisonRow is one row of results/comparison.
type ComparisonRow struct {
	Comparison            string
	Method, Stratum       string
	Years, Tree           string
	Units                 column.Int
	FirstFinds, BaseFinds column.Int // fruit bodies above and below the line of the ratio
	Estimate
	result.Tested
	PAdjusted  column.Float
	Adjustment string
	Warnings   []stats.Warning
}
