package negbin

import "math"

// inflated is a place on the likelihood of the zero-inflated negative
// binomial: a share q of the units can hold finds, and in these the counts are
// negative binomial with mean lambda_i = lambda a_i, so that over all units
//
//	m = q lambda
//	P(0) = 1 - q + q p_i,  p_i = (1 + alpha lambda_i)^(-1/alpha)
//
// At q = 1 it is the negative binomial itself. The place is held on log scales
// as x = log m, u = -log q from 0, and theta = log alpha: then m stays while
// the other two move.
type inflated struct {
	x, u, theta float64
	logLik      float64
}

func (d *Data) inflatedLogLik(x, u, theta float64) float64 {
	lambda, alpha := math.Exp(x+u), math.Exp(theta)
	barren := logBarren(u)
	l := d.outside + d.total*(x+u) + d.rise(alpha)
	for _, c := range d.cells {
		mu := lambda * c.exposure
		log1p, perAlpha := logs(mu, alpha)
		found := c.n - c.empty
		l -= c.total*log1p + found*(perAlpha+u)
		if c.empty != 0 {
			logZero, _ := zeroClass(barren, u, perAlpha)
			l += c.empty * logZero
		}
	}
	return l
}

// logs are log(1 + alpha mu) and that over alpha, which is mu at alpha = 0.
func logs(mu, alpha float64) (log1p, perAlpha float64) {
	t := alpha * mu
	if t == 0 {
		return 0, mu
	}
	log1p = math.Log1p(t)
	return log1p, mu * (log1p / t)
}

// logBarren is log(1 - q), -Inf without extra zeros.
func logBarren(u float64) float64 { return math.Log(-math.Expm1(-u)) }

// zeroClass is the log of P(0) = 1 - q + q p for p = e^-x, and the share of
// it that is q p. On the log scale neither is lost where p is too small to hold.
func zeroClass(barren, u, x float64) (logZero, holding float64) {
	logZero = -u - x
	if !math.IsInf(barren, -1) {
		logZero = math.Max(barren, logZero) + math.Log1p(math.Exp(-math.Abs(barren-logZero)))
	}
	return logZero, math.Exp(-u - x - logZero)
}

// derivatives are the first and second derivatives of the log-likelihood in (x, u,
// theta).
type derivatives struct {
	first  [3]float64
	second [3][3]float64
}

// inflatedDerivatives sums over the cells the derivatives in eta = log lambda, u and
// theta, and turns those to x and u at the end: eta = x + u.
//
// With r = mu/(1+t) = -d log p / d eta, b = d log p / d theta, h the share of
// the zeros in units that can hold finds and g = q/P(0), the zeros give
//
//	-h r, g - h, h b
//
// and their derivatives follow from dh = h (1-h) d log p at fixed u,
// dh/du = h (h - g - 1), dg/du = g (h - g - 1), d log g = -h d log p at fixed u.
func (d *Data) inflatedDerivatives(x, u, theta float64) derivatives {
	lambda, alpha, barren := math.Exp(x+u), math.Exp(theta), logBarren(u)
	var mean slope // in eta
	var clump, zero, etaClump, clump2, zero2, zeroEta, zeroClump float64
	rise := d.riseSlope(alpha)
	clump, clump2 = alpha*rise.first, alpha*(rise.first+alpha*rise.second)
	for _, c := range d.cells {
		mu := lambda * c.exposure
		t, found := alpha*mu, c.n-c.empty
		q := 1 + t
		_, perAlpha := logs(mu, alpha)
		score, _ := dispersionScore(t)
		r, b := mu/q, t*mu*score
		bClump := alpha*r*r - b

		mean.addHolding(found, c.total, mu, alpha)
		etaClump -= (c.total - found*mu) * t / (q * q)
		clump += found*b - c.total*alpha*r
		clump2 += found*bClump - c.total*alpha*r/q
		zero -= found
		if c.empty == 0 {
			continue
		}
		logZero, h := zeroClass(barren, u, perAlpha)
		g := math.Exp(-u - logZero)
		mean.addEmpty(c.empty, h, mu, alpha)
		zero += c.empty * (g - h)
		clump += c.empty * h * b
		etaClump += c.empty * h * (alpha*r*r - b*r*(1-h))
		clump2 += c.empty * h * (b*b*(1-h) + bClump)
		zero2 -= c.empty * (g - h) * (1 + g - h)
		zeroEta += c.empty * h * r * (1 + g - h)
		zeroClump -= c.empty * h * b * (1 + g - h)
	}
	xu, uClump := mean.second+zeroEta, etaClump+zeroClump
	return derivatives{
		first: [3]float64{mean.first, mean.first + zero, clump},
		second: [3][3]float64{
			{mean.second, xu, etaClump},
			{xu, xu + zeroEta + zero2, uClump},
			{etaClump, uClump, clump2},
		},
	}
}

// inflatedPeak begins where every zero is an extra one. From the peak of
// the negative binomial it would not do: that can be a peak here too, with a
// valley between it and a higher one.
func (d *Data) inflatedPeak() inflated {
	var found float64
	for _, c := range d.cells {
		found += c.n - c.empty
	}
	// By the moments of the counts over 0: sum y (y-1) / (found mean^2) = 1 + alpha.
	mean := d.total / found
	alpha := max(2*d.riseSlope(0).first/(found*mean*mean)-1, 0.01)
	return d.maximize(inflated{
		x:     math.Log(d.total / d.exposed()),
		u:     math.Log(float64(d.n) / found),
		theta: math.Log(alpha),
	}, true)
}
