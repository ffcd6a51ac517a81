package regress

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"ashtally/stats"
	"ashtally/stats/permute"
)

// SignFlips says how sign vectors are enumerated or sampled.
type SignFlips struct {
	Seed uint64
	// Replicates is the number drawn where there are too many clusters to go
	// through all signs; 0 = 1999, with which a p of 0.05 is known to 0.005. It
	// may be less where that would take seconds.
	Replicates int
}

// mostArrangements is the number of sign vectors up to which all are enumerated:
// those of twelve clusters.
const mostArrangements = 2048

// equalWithin is the relative difference below which statistics are ties. Where a
// cluster's score is 0 by the fit, as that of the only one of its age, flipping it
// changes nothing, but for where the maximization ended.
const equalWithin = 1e-6

// mostAdditions is the number of additions of a test, a second or so, beyond which
// fewer sign vectors are sampled, though no fewer than 199: thousands of clusters and tens
// of coefficients at once, where p hardly differs from that by chi-square. SE
// tells what it costs.
const mostAdditions = 1_000_000_000

// Score is a cluster-level sign-flip score test.
//
// # The test
//
// The model is fitted as if the hypothesis held. With e_i = (y_i - mu_i)/sqrt(V_i)
// by that fit, and U as in [Covariance] but by that fit, turned so that the
// hypothesis is about the first q of its columns, T, and leaves the others, X,
// alone, the score of cluster g and what it should have been are
//
//	b_g = T_g'e_g,  b = sum_g b_g
//
// and b'b is Rao's score statistic. Each b_g is an effective score: T is at
// right angles to X, so that the coefficients which were fitted have, to first
// order, no part in b. If there is no effect, b_g is as likely to be as far on
// one side of 0 as on the other, whatever the rows of a cluster share and
// however they clump; p is the share of arrangements of signs f_g = -1 or 1 with
//
//	b(f)'V(f)^-1 b(f) >= b'b,  b(f) = sum_g f_g b_g
//	V(f) = I - K K',  K = sum_g f_g T_g'X_g
//
// among all where they are no more than 2048 (half of those of 12 clusters: flipping
// all signs changes nothing), else among those drawn, with the one seen
// counted as one of them. V(f) is the covariance that b(f) has where e are what
// is left of independent errors once X was fitted: flipping signs takes some of
// b along X, where the fit has left nothing, so that b(f) varies less than b,
// and without V(f) the test rejects too much. A direction in which V(f) is 0
// tells nothing and adds nothing.
//
// # Few clusters on one side
//
// A cluster that an effect hangs on has hardly anything to be turned against:
// where three of twelve sites are of one age, a test of ages rejects 1.5 % of
// what is true at 5 %. With h_g the share of cluster g in the expected
// information of the hypothesis, tr T_g'T_g/q,
//
//	m* = 1 / sum_g h_g^2
//
// is the number of clusters it would hang on if all bore the same. Below 10,
// as with four against eight, a warning says that p is too large rather than
// too small (MacKinnon & Webb 2017, Journal of Applied Econometrics 32:
// 233-254, find the same of restricted wild bootstraps).
//
// Sources: signs of effective scores and their robustness to a wrong variance
// are Hemerik, Goeman & Finos (2020, Journal of the Royal Statistical Society
// B 82: 841-864); V(f) is by De Santis, Goeman, Hemerik, Davenport & Finos
// (2025, Inference in generalized linear models with robustness to misspecified
// variances, Journal of the American Statistical Association); signs of
// clusters at a restricted fit are the score bootstrap of Kline & Santos (2012,
// Journal of Econometric Methods 1: 23-41). ERRORS.md has how often it
// rejects what is true.
type Score struct {
	DF                int     // combinations of coefficients that are tested
	EffectiveClusters float64 // m*: effective number of clusters of the hypothesis
	Statistic         float64 // b'b; the larger, the farther from the hypothesis
	P                 float64 // NaN where there is none
	SE                float64 // of P by drawing; 0 where all signs were gone through
	Exact             bool    // whether they were
	Tried             int     // how many were
	Warnings          []stats.Warning
}

// scores are the contributions of clusters to b and K, and their leverage h_g.
type scores struct {
	q, p          int         // columns of T and X
	contributions [][]float64 // of each cluster: b_g, then T_g'X_g row by row
	leverage      []float64   // h_g
}

// effectiveClusters is m*, the effective number of clusters.
func (c *scores) effectiveClusters() float64 { return 1 / dot(c.leverage, c.leverage) }

// signFlipTest is the test of the hypothesis.
func (n *nullFit) signFlipTest(s Sample, o SignFlips) Score {
	if len(n.tested) == 0 {
		return missingScore(noInformation)
	}
	c, ok := n.scores(s)
	if !ok {
		return missingScore(noNullFit)
	}
	if len(c.contributions) == 1 {
		return missingScore(oneCluster)
	}
	if o.Replicates == 0 {
		o.Replicates = 1999
	}
	o.Replicates = min(o.Replicates, max(199, mostAdditions/(len(c.contributions)*len(c.contributions[0]))))
	sums := permute.NewSignedSums(c.contributions)
	seen := c.statistic(sums.At(make([]int, len(c.contributions)-1)))
	r := sums.Test(permute.Options{Seed: o.Seed, Replicates: o.Replicates, Limit: mostArrangements}, func(sum []float64) float64 {
		v := c.statistic(sum)
		if math.Abs(v-seen) <= equalWithin*seen {
			return seen
		}
		return v
	})
	t := Score{DF: c.q, EffectiveClusters: c.effectiveClusters(), Statistic: r.Statistic, P: r.P, SE: r.SE, Exact: r.Exact, Tried: r.Tried, Warnings: r.Warnings}
	if t.EffectiveClusters < fewEffectiveClusters {
		t.Warnings = append(t.Warnings, fewEffective(t.EffectiveClusters, len(c.contributions)))
	}
	return t
}

