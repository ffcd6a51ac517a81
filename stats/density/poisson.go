package density

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// garwood is the exact interval of a Poisson count y over the area A searched,
//
//	chi2(alpha/2; 2y) / (2 A)  to  chi2(1 - alpha/2; 2y + 2) / (2 A)
//
// with the lower limit 0 if y is 0 (Garwood 1936, Biometrika 28: 437-442). It
// knows nothing of clumping: it is for samples that cannot show any.
func (t totals) garwood(confidence float64) stats.Interval {
	tail := (1 - confidence) / 2
	i := stats.Interval{Confidence: confidence, DF: math.NaN(), Method: "poisson-exact"}
	if t.finds > 0 {
		i.Lower = chiSquare(tail, 2*t.finds) / (2 * t.searched)
	}
	i.Upper = chiSquare(1-tail, 2*t.finds+2) / (2 * t.searched)
	return i
}

func chiSquare(p, df float64) float64 { return distuv.ChiSquared{K: df}.Quantile(p) }
