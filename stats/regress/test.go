package regress

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
)

// Test is what a term adds to a model.
type Test struct {
	Term terms.Term
	// DF is the number of coefficients that say something; 0 where the term
	// cannot be told from others.
	DF int
	// LR is twice the gain in log-likelihood, with its P by chi-square with DF
	// degrees of freedom. It takes rows for independent.
	LR, LRP float64
	// F and DenDF are Wald's test by the covariance, with P: F with DF and
	// DenDF degrees of freedom for CR1 and CR2, chi-square/DF for the others,
	// where DenDF is +Inf. NaN where there is none, with the reason.
	F, DenDF, P float64
	// Score is the test by the signs of clusters, where the covariance allows
	// for clusters at all; its P is NaN otherwise.
	Score    Score
	Warnings []stats.Warning // of the tests but Score, which has its own
}

// sameLikelihood is the share of a log-likelihood under which the gain in it is the
// rounding of its sum, some 1e-16 a row.
const sameLikelihood = 1e-13

// Fitter fits a model to a sample: [NegativeBinomial] or [Poisson].
type Fitter func(Sample, terms.Model) (*Fit, error)

// Compare tests each term of a model. A term is judged beside all others but
// those that hold it whole (the tree without the trees of each mode), as these
// would take its effect over and leave a test that hangs on the base levels.
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
		const any = 0.95 // no interval is asked for
		test := full.Covariance(kind, any).against(less)
		test.Term = t
		test.Score = full.against(less, kind, o)
		tests = append(tests, test)
	}
	return tests, nil
}

// against holds a fit against that of a model within it.
func (c *Covariance) against(less *Fit) Test {
	nan := math.NaN()
	test := Test{LR: nan, LRP: nan, F: nan, DenDF: nan, P: nan}
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
	test.LR = 2 * (f.LogLik - less.LogLik)
	if !(math.Abs(test.LR) > sameLikelihood*math.Abs(f.LogLik)) || test.LR < 0 {
		test.LR = 0
	}
	test.LRP = distuv.ChiSquared{K: float64(test.DF)}.Survival(test.LR)
	space := c.beyond(less)
	if gone := test.DF - len(space); gone > 0 {
		test.Warnings = append(test.Warnings, emptyTest(gone, test.DF))
	}
	if len(space) > 0 {
		c.wald(space, &test)
	}
	return test
}

// beyond is a base of what the fit's columns say more than those of less, in
// the coordinates of Q and over the rows of the finite part: the test is of
// these being 0, whatever the columns are called.
func (c *Covariance) beyond(less *Fit) [][]float64 {
	f := c.fit
	b := newBasis(less.design, f.kept)
	var within [][]float64
	for _, q := range b.q {
		within = append(within, f.l.onto(q))
	}
	return complement(within, f.base.rank())
}

// wald is the approximate Hotelling test of Pustejovsky & Tipton (2018,
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
		value.SetVec(k, dot(t, c.fit.top.g))
	}
	if c.lost(x) > mostLost {
		test.Warnings = append(test.Warnings, NoJointTest.With("one unit or site alone decides part of this term, so that Wald's test cannot be had; the likelihood ratio takes rows for independent"))
		return
	}
	var chol mat.Cholesky
	var solved mat.VecDense
	if !(c.least(x) > leastSpread) || !chol.Factorize(inside(x, c.v)) || chol.SolveVecTo(&solved, value) != nil {
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

// inside is x'Vx.
func inside(x *mat.Dense, v mat.Matrix) *mat.SymDense {
	var right, all mat.Dense
	right.Mul(v, x)
	all.Mul(x.T(), &right)
	return symmetric(&all)
}

// lost is the largest share of any direction within x that single clusters
// decide.
func (c *Covariance) lost(x *mat.Dense) float64 {
	if !c.Kind.Robust() {
		return 0
	}
	_, q := x.Dims()
	own := mat.NewSymDense(c.fit.base.rank(), nil)
	for _, g := range c.groups {
		own.AddSym(own, g.own)
	}
	values := c.shares(x, own)
	return values[q-1]
}

// least is the smallest variance of any direction within x, as a share of what
// the model expects.
func (c *Covariance) least(x *mat.Dense) float64 { return c.shares(x, c.v)[0] }

// shares are the eigenvalues of v within x, ascending.
func (c *Covariance) shares(x *mat.Dense, v mat.Matrix) []float64 {
	var e mat.EigenSym
	if !e.Factorize(inside(turned(x, inside(x, identity(c.fit.base.rank()))), v), false) {
		_, q := x.Dims()
		return make([]float64, q)
	}
	return e.Values(nil)
}

// eta is the degrees of freedom of the Wishart distribution whose spread is
// that of the covariance, held down as those of an effect are.
func (c *Covariance) eta(x *mat.Dense) float64 {
	switch c.Kind {
	case CR1:
		return float64(len(c.groups) - 1)
	case CR2:
	default:
		return math.Inf(1)
	}
	y := c.standardised(x)
	r, q := y.Dims()
	var own float64 // of pairs g = h
	all := mat.NewSymDense(r*q, nil)
	flat := mat.NewVecDense(r*q, nil)
	for _, g := range c.groups {
		var b mat.Dense
		b.Mul(g.bias, y)
		for i := range r {
			for s := range q {
				flat.SetVec(i*q+s, b.At(i, s))
			}
		}
		all.SymRankOne(all, 1, flat)
		var bb mat.Dense
		bb.Mul(b.T(), &b)
		cross := symmetric(&bb)
		own += spreadOf(inside(y, g.spread)) - spreadOf(cross)
	}
	// sum_gh [ (tr K_gh)^2 + tr(K_gh K_gh) ] with K_gh = -B_g'B_h, and K_gg the
	// spread of cluster g.
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
	return c.tempered(float64(q*(q+1))/sum, x)
}

// spreadOf is (tr K)^2 + tr(K K).
func spreadOf(k *mat.SymDense) float64 {
	trace, n := mat.Trace(k), mat.Norm(k, 2)
	return trace*trace + n*n
}

// standardised turns x so that the expected covariance of its columns is 1.
func (c *Covariance) standardised(x *mat.Dense) *mat.Dense {
	_, q := x.Dims()
	expected := mat.NewSymDense(q, nil)
	for _, g := range c.groups {
		expected.AddSym(expected, inside(x, g.spread))
	}
	return turned(x, expected)
}

// turned is x L^-T with L L' the given matrix of its columns' products.
func turned(x *mat.Dense, products *mat.SymDense) *mat.Dense {
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
