package regress

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
)

// Test has the likelihood-ratio, Wald and score tests of a term.
type Test struct {
	Term terms.Term
	// DF is the number of coefficients of the term; 0 where it is aliased.
	DF int
	// LR is twice the gain in log-likelihood, with its P by chi-square with DF
	// degrees of freedom. It assumes independent rows. PoissonLRP is that P without
	// overdispersion.
	LR, LRP, PoissonLRP float64
	// F and DenDF are Wald's test by the covariance, with P: F with DF and
	// DenDF degrees of freedom for CR1 and CR2, chi-square/DF for the others,
	// where DenDF is +Inf. NaN where there is none, with the reason.
	F, DenDF, P float64
	// Score is the cluster-level sign-flip score test where the covariance is
	// cluster-robust; its P is NaN otherwise.
	Score    Score
	Warnings []stats.Warning // of the tests but Score, which has its own
}

// sameLikelihood is the relative gain in log-likelihood below which it is rounding,
// some 1e-16 a row.
const sameLikelihood = 1e-13

// Fitter fits a model to a sample: [NegativeBinomial] or [Poisson].
type Fitter func(Sample, terms.Model) (*Fit, error)

// Compare tests each term of a model by comparison of nested models: beside all other
// terms but its interactions (type II tests), as with these a test of a main effect
// depends on the base levels.
func Compare(s Sample, m terms.Model, fit Fitter, kind Kind, o SignFlips) ([]Test, error) {
	var tests []Test
	var full *Fit // of the last term: the products share theirs
	for _, t := range m {
		under := m.Under(t)
		if full == nil || !slices.EqualFunc(full.design.Model(), under, terms.Term.Same) {
			var err error
			if full, err = fit(s, under); err != nil {
				return nil, err
			}
		}
		less, err := fit(s, under.Without(t))
		if err != nil {
			return nil, err
		}
		tests = append(tests, full.test(t, less, kind, o))
	}
	return tests, nil
}

// CompareTerm is [Compare] of one term.
func CompareTerm(s Sample, m terms.Model, t terms.Term, fit Fitter, kind Kind, o SignFlips) (Test, error) {
	under := m.Under(t)
	full, err := fit(s, under)
	if err != nil {
		return Test{}, err
	}
	less, err := fit(s, under.Without(t))
	if err != nil {
		return Test{}, err
	}
	return full.test(t, less, kind, o), nil
}

// test tests a term against the fit without it.
func (f *Fit) test(t terms.Term, less *Fit, kind Kind, o SignFlips) Test {
	const any = 0.95 // no interval is asked for
	test := f.Covariance(kind, any).waldTest(less)
	test.Term = t
	test.Score = f.scoreTest(less, kind, o)
	return test
}

// likelihoodRatio is twice the gain in log-likelihood over a nested model, with its P.
func likelihoodRatio(full, less float64, df int) (lr, p float64) {
	lr = 2 * (full - less)
	if !(math.Abs(lr) > sameLikelihood*math.Abs(full)) || lr < 0 {
		lr = 0
	}
	return lr, distuv.ChiSquared{K: float64(df)}.Survival(lr)
}

// waldTest has the Wald and likelihood-ratio tests of a nested model.
func (c *Covariance) waldTest(less *Fit) Test {
	nan := math.NaN()
	test := Test{LR: nan, LRP: nan, PoissonLRP: nan, F: nan, DenDF: nan, P: nan}
	f := c.fit
	// Degrees of freedom count what the term adds over all rows, those that
	// went to 0 among them: their coefficients are fitted too, at infinity.
	test.DF = f.all.rank() - less.all.rank()
	if test.DF == 0 {
		test.Warnings = []stats.Warning{nothingToTest}
		return test
	}
	if f.Finds == 0 {
		test.Warnings = []stats.Warning{nothingFound}
		return test
	}
	test.LR, test.LRP = likelihoodRatio(f.LogLik, less.LogLik, test.DF)
	_, test.PoissonLRP = likelihoodRatio(f.poisson.logLik, less.poisson.logLik, test.DF)
	space := c.addedBy(less)
	if gone := test.DF - len(space); gone > 0 {
		test.Warnings = append(test.Warnings, emptyCoefficients(gone, test.DF))
	}
	if len(space) > 0 {
		c.wald(space, &test)
	}
	return test
}

