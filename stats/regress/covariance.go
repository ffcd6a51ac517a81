package regress

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Kind is an estimator of the covariance of coefficients.
type Kind string

// The covariance estimators. V is mu + mu^2/k, W = mu^2/V the working weight.
const (
	// KnownK is the inverse of the expected information with k assumed to be
	// known, (X'WX)^-1: what R's glm.nb prints.
	KnownK Kind = "known-k"
	// Observed is the inverse of the observed information in b and k together.
	// It is the one to report where rows are independent: it pays for k, and
	// holds for the counts at hand rather than for the mean of all that could
	// have been (Efron & Hinkley 1978, Biometrika 65: 457-487).
	Observed Kind = "observed"
	// CR1 is the cluster-robust covariance with the factor m/(m-1), m clusters,
	// and m-1 degrees of freedom (Liang & Zeger 1986, Biometrika 73: 13-22).
	CR1 Kind = "CR1"
	// CR2 is the bias-reduced one of Bell & McCaffrey (2002), with
	// Satterthwaite's degrees of freedom for each effect.
	CR2 Kind = "CR2"
)

// Robust reports whether the covariance is cluster-robust.
func (k Kind) Robust() bool { return k == CR1 || k == CR2 }

// Covariance is the covariance matrix of the coefficients of a fit.
//
// # Cluster-robust covariance
//
// Let e_i = (y_i - mu_i)/sqrt(V_i), and U = sqrt(W) X (X'WX)^-1/2, so that
// U'U = I. With U_g and e_g the rows of cluster g,
//
//	G_g = U_g'U_g,  s_g = U_g'e_g,  sum_g G_g = I
//	CR1: m/(m-1) sum_g s_g s_g'
//	CR2: sum_g c_g c_g',  c_g = (I - G_g)^{+1/2} s_g
//
// in the coordinates of U, where (.)^{+1/2} is the symmetric root of the
// pseudo-inverse. This is Bell & McCaffrey's A_g = (I - H_gg)^{+1/2} for the
// model whose rows were divided by sqrt(V), since (I - U_g U_g')^{+1/2} acts on
// the span of U_g as (I - G_g)^{+1/2} does on its coordinates: one formula, on
// matrices as small as the model, which no choice of base level can change.
// Pustejovsky & Tipton (2018, p. 675) leave open which root is taken where V
// differs within a cluster; the root here is that of the working model with
// weights taken out. It differs from the one of the clubSandwich package in the
// third digit or so, and not at all where V is one in each cluster.
//
// A direction in which I - G_g is 0 is one of full leverage: cluster g alone
// determines it. Its residuals are 0; the pseudo-inverse leaves it out, and an
// effect with more than a small share in such directions has no interval.
//
// # Degrees of freedom
//
// For an effect with coordinates t, b_g = G_g (I - G_g)^{+1/2} t and
// v_g = t'G_g t without the directions left out,
//
//	df = (sum_g v_g)^2 / [ sum_g v_g^2 + sum_{g != h} (b_g'b_h)^2 ]
//
// Satterthwaite's for errors that are independent and normal with variance V.
// Counts that clump are not: the sum of a few squares of which one may be huge
// varies more, and comes out too small in just those samples that missed the
// rich places. With w_g = (t'c_g)^2, the square that cluster g really adds,
//
//	m* = (sum_g w_g)^2 / sum_g w_g^2
//
// is the effective number of clusters, of equal contribution, as in package
// compare; for normal errors it is a third of their number. The df used is at most
// 1.5 m*, but not below 2 for that: half the clusters where errors are normal, few
// where few carry the effect. The 1.5 was found by simulation and has no source. At
// 5 % tests of one coefficient then reject 3.4 to 8.8 % of what is true at 12
// sites, where with Satterthwaite's df alone they reject more; those of several are
// conservative (ERRORS.md). It serves intervals: [Score] tests better.
type Covariance struct {
	Kind       Kind
	Confidence float64

	fit      *Fit
	cholesky mat.TriDense  // L, with L L' the expected information
	v        *mat.SymDense // in the coordinates of U
	clusters []influence   // of robust kinds
	scores   *mat.Dense    // c_g of each cluster: what it adds to the covariance is its square
	// uncapped leaves the degrees of freedom as they are published.
	uncapped bool
}

