package density

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// studentT is the interval D -+ t sqrt(v), cut off at 0. It takes the density
// to be normal around the truth, which counts full of zeros are not: its lower
// limit is too low and its upper limit not high enough.
type studentT struct{}

var _ method = studentT{}

func (studentT) name() string { return "t" }

func (studentT) limits(f figure) limits {
	half := quantileT(f.options.upperTail(), f.df) * math.Sqrt(f.variance)
	return limits{lower: math.Max(0, f.value-half), upper: f.value + half, df: f.df}
}

func quantileT(p, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}
