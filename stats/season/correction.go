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
	leverage [][]float64 // A_c C

	// The correction and its square root; nil where the leverage is small and powers
	// of it serve, none where they are not to be had.
	full, half [][]float64
	none       bool
}

// smallLeverage is the size of the leverage under which powers of it are quicker than
// its eigenvalues: of 0.1, the sixteenth is beyond rounding.
const smallLeverage = 0.1

// leastLeft is the share of the information on a combination of parameters that
// must be left without a cluster: of less, rounding leaves no digit.
const leastLeft = 1e-12

// newCorrection finds the square root, where it must, by L L' = C: A_c C is
// similar to L' A_c L, which is symmetric, so that powers of the one are those
// of the other's eigenvalues. A cluster without which a parameter could not be
// told is left without correction, which is too small and never wild.
func newCorrection(own, all [][]float64, space *slab) correction {
	c := correction{leverage: space.matrix(len(own))}
	addProduct(c.leverage, own, all)
	var size float64
	for _, row := range c.leverage {
		size += dot(row, row)
	}
	if !(size > smallLeverage*smallLeverage) {
		return c
	}
	c.full, c.half = byEigenvalues(symmetric(own), symmetric(all))
	c.none = c.full == nil
	return c
}

// byEigenvalues is (I - A_c C)^-1 and its square root, nil where there is none.
func byEigenvalues(own, all *mat.SymDense) (full, half [][]float64) {
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
	if !eigen.Factorize(symmetric(rows(&q)), true) {
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
func power(left, vectors *mat.Dense, lower *mat.TriDense, values []float64, by float64) [][]float64 {
	var right, out mat.Dense
	right.Mul(vectors.T(), lower.T())
	for i, v := range values {
		row := right.RawRowView(i)
		for j := range row {
			row[j] *= math.Pow(1-v, by)
		}
	}
	out.Mul(left, &right)
	return rows(&out)
}

// whole is the corrected score, root that with the square root of the
// correction, and rootOf the latter's transpose on derivatives of a figure.
func (c *correction) whole(x []float64) []float64 { return c.on(x, c.full, 1, false) }
func (c *correction) root(x []float64) []float64  { return c.on(x, c.half, 0.5, false) }
func (c *correction) rootOf(x []float64) []float64 {
	return c.on(x, c.half, 0.5, true)
}

func (c *correction) on(x []float64, full [][]float64, by float64, turned bool) []float64 {
	switch {
	case c.none:
		return x
	case full != nil:
		out := make([]float64, len(x))
		into(out, full, x, turned)
		return out
	}
	return binomial(c.leverage, x, by, turned)
}

// binomial is (I - leverage)^-by x, or its transpose's, by the binomial series,
//
//	sum_k by (by + 1) ... (by + k - 1) / k! leverage^k x
func binomial(pull [][]float64, x []float64, by float64, turned bool) []float64 {
	n := len(x)
	var room [32]float64 // enough for most
	terms := room[:]
	if 2*n > len(terms) {
		terms = make([]float64, 2*n)
	}
	sum, term, next := make([]float64, n), terms[:n], terms[n:2*n]
	copy(sum, x)
	copy(term, x)
	for k := 1.0; k <= 16; k++ {
		into(next, pull, term, turned)
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
	return sum
}

// into sets out to a x, or to the transpose of a times x.
func into(out []float64, a [][]float64, x []float64, turned bool) {
	if !turned {
		for i := range out {
			out[i] = dot(a[i], x)
		}
		return
	}
	clear(out)
	for i, row := range a {
		for j, v := range row {
			out[j] += v * x[i]
		}
	}
}

func rows(a *mat.Dense) [][]float64 {
	n, _ := a.Dims()
	out := make([][]float64, n)
	for i := range out {
		out[i] = a.RawRowView(i)
	}
	return out
}

func symmetric(a [][]float64) *mat.SymDense {
	s := mat.NewSymDense(len(a), nil)
	for i := range a {
		for j := range i + 1 {
			s.SetSym(i, j, (a[i][j]+a[j][i])/2)
		}
	}
	return s
}
