package density

import (
	"math"

	"ashtally/stats"
)

// empiricalLikelihood holds every density against the data without a
// distribution (Owen 1988, Biometrika 75: 237-249): with z_i = y_i - d a_i,
//
//	W(d) = 2 sum_i log(1 + lambda z_i),  lambda from sum_i z_i / (1 + lambda z_i) = 0
//
// and the limits are where W is the square of Student's quantile, times the
// factor by which layout and finite population shrink the variance. No limit
// lies beyond the smallest or largest density of a single primary sampling unit, which is why
// it is too short for few primary sampling units.
type empiricalLikelihood struct{}

var _ method = empiricalLikelihood{}

func (empiricalLikelihood) name() string { return "empirical-likelihood" }

func (empiricalLikelihood) limits(f figure) limits {
	t := stats.QuantileT(f.options.upperTail(), f.df)
	cut := t * t * f.varianceRatio()
	least, most := math.Inf(1), math.Inf(-1)
	for i, a := range f.area {
		least, most = math.Min(least, f.count[i]/a), math.Max(most, f.count[i]/a)
	}
	return limits{lower: f.empiricalLimit(least, cut), upper: f.empiricalLimit(most, cut), df: f.df}
}

// empiricalLimit halves the way from the estimate to the end, where W is
// infinite. Fifty halvings leave 1e-15 of it.
func (f figure) empiricalLimit(end, cut float64) float64 {
	inner, outer := f.value, end
	for range 50 {
		middle := (inner + outer) / 2
		if f.empiricalRatio(middle) < cut {
			inner = middle
		} else {
			outer = middle
		}
	}
	return inner
}

// empiricalRatio is W(d). The equation for lambda falls between the two poles
// 1/max(-z) and -1/max(z), so that Newton inside that bracket finds its zero.
func (f figure) empiricalRatio(d float64) float64 {
	lowest, highest := math.Inf(1), math.Inf(-1)
	for i, a := range f.area {
		z := f.count[i] - d*a
		lowest, highest = math.Min(lowest, z), math.Max(highest, z)
	}
	if lowest >= 0 || highest <= 0 {
		return math.Inf(1)
	}
	low, high, lambda := -1/highest, -1/lowest, 0.0
	for range 100 {
		var value, slope float64
		for i, a := range f.area {
			z := f.count[i] - d*a
			r := z / (1 + lambda*z)
			value += r
			slope -= r * r
		}
		if value > 0 {
			low = lambda
		} else {
			high = lambda
		}
		next := lambda - value/slope
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-lambda) <= 1e-12*math.Abs(lambda) {
			break
		}
		lambda = next
	}
	var w float64
	for i, a := range f.area {
		w += 2 * math.Log1p(lambda*(f.count[i]-d*a))
	}
	return w
}