// addedBy is a basis of the orthogonal complement of the columns of a nested model, in
// the coordinates of Q and over the rows of the finite part: its coefficients are 0
// under the null hypothesis.
func (c *Covariance) addedBy(less *Fit) [][]float64 {
	f := c.fit
	b := less.basisOver(f.kept)
	var within [][]float64
	for _, q := range b.q {
		within = append(within, f.likelihood.project(q))
	}
	return complement(within, f.base.rank())
}

// wald is the Wald test by the approximate Hotelling T^2 of Pustejovsky & Tipton (2018,
// section 3): with D the covariance of the q coordinates over its expectation
// and eta = q(q+1) / sum_st Var D_st,
//
//	F = (eta - q + 1)/(eta q) * g'S (S'VS)^-1 S'g,  df q and eta - q + 1
//
// For CR1 eta is m - 1, for the covariances of the model +Inf.
func (c *Covariance) wald(space [][]float64, test *Test) {
	q := len(space)
	x := mat.NewDense(c.fit.base.rank(), q, nil)
	value := mat.NewVecDense(q, nil)
	for k, t := range space {
		x.SetCol(k, c.coordinates(t).RawVector().Data)
		value.SetVec(k, dot(t, c.fit.maximum.g))
	}
	if c.fullLeverageShare(x) > mostFullLeverage {
		test.Warnings = append(test.Warnings, NoJointTest.With("one unit or site alone decides part of this term, so that Wald's test cannot be "+
			"had; the likelihood ratio takes rows for independent"))
		return
	}
	var chol mat.Cholesky
	var solved mat.VecDense
	if !(c.leastVarianceShare(x) > leastVariance) || !chol.Factorize(quadraticForm(x, c.v)) || chol.SolveVecTo(&solved, value) != nil {
		test.Warnings = append(test.Warnings, noJoint(c.fit.Clusters, q))
		return
	}
	statistic := mat.Dot(value, &solved)
	eta := c.eta(x)
	den := eta - float64(q) + 1
	if math.IsInf(eta, 1) {
		test.F, test.DenDF = statistic/float64(q), eta
		test.P = distuv.ChiSquared{K: float64(q)}.Survival(statistic)
		return
	}
	if !(den >= leastDF) {
		test.Warnings = append(test.Warnings, noJoint(c.fit.Clusters, q))
		return
	}
	test.F, test.DenDF = den/(eta*float64(q))*statistic, den
	test.P = distuv.F{D1: float64(q), D2: den}.Survival(test.F)
	if den < fewDF {
		test.Warnings = append(test.Warnings, smallDF(den))
	}
	if c.fit.Clusters < fewClusters {
		test.Warnings = append(test.Warnings, smallClusters(c.fit.Clusters))
	}
}

// quadraticForm is x'Vx for columns x.
func quadraticForm(x *mat.Dense, v mat.Matrix) *mat.SymDense {
	var right, all mat.Dense
	right.Mul(v, x)
	all.Mul(x.T(), &right)
	return symmetric(&all)
}

// fullLeverageShare is the largest share of a direction within x that is of full
// leverage.
func (c *Covariance) fullLeverageShare(x *mat.Dense) float64 {
	if !c.Kind.Robust() {
		return 0
	}
	_, q := x.Dims()
	own := mat.NewSymDense(c.fit.base.rank(), nil)
	for _, g := range c.clusters {
		for _, v := range g.alone {
			own.SymRankOne(own, 1, mat.NewVecDense(len(v), v))
		}
	}
	values := c.eigenvalues(x, own)
	return values[q-1]
}

