package result

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/stats"
)

// Estimate is an estimate as a table holds it: unknown where it cannot be had.
type Estimate struct {
	Value, SE, CV, Lower, Upper, Confidence, DF column.Float
	Interval                                    string // how the limits were found
}

// Of returns the estimate of the statistics as a table holds it.
func Of(e stats.Estimate) Estimate {
	e.SE = column.UnlessRounding(e.SE, e.Value)
	return Estimate{
		Value: column.Finite(e.Value), SE: column.Finite(e.SE), CV: column.Finite(e.CV()),
		Lower: column.Finite(e.Lower), Upper: column.Finite(e.Upper),
		Confidence: column.Finite(e.Confidence), DF: column.Finite(e.DF), Interval: e.Method,
	}
}

// Stats returns the estimate as the statistics know it, NaN for what is unknown,
// with the warnings given.
func (e Estimate) Stats(warnings []stats.Warning) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: e.Value.Or(nan), SE: e.SE.Or(nan), Warnings: warnings, Interval: stats.Interval{
		Lower: e.Lower.Or(nan), Upper: e.Upper.Or(nan), Confidence: e.Confidence.Or(nan), DF: e.DF.Or(nan), Method: e.Interval}}
}

// Over returns the estimate divided by a constant over 0.
func (e Estimate) Over(by float64) Estimate {
	for _, f := range []*column.Float{&e.Value, &e.SE, &e.Lower, &e.Upper} {
		if f.Known {
			f.Value /= by
		}
	}
	return e
}
