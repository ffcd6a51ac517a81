package season

// slab hands out small vectors of thousands of clusters from few large pieces of memory.
type slab struct{ numbers []float64 }

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

// block is a small square matrix, row by row.
type block struct {
	n  int
	at []float64
}

func newBlock(n int) block { return block{n, make([]float64, n*n)} }

func blockOf(a [][]float64) block {
	b := newBlock(len(a))
	for i, row := range a {
		copy(b.row(i), row)
	}
	return b
}

func (b block) row(i int) []float64 { return b.at[i*b.n : (i+1)*b.n : (i+1)*b.n] }

// mirror sets what is above the diagonal to what is below.
func (b block) mirror() {
	for i := range b.n {
		for j := range i {
			b.at[j*b.n+i] = b.at[i*b.n+j]
		}
	}
}

// clone is a copy in the memory of a slab.
func (b block) clone(space *slab) block {
	c := block{b.n, space.vector(len(b.at))}
	copy(c.at, b.at)
	return c
}

// product sets b to x y, adding up as addProduct does.
func (b block) product(x, y block) {
	clear(b.at)
	for i := range b.n {
		row := b.row(i)
		for k, v := range x.row(i) {
			for j, u := range y.row(k) {
				row[j] += v * u
			}
		}
	}
}

// times sets out to b x, or to the transpose of b times x.
func (b block) times(out, x []float64, turned bool) {
	if !turned {
		for i := range out {
			out[i] = dot(b.row(i), x)
		}
		return
	}
	clear(out)
	for i := range b.n {
		by := x[i]
		for j, v := range b.row(i) {
			out[j] += v * by
		}
	}
}
