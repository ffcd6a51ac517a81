package permute

import (
	"slices"

	"ashtally/stats/random"
)

// SignedSums adds vectors with signs: the sums of a test by sign flips, an arrangement
// of [Swaps] of one vector less.
type SignedSums struct {
	width  int
	whole  []float64 // the sum where no vector is turned round
	turned int       // vectors that may be turned round: all but the first, as all signs turned round change nothing
	change [][]row   // what turning each of these round adds, by columns
}

// NewSignedSums takes vectors of one length, at least one of them.
func NewSignedSums(vectors [][]float64) *SignedSums {
	s := &SignedSums{width: len(vectors[0]), whole: make([]float64, len(vectors[0])), turned: len(vectors) - 1}
	for _, v := range vectors {
		add(1, v, s.whole)
	}
	s.change = rowsOf(s.width, s.turned, func(i, k int) float64 { return -2 * vectors[1+i][k] })
	return s
}

// At is the sum where minus has 1 for each vector, after the first, that is
// turned round.
func (s *SignedSums) At(minus []int) []float64 {
	sum := slices.Clone(s.whole)
	for c, change := range s.change {
		for i, turned := range minus {
			if turned == 1 {
				addTo(sum[lanes*c:], &change[i])
			}
		}
	}
	return sum
}

// Test holds a statistic of the sums against those where vectors are turned round,
// as [Test] of [Swaps] does. The statistic may change the sum that it is given.
func (s *SignedSums) Test(o Options, statistic func(sum []float64) float64) Result {
	o = o.settled()
	scheme := Swaps(s.turned)
	of := func(minus []int) float64 { return statistic(s.At(minus)) }
	return hold(scheme, of(make([]int, s.turned)), func() ([]float64, bool) {
		if scheme.Size() <= o.Limit {
			return Values(scheme, o, of)
		}
		return s.drawn(o, statistic), false
	})
}

// drawn are the statistics of arrangements drawn, those that [Values] draws.
func (s *SignedSums) drawn(o Options, statistic func(sum []float64) float64) []float64 {
	out := make([]float64, o.Replicates)
	inBatches(o, func() func(first, n int) {
		some := newSigned(s)
		return func(first, n int) {
			some.draw(o.Seed, uint64(first), n)
			for r := range n {
				out[first+r] = statistic(some.sums[r*s.width:][:s.width])
			}
		}
	})
	return out
}

// signed is some arrangements and their sums.
type signed struct {
	*SignedSums
	signs  []uint64 // 1 where a vector is turned round; by word of 64 vectors, then arrangement
	added  []row
	sums   []float64
	tables tables
}

func newSigned(s *SignedSums) *signed {
	words := (s.turned + 63) / 64
	return &signed{SignedSums: s, signs: make([]uint64, together*words), added: make([]row, together), sums: make([]float64, together*s.width)}
}

// draw draws n replicates in a row.
func (s *signed) draw(seed, first uint64, n int) {
	var source random.Source
	for r := range n {
		source.Seed(seed, first+uint64(r))
		for left := s.turned; left > 0; left -= 64 {
			s.signs[(s.turned-left)/64*n+r] = source.Uint64() & (1<<min(64, left) - 1)
		}
		copy(s.sums[r*s.width:], s.whole)
	}
	added := s.added[:n]
	for c, change := range s.change {
		clear(added)
		s.tables.addAll(change, s.signs, added)
		for r, v := range added {
			addTo(s.sums[r*s.width:][lanes*c:s.width], &v)
		}
	}
}

// addTo adds a row to as many columns of sums.
func addTo(sums []float64, r *row) {
	for i := range min(lanes, len(sums)) {
		sums[i] += r[i]
	}
}

// add adds a times v to a sum.
func add(a float64, v, to []float64) {
	for i, x := range v {
		to[i] += a * x
	}
}
