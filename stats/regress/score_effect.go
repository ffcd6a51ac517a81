package regress

import (
	"math"
	"slices"

	"ashtally/stats"
)

// TestEffect is the score test that a linear combination of the coefficients is 0, so
// that [Covariance.Effect] is 1. It has a p-value also where the estimate is 0 or
// infinite.
func (f *Fit) TestEffect(combination []float64, o SignFlips) Score {
	if f.Finds == 0 {
		return missingScore(nothingFound)
	}
	if _, ok := f.all.reduce(combination); !ok {
		return missingScore(notEstimable)
	}
	if f.recession.sign(combination) != 0 {
		return f.signFlipTest(o, func() (*nullFit, error) { return f.boundaryNull(combination) })
	}
	t, ok := f.base.reduce(combination)
	if !ok || norm(t) == 0 {
		return missingScore(notEstimable)
	}
	return f.signFlipTest(o, func() (*nullFit, error) {
		return f.constrainedMaximum(linearConstraint(t))
	})
}

// TestCoefficient is the score test that b_j of [Covariance.Coefficient] is 0.
func (f *Fit) TestCoefficient(j int, o SignFlips) Score {
	combination, ok := f.coefficient(j)
	if !ok {
		return missingScore(leftOut)
	}
	return f.TestEffect(combination, o)
}

// TestRatio is the score test that the ratio of two densities is 1. It has a p-value
// also where one of them is 0.
func (f *Fit) TestRatio(first, second Mix, o SignFlips) Score {
	if c := f.difference(first, second); c != nil {
		return f.TestEffect(c, o)
	}
	above, reason := f.places(first)
	if reason != nil {
		return missingScore(*reason)
	}
	below, reason := f.places(second)
	switch {
	case reason != nil:
		return missingScore(*reason)
	case len(above) == 0 && len(below) == 0:
		return missingScore(nothingBoth)
	case len(above) == 0 || len(below) == 0:
		f = f.ridgeFit(first, second)
		above, _ = f.places(first)
		below, _ = f.places(second)
	}
	h := equalDensities{above, below}
	if _, normal := h.at(f.maximum.g); norm(normal) <= tolerance*norm(above.at(f.maximum.g).gradient) {
		return missingScore(notTold)
	}
	return f.signFlipTest(o, func() (*nullFit, error) { return f.constrainedMaximum(h) })
}

// difference is the linear combination of coefficients by which two mixes differ,
// where it is the same for each of their points; nil where it is not.
func (f *Fit) difference(first, second Mix) []float64 {
	if len(first) != len(second) {
		return nil
	}
	var c []float64
	for i := range first {
		own := f.design.Row(first[i].At)
		axpy(-1, f.design.Row(second[i].At), own)
		if first[i].Weight != second[i].Weight || i > 0 && !slices.Equal(own, c) {
			return nil
		}
		c = own
	}
	return c
}

func missingScore(reason stats.Warning) Score {
	nan := math.NaN()
	return Score{EffectiveClusters: nan, Statistic: nan, P: nan, SE: nan, Warnings: []stats.Warning{reason}}
}

// signFlipTest is the test of a hypothesis that has a restricted maximum.
func (f *Fit) signFlipTest(o SignFlips, under func() (*nullFit, error)) Score {
	n, err := under()
	if err != nil {
		return missingScore(noNullFit)
	}
	return n.signFlipTest(f.sample, o)
}

// scoreTest tests a nested model against the fit.
func (f *Fit) scoreTest(less *Fit, kind Kind, o SignFlips) Score {
	switch {
	case !kind.Robust():
		return missingScore(independentRows)
	case f.all.rank() == less.all.rank():
		return missingScore(nothingToTest)
	case f.Finds == 0:
		return missingScore(nothingFound)
	}
	return f.signFlipTest(o, func() (*nullFit, error) { return f.nestedNull(less), nil })
}
