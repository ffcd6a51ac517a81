package regress

import (
	"math"

	"ashtally/stats/regress/terms"
)

// null is a fit under a hypothesis: the top of the likelihood where some
// combinations of the coefficients are 0.
type null struct {
	rows    []int       // that the hypothesis does not send to 0
	q       [][]float64 // orthonormal columns of the whole model over them
	y       []float64
	top     place       // means and clumping under the hypothesis
	against [][]float64 // combinations of q, which it sets to 0
}

// within is the hypothesis that a model within the fit's is enough. Where cells
// are empty it keeps their rows as long as less has a density for them, though
// the fit has none.
func (f *Fit) within(less *Fit) *null {
	n := &null{rows: less.kept, q: newBasis(f.design, less.kept).q, y: less.l.y, top: less.top}
	n.beyond(less.base.q)
	return n
}

// beyond sets the hypothesis to what the columns of the model say more than
// those given.
func (n *null) beyond(less [][]float64) {
	whole := likelihood{q: n.q}
	var said [][]float64
	for _, column := range less {
		said = append(said, whole.onto(column))
	}
	n.against = complement(said, len(n.q))
}

// complement is an orthonormal base of what is at right angles to orthonormal
// vectors.
func complement(vectors [][]float64, rank int) [][]float64 {
	var space [][]float64
	for k := range rank {
		v := make([]float64, rank)
		v[k] = 1
		for range 2 {
			for _, w := range vectors {
				axpy(-dot(w, v), w, v)
			}
			for _, w := range space {
				axpy(-dot(w, v), w, v)
			}
		}
		if left := norm(v); left > 1e-6 {
			for i := range v {
				v[i] /= left
			}
			space = append(space, v)
		}
	}
	return space
}

// without is the hypothesis c'b = 0 where the likelihood sends c'b out of all
// bounds: under it the rows that the fit has lost may have a density again.
func (f *Fit) without(c []float64) (*null, error) {
	d := flattened(f.design, c)
	n := &null{rows: recede(d, f.sample.Count).kept()}
	less := newBasis(d, n.rows)
	if less.rank() == 0 {
		return nil, ErrNotConverged
	}
	l := newLikelihood(less, f.sample, n.rows)
	g, alpha := l.start(), 0.0
	if f.Family == NB2 {
		alpha = l.moment(l.at(g, 0))
	}
	var err error
	if n.top, _, err = l.climb(g, alpha, alpha > 0); err != nil {
		return nil, err
	}
	n.q, n.y = newBasis(f.design, n.rows).q, l.y
	n.beyond(less.q)
	return n, nil
}

// flattened is a design whose columns span what those of d say where c'b = 0.
func flattened(d *terms.Design, c []float64) *terms.Design {
	turn := reflect(c)
	flat := &terms.Design{Rows: d.Rows, Columns: d.Columns - 1, X: make([]float64, 0, d.Rows*(d.Columns-1))}
	row := make([]float64, d.Columns)
	for i := range d.Rows {
		copy(row, d.At(i))
		axpy(-2*dot(turn, row), turn, row)
		flat.X = append(flat.X, row[1:]...)
	}
	return flat
}

// reflect is the unit vector v of Householder's reflection I - 2 v v', which
// takes t to the first axis: its other columns are at right angles to t.
func reflect(t []float64) []float64 {
	v := append([]float64{}, t...)
	v[0] += math.Copysign(norm(t), t[0])
	length := norm(v)
	for k := range v {
		v[k] /= length
	}
	return v
}

// surface is a hypothesis h(g) = 0 on the coordinates of a fit.
type surface func(g []float64) (value float64, gradient []float64)

// pin climbs to the top of the likelihood on a surface. One that is not flat,
// as that of two sums being equal, is taken at every step for the plane that
// touches it there.
func (f *Fit) pin(h surface) (*null, error) {
	at := f.top
	value, normal := h(at.g)
	for range maxSteps {
		next, gain, err := f.along(at, value, normal)
		if err != nil {
			return nil, err
		}
		before := normal
		at = next
		value, normal = h(at.g)
		if gain < settled && math.Abs(value) <= tolerance && parallel(before, normal) {
			return &null{rows: f.kept, q: f.base.q, y: f.l.y, top: at, against: [][]float64{normal}}, nil
		}
	}
	return nil, ErrNotConverged
}

// settled is the promised gain below which the last step of a pinned climb
// moved less than 1e-5 of a standard error, which no p-value shows.
const settled = 1e-10

func parallel(a, b []float64) bool {
	apart := append([]float64{}, a...)
	axpy(-1, b, apart)
	return norm(apart) <= tolerance*norm(b)
}

// along goes from a place to the plane value + normal'(g - at.g) = 0, and a step
// uphill in it.
func (f *Fit) along(at place, value float64, normal []float64) (place, float64, error) {
	g := append([]float64{}, at.g...)
	axpy(-value/dot(normal, normal), normal, g)
	if len(g) == 1 {
		return f.l.at(g, at.alpha), 0, nil
	}
	l := *f.l
	l.logA = append([]float64{}, f.l.logA...)
	for k, q := range f.l.q {
		axpy(g[k], q, l.logA)
	}
	turn := reflect(normal)
	turned := make([]float64, len(l.y))
	for k, q := range f.l.q {
		axpy(turn[k], q, turned)
	}
	l.q = nil
	for k, q := range f.l.q[1:] {
		column := append([]float64{}, q...)
		axpy(-2*turn[k+1], turned, column)
		l.q = append(l.q, column)
	}
	next, _, gain, err := l.stride(l.at(make([]float64, len(l.q)), at.alpha), at.alpha > 0)
	if err != nil {
		return next, 0, err
	}
	step := append([]float64{0}, next.g...)
	axpy(-2*dot(turn, step), turn, step)
	axpy(1, step, g)
	next.g = g
	return next, gain, nil
}