// leastVarianceShare is the smallest variance of a direction within x, relative to
// its expectation by the model.
func (c *Covariance) leastVarianceShare(x *mat.Dense) float64 { return c.eigenvalues(x, c.v)[0] }

// eigenvalues are those of v on the space of x, ascending.
func (c *Covariance) eigenvalues(x *mat.Dense, v mat.Matrix) []float64 {
	var e mat.EigenSym
	if !e.Factorize(quadraticForm(whitenedBy(x, quadraticForm(x, identity(c.fit.base.rank()))), v), false) {
		_, q := x.Dims()
		return make([]float64, q)
	}
	return e.Values(nil)
}

// eta is the degrees of freedom of the Wishart distribution whose total variance is
// that of the covariance estimator, capped as those of an effect are.
func (c *Covariance) eta(x *mat.Dense) float64 {
	switch c.Kind {
	case CR1:
		return float64(len(c.clusters) - 1)
	case CR2:
	default:
		return math.Inf(1)
	}
	y := c.standardized(x)
	r, q := y.Dims()
	var own float64 // of pairs g = h
	biases := mat.NewDense(len(c.clusters), r*q, nil)
	leverage, cross := mat.NewSymDense(q, nil), mat.NewSymDense(q, nil)
	for g, in := range c.clusters {
		leverage.Zero()
		cross.Zero()
		b := biases.RawRowView(g)
		for _, p := range in.pairs {
			w := product(p, y)
			bias := p.value * p.root
			leverage.SymRankOne(leverage, p.value, w)
			cross.SymRankOne(cross, bias*bias, w)
			for i, v := range p.vector {
				axpy(bias*v, w.RawVector().Data, b[i*q:(i+1)*q])
			}
		}
		own += wishartVariance(leverage) - wishartVariance(cross)
	}
	var all mat.SymDense
	all.SymOuterK(1, biases.T())
	// sum_gh [ (tr K_gh)^2 + tr(K_gh K_gh) ] with K_gh = -B_g'B_h, and K_gg the
	// leverage of cluster g.
	sum := own
	for i := range r {
		for j := range r {
			for s := range q {
				for t := range q {
					a := all.At(i*q+s, j*q+t)
					sum += a*a + a*all.At(i*q+t, j*q+s)
				}
			}
		}
	}
	return c.cappedDF(float64(q*(q+1))/sum, x)
}

// product is v'x, of an eigenvector and columns.
func product(p eigenpair, x *mat.Dense) *mat.VecDense {
	var w mat.VecDense
	w.MulVec(x.T(), mat.NewVecDense(len(p.vector), p.vector))
	return &w
}

// wishartVariance is (tr K)^2 + tr(K K), the total variance of the elements of a
// Wishart matrix with scale K and one degree of freedom.
func wishartVariance(k *mat.SymDense) float64 {
	trace, n := mat.Trace(k), mat.Norm(k, 2)
	return trace*trace + n*n
}

// standardized are columns of the same span as x whose expected covariance is the
// identity.
func (c *Covariance) standardized(x *mat.Dense) *mat.Dense {
	_, q := x.Dims()
	expected := mat.NewSymDense(q, nil)
	for _, g := range c.clusters {
		for _, p := range g.pairs {
			expected.SymRankOne(expected, p.value, product(p, x))
		}
	}
	return whitenedBy(x, expected)
}

// whitenedBy is x L^-T, with L the Cholesky factor of a covariance of its columns.
func whitenedBy(x *mat.Dense, products *mat.SymDense) *mat.Dense {
	var chol mat.Cholesky
	if !chol.Factorize(products) {
		return x
	}
	var low mat.TriDense
	chol.LTo(&low)
	var y mat.Dense
	_ = y.Solve(&low, x.T())
	return mat.DenseCopyOf(y.T())
}
