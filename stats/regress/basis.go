package regress

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"

	"ashtally/stats/regress/terms"
)

// aliased is the share of a column's length that must be left once what the
// columns before it say is taken out. Columns of levels leave 0 or a share
// above 1e-3; rounding leaves 1e-15. R's lm draws the line at 1e-7.
const aliased = 1e-9

// basis is an orthonormal base Q of the space that the columns of X span, over
// some of its rows: X = Q R.
type basis struct {
	q    [][]float64 // columns of Q
	r    [][]float64 // for each column of X, its coordinates in Q
	kept []int       // the column of X that brought each column of Q
}

func (b *basis) rank() int { return len(b.q) }

// newBasis goes through the columns in order and keeps those that are not
// combinations of earlier ones: Gram and Schmidt's method, run twice over each
// column so that Q is orthogonal to the last digits (Björck 1996, Numerical
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
		if left := norm(column); left > aliased*before && left > 0 {
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

// reduce turns a combination c'b of the columns of X into one of the columns
// of Q. It is not ok where the rows do not say what c'b is.
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

// combination writes column j of X by the kept columns: X_j = sum_k c_k X_kept(k).
func (b *basis) combination(j int) []float64 {
	c := append([]float64{}, b.r[j]...)
	for k := b.rank() - 1; k >= 0; k-- {
		own := b.r[b.kept[k]]
		c[k] /= own[k]
		axpy(-c[k], own[:k], c[:k])
	}
	return c
}

// leaves are the columns of X that were not kept.
func (b *basis) leaves() []int {
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
func dot(x, y []float64) float64       { return blas64.Dot(vector(x), vector(y)) }
func norm(x []float64) float64         { return blas64.Nrm2(vector(x)) }
func axpy(a float64, x, y []float64)   { blas64.Axpy(a, vector(x), vector(y)) }
func every(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}
