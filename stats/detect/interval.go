package detect

import (
	"math"

	"ashtally/stats"
)

// LogNormal is the interval of a positive figure with coefficient of
// variation cv, whose estimate is about log-normal:
//
//	value / C to value C,  C = exp( t_df sqrt(log(1 + cv^2)) )
//
// A cv that is not a number gives no limits; a cv of 0 limits equal to the
// value; df infinite is the normal quantile; df not over 0 gives no limits.
// (Burnham et al. 1987, Design and Analysis Methods for Fish Survival
// Experiments, p. 212; Buckland et al. 2001, equation 3.71, from memory.)
func LogNormal(value, cv, df, confidence float64) stats.Interval {
	i := stats.NoInterval(confidence)
	if !(cv >= 0) || !(value > 0) || !(df > 0) {
		return i
	}
	c := math.Exp(stats.QuantileT((1+confidence)/2, df) * math.Sqrt(math.Log1p(cv*cv)))
	i.Lower, i.Upper, i.DF, i.Method = value/c, value*c, df, "log-normal"
	return i
}

// Satterthwaite is the degrees of freedom of a sum of independent variances:
//
//	(sum v_q)^2 / sum_q v_q^2 / df_q
//
// Parts with variance 0 or infinite df add nothing below the line. It is +Inf
// if none does, and panics on slices of unequal length.
// (Satterthwaite 1946, Biometrics Bulletin 2: 110-114.)
func Satterthwaite(variances, df []float64) float64 {
	if len(variances) != len(df) {
		panic("detect: slice length mismatch")
	}
	var sum, below float64
	for q, v := range variances {
		sum += v
		if v > 0 {
			below += v * v / df[q]
		}
	}
	if below == 0 {
		return math.Inf(1)
	}
	return sum * sum / below
}
