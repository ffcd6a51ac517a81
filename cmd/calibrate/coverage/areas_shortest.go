package coverage

import (
	"math"
	"slices"

	"ashtally/stats/density"
)

// knownClumping is the width of the likelihood interval of an area's density with
// k known, which knows more than any interval of the same coverage can. The
// estimate over a scale is taken for a negative binomial total with the variance that
// it has; with one stratum of equal areas that is no approximation, and with
// several it is shorter than the profile likelihood, which lets single strata run away.
// The result is NaN where an interval would reach no further than the estimate.
func knownClumping(samples []density.NamedSample, k float64) float64 {
	var land, value, mean, scale, clumped float64
	for _, s := range samples {
		land += s.LandHa
	}
	for _, s := range samples {
		w := s.LandHa / land
		var total, searched, squares float64
		for i, y := range s.Count {
			total += y
			searched += s.AreaHa[i]
			squares += s.AreaHa[i] * s.AreaHa[i]
		}
		m := (total + 0.5) / searched
		value += w * total / searched
		mean += w * m
		scale += w * w * m / searched
		clumped += w * w * m * m * squares / (searched * searched) / k
	}
	if value == 0 {
		return math.NaN()
	}
	scale /= mean
	t, size := value/scale, mean*mean/clumped
	drop := func(x float64) float64 { // 2 log likelihood ratio at the density value e^x
		m := t * math.Exp(x)
		if math.IsInf(size, 1) {
			return 2 * (m - t - t*x)
		}
		return 2 * ((t+size)*math.Log((m+size)/(t+size)) - t*x)
	}
	return value * (math.Exp(bisect(drop, 30)) - math.Exp(bisect(drop, -30)))
}

// bisect finds how far from 0 towards the end a growing function reaches the 0.95
// quantile of chi-square with 1 degree of freedom.
func bisect(f func(x float64) float64, end float64) float64 {
	const chiSquare = 3.841458820694124 // R 4.2.2: qchisq(0.95, 1)
	inner, outer := 0.0, end
	for range 50 {
		if middle := (inner + outer) / 2; f(middle) < chiSquare {
			inner = middle
		} else {
			outer = middle
		}
	}
	return inner
}

// shortest is the width over the truth that the intervals of a cell can be held
// against: the median of those of known clumping, or the middle 95 % of the estimates.
func shortest(trials [][]outcome) float64 {
	var widths, estimates []float64
	for _, t := range trials {
		estimates = append(estimates, t[0].estimate)
		if t[0].shortest > 0 {
			widths = append(widths, t[0].shortest)
		}
	}
	slices.Sort(widths)
	slices.Sort(estimates)
	switch n := len(estimates); {
	case len(widths) > 0:
		return widths[len(widths)/2]
	case n > 0 && estimates[n-1] > 0:
		return estimates[(n-1)*975/1000] - estimates[(n-1)*25/1000]
	}
	return 0
}
