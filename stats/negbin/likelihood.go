package negbin

import "math"

// LogLik is the log-likelihood l(m, k) of the package comment, with every
// constant, so that it can be held against other distributions by AIC.
// It takes a mean m > 0 per unit of exposure and a k in (0, +Inf].
// With m = 0 it is 0 if all counts are 0 and -Inf otherwise.
func (d *Data) LogLik(m, k float64) float64 {
	if m == 0 {
		if d.total == 0 {
			return 0
		}
		return math.Inf(-1)
	}
	return d.logLik(m, 1/k)
}

// Score is the gradient of the log-likelihood in (log m, log k). At k = +Inf
// the second is 0, for there log k no longer moves the likelihood.
func (d *Data) Score(m, k float64) (byLogMean, byLogK float64) {
	if math.IsInf(k, 1) {
		return d.meanSlope(m, 0).first, 0
	}
	alpha := 1 / k
	return d.meanSlope(m, alpha).first, -alpha * d.clumpSlope(m, alpha).first
}

// Information is the observed information: minus the second derivatives of
// the log-likelihood in (log m, log k).
type Information struct{ Mean, Cross, K float64 }

// Information returns the observed information at (m, k).
//
// With equal exposures Cross is 0 at the maximum, so that the mean and k are
// estimated as if the other were known (Anscombe 1950).
func (d *Data) Information(m, k float64) Information {
	alpha := 1 / k
	var info Information
	info.Mean = -d.meanSlope(m, alpha).second
	if alpha == 0 {
		return info
	}
	clump := d.clumpSlope(m, alpha)
	info.K = -alpha * (clump.first + alpha*clump.second)
	for _, c := range d.cells {
		mu := m * c.exposure
		q := 1 + alpha*mu
		info.Cross -= alpha * mu * (c.total - c.n*mu) / (q * q)
	}
	return info
}

// slope holds the first and second derivative along one parameter.
type slope struct{ first, second float64 }

func (d *Data) logLik(m, alpha float64) float64 {
	l := d.outside + d.total*math.Log(m) + d.rise(alpha)
	for _, c := range d.cells {
		mu := m * c.exposure
		t := alpha * mu
		log1p := math.Log1p(t)
		if t == 0 {
			l -= c.n * mu
			continue
		}
		l -= c.total*log1p + c.n*mu*(log1p/t)
	}
	return l
}

// meanSlope is the slope in log m.
func (d *Data) meanSlope(m, alpha float64) slope {
	var s slope
	for _, c := range d.cells {
		mu := m * c.exposure
		q := 1 + alpha*mu
		s.first += (c.total - c.n*mu) / q
		s.second -= mu * (c.n + alpha*c.total) / (q * q)
	}
	return s
}

// clumpSlope is the slope in alpha.
func (d *Data) clumpSlope(m, alpha float64) slope {
	s := d.riseSlope(alpha)
	for _, c := range d.cells {
		mu := m * c.exposure
		q := 1 + alpha*mu
		score, scoreSlope := dispersionScore(alpha * mu)
		s.first += c.n*mu*mu*score - c.total*mu/q
		s.second += c.n*mu*mu*mu*scoreSlope + c.total*mu*mu/(q*q)
	}
	return s
}

// closedFrom is the t from which the closed form of dispersionScore holds. Below, it
// loses 1e-16/t^2 in its derivative, and the series sum_i (-t)^i (i+1)/(i+2) ends after
// ten terms under 1e-18.
const closedFrom = 0.01

// dispersionScore is [log(1+t) - t/(1+t)] / t^2 and its derivative.
func dispersionScore(t float64) (value, derivative float64) {
	if t >= closedFrom {
		return DispersionScoreOf(t, math.Log1p(t))
	}
	const terms = 10
	for i := terms; i >= 1; i-- {
		c := float64(i+1) / float64(i+2)
		value = -t * (c + value)
		derivative = float64(i)*c - t*derivative
	}
	return value + 0.5, -derivative
}

// rise is the sum over the counts of sum_{j < y} log(1 + alpha j).
func (d *Data) rise(alpha float64) float64 {
	if alpha == 0 {
		return 0
	}
	var sum float64
	for j, n := range d.above {
		sum += n * math.Log1p(alpha*float64(j))
	}
	if len(d.large) == 0 {
		return sum
	}
	from := stirling(stirlingFrom, alpha)
	for _, v := range d.large {
		sum += v.n * (stirling(v.count, alpha) - from)
	}
	return sum
}

// stirling is log Gamma(k + y) - log Gamma(k) - y log k with k = 1/alpha, but
// for a part without y. Written with log(1 + y/k) it keeps its digits where k
// is so large that the two log Gammas would swallow their difference.
func stirling(y, alpha float64) float64 {
	k := 1 / alpha
	z := k + y
	w := 1 / (z * z)
	return (z-0.5)*math.Log1p(alpha*y) - y + (1./12-w*(1./360-w*(1./1260)))/z
}

// riseSlope is the slope of rise in alpha.
func (d *Data) riseSlope(alpha float64) slope {
	var s slope
	for j, n := range d.above {
		r := float64(j) / (1 + alpha*float64(j))
		s.first += n * r
		s.second -= n * r * r
	}
	for _, v := range d.large {
		far := sumSlope(v.count, alpha)
		s.first += v.n * far.first
		s.second += v.n * far.second
	}
	return s
}

// sumSlope is the slope of sum_j log(1 + alpha j) over stirlingFrom <= j < y,
// by the Euler-Maclaurin formula on r(x) = x / (1 + alpha x).
func sumSlope(y, alpha float64) slope {
	low, high := eulerMaclaurin(stirlingFrom, alpha), eulerMaclaurin(y, alpha)
	return slope{high.first - low.first, high.second - low.second}
}

// eulerMaclaurin is, at x, the antiderivative of r less half of r, plus a
// twelfth of its first and less 1/720 of its third derivative, and the slope
// of all that in alpha. The next term is under 1e-12 of the whole from 64 on.
func eulerMaclaurin(x, alpha float64) slope {
	t := alpha * x
	q := 1 + t
	r := x / q
	score, scoreSlope := dispersionScore(t)
	// The antiderivative is [t - log(1+t)] / alpha^2; by way of score it keeps
	// its digits for small alpha.
	first := x*x*(1/q-score) - r/2 + 1/(12*q*q) - alpha*alpha/(120*q*q*q*q)
	second := -x*x*x*(1/(q*q)+scoreSlope) + r*r/2 - r/(6*q*q) - alpha*(1-t)/(60*q*q*q*q*q)
	return slope{first, second}
}
