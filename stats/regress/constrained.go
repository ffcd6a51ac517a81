package regress

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// constraint is an equality constraint h(g) = 0 on the coordinates of a fit.
type constraint interface {
	at(g []float64) (value float64, normal []float64)
	hessian(g []float64) *mat.SymDense // second derivatives; nil where there are none
}

// linearConstraint is t'g = 0.
type linearConstraint []float64

func (t linearConstraint) at(g []float64) (float64, []float64) { return dot(t, g), t }
func (t linearConstraint) hessian([]float64) *mat.SymDense     { return nil }

// equalDensities is the equality of two densities: log D - log D' = 0.
type equalDensities struct{ above, below places }

func (e equalDensities) at(g []float64) (float64, []float64) {
	a, b := e.above.at(g), e.below.at(g)
	axpy(-1, b.gradient, a.gradient)
	return a.log - b.log, a.gradient
}

func (e equalDensities) hessian(g []float64) *mat.SymDense {
	m, below := e.above.hessian(g), e.below.hessian(g)
	below.ScaleSym(-1, below)
	m.AddSym(m, below)
	return m
}

// constrainedMaximum maximizes the likelihood subject to a constraint h(g) = 0.
// A constraint that is not linear, such as the equality of two sums, is
// linearized at every step. Near the maximum the step allows for its curvature:
// with m the Lagrange multiplier, by which the score is m times the gradient of
// h, the information is that of the likelihood plus m times the Hessian of h
// (Nocedal & Wright 2006, Numerical Optimization, section 18.1).
func (f *Fit) constrainedMaximum(h constraint) (*nullFit, error) {
	at, gain := f.maximum, math.Inf(1)
	value, normal := h.at(at.g)
	for range maxSteps {
		before := normal
		var curved *mat.SymDense
		if gain < hessianGain {
			curved = h.hessian(at.g)
		}
		var err error
		if at, gain, err = f.along(at, value, normal, curved); err != nil {
			return nil, err
		}
		value, normal = h.at(at.g)
		if gain < constrainedGain && math.Abs(value) <= tolerance && parallel(before, normal) {
			return &nullFit{rows: f.kept, q: f.base.q, y: f.likelihood.y, maximum: at, tested: [][]float64{normal}}, nil
		}
	}
	return nil, ErrNotConverged
}

const (
	// hessianGain is the predicted gain below which steps allow for the curvature of the
	// constraint: about a tenth of a standard error from the maximum.
	hessianGain = 0.01
	// constrainedGain is that below which the last constrained step moved less
	// than 1e-4 of a standard error, which no p-value shows.
	constrainedGain = 1e-9
)

func parallel(a, b []float64) bool {
	apart := append([]float64{}, a...)
	axpy(-1, b, apart)
	return norm(apart) <= 1e-4*norm(b)
}

// along takes a Newton step in the linearized constraint, the plane
// value + normal'(g - at.g) = 0, from the projection of a point onto it.
func (f *Fit) along(at point, value float64, normal []float64, curved *mat.SymDense) (point, float64, error) {
	g := append([]float64{}, at.g...)
	axpy(-value/dot(normal, normal), normal, g)
	if len(g) == 1 {
		return f.likelihood.at(g, at.alpha), 0, nil
	}
	l := *f.likelihood
	l.logA = f.likelihood.linearPredictor(g)
	turn := householder(normal)
	l.q = reflected(f.likelihood.q, turn)
	var ascent []float64 // of the ridge
	if l.ridge > 0 {
		ascent = l.fromCentre(g)
		centre := append([]float64{}, ascent...)
		axpy(-2*dot(turn, centre), turn, centre)
		l.centre = centre[1:]
		blas64.Scal(-1, vector(l.centre))
	}
	from := l.at(make([]float64, len(l.q)), at.alpha)
	if curved != nil {
		curved = quadraticForm(reflection(turn), curved)
		slope := f.likelihood.score(from)
		if l.ridge > 0 {
			axpy(-l.ridge, ascent, slope)
		}
		curved.ScaleSym(dot(normal, slope)/dot(normal, normal), curved)
	}
	next, _, gain, err := l.newtonStep(from, at.alpha > 0, curved)
	if err != nil && curved != nil {
		next, _, gain, err = l.newtonStep(from, at.alpha > 0, nil)
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