// influence is the leverage G_g of one cluster by its eigenpairs: few, as their number is
// at most that of its rows.
type influence struct {
	pairs []eigenpair // without the directions of full leverage
	alone [][]float64 // those directions
}

type eigenpair struct {
	value  float64
	vector []float64
	root   float64 // that of the bias reduction, (1 - value)^{-1/2}; not used at full leverage
}

// times returns x'G_g x and adds b_g = G_g (I - G_g)^{+1/2} x to a vector.
func (in influence) times(x, bias []float64) (leverage float64) {
	for _, p := range in.pairs {
		d := dot(p.vector, x)
		leverage += p.value * d * d
		axpy(p.value*p.root*d, p.vector, bias)
	}
	return leverage
}

// reduced is c_g = (I - G_g)^{+1/2} s_g.
func (in influence) reduced(score []float64) []float64 {
	c := append([]float64{}, score...)
	for _, p := range in.pairs {
		axpy((p.root-1)*dot(p.vector, score), p.vector, c)
	}
	for _, v := range in.alone {
		axpy(-dot(v, score), v, c)
	}
	return c
}

// fullLeverage is the distance from 1 below which an eigenvalue of G_g counts as 1.
// Rounding leaves 1e-13; two clusters of which one holds a millionth of the weight
// leave 1e-6.
const fullLeverage = 1e-9

// Covariance returns the covariance by an estimator. Confidence is the nominal level
// of intervals. It panics if that is not between 0 and 1, and on an
// unknown kind.
func (f *Fit) Covariance(kind Kind, confidence float64) *Covariance {
	if !(confidence > 0 && confidence < 1) {
		panic("regress: confidence is not between 0 and 1")
	}
	c := &Covariance{Kind: kind, Confidence: confidence, fit: f}
	if f.base.rank() == 0 {
		return c
	}
	var chol mat.Cholesky
	chol.Factorize(f.likelihood.expected(f.maximum))
	chol.LTo(&c.cholesky)
	r := f.base.rank()
	switch kind {
	case KnownK:
		c.v = identity(r)
	case Observed:
		c.v = c.observed()
	case CR1, CR2:
		c.robust()
	default:
		panic("regress: unknown kind of covariance " + string(kind))
	}
	return c
}

func identity(r int) *mat.SymDense {
	m := mat.NewSymDense(r, nil)
	for i := range r {
		m.SetSym(i, i, 1)
	}
	return m
}

// observed is the block of b in the inverse of the observed information in b and k,
// by the Schur complement.
func (c *Covariance) observed() *mat.SymDense {
	s := c.fit.derivatives
	info := mat.NewSymDense(len(s.score), nil)
	info.CopySym(s.information)
	if c.fit.maximum.alpha > 0 {
		info.SymRankOne(info, -1/s.curvature, mat.NewVecDense(len(s.cross), s.cross))
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(info) || chol.InverseTo(&inverse) != nil {
		return identity(len(s.score)) // only where the top is flat in k; then k is left out of it
	}
	var left, v mat.Dense // to the coordinates of U: L' V L with E = L L'
	left.Mul(c.cholesky.T(), &inverse)
	v.Mul(&left, &c.cholesky)
	return symmetric(&v)
}

func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return s
}

// robust is the cluster-robust covariance, a sum over clusters.
func (c *Covariance) robust() {
	f := c.fit
	of, m := f.sample.clusters(f.kept)
	members := make([][]int, m)
	for i, g := range of {
		members[g] = append(members[g], i)
	}
	r := f.base.rank()
	u, residual := c.whitened()
	c.scores = mat.NewDense(m, r, nil)
	c.clusters = make([]influence, m)
	room := make([]float64, (r+1)*len(f.kept))
	for g, rows := range members {
		n := len(rows)
		own, left := mat.NewDense(r, n, room[:r*n]), mat.NewVecDense(n, room[r*n:(r+1)*n])
		for j, i := range rows {
			for k := range r {
				own.Set(k, j, u.At(k, i))
			}
			left.SetVec(j, residual[i])
		}
		var sum mat.VecDense
		sum.MulVec(own, left)
		in, score := newInfluence(own), sum.RawVector().Data
		if c.Kind == CR1 {
			blas64.Scal(math.Sqrt(float64(m)/float64(max(m-1, 1))), vector(score))
		} else {
			score = in.reduced(score)
		}
		c.scores.SetRow(g, score)
		c.clusters[g] = in
	}
	c.v = new(mat.SymDense)
	c.v.SymOuterK(1, c.scores.T())
}

