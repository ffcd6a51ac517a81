// Package stats holds the words that every estimator of the project shares:
// an estimate with its interval, and the doubt that travels with it.
//
// The packages below it take plain numbers and return named results. None of
// them knows a table, a file, a flag or a clock, and randomness is passed in.
//
// A figure that cannot be had is NaN here, always with a [Warning] that says
// why; the tables of the results show it as an empty field.
package stats

import "math"

// Estimate is one estimated figure with its uncertainty.
type Estimate struct {
	Value float64 // the figure, in the unit its function names; NaN if it cannot be had
	SE    float64 // standard error, same unit; NaN if there is none
	Interval
	N        int // independent sampling units (clusters where there are any) it rests on
	Warnings []Warning
}

// CV is the coefficient of variation SE/Value; NaN where either is missing or
// the value is 0.
func (e Estimate) CV() float64 {
	if e.Value == 0 {
		return math.NaN()
	}
	return e.SE / e.Value
}

// Interval is a confidence interval.
type Interval struct {
	Lower, Upper float64 // NaN where there is no limit
	Confidence   float64 // nominal level, e.g. 0.95
	DF           float64 // degrees of freedom of the quantile used; NaN if none, +Inf for normal
	Method       string  // how the limits were found, e.g. "nb-profile"
}

// NoInterval returns an interval without limits at the given level.
func NoInterval(confidence float64) Interval {
	nan := math.NaN()
	return Interval{Lower: nan, Upper: nan, Confidence: confidence, DF: nan, Method: "none"}
}

// Missing returns an estimate that cannot be had, for the reason given.
func Missing(confidence float64, n int, reason Warning) Estimate {
	nan := math.NaN()
	return Estimate{Value: nan, SE: nan, Interval: NoInterval(confidence), N: n, Warnings: []Warning{reason}}
}
