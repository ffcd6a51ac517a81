package density

import "math"

// katzTotal takes the estimate D, over a scale u, for a count of the Katz family:
// with a density d the count T = D/u has mean M = d/u and variance
//
//	M (1 + M/K)
//
// It is binomial for K < 0, Poisson for K infinite and negative binomial for
// K > 0. A weighted sum of counts has scale and size K matched to its variance and, where
// these leave a choice, its third cumulant. The tail is that of the signed root of the
// likelihood ratio
//
//	W = 2 [ T log(T/M) + (T+K) log((M+K)/(T+K)) ] / (b s)
//
// with Bartlett's factor b = 1 + (1 + r + r^2) / (6 T (1 + r)), r = T/K, and an
// inflation s of the variance. Without finds the tail is the probability
// (1 + M/K)^-K of none.
//
// References: Katz (1965), in Classical and Contagious Discrete Distributions,
// 175-182; Johnson, Kemp & Kotz (2005), Univariate Discrete Distributions, 3rd ed.,
// section 2.3; McCullagh & Cox (1986), Annals of Statistics 14: 1419-1430 on the
// factor, (5 k3^2/k2^3 - 3 k4/k2^2)/12 in the cumulants of T.
type katzTotal struct {
	estimate, scale, size, inflation float64
}

// tail is the probability, at a density d, of an estimate as low as the one made
// or lower, for an upper limit, and as high or higher for a lower one.
func (k *katzTotal) tail(d float64, upper bool) float64 {
	at := countsAt(k, d)
	return k.tailAt(&at, upper)
}

// scaledCounts are a count T and its mean M, which totals of one scale share.
type scaledCounts struct{ scale, t, m, log float64 } // log is log(T/M)

func countsAt(k *katzTotal, d float64) scaledCounts {
	t, m := k.estimate/k.scale, d/k.scale
	return scaledCounts{k.scale, t, m, math.Log(t / m)}
}

func (k *katzTotal) tailAt(at *scaledCounts, upper bool) float64 {
	t, m := at.t, at.m
	switch {
	case t == 0 && !upper:
		return 1
	case t == 0:
		return math.Exp(-k.none(m))
	}
	z := math.Sqrt(math.Max(0, k.likelihoodRatio(at)/(k.bartlett(t)*k.inflation)))
	if upper == (m < t) {
		z = -z
	}
	return math.Erfc(z/math.Sqrt2) / 2
}

// none is minus the log of the probability of no finds.
func (k *katzTotal) none(m float64) float64 {
	switch {
	case math.IsInf(k.size, 0):
		return m
	case 1+m/k.size <= 0: // a binomial mean over the number of trials
		return math.Inf(1)
	}
	return k.size * math.Log1p(m/k.size)
}

func (k *katzTotal) likelihoodRatio(at *scaledCounts) float64 {
	t, m := at.t, at.m
	switch {
	case m <= 0:
		return math.Inf(1)
	case math.IsInf(k.size, 0):
		return 2 * (t*at.log + m - t)
	}
	ratio := (m + k.size) / (t + k.size)
	if !(ratio > 0) { // as above, for the mean or the count
		return math.Inf(1)
	}
	return 2 * (t*at.log + (t+k.size)*math.Log(ratio))
}

func (k *katzTotal) bartlett(t float64) float64 {
	r := t / k.size
	return 1 + (1+r*(1+r))/(6*t*(1+r))
}

// lognormalMean takes the estimate for one of a log-normal density whose own
// estimate, of maximum likelihood, is mean with a coefficient of variation cv.
type lognormalMean struct{ mean, cv float64 }

// tail is that of [katzTotal] for an upper limit.
func (l lognormalMean) tail(d float64) float64 {
	return math.Erfc(math.Log(d/l.mean)/l.cv/math.Sqrt2) / 2
}
