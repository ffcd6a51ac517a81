package permute

import "ashtally/stats/random"

// SignedSums adds vectors with signs, a few at a time by tables of the sums that
// these can have: the sums of a test by sign flips, an arrangement of [Swaps] of
// one vector less.
type SignedSums struct {
	first  []float64   // keeps its sign: all signs turned round change nothing
	turned int         // vectors that may be turned round: all others
	atOnce int         // a power of 2
	tables [][]float64 // sum after sum, in the order of the bits that turn vectors round
}

// roomy is how many numbers the tables may hold: 32 MB.
const roomy = 4 << 20

// NewSignedSums takes vectors of one length, at least one of them.
func NewSignedSums(vectors [][]float64) *SignedSums {
	s := &SignedSums{first: vectors[0], turned: len(vectors) - 1, atOnce: 8}
	width := len(s.first)
	for s.atOnce > 1 && len(vectors)/s.atOnce*width<<s.atOnce > roomy {
		s.atOnce /= 2
	}
	for from := 1; from < len(vectors); from += s.atOnce {
		some := vectors[from:min(from+s.atOnce, len(vectors))]
		table := make([]float64, width<<len(some))
		for _, v := range some {
			add(1, v, table[:width])
		}
		for k, v := range some {
			half := width << k
			copy(table[half:], table[:half])
			for at := half; at < 2*half; at += width {
				add(-2, v, table[at:])
			}
		}
		s.tables = append(s.tables, table)
	}
	return s
}

// At is the sum where minus has 1 for each vector, after the first, that is
// turned round.
func (s *SignedSums) At(minus []int) []float64 {
	sum := append([]float64{}, s.first...)
	for t, table := range s.tables {
		i := 0
		for k, turned := range minus[t*s.atOnce : min((t+1)*s.atOnce, len(minus))] {
			i |= turned << k
		}
		for k, v := range table[i*len(sum):][:len(sum)] {
			sum[k] += v
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
			some.add(n)
			for r := range n {
				out[first+r] = statistic(some.sum(r))
			}
		}
	})
	return out
}

// signed is some arrangements and their sums.
type signed struct {
	*SignedSums
	words int      // of signs, 64 in each, of an arrangement
	signs []uint64 // 1 where a vector is turned round; by word, then arrangement
	sums  []float64
}

func newSigned(s *SignedSums) *signed {
	words := (s.turned + 63) / 64
	return &signed{SignedSums: s, words: words, signs: make([]uint64, together*words), sums: make([]float64, together*len(s.first))}
}

func (s *signed) sum(r int) []float64 { return s.sums[r*len(s.first):][:len(s.first)] }

// draw draws n replicates in a row.
func (s *signed) draw(seed, first uint64, n int) {
	var source random.Source
	for r := range n {
		source.Seed(seed, first+uint64(r))
		for w := range s.words {
			s.signs[w*together+r] = source.Uint64()
		}
	}
	if left := s.turned % 64; left > 0 {
		for r := range n {
			s.signs[(s.words-1)*together+r] &= 1<<left - 1
		}
	}
}

// add adds the vectors up, table by table; four at a time where vectors are long or tables
// small, so that the sums are read and written less often.
func (s *signed) add(n int) {
	for r := range n {
		copy(s.sum(r), s.first)
	}
	if len(s.first) == 2 {
		s.addPairs(n)
		return
	}
	const long, near = 16, 1024 // near: numbers in a table that stays in the nearest memory with three others
	few := len(s.first) < long && len(s.first)<<s.atOnce > near
	t := 0
	for ; !few && t+4 <= len(s.tables); t += 4 {
		for r := range n {
			a, b, c, d := s.row(t, r), s.row(t+1, r), s.row(t+2, r), s.row(t+3, r)
			sum := s.sum(r)
			a, b, c, d = a[:len(sum)], b[:len(sum)], c[:len(sum)], d[:len(sum)]
			for k, v := range sum {
				sum[k] = v + a[k] + b[k] + c[k] + d[k]
			}
		}
	}
	for ; t < len(s.tables); t++ {
		for r := range n {
			sum := s.sum(r)
			for k, v := range s.row(t, r)[:len(sum)] {
				sum[k] += v
			}
		}
	}
}

// addPairs adds up vectors of two numbers.
func (s *signed) addPairs(n int) {
	const width = 2
	mask := uint64(1)<<s.atOnce - 1
	for t, table := range s.tables {
		shift := t * s.atOnce % 64
		for r, signs := range s.signs[t*s.atOnce/64*together:][:n] {
			v := (*[width]float64)(table[width*int(signs>>shift&mask):])
			sum := (*[width]float64)(s.sums[width*r:])
			sum[0] += v[0]
			sum[1] += v[1]
		}
	}
}

// row is what the vectors of a table add up to in an arrangement.
func (s *signed) row(t, r int) []float64 {
	at := int(s.signs[t*s.atOnce/64*together+r]>>(t*s.atOnce%64)) & (1<<s.atOnce - 1)
	return s.tables[t][at*len(s.first):]
}

// add adds a times v to a sum.
func add(a float64, v, to []float64) {
	for i, x := range v {
		to[i] += a * x
	}
}
