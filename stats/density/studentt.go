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

// quantileT is the quantile of Student's t. From 1e8 degrees of freedom on it
// is the normal to more digits than are ever shown; there gonum's loses digits,
// and at infinity it does not return.
func quantileT(p, df float64) float64 {
	if df >= 1e8 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}
