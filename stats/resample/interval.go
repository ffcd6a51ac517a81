package resample

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Limits are what a bootstrap says of a statistic.
type Limits struct {
	Lower, Upper float64
	// Used is the number of replicates that gave a number; the others (a
	// statistic that cannot be had from what was drawn) are left out.
	Used int
	// Extreme is true if a limit lies beyond the replicates, and so is only
	// the outermost of them: more replicates, or another method, are needed.
	Extreme bool
}

// Percentile takes the limits at (1 -+ level)/2 of the replicates.
//
// It is exact for a statistic that some transform makes normal around the
// truth with a constant spread. Without a usable replicate the limits are NaN.
// (Efron & Tibshirani 1993, An Introduction to the Bootstrap, chapter 13.)
func Percentile(replicates []float64, level float64) Limits {
	sorted := usable(replicates)
	return between(sorted, (1-level)/2, (1+level)/2)
}

// BCa corrects the percentile limits for bias and for a spread that changes
// with the statistic:
//
//	alpha -> Phi( z0 + (z0 + z_alpha) / (1 - a (z0 + z_alpha)) )
//	z0 = Phi^-1( share of replicates under the estimate )
//
// Replicates equal to the estimate count half, for counts tie often. The
// acceleration a is that of [Acceleration]. If all replicates lie on one side
// of the estimate, z0 is infinite and the limits are NaN.
// (Efron 1987, Journal of the American Statistical Association 82: 171-185.)
func BCa(estimate, acceleration float64, replicates []float64, level float64) Limits {
	sorted := usable(replicates)
	z0 := distuv.UnitNormal.Quantile(shareUnder(sorted, estimate))
	if math.IsInf(z0, 0) || math.IsNaN(z0) {
		return Limits{Lower: math.NaN(), Upper: math.NaN(), Used: len(sorted)}
	}
	corrected := func(p float64) float64 {
		z := z0 + distuv.UnitNormal.Quantile(p)
		scale := 1 - acceleration*z
		if scale <= 0 { // past the pole the formula turns back; its limit is the end
			return distuv.UnitNormal.CDF(math.Copysign(math.Inf(1), z))
		}
		return distuv.UnitNormal.CDF(z0 + z/scale)
	}
	return between(sorted, corrected((1-level)/2), corrected((1+level)/2))
}

// Bias is z0 of [BCa]: how far the median of the replicates lies from the
// estimate, in normal standard deviations.
func Bias(estimate float64, replicates []float64) float64 {
	return distuv.UnitNormal.Quantile(shareUnder(usable(replicates), estimate))
}

// Acceleration is the a of [BCa] by the jackknife: with d_hi the mean of the
// leave-one-out values of stratum h less the i-th of them, scaled by
// (m_h - 1) / m_h,
//
//	a = sum_h sum_i d_hi^3 / ( 6 (sum_h sum_i d_hi^2)^(3/2) )
//
// It is 0 if the values do not differ.
// (Davison & Hinkley 1997, section 5.3.2.)
func Acceleration(leaveOut [][]float64) float64 {
	var squares, cubes float64
	for _, values := range leaveOut {
		m := float64(len(values))
		var mean float64
		for _, v := range values {
			mean += v / m
		}
		for _, v := range values {
			d := (mean - v) * (m - 1) / m
			squares += d * d
			cubes += d * d * d
		}
	}
	if squares == 0 {
		return 0
	}
	return cubes / (6 * math.Pow(squares, 1.5))
}

// Studentised takes the limits from replicates of (statistic - estimate) / se,
// each with its own standard error:
//
//	estimate - se * upper quantile, estimate - se * lower quantile
//
// A replicate whose standard error is 0 should be NaN, and is left out.
// (Davison & Hinkley 1997, section 2.4.)
func Studentised(estimate, se float64, replicates []float64, level float64) Limits {
	q := Percentile(replicates, level)
	q.Lower, q.Upper = estimate-se*q.Upper, estimate-se*q.Lower
	return q
}

// usable copies the numbers among the replicates in ascending order.
func usable(replicates []float64) []float64 {
	sorted := make([]float64, 0, len(replicates))
	for _, v := range replicates {
		if !math.IsNaN(v) {
			sorted = append(sorted, v)
		}
	}
	slices.Sort(sorted)
	return sorted
}

func shareUnder(sorted []float64, estimate float64) float64 {
	from, _ := slices.BinarySearch(sorted, estimate)
	to := from
	for to < len(sorted) && sorted[to] == estimate {
		to++
	}
	return float64(from+to) / 2 / float64(len(sorted))
}

func between(sorted []float64, low, high float64) Limits {
	lower, extreme1 := quantile(sorted, low)
	upper, extreme2 := quantile(sorted, high)
	return Limits{Lower: lower, Upper: upper, Used: len(sorted), Extreme: extreme1 || extreme2}
}

// quantile is the value at rank (R+1) p, between ranks by a straight line on
// the scale of normal quantiles (Davison & Hinkley 1997, equation 5.8). It is
// extreme, and the outermost value, beyond the ranks 1 and R.
func quantile(sorted []float64, p float64) (value float64, extreme bool) {
	n := len(sorted)
	if n == 0 || math.IsNaN(p) {
		return math.NaN(), true
	}
	rank := float64(n+1) * p
	below := int(math.Floor(rank + 1e-9)) // (R+1) p is meant to be whole for R = 1999
	switch {
	case below < 1:
		return sorted[0], true
	case below >= n:
		return sorted[n-1], below > n
	}
	z := distuv.UnitNormal.Quantile
	from, to := z(float64(below)/float64(n+1)), z(float64(below+1)/float64(n+1))
	share := max(0, (z(p)-from)/(to-from))
	return sorted[below-1] + share*(sorted[below]-sorted[below-1]), false
}