func (n *nullFit) scores(s Sample) (*scores, bool) {
	q := len(n.tested)
	whole := likelihood{q: n.q, y: n.y}
	turn := whiteningTransform(whole.expected(n.maximum), n.tested)
	if turn == nil {
		return nil, false
	}
	r, columns := turn.Dims()
	cluster, m := s.clusters(n.rows)
	c := &scores{q: q, p: r - q, contributions: make([][]float64, m), leverage: make([]float64, m)}
	weights := make([]*mat.Dense, m) // sum of T_i x_i' over rows x_i of sqrt(W) Q
	for g := range m {
		c.contributions[g], weights[g] = make([]float64, q*(1+c.p)), mat.NewDense(q, columns, nil)
	}
	row := make([]float64, columns)
	for i, mu := range n.maximum.mu {
		variance := mu * (1 + n.maximum.alpha*mu)
		for k, column := range n.q {
			row[k] = mu / math.Sqrt(variance) * column[i]
		}
		g := cluster[i]
		for k := range q {
			t := dot(turn.RawRowView(k), row)
			c.contributions[g][k] += t * (n.y[i] - mu) / math.Sqrt(variance)
			c.leverage[g] += t * t / float64(q)
			axpy(t, row, weights[g].RawRowView(k))
		}
	}
	if c.p > 0 {
		x := turn.Slice(q, r, 0, columns).T()
		for g := range m {
			mat.NewDense(q, c.p, c.contributions[g][q:]).Mul(weights[g], x)
		}
	}
	return c, true
}

// whiteningTransform takes rows of Q to coordinates in which the information is the
// identity and the first axes span the combinations given. Directions
// without information are left out: those of cells whose density a fit has
// all but sent to 0, though not those in which there is as little left as a
// maximization leaves. It is nil if the combinations lie there.
func whiteningTransform(information *mat.SymDense, combinations [][]float64) *mat.Dense {
	var e mat.EigenSym
	if !e.Factorize(information, true) {
		return nil
	}
	var axes mat.Dense
	e.VectorsTo(&axes)
	values := e.Values(nil)
	most, size := values[len(values)-1], len(values)
	lost := 0
	for lost < size && !(values[lost] > leastInformation*most) {
		lost++
	}
	if size-lost < len(combinations) {
		return nil
	}
	whiten := mat.DenseCopyOf(axes.Slice(0, size, lost, size).T())
	for k, v := range values[lost:] {
		blas64.Scal(1/math.Sqrt(v), vector(whiten.RawRowView(k)))
	}
	x := mat.NewDense(size-lost, len(combinations), nil)
	for k, t := range combinations {
		for j := range lost {
			if math.Abs(dot(mat.Col(nil, j, &axes), t)) > 1e-6*norm(t) {
				return nil
			}
		}
		var own mat.VecDense
		own.MulVec(whiten, mat.NewVecDense(size, t))
		x.SetCol(k, own.RawVector().Data)
	}
	var qr mat.QR
	qr.Factorize(x)
	var turned, turn mat.Dense
	qr.QTo(&turned)
	turn.Mul(turned.T(), whiten)
	return &turn
}

// leastInformation is the share of the largest eigenvalue of the information below
// which one counts as 0. A cell that is sent to 0 is left with some 1e-10, one that
// is sent there twice over with its square, and rounding leaves 1e-16.
const leastInformation = 1e-13

// statistic is b'V^-1 b of the sums over clusters, by the Cholesky factor of V
// without the directions in which V is 0. It works in the place of the sums.
func (c *scores) statistic(sums []float64) float64 {
	b, k := sums[:c.q], sums[c.q:]
	var total float64
	low := make([]float64, c.q*c.q)
	for i := range c.q {
		for j := range i + 1 {
			v := -dot(k[i*c.p:(i+1)*c.p], k[j*c.p:(j+1)*c.p]) - dot(low[i*c.q:i*c.q+j], low[j*c.q:j*c.q+j])
			if i == j {
				low[i*c.q+i] = math.Sqrt(max(1+v, 0))
			} else if pivot := low[j*c.q+j]; pivot > leastPivot {
				low[i*c.q+j] = v / pivot
			}
		}
		if pivot := low[i*c.q+i]; pivot > leastPivot {
			b[i] = (b[i] - dot(low[i*c.q:i*c.q+i], b[:i])) / pivot
			total += b[i] * b[i]
		} else {
			b[i] = 0
		}
	}
	if total < zeroStatistic {
		return 0
	}
	return total
}

// zeroStatistic is the largest statistic that counts as 0: a maximization ends within
// a ten-thousandth of a standard deviation.
const zeroStatistic = 1e-8

// leastPivot is the Cholesky pivot of V below which V is singular but for rounding.
const leastPivot = 1e-4
