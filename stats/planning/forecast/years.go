package forecast

import (
	"math"
	"math/rand/v2"
)

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
// V = 1 / sum_s 1/(sigma^2 + e_s^2), with a flat prior on alpha.
func newYears(seen []figure, prior Between) years {
	const steps, reach = 80, 2.5 // sigma from exp(-reach) to exp(reach) of what is assumed
	n := steps
	if math.IsInf(prior.DF, 1) {
		n = 0
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
			l += -prior.DF*math.Log(s) - prior.DF*prior.SD*prior.SD/(2*s*s)
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
