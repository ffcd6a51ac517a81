package regress

import (
	"math"
	"slices"

	"ashtally/stats"
)

// TestEffect tests that a combination of the coefficients is 0, that is that
// [Covariance.Effect] is 1. It has an answer also where nothing was found on
// one side and the effect is 0 or without bounds.
func (f *Fit) TestEffect(combination []float64, o SignFlips) Score {
	if f.Finds == 0 {
		return missingScore(nothingFound)
	}
	if _, ok := f.all.reduce(combination); !ok {
		return missingScore(notEstimable)
	}
	if f.away.sign(combination) != 0 {
		return f.flip(o, func() (*null, error) { return f.without(combination) })
	}
	t, ok := f.base.reduce(combination)
	if !ok || norm(t) == 0 {
		return missingScore(notEstimable)
	}
	return f.flip(o, func() (*null, error) {
		return f.constrainedMaximum(linearConstraint(t))
	})
}

// TestCoefficient tests that b_j of [Covariance.Coefficient] is 0.
func (f *Fit) TestCoefficient(j int, o SignFlips) Score {
	combination, ok := f.coefficient(j)
	if !ok {
		return missingScore(leftOut)
	}
	return f.TestEffect(combination, o)
}

// TestRatio tests that the ratio of two densities is 1. Where nothing was found
// of one of them it has an answer too.
func (f *Fit) TestRatio(first, second Mix, o SignFlips) Score {
	if c := f.apart(first, second); c != nil {
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
		f = f.reaching(first, second)
		above, _ = f.places(first)
		below, _ = f.places(second)
	}
	h := equalDensities{above, below}
	if _, normal := h.at(f.top.g); norm(normal) <= tolerance*norm(above.at(f.top.g).gradient) {
		return missingScore(notTold)
	}
	return f.flip(o, func() (*null, error) { return f.constrainedMaximum(h) })
}

// apart is the combination of coefficients by which two mixes differ, where it
// is the same for each of their places; nil where it is not.
func (f *Fit) apart(first, second Mix) []float64 {
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

// flip tests a hypothesis, if it can be fitted.
func (f *Fit) flip(o SignFlips, under func() (*null, error)) Score {
	n, err := under()
	if err != nil {
		return missingScore(noNull)
	}
	return n.flipped(f.sample, o)
}

// against tests the fit against that of a model within it.
func (f *Fit) against(less *Fit, kind Kind, o SignFlips) Score {
	switch {
	case !kind.Robust():
		return missingScore(rowsApart)
	case f.all.rank() == less.all.rank():
		return missingScore(nothingToTest)
	case f.Finds == 0:
		return missingScore(nothingFound)
	}
	return f.flip(o, func() (*null, error) { return f.within(less), nil })
}
