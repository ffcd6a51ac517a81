package regress

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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
