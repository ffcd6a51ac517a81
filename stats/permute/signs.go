package permute

import (
	"runtime"
	"sync"

	"ashtally/stats/random"
)

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

// together is how many arrangements are added up side by side, so that a table is
// in the nearest memory while all of them use it.
const together = 256

// drawn are the statistics of arrangements drawn, those that [Values] draws.
func (s *SignedSums) drawn(o Options, statistic func(sum []float64) float64) []float64 {
	out := make([]float64, o.Replicates)
	workers := min(runtime.GOMAXPROCS(0), o.Replicates)
	var wait sync.WaitGroup
	for w := range workers {
		from, to := w*o.Replicates/workers, (w+1)*o.Replicates/workers
		wait.Go(func() {
			some := newSigned(s)
			for ; from < to; from += together {
				n := min(together, to-from)
				some.draw(o.Seed, uint64(from), n)
				some.add(n)
				for r := range n {
					out[from+r] = statistic(some.sum(r))
				}
			}
		})
	}
	wait.Wait()
	return out
}

// signed is some arrangements and their sums.
type signed struct {
	*SignedSums
	words int      // of signs, 64 in each, of an arrangement
	signs []uint64 // 1 where a vector is turned round
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
		signs := s.signs[r*s.words:][:s.words]
		for i := range signs {
			signs[i] = source.Uint64()
		}
		if left := s.turned % 64; left > 0 {
			signs[s.words-1] &= 1<<left - 1
		}
	}
}

// add adds the vectors up, table by table; long ones four tables at a time, so that
// the sums are read and written less often.
func (s *signed) add(n int) {
	for r := range n {
		copy(s.sum(r), s.first)
	}
	const long = 16
	mask, width := uint64(1)<<s.atOnce-1, len(s.first)
	t := 0
	for ; width >= long && t+4 <= len(s.tables); t += 4 {
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
		table, word, shift := s.tables[t], t*s.atOnce/64, t*s.atOnce%64
		for r := range n {
			at := int(s.signs[r*s.words+word] >> shift & mask)
			sum := s.sum(r)
			for k, v := range table[at*width:][:width] {
				sum[k] += v
			}
		}
	}
}

// row is what the vectors of a table add up to in an arrangement.
func (s *signed) row(t, r int) []float64 {
	at := int(s.signs[r*s.words+t*s.atOnce/64]>>(t*s.atOnce%64)) & (1<<s.atOnce - 1)
	return s.tables[t][at*len(s.first):]
}

// add adds a times v to a sum.
func add(a float64, v, to []float64) {
	for i, x := range v {
		to[i] += a * x
	}
}
