package density

import "math"

// RateVariance is the variance of the rate sum y / sum a in the form of that
// name in [Systematics], with the degrees of freedom of its estimate. The
// primary sampling units are in the order of their layout; y is what each adds, a count or
// not (along a line, counts weighed by the chance to be seen), and a how much
// was searched, in any unit.
//
// Pieces of one rate have the variance 0, and what rounding of the sums leaves in
// its place is 0 too. Under two primary sampling units there is none: NaN. It panics on slices of unequal length,
// on an a that is not positive and on a name that does not exist.
//
// Reference: Fewster et al. (2009), Biometrics 65: 225-236.
func RateVariance(systematic string, y, a []float64) (variance, df float64) {
	form, known := layoutVariances[systematic]
	switch {
	case !known:
		panic("density: unknown variance " + systematic)
	case len(y) != len(a):
		panic("density: slice length mismatch")
	case len(y) < 2:
		return math.NaN(), math.NaN()
	}
	t := totals{count: y, area: a}
	for i := range y {
		if !(a[i] > 0) || math.IsInf(a[i], 1) {
			panic("density: area is not positive")
		}
		t.finds += y[i]
		t.searched += a[i]
	}
	variance, df = form(t)
	if variance <= noVariance*t.density()*t.density() {
		variance = 0
	}
	return variance, df
}
