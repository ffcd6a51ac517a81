// Package dispersion asks how finds gather in the units that were searched:
// evenly, by chance, or in clumps.
//
// Fruit bodies that fell by chance alone would give Poisson counts, with a
// variance equal to the mean. Those of fungi nearly always vary more, and the
// negative binomial distribution describes that with one number more, k: the
// variance is mu + mu^2/k, so that a small k is strong clumping and an infinite
// one is chance. [Clumping] gives the tests, the indices, k with its interval,
// and how well both distributions fit.
//
// Units need not be equal: counts are held against the areas searched. All
// figures take the units for independent. Units of one site that are more alike
// than others make P too small and the interval of k too narrow.
package dispersion

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/negbin"
)

// Clumps is how the finds of a sample gather. The embedded estimate is the k of
// the negative binomial, with the warnings of all figures here.
type Clumps struct {
	stats.Estimate // k, a pure number; N are the units

	Units, Finds int
	MeanPerUnit  float64 // NaN without a unit

	VarianceToMean float64 // ChiSquare / DF
	ChiSquare, P   float64 // of chance alone; P is that of so much clumping or more
	DF             int     // of ChiSquare; that of the estimate is Interval.DF
	Morisita       float64 // how many times likelier than by chance two finds share a unit

	KByMoments, KByZeros float64 // quick estimates of k; NaN if there is none or it is infinite

	ExpectedNegBin, ExpectedPoisson []float64 // units expected with 0, 1, 2 ... finds, up to the highest count, 10,000 at most
	NegBin, Poisson                 Fit
}

// Clumping describes how finds gather in units of the given areas (in any
// unit of area).
//
// Chance is tested by Pearson's statistic
//
//	X^2 = sum_i (y_i - D a_i)^2 / (D a_i),  D = sum y / sum a
//
// on n-1 degrees of freedom (Fisher, Thornton & Mackenzie 1922, Annals of
// Applied Biology 9: 325-359), which for equal areas is (n-1) times the
// variance-to-mean ratio. P is its upper tail, the test of clumping. Morisita's
// index is the chance that two finds drawn at random share a unit, over what it
// would be if finds fell on the area searched by chance:
//
//	I = sum_i y_i (y_i - 1) / (N (N - 1)) / sum_i (a_i / sum a)^2,  N = sum y
//
// For equal areas it is Morisita's (1959, Memoirs of the Faculty of Science,
// Kyushu University, Series E 2: 215-235), and his test is the one above, for
// X^2 = I (N - 1) + n - N there.
//
// k is that of maximum likelihood, with the area as exposure. Its limits are
// where the profile likelihood lies chi-square(confidence; 1) / 2 under the
// maximum; its standard error comes from the observed information (Anscombe
// 1950, Biometrika 37: 358-382; Lawless 1987, Canadian Journal of Statistics
// 15: 209-225). The quick estimates of Bliss & Fisher (1953, Biometrics 9:
// 176-200) are beside it, to be held against older work, not instead of it:
//
//	by moments   1/k = [ n/(n-1) sum (y_i - D a_i)^2 - N ] / sum (D a_i)^2
//	by zeros     sum_i (1 + D a_i / k)^-k = units without finds
//
// The fit of both distributions is tested by chi-square over classes of counts,
// joined from 0 upwards until each expects one unit or more.
//
// Special cases, each with a warning:
//
//	no unit, or one   nothing but the mean
//	no find           expected counts alone: every unit is empty
//	one find          no Morisita's index
//	counts that vary no more than chance
//	                  k is infinite, and so has no value; its lower limit stands
//	chance not excluded
//	                  the upper limit of k is open, and so NaN; the lower never is,
//	                  for with any find the likelihood falls without end towards 0
//	too few classes   no chi-square of fit
//	under 15 units, under 20 finds, all finds in one unit
//	                  P and the limits may not keep their level
//
// It panics on slices of unequal length, on an area that is not positive, on a
// count that is not whole and on a confidence outside of (0, 1).
func Clumping(area, count []float64, confidence float64) Clumps {
	s := newSample(area, count, confidence)
	c := Clumps{
		Estimate: stats.Missing(confidence, s.units(), noUnits),
		Units:    s.units(), Finds: int(s.finds), MeanPerUnit: s.finds / float64(s.units()),
		NegBin: noFit(), Poisson: noFit(),
	}
	c.VarianceToMean, c.ChiSquare, c.P, c.Morisita = nan, nan, nan, nan
	c.KByMoments, c.KByZeros = nan, nan
	switch {
	case c.Units == 0:
		return c
	case c.Units == 1:
		c.Warnings = []stats.Warning{oneUnit}
		return c
	case c.Finds == 0:
		c.Warnings = s.doubts()
		c.ExpectedNegBin, c.ExpectedPoisson = []float64{float64(c.Units)}, []float64{float64(c.Units)}
		return c
	}
	c.Warnings = s.doubts()
	c.chance(s)
	c.quick(s)
	c.model(s)
	return c
}

// chance holds the counts against those of chance alone.
func (c *Clumps) chance(s sample) {
	c.ChiSquare, c.DF = s.pearson(), c.Units-1
	c.VarianceToMean = c.ChiSquare / float64(c.DF)
	c.P = chiSquareTail(c.ChiSquare, c.DF)
	c.Morisita = s.morisita()
}

// quick fills in the estimates of k without a likelihood.
func (c *Clumps) quick(s sample) {
	c.KByMoments, c.KByZeros = finite(s.momentsK()), finite(s.zerosK())
}

// model fits both distributions.
func (c *Clumps) model(s sample) {
	data := negbin.New(s.count, s.area)
	fit := data.Fit()
	rate := s.finds / s.searched
	estimate, doubts := clumpingOf(data, fit, c.Confidence)
	if math.IsInf(fit.K, 1) && chiSquareTail(c.ChiSquare, c.DF) > 1-(1-c.Confidence)/2 {
		doubts = append(doubts, underDispersed)
	}
	estimate.Warnings = append(c.Warnings, doubts...)
	c.Estimate = estimate

	c.ExpectedNegBin, c.ExpectedPoisson = s.expected(fit.Mean, fit.K), s.expected(rate, math.Inf(1))
	c.NegBin = s.goodness(c.ExpectedNegBin, 2, fit.LogLik, leastExpected)
	c.Poisson = s.goodness(c.ExpectedPoisson, 1, data.LogLik(rate, math.Inf(1)), leastExpected)
	if math.IsNaN(c.NegBin.P) || math.IsNaN(c.Poisson.P) {
		c.Warnings = append(c.Warnings, fewClasses)
	}
}

// clumpingOf is the estimate of k.
func clumpingOf(data *negbin.Data, fit negbin.Fit, confidence float64) (stats.Estimate, []stats.Warning) {
	var doubts []stats.Warning
	e := stats.Estimate{Value: fit.K, SE: fit.K * fit.SELogK, N: data.N()}
	e.Interval = stats.Interval{Confidence: confidence, DF: math.Inf(1), Method: "nb-profile"}
	e.Lower, e.Upper = data.KLimits(chiSquareQuantile(confidence, 1) / 2)
	if math.IsInf(fit.K, 1) {
		e.Value, e.SE = nan, nan
		doubts = append(doubts, infiniteK)
	} else if math.IsInf(e.Upper, 1) {
		doubts = append(doubts, openUpper)
	}
	e.Upper = finite(e.Upper)
	return e, doubts
}

var nan = math.NaN()

// finite turns an infinity into NaN.
func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return nan
	}
	return x
}
