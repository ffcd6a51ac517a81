package density

import (
	"ashtally/stats"
	"math"
)

// studentT is the interval D -+ t sqrt(v), cut off at 0. It takes the density
// to be normal around the truth, which counts full of zeros are not: its lower
// limit is too low and its upper limit not high enough.
type studentT struct{}

var _ method = studentT{}

func (studentT) name() string { return "t" }

func (studentT) limits(f figure) limits {
	half := stats.QuantileT(f.options.upperTail(), f.df) * math.Sqrt(f.variance)
	return limits{lower: math.Max(0, f.value-half), upper: f.value + half, df: f.df}
}
