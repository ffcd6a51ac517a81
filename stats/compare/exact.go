package compare

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// exact are the limits of a ratio of Poisson means counted on the same units.
// Given all finds n, those of the first group are binomial with probability
//
//	p = R / (1 + R)
//
// so that the limits of p by Clopper & Pearson (1934, Biometrika 26: 404-413)
// give those of R = p / (1 - p). Each limit leaves (1 - confidence)/2 beyond
// it, also where the other is 0 or cannot be had. The lower limit is 0 without
// finds of the first group; the upper is NaN without finds of the second.
//
// Over several strata it takes the ratio for the same in each. It knows
// nothing of clumping, and so is too narrow for finds that clump.
func exact(finds piece, confidence float64) stats.Interval {
	a, b := finds.a, finds.b
	tail := (1 - confidence) / 2
	i := stats.Interval{Upper: math.NaN(), Confidence: confidence, DF: math.NaN(), Method: BinomialExact}
	if a > 0 {
		i.Lower = odds(distuv.Beta{Alpha: a, Beta: b + 1}.Quantile(tail))
	}
	if b > 0 {
		// The upper limit of a : b is the reciprocal of the lower one of b : a,
		// which keeps its digits where the probability is close to 1.
		i.Upper = 1 / odds(distuv.Beta{Alpha: b, Beta: a + 1}.Quantile(tail))
	}
	return i
}

// withoutSpread is the interval of a ratio whose variance cannot be had: the
// exact one, unless there are no finds, or there are both and no second cluster
// that could have held others. The finds of several strata are pooled, and the
// limits moved by one factor to lie around the ratio that weighs the strata by
// their land.
func (s sample) withoutSpread(confidence float64) stats.Interval {
	both := s.finds.a > 0 && s.finds.b > 0
	if !s.finds.occupied() || both && s.collapsed.Lone() {
		return stats.NoInterval(confidence)
	}
	i := exact(s.finds, confidence)
	if both {
		factor := (s.densityA / s.densityB) / (s.finds.a / s.finds.b)
		i.Lower *= factor
		i.Upper *= factor
	}
	return i
}

func odds(p float64) float64 { return p / (1 - p) }

func probability(odds float64) float64 { return odds / (1 + odds) }
