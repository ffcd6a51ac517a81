package season

import (
	"iter"
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
)

// contribution is what one cluster says of the parameters that it touches: those
// that all share, which come first, and the heights of its own cells. Of the others it
// says nothing, so that all there is to do with it is as small as that.
type contribution struct {
	on       []int // the parameters
	score    []float64
	observed block // its part of the observed information
	expected block // and of the expected
}

// contributions are those of the clusters at the maximum, one after the other, each
// valid until the next: of many clusters, all parts of the information take more memory
// than all else.
func (m *maximum) contributions() iter.Seq2[int, contribution] {
	return func(yield func(int, contribution) bool) {
		means, alpha := m.means(), m.X[m.alpha]
		at := make([]int, m.mean) // of each parameter, in those of the cluster
		var b contribution
		var touched []int
		for k, members := range stats.Gather(len(m.visits), m.clusters, func(i int32) int { return m.visits[i].cluster }) {
			if touched = m.touched(members, touched[:0]); !slices.Equal(touched, b.on) {
				n := len(touched)
				b = contribution{slices.Clone(touched), make([]float64, n), newBlock(n), newBlock(n)}
				for i, p := range b.on {
					at[p] = i
				}
			}
			b.clear()
			for _, i := range members {
				v := &m.visits[i]
				mean := means(v.place)
				b.add(mean, m.shared, at[m.heights+v.cell], v.weigh(mean.value+m.X[m.heights+v.cell], alpha))
			}
			b.observed.mirror()
			b.expected.mirror()
			if !yield(k, b) {
				return
			}
		}
	}
}

// means are those of the places of a maximum, each worked out once if many visits share
// it, and valid until the next one is asked for.
func (m *maximum) means() func(place int) *logMean {
	c := m.curveOf(m.X)
	var of logIntegral
	if 2*len(m.places) > len(m.visits) {
		var one logMean
		return func(at int) *logMean {
			m.expect(&m.places[at], &c, &of, &one)
			return &one
		}
	}
	all := make([]logMean, len(m.places))
	for i := range all {
		m.expect(&m.places[i], &c, &of, &all[i])
	}
	return func(at int) *logMean { return &all[at] }
}

// weigh is what the visit alone brings to the derivatives by the logarithm of the mean.
func (v *visit) weigh(logMean, alpha float64) weight {
	mu := math.Exp(logMean + v.logExposure)
	q := 1 + alpha*mu
	share := mu / q
	return weight{slope: (v.count - mu) / q, second: -share * (1 + alpha*v.count) / q, expected: share}
}

func (b *contribution) clear() {
	clear(b.score)
	clear(b.observed.at)
	clear(b.expected.at)
}

// add adds a visit, whose height is the parameter at of the cluster, to the score and to
// the information on and below the diagonal.
func (b *contribution) add(mean *logMean, shared, at int, w weight) {
	observed, expected := b.observed.row(at), b.expected.row(at)
	for i := range shared {
		first, second := mean.first[i], &mean.second[i]
		b.score[i] += w.slope * first
		o, e := b.observed.row(i), b.expected.row(i)
		for j := range i + 1 {
			cross := first * mean.first[j]
			o[j] -= w.second*cross + w.slope*second[j]
			e[j] += w.expected * cross
		}
		observed[i] -= w.second * first
		expected[i] += w.expected * first
	}
	b.score[at] += w.slope
	observed[at] -= w.second
	expected[at] += w.expected
}

// touched adds the parameters of the mean that some visits depend on to a list, in order.
func (m *model) touched(members []int32, on []int) []int {
	for i := range m.shared {
		on = append(on, i)
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

// take sets out to some of x.
func take(out, x []float64, on []int) {
	for i, a := range on {
		out[i] = x[a]
	}
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
	// leftOut is what leaving each cluster out changes in the parameters that the cells
	// share; the d_c of the package comment.
	leftOut [][]float64

	// For the shifts alone: halfway are the e_c of the package comment.
	halfway     [][]float64
	clusters    []clusterPull
	observed    [][]float64 // inverses of the information
	expected    [][]float64
	mostTouched int
}

// clusterPull is a cluster with its correction and its part of the expected information.
type clusterPull struct {
	on         []int
	expected   block
	correction correction
}

// influence is nil where the information is singular. shifts is whether the limits of
// delay and lead are asked for too.
func (m *maximum) influence(shifts bool) *influence {
	n := m.mean
	observed, expected := matrix(n, n), matrix(n, n)
	for i := range n {
		for j := range n {
			observed[i][j] = -m.Hessian[i][j]
		}
	}
	f := &influence{observed: optimum.Inverse(observed), leftOut: make([][]float64, m.clusters)}
	if f.observed == nil {
		return nil
	}
	if shifts {
		f.halfway, f.clusters = make([][]float64, m.clusters), make([]clusterPull, m.clusters)
	}
	var early, late slab // for what is asked for once, and later
	var on []int         // of the cluster before
	var all block
	var w workspace
	for k, b := range m.contributions() {
		for i, r := range b.on {
			row := b.expected.row(i)
			for j, c := range b.on {
				expected[r][c] += row[j]
			}
		}
		if !slices.Equal(on, b.on) {
			on, all = b.on, blockOf(part(f.observed, b.on, 1))
			w.resize(len(on))
			f.mostTouched = max(f.mostTouched, len(on))
		}
		c := w.correction(b.observed, all)
		f.leftOut[k] = late.vector(m.shared)
		b.moves(f.leftOut[k], f.observed, c.whole(b.score, &w))
		if shifts {
			f.halfway[k] = early.vector(m.shared)
			b.moves(f.halfway[k], f.observed, c.root(b.score, &w))
			c.leverage = c.leverage.clone(&early)
			f.clusters[k] = clusterPull{b.on, b.expected.clone(&early), c}
		}
	}
	if f.expected = optimum.Inverse(expected); f.expected == nil {
		return nil
	}
	return f
}

// moves adds A^-1 s to out, as far as the cells share it, with s a score of the cluster,
// corrected or not.
func (b *contribution) moves(out []float64, inverse [][]float64, score []float64) {
	for i := range out {
		row, sum := inverse[i], 0.0
		for j, a := range b.on {
			sum += row[a] * score[j]
		}
		out[i] = sum
	}
}
