package season

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"ashtally/stats/detect/optimum"
)

// bearing is what one cluster says of the parameters that it touches: those
// that all share and the heights of its own cells. Of the others it says
// nothing, so that all there is to do with it is as small as that.
type bearing struct {
	on       []int // the parameters
	score    *mat.VecDense
	observed *mat.SymDense // its part of the observed information
	expected *mat.SymDense // and of the expected
}

// bearings lists those of the clusters at the maximum.
func (m *model) bearings(x []float64) []bearing {
	list := make([]bearing, m.data.clusters)
	gradient, hessian, expected := make([]float64, m.mean+1), matrix(m.mean+1, m.mean+1), matrix(m.mean, m.mean)
	c, alpha := m.curveOf(x), x[m.alpha]
	for k, members := range m.byCluster() {
		for _, i := range members {
			v := &m.visits[i]
			l := m.logMean(v, c, x[m.heights+v.cell])
			m.addVisit(v, &l, alpha, gradient, hessian)
			m.addExpected(v, &l, alpha, expected)
		}
		on := m.touched(members)
		list[k] = bearing{on, mat.NewVecDense(len(on), take(gradient, on)), part(hessian, on, -1), part(expected, on, 1)}
		m.forget(on, gradient, hessian, expected)
	}
	return list
}

// touched are the parameters of the mean that some visits depend on, in order.
func (m *model) touched(members []int) []int {
	on := make([]int, m.shared, m.shared+2)
	for i := range on {
		on[i] = i
	}
	for _, i := range members {
		on = append(on, m.heights+m.visits[i].cell)
	}
	slices.Sort(on)
	return slices.Compact(on)
}

// addExpected adds a visit's part of the expected information.
func (m *model) addExpected(v *visit, l *logMean, alpha float64, information [][]float64) {
	mu := math.Exp(l.value)
	weight := mu / (1 + alpha*mu)
	at, first := m.slots(v, l)
	for i, a := range at {
		for j, b := range at {
			if a >= 0 && b >= 0 {
				information[a][b] += weight * first[i] * first[j]
			}
		}
	}
}

// forget clears what the visits of a cluster wrote.
func (m *model) forget(on []int, gradient []float64, hessian, expected [][]float64) {
	clear(gradient)
	clear(hessian[m.alpha])
	for _, i := range on {
		clear(hessian[i])
		clear(expected[i])
	}
}

func take(x []float64, on []int) []float64 {
	out := make([]float64, len(on))
	for i, a := range on {
		out[i] = x[a]
	}
	return out
}

// part is the rows and columns on of a symmetric matrix, times a number.
func part(a [][]float64, on []int, by float64) *mat.SymDense {
	out := mat.NewSymDense(len(on), nil)
	for i, r := range on {
		for j := range i + 1 {
			out.SetSym(i, j, by*a[r][on[j]])
		}
	}
	return out
}

// influence is what each cluster does to the parameters of the mean.
type influence struct {
	// leftOut is what leaving each cluster out changes, halfway the same with the
	// square root of its correction: the d_c and e_c of the package comment.
	leftOut, halfway [][]float64

	clusters []bearing
	roots    []*mat.Dense // the square root of each cluster's correction
	// inverses of the information
	observed, expected [][]float64
}

// influence is nil where the information is singular.
func (m *model) influence(o optimum.Optimum) *influence {
	n := m.mean
	observed, expected := matrix(n, n), matrix(n, n)
	for i := range n {
		for j := range n {
			observed[i][j] = -o.Hessian[i][j]
		}
	}
	f := &influence{clusters: m.bearings(o.X)}
	for _, b := range f.clusters {
		for i, r := range b.on {
			for j, c := range b.on {
				expected[r][c] += b.expected.At(i, j)
			}
		}
	}
	f.observed, f.expected = optimum.Inverse(observed), optimum.Inverse(expected)
	if f.observed == nil || f.expected == nil {
		return nil
	}
	for i := range f.clusters {
		b := &f.clusters[i]
		whole, root := corrections(b.observed, part(f.observed, b.on, 1))
		f.leftOut = append(f.leftOut, b.moves(f.observed, whole))
		f.halfway = append(f.halfway, b.moves(f.observed, root))
		f.roots = append(f.roots, root)
	}
	return f
}

// moves is A^-1 M s_c, with M a correction of the score.
func (b *bearing) moves(inverse [][]float64, correction mat.Matrix) []float64 {
	var score mat.VecDense
	score.MulVec(correction, b.score)
	out := make([]float64, len(inverse))
	for i := range out {
		for j, a := range b.on {
			out[i] += inverse[i][a] * score.AtVec(j)
		}
	}
	return out
}

// corrections are (I - A_c C)^-1 and its square root, with A_c a cluster's part of
// the information and C that of the inverse of all on the parameters that the
// cluster touches; with the first, A^-1 s_c becomes (A - A_c)^-1 s_c. With L L' = C,
// A_c C is similar to L' A_c L, which is symmetric, so that powers of the one
// are those of the other's eigenvalues. A cluster without which a parameter could
// not be told is left without correction, which is too small and never wild.
func corrections(own, all *mat.SymDense) (whole, root *mat.Dense) {
	none := identity(own.SymmetricDim())
	var chol mat.Cholesky
	if !chol.Factorize(all) {
		return none, none
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	var q mat.Dense
	q.Mul(own, &lower)
	q.Mul(lower.T(), &q)
	var eigen mat.EigenSym
	if !eigen.Factorize(symmetric(&q), true) {
		return none, none
	}
	values := eigen.Values(nil) // ascending
	if values[len(values)-1] > 1-leastLeft {
		return none, none
	}
	eigen.VectorsTo(&q)
	var left mat.Dense
	if left.Solve(lower.T(), &q) != nil {
		return none, none
	}
	return power(&left, &q, &lower, values, -1), power(&left, &q, &lower, values, -0.5)
}

// power is L'^-1 U (1 - values)^by U' L', with left the first two of them.
func power(left, vectors *mat.Dense, lower *mat.TriDense, values []float64, by float64) *mat.Dense {
	var right, out mat.Dense
	right.Mul(vectors.T(), lower.T())
	for i, v := range values {
		row := right.RawRowView(i)
		for j := range row {
			row[j] *= math.Pow(1-v, by)
		}
	}
	out.Mul(left, &right)
	return &out
}

// leastLeft is the share of the information on a combination of parameters that
// must be left without a cluster: of less, rounding leaves no digit.
const leastLeft = 1e-12

func identity(n int) *mat.Dense {
	a := mat.NewDense(n, n, nil)
	for i := range n {
		a.Set(i, i, 1)
	}
	return a
}

func symmetric(a mat.Matrix) *mat.SymDense {
	n, _ := a.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			s.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	return s
}