// whitened are the rows of U, as columns, and the residuals e.
func (c *Covariance) whitened() (u *mat.Dense, residual []float64) {
	f := c.fit
	n := len(f.likelihood.y)
	u = mat.NewDense(f.base.rank(), n, nil)
	root, residual := make([]float64, n), make([]float64, n)
	for i, mu := range f.maximum.mu {
		v := mu * (1 + f.maximum.alpha*mu)
		root[i], residual[i] = mu/math.Sqrt(v), (f.likelihood.y[i]-mu)/math.Sqrt(v)
	}
	for k, q := range f.base.q {
		row := u.RawRowView(k)
		for i, v := range q {
			row[i] = root[i] * v
		}
	}
	// A nearly singular L has no way out: the base is orthogonal, so that it
	// takes means of very different size, and then the digits are what they are.
	_ = u.Solve(&c.cholesky, u)
	return u, residual
}

// newInfluence has the leverage G = UU' of a cluster.
func newInfluence(u *mat.Dense) influence {
	r, n := u.Dims()
	var in influence
	for _, p := range eigen(u, min(r, n)) {
		if 1-p.value <= fullLeverage {
			in.alone = append(in.alone, p.vector)
		} else {
			in.pairs = append(in.pairs, p)
		}
	}
	return in
}

// eigen is the eigendecomposition of U U' without eigenvalues of 0, from the
// smaller of U U' and U'U.
func eigen(u *mat.Dense, most int) []eigenpair {
	r, n := u.Dims()
	if n == 1 && r > 1 {
		return eigenOne(u.RawMatrix().Data)
	}
	gram := mat.NewSymDense(most, nil)
	if n < r {
		gram.SymOuterK(1, u.T())
	} else {
		gram.SymOuterK(1, u)
	}
	var e mat.EigenSym
	if !e.Factorize(gram, true) {
		return nil
	}
	var vectors mat.Dense
	e.VectorsTo(&vectors)
	var list []eigenpair
	for k, value := range e.Values(nil) {
		if value <= zeroEigenvalue {
			continue
		}
		v := mat.Col(nil, k, &vectors)
		if n < r {
			long := mat.NewVecDense(r, nil)
			long.MulVec(u, mat.NewVecDense(n, v))
			long.ScaleVec(1/math.Sqrt(value), long)
			v = long.RawVector().Data
		}
		list = append(list, eigenpair{value, v, 1 / math.Sqrt(1-value)})
	}
	return list
}

// zeroEigenvalue is the largest that counts as 0.
const zeroEigenvalue = 1e-14

// eigenOne is that of u u', u a vector: of a cluster of one row.
func eigenOne(u []float64) []eigenpair {
	var value float64
	for _, v := range u {
		value += v * v
	}
	if value <= zeroEigenvalue {
		return nil
	}
	pair := eigenpair{value, make([]float64, len(u)), 1 / math.Sqrt(1-value)}
	floats.ScaleTo(pair.vector, 1/math.Sqrt(value), u)
	return []eigenpair{pair}
}

// coordinates solves L x = t, E = L L': the linear combination t in coordinates of U.
func (c *Covariance) coordinates(t []float64) *mat.VecDense {
	x := mat.NewVecDense(len(t), nil)
	_ = x.SolveVec(&c.cholesky, mat.NewVecDense(len(t), t))
	return x
}

// normal is the two-sided quantile of the normal distribution.
func normal(confidence float64) float64 { return distuv.UnitNormal.Quantile((1 + confidence) / 2) }
