package removal

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// even is the p-value of the score test of a probability to be found that is the same
// for all finds, against one that varies among them; NaN without three passes. With
// x the passes before the one that found it,
//
//	z = S / sqrt(v),  S = sum ( x (x-1)/2 - e ),  v = sum v_i - c^2 / i
//
// over finds, with e and v_i the expectation and variance of x (x-1)/2 for a find of its
// number of passes, c the sum of its covariances with x and i the variance of the sum of
// x, by which p was fitted. Where finds differ, catches fall fast first and slowly then,
// and S is above 0; the test is one-sided. S is the score of the variance of the
// probability of being missed at variance 0, for x is geometric with E q^x linear in
// that variance.
//
// Reference: Zelterman & Chen (1988), Journal of the American Statistical
// Association 83: 179-182, from memory, for score tests of a mixing distribution.
func (c catches) even(p float64) float64 {
	var s, variance, covariance, information float64
	for _, k := range c.passes {
		if k < 3 {
			continue
		}
		m := momentsOf(p, k)
		for at, n := range c.pass[k] {
			s += n * (pairsBefore(at) - m.pairs)
		}
		variance += c.of[k] * m.variance
		covariance += c.of[k] * m.covariance
	}
	for _, k := range c.passes {
		if k > 1 {
			information += c.of[k] * momentsOf(p, k).before
		}
	}
	if v := variance - covariance*covariance/information; v > 1e-6*variance {
		return distuv.UnitNormal.Survival(s / math.Sqrt(v))
	}
	return math.NaN()
}

func pairsBefore(at int) float64 { return float64(at*(at-1)) / 2 }

// moments are those of x, the passes before its own of what K passes found, and of
// x (x-1)/2.
type moments struct {
	pairs      float64 // mean of x (x-1)/2
	variance   float64 // of it
	covariance float64 // of it with x
	before     float64 // variance of x
}

func momentsOf(p float64, k int) moments {
	var mean, square, cross float64
	var m moments
	for at := range k {
		x, y := float64(at), pairsBefore(at)
		share := p * math.Pow(1-p, x) / found(p, k)
		mean += share * x
		square += share * x * x
		cross += share * x * y
		m.pairs += share * y
		m.variance += share * y * y
	}
	m.variance -= m.pairs * m.pairs
	m.before, m.covariance = square-mean*mean, cross-mean*m.pairs
	return m
}
