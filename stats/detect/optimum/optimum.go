// Package optimum maximizes a smooth function of a few
// parameters within bounds and under inequality constraints.
//
// It is Newton's method with exact second derivatives. In each round the
// function is replaced by its quadratic and every constraint by its linear
// approximation (sequential quadratic programming), and the step that this
// gives is shortened until it improves the exact penalty function
//
//	F(x) - rho * sum_k max(0, c_k(x))
//
// Where the function is not concave, its curvature is made so.
// Without constraints and away from the bounds this is the plain Newton
// method, which near the maximum doubles the right digits in each round.
//
// It is meant for up to ten parameters and a hundred constraints: everything
// is dense.
//
// Reference: Nocedal & Wright (2006), Numerical Optimization, 2nd ed.,
// Springer, chapters 16 and 18.
package optimum

// Problem is what is maximised.
type Problem struct {
	// Objective returns F(x) and fills in its gradient and Hessian. It returns
	// -Inf or NaN where x is outside its domain; the others are then not read.
	Objective func(x, gradient []float64, hessian [][]float64) float64

	// Lower and Upper bound every parameter; infinite where there is no bound.
	Lower, Upper []float64

	// Stride is the longest step of each parameter in one round: how far the
	// quadratic can be believed. Nil: no limit.
	Stride []float64

	// Enough is the gain at which a maximization ends without the last step: for who
	// makes it without a line search, which rounding may hinder. 0: the maximization
	// makes it, as [Problem.Maximize] says.
	Enough float64

	// Constraints fills in c_k(x), which is at most 0 where x is allowed, and
	// its gradients, one row each. Nil: no constraint.
	Constraints func(x, value []float64, jacobian [][]float64)
	Count       int // number of constraints
}

// Optimum is where the maximization ended.
type Optimum struct {
	X         []float64
	Value     float64
	Gradient  []float64   // of the objective at X
	Hessian   [][]float64 // of the objective at X
	AtBound   []bool      // parameters held by a bound
	Binding   []int       // constraints that hold the maximization back, ascending
	Rounds    int
	Converged bool
	Doubt     string // why it has not converged, in words; empty if it has
}

// Maximize begins at start, which is moved inside the bounds first.
//
// It has converged when the step that the quadratic still offers would gain
// less than 1e-10 and no constraint is violated by more than 1e-8; on a log-likelihood the first
// is about 1e-5 of a standard error before the last step is made, and its
// square after it. Start must lie in the domain of the objective; if it does
// not, the result says so.
func (p Problem) Maximize(start []float64) Optimum {
	c := newMaximization(p, start)
	return c.run()
}
