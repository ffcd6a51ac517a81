package season

import (
	"iter"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
)

// contribution is what one cluster says of the parameters that it touches: those
// that all share and the heights of its own cells. Of the others it says
// nothing, so that all there is to do with it is as small as that.
type contribution struct {
	on       []int // the parameters
	score    []float64
	observed [][]float64 // its part of the observed information
	expected [][]float64 // and of the expected
}

// contributions are those of the clusters at the maximum, one after the other: of many
// clusters, all parts of the information take more memory than all else.
func (m *maximum) contributions() iter.Seq2[int, contribution] {
	return func(yield func(int, contribution) bool) {
		c, alpha := m.curveOf(m.X), m.X[m.alpha]
		var mean logMean
		at := make([]int, m.mean) // of each parameter, in those of the cluster
		var early, late slab      // for what is asked for once, and later
		var last []int            // parameters of the cluster before
		for k, members := range stats.Gather(len(m.visits), m.clusters, func(i int) int { return m.visits[i].cluster }) {
			if on := m.touched(members); !slices.Equal(on, last) {
				last = on
			}
			b := contribution{last, early.vector(len(last)), early.matrix(len(last)), late.matrix(len(last))}
			for i, p := range b.on {
				at[p] = i
			}
			for _, i := range members {
				v := &m.visits[i]
				m.expect(&m.places[v.place], &c, &mean)
				w := v.weigh(mean.value+m.X[m.heights+v.cell], alpha)
				b.add(&mean, m.shared, at[m.heights+v.cell], w)
			}
			if !yield(k, b) {
				return
			}
		}
	}
}

// weigh is what the visit alone brings.
func (v *visit) weigh(logMean, alpha float64) weight {
	one := tally{visits: 1, count: v.count}
	return one.weigh(logMean+v.logExposure, alpha)
}

// add adds a visit, whose height is the parameter at of the cluster.
func (b *contribution) add(mean *logMean, shared, at int, w weight) {
	for i := range shared {
		b.score[i] += w.slope * mean.first[i]
		for j := range i + 1 {
			cross := mean.first[i] * mean.first[j]
			b.observed[i][j] -= w.second*cross + w.slope*mean.second[i][j]
			b.expected[i][j] += w.expected * cross
			b.observed[j][i], b.expected[j][i] = b.observed[i][j], b.expected[i][j]
		}
		b.observed[at][i] -= w.second * mean.first[i]
		b.expected[at][i] += w.expected * mean.first[i]
		b.observed[i][at], b.expected[i][at] = b.observed[at][i], b.expected[at][i]
	}
	b.score[at] += w.slope
	b.observed[at][at] -= w.second
	b.expected[at][at] += w.expected
}

// touched are the parameters of the mean that some visits depend on, in order.
func (m *model) touched(members []int) []int {
	on := make([]int, m.shared, m.shared+2)
	for i := range on {
		on[i] = i
	}
	last := -1
	for _, i := range members {
		if cell := m.visits[i].cell; cell != last {
			on, last = append(on, m.heights+cell), cell
		}
	}
	slices.Sort(on)
	return slices.Compact(on)
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

	clusters    []contribution
	corrections []correction
	// inverses of the information
	observed, expected [][]float64
}

// influence is nil where the information is singular.
func (m *maximum) influence() *influence {
	n := m.mean
	observed, expected := matrix(n, n), matrix(n, n)
	for i := range n {
		for j := range n {
			observed[i][j] = -m.Hessian[i][j]
		}
	}
	f := &influence{observed: optimum.Inverse(observed), clusters: make([]contribution, m.clusters)}
	if f.observed == nil {
		return nil
	}
	f.leftOut, f.halfway, f.corrections = make([][]float64, m.clusters), make([][]float64, m.clusters), make([]correction, m.clusters)
	var early, late slab
	var on []int // of the cluster before
	var all [][]float64
	for i, b := range m.contributions() {
		for i, r := range b.on {
			for j, c := range b.on {
				expected[r][c] += b.expected[i][j]
			}
		}
		if !slices.Equal(on, b.on) {
			on, all = b.on, part(f.observed, b.on, 1)
		}
		c := newCorrection(b.observed, all, &early)
		f.leftOut[i], f.halfway[i] = late.vector(n), early.vector(n)
		b.moves(f.leftOut[i], f.observed, c.whole(b.score))
		b.moves(f.halfway[i], f.observed, c.root(b.score))
		f.corrections[i] = c
		b.observed, b.score = nil, nil // which nothing asks for later
		f.clusters[i] = b
	}
	if f.expected = optimum.Inverse(expected); f.expected == nil {
		return nil
	}
	return f
}

// moves adds A^-1 s to out, with s a score of the cluster, corrected or not.
func (b *contribution) moves(out []float64, inverse [][]float64, score []float64) {
	for i, row := range inverse {
		for j, a := range b.on {
			out[i] += row[a] * score[j]
		}
	}
}
