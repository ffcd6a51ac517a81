package negbin

import "math"

// ProfileInflated is the log-likelihood of a share holding in (0, 1) of units
// that can hold finds and of their k in (0, +Inf), maximized over the mean of all
// units, with that mean and the observed information of its logarithm. If all
// counts are 0 the first two are 0 and the last NaN.
//
// At a fixed share the largest mean is bounded by the units that hold none, so
// that a share far under that of the units with finds has a small likelihood.
func (d *Data) ProfileInflated(holding, k float64) (logLik, mean, information float64) {
	if !(holding > 0 && holding < 1) || !(k > 0) || math.IsInf(k, 1) {
		panic("negbin: share or k out of range")
	}
	if d.total == 0 {
		return 0, 0, math.NaN()
	}
	// A step of one half where the likelihood is not shaped like a hilltop yet; the
	// step after the last would be its square.
	const longest, last, most = 1.0, 1e-3, 100
	u, theta := -math.Log(holding), -math.Log(k)
	x := math.Log(d.total / d.exposed())
	b := inflatedMeanSlope(d, x, u, theta)
	for range most {
		step := math.Copysign(longest/2, b.first)
		if b.second < 0 {
			step = min(max(-b.first/b.second, -longest), longest)
		}
		x += step
		if math.Abs(step) < last {
			break
		}
		b = inflatedMeanSlope(d, x, u, theta)
	}
	return d.inflatedLogLik(x, u, theta), math.Exp(x), -b.second
}

// inflatedMeanSlope is the slope in x alone, as inflatedDerivatives has it.
func inflatedMeanSlope(d *Data, x, u, theta float64) slope {
	lambda, alpha, barren := math.Exp(x+u), math.Exp(theta), logBarren(u)
	var s slope
	for _, c := range d.cells {
		mu := lambda * c.exposure
		found := c.n - c.empty
		s.addHolding(found, c.total, mu, alpha)
		if c.empty == 0 {
			continue
		}
		_, perAlpha := logs(mu, alpha)
		_, h := zeroClass(barren, u, perAlpha)
		s.addEmpty(c.empty, h, mu, alpha)
	}
	return s
}

// addHolding adds, in log mu, what units with finds bring that have so many together.
func (s *slope) addHolding(units, finds, mu, alpha float64) {
	q := 1 + alpha*mu
	s.first += (finds - units*mu) / q
	s.second -= (units + alpha*finds) * mu / (q * q)
}

// addEmpty adds what units without finds bring, of which the share h could hold some.
func (s *slope) addEmpty(units, h, mu, alpha float64) {
	q := 1 + alpha*mu
	r := mu / q
	s.first -= units * h * r
	s.second += units * h * (r*r*(1-h) - r/q)
}
