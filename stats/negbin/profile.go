package negbin

import "math"

// reach is how far from the peak, on a log scale, a limit is looked for.
// A limit e^60 times the estimate is no limit.
const reach = 60

// ProfileMean is the log-likelihood of a mean m > 0, maximised over k, and the
// k that does it (+Inf for Poisson). If all counts are 0 the likelihood grows
// towards 1 as k falls to 0, so that the profile is 0 for every m and k is 0.
func (d *Data) ProfileMean(m float64) (logLik, k float64) {
	if d.total == 0 {
		return 0, 0
	}
	alpha := d.bestAlpha(m, d.momentAlpha(m))
	return d.logLik(m, alpha), 1 / alpha
}

// ProfileK is the log-likelihood of a k in (0, +Inf], maximised over the
// mean, and the mean that does it. If all counts are 0 both are 0.
func (d *Data) ProfileK(k float64) (logLik, mean float64) {
	if d.total == 0 {
		return 0, 0
	}
	mean = d.bestMean(1/k, d.total/d.exposed())
	return d.logLik(mean, 1/k), mean
}

// MeanLimits are the means whose profile log-likelihood lies drop below the
// maximum: 2 drop is the quantile that the likelihood ratio is held against,
//
//	2 [l(fit) - max_k l(m, k)] = 2 drop
//
// e.g. 1.92 for 95 % by the chi-square distribution with 1 degree of freedom.
// If all counts are 0 the limits are 0 and +Inf, for a small enough k makes
// any mean fit. A drop that is not positive panics.
func (d *Data) MeanLimits(drop float64) (lower, upper float64) {
	checkDrop(drop)
	if d.total == 0 {
		return 0, math.Inf(1)
	}
	p := d.peak()
	x0 := math.Log(p.mean)
	step := math.Sqrt(2 * drop / d.Information(p.mean, 1/p.alpha).Mean)
	limit := func(step float64) float64 {
		alpha := p.alpha // each search starts from the k of the last mean
		x := crossing(x0, step, reach, drop, func(x float64) (fall, derivative float64) {
			m := math.Exp(x)
			alpha = d.bestAlpha(m, alpha)
			return p.logLik - d.logLik(m, alpha), -d.meanSlope(m, alpha).first
		})
		return math.Exp(x)
	}
	return limit(-step), limit(step)
}

// KLimits are the k whose profile log-likelihood lies drop below the maximum.
// The upper limit is +Inf where the Poisson distribution is not that far
// below. If all counts are 0 the limits are 0 and +Inf. A drop that is not
// positive panics.
func (d *Data) KLimits(drop float64) (lower, upper float64) {
	checkDrop(drop)
	if d.total == 0 {
		return 0, math.Inf(1)
	}
	p := d.peak()
	// The Poisson boundary is at minus infinity on the log scale; its likelihood
	// is that of any alpha as small as this.
	theta := math.Log(max(p.alpha, leastClumping/(1+p.mean)))
	fall := func(theta float64) (fall, derivative float64) {
		alpha := math.Exp(theta)
		m := d.bestMean(alpha, p.mean)
		return p.logLik - d.logLik(m, alpha), -alpha * d.clumpSlope(m, alpha).first
	}
	lower = math.Exp(-crossing(theta, 1, reach, drop, fall))
	if poisson, _ := d.ProfileK(math.Inf(1)); p.logLik-poisson <= drop {
		return lower, math.Inf(1)
	}
	return lower, math.Exp(-crossing(theta, -1, reach, drop, fall))
}

func checkDrop(drop float64) {
	if !(drop > 0) {
		panic("negbin: a drop in log-likelihood must be positive")
	}
}
