package optimum

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// leastCurvature is the curvature, next to a diagonal of 1, that a direction
// without any is given. A step along it is then so long that the bounds or
// the line search end it, instead of a damping that would make it crawl.
const leastCurvature = 1e-8

// curvature is the negative Hessian of the Lagrangian, made positive definite,
// with its Cholesky factor; nil if it has entries that are not numbers.
//
// Where the function is not concave, it is scaled to a diagonal of 1, so that the
// units of a parameter do not matter, and the eigenvalues are replaced by their
// sizes: positive curvature is as good a guide to the length of a step as a
// negative. (Nocedal & Wright 2006, section 3.4.)
func (c *maximization) curvature() (b, l [][]float64) {
	n := len(c.at.x)
	b, l = square(n), square(n)
	for i := range n {
		for j := range n {
			b[i][j] = -c.at.hessian[i][j]
		}
	}
	c.addConstraintCurvature(b)
	if cholesky(l, b) {
		return b, l
	}
	if !straighten(b) || !cholesky(l, b) {
		return nil, nil
	}
	return b, l
}

// straighten makes b positive definite by the sizes of its eigenvalues.
func straighten(b [][]float64) bool {
	n := len(b)
	size := diagonalSize(b)
	scaled := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			v := b[i][j] / math.Sqrt(size[i]*size[j])
			if !isFinite(v) {
				return false
			}
			scaled.SetSym(i, j, v)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(scaled, true) {
		return false
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for i := range n {
		for j := range n {
			b[i][j] = 0
			for k, v := range values {
				b[i][j] += max(math.Abs(v), leastCurvature) * vectors.At(i, k) * vectors.At(j, k)
			}
			b[i][j] *= math.Sqrt(size[i] * size[j])
		}
	}
	return true
}

// diagonalSize is the size of each diagonal entry. A parameter without any
// takes the least of the others, or 1.
func diagonalSize(b [][]float64) []float64 {
	size := make([]float64, len(b))
	least := math.Inf(1)
	for i := range b {
		size[i] = math.Abs(b[i][i])
		if size[i] > 0 {
			least = min(least, size[i])
		}
	}
	if math.IsInf(least, 1) {
		least = 1
	}
	for i := range size {
		if size[i] == 0 {
			size[i] = least
		}
	}
	return size
}

// addConstraintCurvature adds sum_k m_k c_k”, by central differences of the
// gradients, for the multipliers of the last round. Without it the maximization along
// a curved constraint still arrives, but slowly.
func (c *maximization) addConstraintCurvature(b [][]float64) {
	active := false
	for _, m := range c.multipliers {
		active = active || m > 0
	}
	if !active {
		return
	}
	n := len(c.at.x)
	curvature := square(n)
	for j := range n {
		h := 1e-5 * (1 + math.Abs(c.at.x[j]))
		up, down := c.weighted(j, h), c.weighted(j, -h)
		for i := range n {
			curvature[i][j] = (up[i] - down[i]) / (2 * h)
		}
	}
	for i := range n {
		for j := range n {
			b[i][j] += (curvature[i][j] + curvature[j][i]) / 2
		}
	}
}

// weighted is sum_k m_k grad c_k with parameter j moved by h.
func (c *maximization) weighted(j int, h float64) []float64 {
	n := len(c.at.x)
	x := append([]float64(nil), c.at.x...)
	x[j] += h
	value, jacobian := make([]float64, c.Count), make([][]float64, c.Count)
	for k := range jacobian {
		jacobian[k] = make([]float64, n)
	}
	c.Constraints(x, value, jacobian)
	sum := make([]float64, n)
	for k, m := range c.multipliers {
		if m > 0 {
			addScaled(sum, m, jacobian[k])
		}
	}
	return sum
}

// result reads off what holds the maximization.
func (c *maximization) result(rounds int, doubt string) Optimum {
	o := Optimum{
		X: c.at.x, Value: c.at.value, Gradient: c.at.gradient, Hessian: c.at.hessian,
		AtBound: make([]bool, len(c.at.x)), Rounds: rounds, Converged: doubt == "", Doubt: doubt,
	}
	for i, x := range c.at.x {
		span := 1e-9 * (1 + math.Abs(x))
		o.AtBound[i] = x-c.Lower[i] <= span || c.Upper[i]-x <= span
	}
	for k, m := range c.multipliers {
		if m > 0 {
			o.Binding = append(o.Binding, k)
		}
	}
	return o
}
