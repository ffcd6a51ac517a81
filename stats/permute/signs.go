package permute

// SignedSums adds vectors with signs, a few at a time by tables of the sums that
// these can have: the sums of a test by sign flips, an arrangement of [Swaps] of
// one vector less.
type SignedSums struct {
	first  []float64 // keeps its sign: all signs turned round change nothing
	atOnce int
	tables [][][]float64
}

// roomy is how many numbers the tables may hold: 32 MB.
const roomy = 4 << 20

// NewSignedSums takes vectors of one length, at least one of them.
func NewSignedSums(vectors [][]float64) *SignedSums {
	s := &SignedSums{first: vectors[0], atOnce: 8}
	for s.atOnce > 1 && len(vectors)/s.atOnce*len(s.first)<<s.atOnce > roomy {
		s.atOnce /= 2
	}
	for from := 1; from < len(vectors); from += s.atOnce {
		some := vectors[from:min(from+s.atOnce, len(vectors))]
		table := make([][]float64, 1<<len(some))
		table[0] = make([]float64, len(s.first))
		for _, v := range some {
			add(1, v, table[0])
		}
		for k, v := range some {
			for i := range 1 << k {
				table[1<<k+i] = append([]float64{}, table[i]...)
				add(-2, v, table[1<<k+i])
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
		add(1, table[i], sum)
	}
	return sum
}

// add adds a times v to a sum.
func add(a float64, v, to []float64) {
	for i := range to {
		to[i] += a * v[i]
	}
}
