package season

// slab hands out small vectors and matrices of thousands of clusters from few large
// pieces of memory.
type slab struct {
	numbers []float64
	rows    [][]float64
}

const slabSize = 4096

// vector is n zeros.
func (s *slab) vector(n int) []float64 {
	if len(s.numbers) < n {
		s.numbers = make([]float64, max(n, slabSize))
	}
	v := s.numbers[:n:n]
	s.numbers = s.numbers[n:]
	return v
}

// matrix is n rows of n zeros.
func (s *slab) matrix(n int) [][]float64 {
	if len(s.rows) < n {
		s.rows = make([][]float64, max(n, slabSize))
	}
	a := s.rows[:n:n]
	s.rows = s.rows[n:]
	for i := range a {
		a[i] = s.vector(n)
	}
	return a
}
