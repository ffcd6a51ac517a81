package negbin

import "math"

// zerosMustEarn is the log-likelihood that extra zeros must add to be believed:
// one unit for their one parameter, as in Akaike's criterion. With none, counts
// that are negative binomial are often taken for inflated ones and the limits
// come out too narrow (0.93 for 0.95 at n = 15 to 30 and k = 0.15). With 1.35, the
// 5 % point of a likelihood ratio at a boundary, these are covered no better and
// the limits of inflated ones are wider.
const zerosMustEarn = 1

// Choice is the negative binomial, or that with extra zeros where the counts
// ask for them.
type Choice struct {
	Fit
	// Holding is the share of the units that can hold finds at all: 1 for the
	// negative binomial. K is the clumping within these.
	Holding float64

	data *Data
	peak inflated // of the model with extra zeros
}

// Choose fits both and takes the one of better Akaike criterion.
//
// Empty ground between clumps, or clumps of much the same size, leave more
// zeros than a negative binomial with the tail of the counts found. It then
// answers with a small k whose tail the data do not have, and limits of many
// times the mean. With extra zeros (Lambert 1992, Technometrics 34: 1-14) the
// tail is that of the finds. The standard errors of a fit with extra zeros are NaN.
func (d *Data) Choose() Choice {
	c := Choice{Fit: d.Fit(), Holding: 1, data: d}
	if d.total == 0 || math.IsInf(c.K, 1) {
		return c
	}
	peak := d.inflatedPeak()
	if peak.u == 0 || peak.logLik-zerosMustEarn <= c.LogLik {
		return c
	}
	nan := math.NaN()
	c.Fit = Fit{Mean: math.Exp(peak.x), K: math.Exp(-peak.theta), LogLik: peak.logLik, SELogMean: nan, SELogK: nan}
	c.Holding = math.Exp(-peak.u)
	c.peak = peak
	return c
}

// MeanLimits are the means at which the better of the two models, by the same
// criterion, lies drop below the chosen one. See [Data.MeanLimits].
func (c Choice) MeanLimits(drop float64) (lower, upper float64) {
	if c.Holding == 1 {
		return c.data.MeanLimits(drop)
	}
	checkDrop(drop)
	step := math.Sqrt(2 * drop * c.logMeanVariance())
	return math.Exp(c.limit(-step, drop)), math.Exp(c.limit(step, drop))
}

// limit is the log of the limit on the side of the step. Both models go on
// from where they were at the last mean.
func (c Choice) limit(step, drop float64) float64 {
	at, alpha := c.peak, math.Exp(c.peak.theta)
	return crossing(c.peak.x, step, reach, drop, func(x float64) (fall, derivative float64) {
		at.x = x
		at = c.data.maximize(at, false)
		m := math.Exp(x)
		alpha = c.data.bestAlpha(m, alpha)
		if plain := c.data.logLik(m, alpha); plain > at.logLik-zerosMustEarn {
			return c.LogLik - zerosMustEarn - plain, -c.data.meanSlope(m, alpha).first
		}
		return c.LogLik - at.logLik, -c.data.inflatedDerivatives(x, at.u, at.theta).first[0]
	})
}

// Variance is the variance of a count with the given exposure under the fit.
func (c Choice) Variance(exposure float64) float64 {
	mu := c.Mean * exposure / c.Holding
	return c.Holding * (mu + mu*mu/c.K + (1-c.Holding)*mu*mu)
}

// logMeanVariance is about the variance of the log of the mean.
func (c Choice) logMeanVariance() float64 {
	var sum float64
	for _, cell := range c.data.cells {
		sum += cell.n * c.Variance(cell.exposure)
	}
	total := c.Mean * c.data.exposed()
	return sum / (total * total)
}
