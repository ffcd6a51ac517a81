package season

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// correction corrects for the leverage of a cluster on the fit, which makes its
// score too small. With A_c its part of the information, and C that of the
// inverse of all on the parameters that the cluster touches, the whole of it is
// (I - A_c C)^-1, which turns A^-1 s_c into (A - A_c)^-1 s_c.
type correction struct {
	leverage block // A_c C

	// The correction and its square root; nil where the leverage is small and powers
	// of it serve, none where they are not to be had.
	full, half *block
	none       bool
}

// smallLeverage is the size of the leverage under which powers of it are quicker than
// its eigenvalues: of 0.1, the sixteenth is beyond rounding.
const smallLeverage = 0.1

// leastLeft is the share of the information on a combination of parameters that
// must be left without a cluster: of less, rounding leaves no digit.
const leastLeft = 1e-12

// workspace is room for the corrections of clusters, one after the other.
type workspace struct {
	leverage              block
	corrected, term, next []float64
}

func (w *workspace) resize(n int) {
	*w = workspace{newBlock(n), make([]float64, n), make([]float64, n), make([]float64, n)}
}

// correction finds the square root, where it must, by L L' = C: A_c C is
// similar to L' A_c L, which is symmetric, so that powers of the one are those
// of the other's eigenvalues. A cluster without which a parameter could not be
// told is left without correction, which is too small and never wild. The leverage is
// that of the workspace.
func (w *workspace) correction(own, all block) correction {
	c := correction{leverage: w.leverage}
	c.leverage.product(own, all)
	var size float64
	for i := range own.n {
		row := c.leverage.row(i)
		size += dot(row, row)
	}
	if !(size > smallLeverage*smallLeverage) {
		return c
	}
	c.full, c.half = byEigenvalues(own.symmetric(), all.symmetric())
	c.none = c.full == nil
	return c
}

// byEigenvalues is (I - A_c C)^-1 and its square root, nil where there is none.
func byEigenvalues(own, all *mat.SymDense) (full, half *block) {
	var chol mat.Cholesky
	if !chol.Factorize(all) {
		return nil, nil
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	var q, left mat.Dense
	q.Mul(own, &lower)
	q.Mul(lower.T(), &q)
	var eigen mat.EigenSym
	if !eigen.Factorize(dense(&q).symmetric(), true) {
		return nil, nil
	}
	values := eigen.Values(nil) // ascending
	if values[len(values)-1] > 1-leastLeft {
		return nil, nil
	}
	eigen.VectorsTo(&q)
	if left.Solve(lower.T(), &q) != nil {
		return nil, nil
	}
	return power(&left, &q, &lower, values, -1), power(&left, &q, &lower, values, -0.5)
}

// power is L'^-1 U (1 - values)^by U' L', with left the first two of them.
func power(left, vectors *mat.Dense, lower *mat.TriDense, values []float64, by float64) *block {
	var right, out mat.Dense
	right.Mul(vectors.T(), lower.T())
	for i, v := range values {
		row := right.RawRowView(i)
		for j := range row {
			row[j] *= math.Pow(1-v, by)
		}
	}
	out.Mul(left, &right)
	return dense(&out)
}

// whole is the corrected score, root that with the square root of the
// correction, and rootOf the latter's transpose on derivatives of a figure. They are x
// itself or in the workspace, until the next.
func (c *correction) whole(x []float64, w *workspace) []float64 { return c.on(x, c.full, 1, false, w) }
func (c *correction) root(x []float64, w *workspace) []float64  { return c.on(x, c.half, 0.5, false, w) }
func (c *correction) rootOf(x []float64, w *workspace) []float64 {
	return c.on(x, c.half, 0.5, true, w)
}

func (c *correction) on(x []float64, full *block, by float64, turned bool, w *workspace) []float64 {
	if c.none {
		return x
	}
	out := w.corrected[:len(x)]
	if full != nil {
		full.times(out, x, turned)
	} else {
		c.binomial(out, x, by, turned, w)
	}
	return out
}

// binomial sets sum to (I - leverage)^-by x, or to its transpose's, by the binomial series,
//
//	sum_k by (by + 1) ... (by + k - 1) / k! leverage^k x
func (c *correction) binomial(sum, x []float64, by float64, turned bool, w *workspace) {
	n := len(x)
	term, next := w.term[:n], w.next[:n]
	copy(sum, x)
	copy(term, x)
	for k := 1.0; k <= 16; k++ {
		c.leverage.times(next, term, turned)
		term, next = next, term
		grown := false
		for i := range sum {
			term[i] *= (by + k - 1) / k
			before := sum[i]
			sum[i] += term[i]
			grown = grown || sum[i] != before
		}
		if !grown {
			break
		}
	}
}

func dense(a *mat.Dense) *block {
	n, _ := a.Dims()
	b := newBlock(n)
	for i := range n {
		copy(b.row(i), a.RawRowView(i))
	}
	return &b
}

func (b block) symmetric() *mat.SymDense {
	s := mat.NewSymDense(b.n, nil)
	for i := range b.n {
		for j := range i + 1 {
			s.SetSym(i, j, (b.row(i)[j]+b.row(j)[i])/2)
		}
	}
	return s
}
