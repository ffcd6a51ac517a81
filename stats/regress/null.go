package regress

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

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

// reaching is the fit to begin a climb from where a hypothesis ties places that
// have no density to others that have: what the likelihood had sent to 0 in
// them may rise again. Where it still falls without end, in a cell that another
// makes up for, the climb goes on until nothing is gained.
func (f *Fit) reaching(mixes ...Mix) *Fit {
	g := *f
	g.away = recession{zero: make([]bool, f.Rows)}
	for _, d := range f.away.directions {
		one := recession{directions: [][]float64{d}}
		if slices.ContainsFunc(slices.Concat(mixes...), func(s Share) bool { return one.sign(f.design.Row(s.At)) != 0 }) {
			continue
		}
		g.away.directions = append(g.away.directions, d)
		for i := range f.Rows {
			g.away.zero[i] = g.away.zero[i] || one.sign(f.design.At(i)) != 0
		}
	}
	g.kept = g.away.kept()
	g.base = newBasis(f.design, g.kept)
	g.l = newLikelihood(g.base, f.sample, g.kept)
	g.top = g.l.at(g.l.start(), 0)
	if f.Family == NB2 {
		g.top = g.l.at(g.top.g, g.l.moment(g.top))
	}
	return &g
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
type surface interface {
	at(g []float64) (value float64, normal []float64)
	bend(g []float64) *mat.SymDense // second derivatives; nil where there are none
}

// plane is t'g = 0.
type plane []float64

func (t plane) at(g []float64) (float64, []float64) { return dot(t, g), t }
func (t plane) bend([]float64) *mat.SymDense        { return nil }

// equal is two densities being the same: log D - log D' = 0.
type equal struct{ above, below places }

func (e equal) at(g []float64) (float64, []float64) {
	a, b := e.above.at(g), e.below.at(g)
	axpy(-1, b.gradient, a.gradient)
	return a.log - b.log, a.gradient
}

func (e equal) bend(g []float64) *mat.SymDense {
	m, below := e.above.bend(g), e.below.bend(g)
	below.ScaleSym(-1, below)
	m.AddSym(m, below)
	return m
}

// pin climbs to the top of the likelihood on a surface. One that is not flat,
// as that of two sums being equal, is taken at every step for the plane that
// touches it there. Near the top the step allows for how it bends: with m the
// multiplier of Lagrange, by which the slope of the likelihood is m times the
// normal, the information there is that of the likelihood and m times the second
// derivatives of h (Nocedal & Wright 2006, Numerical Optimization, section 18.1).
func (f *Fit) pin(h surface) (*null, error) {
	at, gain := f.top, math.Inf(1)
	value, normal := h.at(at.g)
	for range maxSteps {
		before := normal
		var bent *mat.SymDense
		if gain < near {
			bent = h.bend(at.g)
		}
		var err error
		if at, gain, err = f.along(at, value, normal, bent); err != nil {
			return nil, err
		}
		value, normal = h.at(at.g)
		if gain < settled && math.Abs(value) <= tolerance && parallel(before, normal) {
			return &null{rows: f.kept, q: f.base.q, y: f.l.y, top: at, against: [][]float64{normal}}, nil
		}
	}
	return nil, ErrNotConverged
}

const (
	// near is the promised gain from which on steps allow for a surface that
	// bends: about a tenth of a standard error from the top.
	near = 0.01
	// settled is that below which the last step of a pinned climb moved less
	// than 1e-4 of a standard error, which no p-value shows.
	settled = 1e-9
)

func parallel(a, b []float64) bool {
	apart := append([]float64{}, a...)
	axpy(-1, b, apart)
	return norm(apart) <= 1e-4*norm(b)
}

// along goes from a place to the plane value + normal'(g - at.g) = 0, and a step
// uphill in it.
func (f *Fit) along(at place, value float64, normal []float64, bent *mat.SymDense) (place, float64, error) {
	g := append([]float64{}, at.g...)
	axpy(-value/dot(normal, normal), normal, g)
	if len(g) == 1 {
		return f.l.at(g, at.alpha), 0, nil
	}
	l := *f.l
	l.logA = f.l.linear(g)
	turn := reflect(normal)
	l.q = reflected(f.l.q, turn)
	from := l.at(make([]float64, len(l.q)), at.alpha)
	if bent != nil {
		bent = inside(reflection(turn), bent)
		bent.ScaleSym(dot(normal, f.l.score(from))/dot(normal, normal), bent)
	}
	next, _, gain, err := l.stride(from, at.alpha > 0, bent)
	if err != nil && bent != nil {
		next, _, gain, err = l.stride(from, at.alpha > 0, nil)
	}
	if err != nil {
		return next, 0, err
	}
	step := append([]float64{0}, next.g...)
	axpy(-2*dot(turn, step), turn, step)
	axpy(1, step, g)
	next.g = g
	return next, gain, nil
}

// reflected are the columns of Q (I - 2 v v') but the first.
func reflected(q [][]float64, v []float64) [][]float64 {
	along := make([]float64, len(q[0]))
	for k, column := range q {
		axpy(v[k], column, along)
	}
	var out [][]float64
	for k, column := range q[1:] {
		column = append([]float64{}, column...)
		axpy(-2*v[k+1], along, column)
		out = append(out, column)
	}
	return out
}

// reflection is I - 2 v v' without its first column.
func reflection(v []float64) *mat.Dense {
	m := mat.NewDense(len(v), len(v)-1, nil)
	for i := range v {
		for j := range v[1:] {
			m.Set(i, j, -2*v[i]*v[j+1])
		}
		if i > 0 {
			m.Set(i, i-1, m.At(i, i-1)+1)
		}
	}
	return m
}
