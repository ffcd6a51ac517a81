package regress

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	maxSteps = 100 // Newton takes about ten
	// longestStep bounds a step in log alpha: a longer one could pass over to
	// another local maximum.
	longestStep = 2.0
	// fullStepGain is the predicted gain in log-likelihood below which a full step is
	// taken without line search, as the log-likelihood is rounded at about that.
	fullStepGain = 1e-9
	// convergedGain is the predicted gain at convergence: a step of 1e-11 of a standard
	// error.
	convergedGain = 1e-22
	// Bounds of alpha: leastClumping and mostClumping times 1/(1 + mean), as in
	// package negbin: what is below is Poisson, what is above is out of reach.
	leastClumping = 1e-9
	mostClumping  = 1e12
)

// startingValues are least squares on the logarithms of the counts, each shrunk
// halfway to the mean.
func (l *likelihood) startingValues() []float64 {
	var finds, area float64
	for i, y := range l.y {
		finds += y
		area += math.Exp(l.logA[i])
	}
	eta := make([]float64, len(l.y))
	for i, y := range l.y {
		a := math.Exp(l.logA[i])
		eta[i] = math.Log((y + a*finds/area) / (2 * a))
	}
	return l.project(eta)
}

// momentAlpha is the method-of-moments estimate of alpha from the residuals.
func (l *likelihood) momentAlpha(p point) float64 {
	var over, square float64
	for i, mu := range p.mu {
		over += (l.y[i]-mu)*(l.y[i]-mu) - mu
		square += mu * mu
	}
	return min(max(over/square, 0.05), 20)
}

// maximize maximizes the likelihood from a starting point by Newton's method in
// g and, where alpha is free, in log alpha jointly.
func (l *likelihood) maximize(g []float64, alpha float64, free bool) (point, derivatives, error) {
	at := l.at(g, alpha)
	for range maxSteps {
		next, s, gain, err := l.newtonStep(at, free, nil)
		if err != nil || gain < convergedGain {
			return at, s, err
		}
		at = next
		if gain < math.Sqrt(convergedGain) { // the next would be below convergedGain
			return at, l.derivatives(at), nil
		}
	}
	return at, derivatives{}, ErrNotConverged
}

// newtonStep takes one Newton step, halved until the log-likelihood rises. It
// returns the derivatives at the starting point and the gain in log-likelihood
// that the quadratic approximation predicts: 0 at the maximum. Added, if not nil,
// is added to the information, for the curvature of a constraint; such a step
// need not raise the log-likelihood.
func (l *likelihood) newtonStep(at point, free bool, added *mat.SymDense) (next point, s derivatives, gain float64, err error) {
	low, high := l.bounds()
	s = l.derivatives(at)
	if added != nil {
		s.information.AddSym(s.information, added)
	}
	step, logStep, gain, ok := s.newton(free)
	switch {
	case !ok:
		return at, s, 0, ErrNotConverged
	case gain < convergedGain || free && at.alpha <= low && added == nil:
		return at, s, 0, nil
	case gain < fullStepGain || added != nil:
		return l.moved(at, step, logStep, 1, low, high), s, gain, nil
	}
	for share := 1.0; share > 1e-10; share /= 2 {
		if next = l.moved(at, step, logStep, share, low, high); next.logLik > at.logLik {
			return next, s, gain, nil
		}
	}
	return at, s, 0, nil // no step gains: this is the maximum
}

// bounds are those of alpha.
func (l *likelihood) bounds() (low, high float64) {
	scale := 1 + l.counts.Total()/float64(l.counts.N())
	return leastClumping / scale, mostClumping / scale
}

func (l *likelihood) moved(p point, step []float64, logStep, share, low, high float64) point {
	g := append([]float64{}, p.g...)
	axpy(share, step, g)
	alpha := p.alpha
	if logStep != 0 {
		alpha = min(max(alpha*math.Exp(share*logStep), low), high)
	}
	return l.at(g, alpha)
}

// newton is the Newton step with its predicted gain. The likelihood is concave in g,
// but in log alpha only near the maximum: elsewhere the step in log alpha is of
// fixed length, in the direction of ascent.
func (s derivatives) newton(free bool) (step []float64, logStep, gain float64, ok bool) {
	var chol mat.Cholesky
	if !chol.Factorize(s.information) {
		return nil, 0, 0, false
	}
	right := append([]float64{}, s.score...)
	if free {
		u := solve(&chol, s.cross)
		slope, curvature := s.logAlpha-dot(u, s.score), s.curvature-dot(u, s.cross)
		logStep = math.Copysign(1, slope)
		if curvature > 0 {
			logStep = min(max(slope/curvature, -longestStep), longestStep)
		}
		axpy(-logStep, s.cross, right)
	}
	step = solve(&chol, right)
	return step, logStep, dot(step, s.score) + logStep*s.logAlpha, true
}

func solve(chol *mat.Cholesky, right []float64) []float64 {
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, mat.NewVecDense(len(right), right)); err != nil {
		// Nearly singular: of low precision, which the maximization allows for.
		if x.Len() == 0 {
			return make([]float64, len(right))
		}
	}
	return x.RawVector().Data
}
