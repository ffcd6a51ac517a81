package season

import (
	"math"
	"slices"

	"ashtally/stats/detect/optimum"
)

// bearing is what one cluster says of the parameters that it touches: those
// that all share and the heights of its own cells. Of the others it says
// nothing, so that all there is to do with it is as small as that.
type bearing struct {
	on       []int // the parameters
	score    []float64
	observed [][]float64 // its part of the observed information
	expected [][]float64 // and of the expected
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
		list[k] = bearing{on, take(gradient, on), part(hessian, on, -1), part(expected, on, 1)}
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

// part is the rows and columns on of a matrix, times a number.
func part(a [][]float64, on []int, by float64) [][]float64 {
	out := matrix(len(on), len(on))
	for i, r := range on {
		for j, c := range on {
			out[i][j] = by * a[r][c]
		}
	}
	return out
}

// influence is what each cluster does to the parameters of the mean.
type influence struct {
	// leftOut is what leaving each cluster out changes, halfway the same with the
	// square root of its correction: the d_c and e_c of the package comment.
	leftOut, halfway [][]float64

	clusters    []bearing
	corrections []correction
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
				expected[r][c] += b.expected[i][j]
			}
		}
	}
	f.observed, f.expected = optimum.Inverse(observed), optimum.Inverse(expected)
	if f.observed == nil || f.expected == nil {
		return nil
	}
	for i := range f.clusters {
		b := &f.clusters[i]
		c := newCorrection(b.observed, part(f.observed, b.on, 1))
		f.leftOut = append(f.leftOut, b.moves(f.observed, c.whole(b.score)))
		f.halfway = append(f.halfway, b.moves(f.observed, c.root(b.score)))
		f.corrections = append(f.corrections, c)
	}
	return f
}

// moves is A^-1 s, with s a score of the cluster, corrected or not.
func (b *bearing) moves(inverse [][]float64, score []float64) []float64 {
	out := make([]float64, len(inverse))
	for i, row := range inverse {
		for j, a := range b.on {
			out[i] += row[a] * score[j]
		}
	}
	return out
}
