package regress

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"

	"ashtally/stats/regress/terms"
)

// aliasTolerance is the share of a column's norm below which what is left of it,
// orthogonal to the columns before, makes it aliased. Columns of levels leave 0 or a share
// above 1e-3; rounding leaves 1e-15. R's lm draws the line at 1e-7.
const aliasTolerance = 1e-9

// basis is the QR decomposition of some rows of the design matrix, X = Q R: an
// orthonormal basis of its column space.
type basis struct {
	q    [][]float64 // columns of Q
	r    [][]float64 // for each column of X, its coordinates in Q
	kept []int       // the column of X that brought each column of Q
}

func (b *basis) rank() int { return len(b.q) }

// newBasis is the QR decomposition by Gram-Schmidt with reorthogonalization, in the
// order of the columns; those that are linear combinations of earlier ones are
// aliased and left out (Björck 1996, Numerical
// Methods for Least Squares Problems, section 2.4.5).
func newBasis(d *terms.Design, rows []int) *basis {
	b := &basis{r: make([][]float64, d.Columns)}
	for j := range d.Columns {
		column := make([]float64, len(rows))
		for i, row := range rows {
			column[i] = d.X[row*d.Columns+j]
		}
		before := norm(column)
		coordinates := make([]float64, len(b.q), len(b.q)+1)
		for range 2 {
			for k, q := range b.q {
				c := dot(q, column)
				coordinates[k] += c
				axpy(-c, q, column)
			}
		}
		if left := norm(column); left > aliasTolerance*before && left > 0 {
			blas64.Scal(1/left, vector(column))
			b.q = append(b.q, column)
			b.kept = append(b.kept, j)
			coordinates = append(coordinates, left)
		}
		b.r[j] = coordinates
	}
	for j := range b.r { // pad to the full rank
		b.r[j] = append(b.r[j], make([]float64, len(b.q)-len(b.r[j]))...)
	}
	return b
}

// reduce solves R't = c: the linear combination c'b of the coefficients in
// coordinates of Q. It is not ok where c'b is not estimable.
func (b *basis) reduce(c []float64) (t []float64, ok bool) {
	t = make([]float64, b.rank())
	size := 0.0
	for k, j := range b.kept { // R' t = c from the top
		t[k] = (c[j] - dot(b.r[j][:k], t[:k])) / b.r[j][k]
	}
	for _, v := range c {
		size = max(size, math.Abs(v))
	}
	for j, r := range b.r {
		if math.Abs(dot(r, t)-c[j]) > tolerance*max(size, norm(r)*norm(t)) {
			return nil, false
		}
	}
	return t, true
}

// tolerance is what counts as 0 after sums over the columns.
const tolerance = 1e-7

// combination are the coefficients of column j of X in the kept columns: X_j =
// sum_k c_k X_kept(k).
func (b *basis) combination(j int) []float64 {
	c := append([]float64{}, b.r[j]...)
	for k := b.rank() - 1; k >= 0; k-- {
		own := b.r[b.kept[k]]
		c[k] /= own[k]
		axpy(-c[k], own[:k], c[:k])
	}
	return c
}

// aliasedColumns are the columns of X that are combinations of others.
func (b *basis) aliasedColumns() []int {
	var out []int
	next := 0
	for j := range b.r {
		if next < len(b.kept) && b.kept[next] == j {
			next++
			continue
		}
		out = append(out, j)
	}
	return out
}

func vector(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Data: x, Inc: 1} }
func dot(x, y []float64) float64       { return floats.Dot(x, y) }
func norm(x []float64) float64         { return blas64.Nrm2(vector(x)) }

// axpy adds a x to y.
func axpy(a float64, x, y []float64) {
	if a != 0 {
		floats.AddScaled(y, a, x)
	}
}

func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}
