package power

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Sample is a set of units with negative binomial counts.
type Sample struct {
	Units float64
	Mean  float64 // of a unit's count, over 0
	K     float64 // +Inf for Poisson counts
}

// TwoSamples is the power of a two-sided test that the means of two independent
// samples of units are equal, by the normal distribution of the logarithm of their
// ratio R,
//
//	power = Phi( ( |log R| - z sqrt(v_0) ) / sqrt(v) )
//	v     = sum_g ( 1/mu_g + 1/k_g ) / n_g
//
// with v_0 the same of the mean common to both. (Zhu & Lakkis 2014, Statistics in
// Medicine 33: 376-387, whose second variance under the hypothesis v_0 is; with k
// infinite it is the comparison of two Poisson rates.) A rejection on the wrong side
// does not count.
func TwoSamples(first, second Sample, level float64) float64 {
	common := (first.Units*first.Mean + second.Units*second.Mean) / (first.Units + second.Units)
	null := (1/common+1/first.K)/first.Units + (1/common+1/second.K)/second.Units
	v := (1/first.Mean+1/first.K)/first.Units + (1/second.Mean+1/second.K)/second.Units
	return normalPower(math.Log(first.Mean/second.Mean), null, v, level)
}

// SameUnits is that of two counts of the same units, of which a share of the
// clumping is common to both: the same with
//
//	v = ( 1/mu_1 + 1/mu_2 + (1 + v_s) (1/k_o1 + 1/k_o2) ) / n
//
// v_s = share/k the relative variance of what is common and k_o the clumping of what
// is not. The difference of the counts does not
// have the common part. Units are those of first; K of the two may differ, and then
// the share is of that of first. Its variance under the hypothesis is the same of
// equal means.
func SameUnits(first, second Sample, shared, level float64) float64 {
	v := shared / first.K
	own := func(k float64) float64 { return max(0, (1+1/k)/(1+v)-1) }
	clumped := (1 + v) * (own(first.K) + own(second.K))
	common := (first.Mean + second.Mean) / 2
	null := (2/common + clumped) / first.Units
	variance := (1/first.Mean + 1/second.Mean + clumped) / first.Units
	return normalPower(math.Log(first.Mean/second.Mean), null, variance, level)
}

func normalPower(logRatio, null, v, level float64) float64 {
	z := distuv.UnitNormal.Quantile(1 - level/2)
	return distuv.UnitNormal.CDF((math.Abs(logRatio) - z*math.Sqrt(null)) / math.Sqrt(v))
}

// UnitsFor is the least number of units for which power reaches the one wanted, up to
// a largest; 0 if none does. The power must rise with the number.
func UnitsFor(wanted float64, most int, power func(units float64) float64) int {
	if most < 1 || power(float64(most)) < wanted {
		return 0
	}
	low, high := 1, most
	for low < high {
		half := low + (high-low)/2
		if power(float64(half)) >= wanted {
			high = half
		} else {
			low = half + 1
		}
	}
	return low
}
