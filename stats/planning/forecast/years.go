package forecast

import (
	"math"
	"math/rand/v2"

	"ashtally/stats"
)

// Between is the standard deviation between years that is assumed where a single one
// is known. DF is the weight of the assumption, in years: of +Inf it is taken as known,
// with any number of seasons.
//
// A window of 0.8 that rests on one year holds the next one with that chance where
// years differ by the SD.
type Between struct{ SD, DF float64 }

// windowChance is that for which SD is stated.
const windowChance = 0.8

// scale is s_0 of the scaled inverse chi-square distribution of sigma^2: the window of
// Student's t with it is that of the normal distribution with the SD.
func (b Between) scale() float64 {
	if math.IsInf(b.DF, 1) {
		return b.SD
	}
	const p = (1 + windowChance) / 2
	return b.SD * stats.QuantileT(p, math.Inf(1)) / stats.QuantileT(p, b.DF)
}

// holds is the chance with which a window of 0.8 that rests on one year holds the next
// one where years differ by sd.
func (b Between) holds(sd float64) float64 {
	z := stats.QuantileT((1+windowChance)/2, math.Inf(1)) * b.SD / sd
	return math.Erf(z / math.Sqrt2)
}

// years is what the figures of some seasons tell of the mean year and of the
// variation between years, on a grid of sigma.
type years struct {
	sigma, cumulative []float64
	alpha, variance   []float64 // mean and variance of alpha at each sigma
}

// newYears computes the posterior of sigma with alpha integrated out,
//
//	p(sigma) prod_s N(y_s; a, sigma^2 + e_s^2) sqrt(V),  a = V sum_s y_s / (sigma^2 + e_s^2)
//
// V = 1 / sum_s 1/(sigma^2 + e_s^2), with a flat prior on alpha. With one season
// p(sigma) is that which is assumed. With more it is sigma^-0.8 over the grid, which
// spans a factor of 12 on either side of the SD that would be assumed: windows of 0.8
// then hold 0.79 to 0.85, whatever sigma is; with sigma^-1 they hold 0.77 to 0.80.
func newYears(seen []figure, prior Between) years {
	const steps, reach = 80, 2.5 // sigma from exp(-reach) to exp(reach) of what is assumed
	n, weight, scale := steps, prior.DF, prior.scale()
	switch {
	case math.IsInf(prior.DF, 1):
		n = 0
	case len(seen) > 1:
		weight = 0
	}
	var y years
	var logs []float64
	top := math.Inf(-1)
	for i := 0; i <= n; i++ {
		s := prior.SD
		if n > 0 {
			s *= math.Exp(reach * (2*float64(i)/float64(n) - 1))
		}
		a, v, l := meanYear(seen, s)
		if n > 0 {
			// Scaled inverse chi-square in sigma^2, on an even grid of log sigma.
			l += -weight*math.Log(s) - weight*scale*scale/(2*s*s)
			if weight == 0 {
				l += 0.2 * math.Log(s)
			}
		}
		y.sigma, y.alpha, y.variance = append(y.sigma, s), append(y.alpha, a), append(y.variance, v)
		logs = append(logs, l)
		top = max(top, l)
	}
	var sum float64
	for _, l := range logs {
		sum += math.Exp(l - top)
		y.cumulative = append(y.cumulative, sum)
	}
	return y
}

// meanYear is alpha with its variance and the log-likelihood at a sigma.
func meanYear(seen []figure, sigma float64) (alpha, variance, logLik float64) {
	var sum, weight float64
	for _, f := range seen {
		v := sigma*sigma + f.se*f.se
		sum += f.value / v
		weight += 1 / v
	}
	alpha, variance = sum/weight, 1/weight
	logLik = math.Log(variance) / 2
	for _, f := range seen {
		v := sigma*sigma + f.se*f.se
		logLik -= (math.Log(v) + (f.value-alpha)*(f.value-alpha)/v) / 2
	}
	return alpha, variance, logLik
}

// place is the grid's first place with at least a share of the weight under it.
func (y years) place(share float64) int {
	u := share * y.cumulative[len(y.cumulative)-1]
	i := 0
	for i < len(y.cumulative)-1 && y.cumulative[i] < u {
		i++
	}
	return i
}

func (y years) median() float64 { return y.sigma[y.place(0.5)] }

// next draws the figure of a year to come.
func (y years) next(r *rand.Rand) float64 {
	i := y.place(r.Float64())
	return y.alpha[i] + math.Sqrt(y.variance[i]+y.sigma[i]*y.sigma[i])*r.NormFloat64()
}
