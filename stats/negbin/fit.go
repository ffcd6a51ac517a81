package negbin

import "math"

// The search for alpha = 1/k runs over these bounds times 1/(1 + mean count).
// At the lower one the variance differs from the Poisson's by 1e-9 of itself:
// what is below is Poisson, and the fit says k = +Inf. The upper one is out of
// reach of data with a find, for the likelihood falls as alpha^-(units with finds).
const (
	leastClumping = 1e-9
	mostClumping  = 1e12
)

// Fit is the maximum of the likelihood.
type Fit struct {
	Mean      float64 // per unit of exposure
	K         float64 // +Inf at the Poisson boundary, NaN if all counts are 0
	LogLik    float64
	SELogMean float64 // from the observed information; NaN if all counts are 0
	SELogK    float64 // the same; NaN at the boundary
}

// Fit finds the mean and k of maximum likelihood.
//
// With equal exposures the mean is the plain mean whatever k. With unequal
// ones it solves
//
//	sum_i (y_i - m a_i) / (1 + m a_i / k) = 0
//
// which is sum y / sum a only for k = +Inf. If the counts vary no more than
// Poisson ones, k is +Inf; if all are 0, the mean is 0 and there is no k.
func (d *Data) Fit() Fit {
	if d.total == 0 {
		nan := math.NaN()
		return Fit{K: nan, SELogMean: nan, SELogK: nan}
	}
	p := d.peak()
	fit := Fit{Mean: p.mean, K: 1 / p.alpha, LogLik: p.logLik, SELogK: math.NaN()}
	info := d.Information(fit.Mean, fit.K)
	if p.alpha == 0 {
		fit.SELogMean = 1 / math.Sqrt(info.Mean)
		return fit
	}
	determinant := info.Mean*info.K - info.Cross*info.Cross
	fit.SELogMean = math.Sqrt(info.K / determinant)
	fit.SELogK = math.Sqrt(info.Mean / determinant)
	return fit
}

// point is a place on the likelihood.
type point struct{ mean, alpha, logLik float64 }

// peak maximizes over one parameter after the other until neither moves. Equal
// exposures need one round, for there the mean does not depend on alpha.
func (d *Data) peak() point {
	p := point{mean: d.total / d.exposed()}
	p.alpha = d.bestAlpha(p.mean, d.momentAlpha(p.mean))
	for range maxSteps {
		if len(d.cells) == 1 || p.alpha == 0 {
			break
		}
		before := p
		p.mean = d.bestMean(p.alpha, p.mean)
		p.alpha = d.bestAlpha(p.mean, p.alpha)
		if math.Abs(p.mean-before.mean) <= tolerance*p.mean &&
			math.Abs(p.alpha-before.alpha) <= 10*tolerance*p.alpha {
			break
		}
	}
	p.logLik = d.logLik(p.mean, p.alpha)
	return p
}

// momentAlpha is a start for the search: the alpha at which the variance of
// counts of this size would make up for the overdispersion of those large
// enough to show it.
func (d *Data) momentAlpha(m float64) float64 {
	mu := m * d.exposed() / float64(d.n)
	slopeAt0 := d.clumpSlope(m, 0).first
	return min(max(2*slopeAt0/(float64(d.n)*mu*mu), 0.01), 100)
}

// bestAlpha is the alpha of maximum likelihood for a given mean; 0 if the
// likelihood falls from there.
func (d *Data) bestAlpha(m, start float64) float64 {
	scale := 1 + m*d.exposed()/float64(d.n)
	least := leastClumping / scale
	atLeast := d.clumpSlope(m, least).first
	if atLeast <= 0 {
		return 0
	}
	low, high := math.Log(least), math.Log(mostClumping/scale)
	theta := root(math.Log(max(start, least)), low, high, func(theta float64) slope {
		alpha := math.Exp(theta)
		s := d.clumpSlope(m, alpha)
		return slope{alpha * s.first, alpha * (s.first + alpha*s.second)}
	})
	return math.Exp(theta)
}

// bestMean is the mean of maximum likelihood for a given alpha. The
// likelihood is concave in log m, so that there is one.
func (d *Data) bestMean(alpha, start float64) float64 {
	if len(d.cells) == 1 || alpha == 0 {
		return d.total / d.exposed()
	}
	low, high := d.meanBounds()
	x := root(math.Log(start), low, high, func(x float64) slope {
		return d.meanSlope(math.Exp(x), alpha)
	})
	return math.Exp(x)
}

// meanBounds brackets the log of every maximum-likelihood mean: a weighted
// mean of the rates of the cells.
func (d *Data) meanBounds() (low, high float64) {
	// A cell of zeros has rate 0; the pooled rate over the number of units
	// cannot be reached either, since one find alone holds the mean above it.
	floor := d.total / d.exposed() * 1e-12
	return math.Log(max(d.lowest, floor)) - 1, math.Log(d.highest) + 1
}
