package stats

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// normalFrom is where Student's t is the normal to more digits than are ever
// shown; there gonum's quantile loses digits, and at infinity it does not return.
const normalFrom = 1e8

// QuantileT is the quantile of Student's t; NaN unless df is over 0.
func QuantileT(p, df float64) float64 {
	if !(df > 0) {
		return math.NaN()
	}
	if df >= normalFrom {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}
