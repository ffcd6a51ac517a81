package regress

import (
	"encoding/binary"
	"math"

	"gonum.org/v1/gonum/mat"

	"ashtally/stats/regress/terms"
)

// recession has the directions of recession of the likelihood, along which it rises
// without a maximum, and the rows whose mean goes to 0 along them.
type recession struct {
	zero       []bool
	directions [][]float64 // in the coefficients
}

// finiteRows are the rows of the finite part, whose mean is above 0.
func (r recession) finiteRows() []int {
	var rows []int
	for i, zero := range r.zero {
		if !zero {
			rows = append(rows, i)
		}
	}
	return rows
}

// sign is that of the estimate of a linear combination on the boundary: -1 where
// exp(c'b) is 0, 1 where it is infinite, 0 where it is finite.
func (r recession) sign(c []float64) int {
	for _, d := range r.directions {
		v := dot(c, d)
		switch limit := tolerance * norm(c) * norm(d); {
		case v < -limit:
			return -1
		case v > limit:
			return 1
		}
	}
	return 0
}

// findRecession finds the directions of recession of a likelihood. They lie where no row
// with finds is moved: in the null space N of those rows. A row without finds
// is then a vector a_i = N'x_i, and by Stiemke's lemma either some z has
// a_i'z >= 0 everywhere and > 0 somewhere, so that -Nz is a direction, or some
// weights w_i > 0 have sum_i w_i a_i = 0. [stiemke] tells which. What one
// direction leaves where it was, another may still move.
func findRecession(d *terms.Design, count []float64) recession {
	r := recession{zero: make([]bool, d.Rows)}
	var with, without []int
	for i, y := range count {
		if y > 0 {
			with = append(with, i)
		} else {
			without = append(without, i)
		}
	}
	null := nullSpace(newBasis(d, with))
	if len(null) == 0 || len(without) == 0 {
		return r
	}
	rows := distinct(d, without)
	for len(rows) > 0 {
		var moved []group
		var vectors [][]float64
		for _, g := range rows {
			if a, ok := along(null, d.At(g.rows[0])); ok {
				moved, vectors = append(moved, g), append(vectors, a)
			}
		}
		z := stiemke(vectors, len(null))
		if z == nil {
			return r
		}
		r.directions = append(r.directions, combine(null, z))
		rows = rows[:0:0]
		for i, g := range moved {
			if dot(vectors[i], z) <= tolerance {
				rows = append(rows, g)
				continue
			}
			for _, at := range g.rows {
				r.zero[at] = true
			}
		}
	}
	return r
}

// nullSpace has a vector for each column of X that is a combination of others.
func nullSpace(b *basis) [][]float64 {
	var null [][]float64
	for _, j := range b.aliasedColumns() {
		v := make([]float64, len(b.r))
		v[j] = 1
		for k, c := range b.combination(j) {
			v[b.kept[k]] = -c
		}
		null = append(null, v)
	}
	return null
}

// group is rows of X that are the same.
type group struct{ rows []int }

// distinct gathers the rows that are the same, in order of appearance.
func distinct(d *terms.Design, rows []int) []group {
	var groups []group
	at := map[string]int{}
	key := make([]byte, 8*d.Columns)
	for _, row := range rows {
		for j, x := range d.At(row) {
			binary.LittleEndian.PutUint64(key[8*j:], math.Float64bits(x))
		}
		g, ok := at[string(key)]
		if !ok {
			g = len(groups)
			at[string(key)] = g
			groups = append(groups, group{})
		}
		groups[g].rows = append(groups[g].rows, row)
	}
	return groups
}

// along is N'x of a row, scaled to norm 1; not ok where it is 0.
func along(null [][]float64, row []float64) ([]float64, bool) {
	a := make([]float64, len(null))
	size := 0.0
	for k, v := range null {
		a[k] = dot(v, row)
		size = max(size, norm(v)*norm(row))
	}
	length := norm(a)
	if length <= tolerance*size {
		return nil, false
	}
	for k := range a {
		a[k] /= length
	}
	return a, true
}

// combine is -Nz.
func combine(null [][]float64, z []float64) []float64 {
	d := make([]float64, len(null[0]))
	for k, v := range null {
		axpy(-z[k], v, d)
	}
	return d
}

// stiemke returns a z of length 1 with a_i'z >= 0 for every i and > 0 for some,
// or nil if there is none. It is what is left of
//
//	min | sum_i w_i a_i |, w_i >= 1
//
// for there the gradient a_i'z is 0 where w_i > 1 and not below 0 elsewhere.
// The minimum is found by Lawson & Hanson's active sets (1974, Solving Least
// Squares Problems, chapter 23), which end after finitely many steps.
func stiemke(a [][]float64, dim int) []float64 {
	rest := make([]float64, dim) // sum of w_i a_i
	for _, v := range a {
		axpy(1, v, rest)
	}
	start := append([]float64{}, rest...)
	whole := math.Sqrt(float64(len(a)))
	var free []int
	extra := map[int]float64{} // w_i - 1
	for range 20 * (len(a) + dim) {
		if norm(rest) <= tolerance*whole {
			return nil
		}
		worst, at := -1e-9*norm(rest), -1
		for i, v := range a {
			if g := dot(v, rest); g < worst {
				worst, at = g, i
			}
		}
		if at < 0 {
			break
		}
		free, extra = enter(a, start, append(free, at), extra)
		copy(rest, start)
		for _, i := range free {
			axpy(extra[i], a[i], rest)
		}
	}
	length := norm(rest)
	for k := range rest {
		rest[k] /= length
	}
	return verified(a, rest)
}

// verified returns z if it fulfils the conditions of [stiemke], and nil otherwise: a
// search that rounding ended early must not send rows to 0.
func verified(a [][]float64, z []float64) []float64 {
	forward := false
	for _, v := range a {
		g := dot(v, z)
		if g < -tolerance {
			return nil
		}
		forward = forward || g > tolerance
	}
	if !forward {
		return nil
	}
	return z
}

// enter solves for the free weights of the active-set method, and fixes those that
// would fall below their bound on the way from the last solution.
func enter(a [][]float64, start []float64, free []int, extra map[int]float64) ([]int, map[int]float64) {
	for {
		want := leastSquares(a, start, free)
		share, hit := 1.0, -1
		for k, i := range free {
			if want[k] <= 0 {
				if s := extra[i] / (extra[i] - want[k]); s < share || hit < 0 {
					share, hit = s, k
				}
			}
		}
		next := map[int]float64{}
		for k, i := range free {
			next[i] = extra[i] + share*(want[k]-extra[i])
		}
		extra = next
		if hit < 0 {
			return free, extra
		}
		delete(extra, free[hit])
		free = append(append([]int{}, free[:hit]...), free[hit+1:]...)
		if len(free) == 0 {
			return free, extra
		}
	}
}

// leastSquares are the weights v of min | start + sum_k v_k a_free(k) |.
func leastSquares(a [][]float64, start []float64, free []int) []float64 {
	m := mat.NewDense(len(start), len(free), nil)
	for k, i := range free {
		m.SetCol(k, a[i])
	}
	right := mat.NewVecDense(len(start), nil)
	right.ScaleVec(-1, mat.NewVecDense(len(start), start))
	var svd mat.SVD
	svd.Factorize(m, mat.SVDThin)
	var v mat.VecDense
	svd.SolveVecTo(&v, right, max(1, svd.Rank(1e-10)))
	return v.RawVector().Data
}
