package optimum

import (
	"fmt"
	"math"
)

const (
	maxRounds    = 200   // Newton takes under 20; more means a ridge that is flat to rounding
	gainEnough   = 1e-10 // see Maximize
	violationMax = 1e-8
	maxHalvings  = 40   // 2^-40: a step that short changes nothing but the last digits
	sufficient   = 1e-4 // share of the promised gain a step must bring (Armijo)

	// stalledGain is the promised gain under which a line search that finds
	// none has met the rounding of a log-likelihood of some hundreds, not a
	// failure: 1e-6 is a thousandth of a standard error.
	stalledGain = 1e-6
)

// point is a point with all that is known of it.
type point struct {
	x, gradient []float64
	hessian     [][]float64
	value       float64
	constraint  []float64
	jacobian    [][]float64
}

type maximization struct {
	Problem
	at          point
	penalty     float64
	multipliers []float64 // of the constraints, from the last quadratic
}

func newMaximization(p Problem, start []float64) *maximization {
	c := &maximization{Problem: p, multipliers: make([]float64, p.Count)}
	x := make([]float64, len(start))
	for i := range x {
		x[i] = min(max(start[i], p.Lower[i]), p.Upper[i])
	}
	c.at = c.evaluate(x)
	return c
}

func (c *maximization) evaluate(x []float64) point {
	n := len(x)
	at := point{x: x, gradient: make([]float64, n), hessian: square(n)}
	at.value = c.Objective(x, at.gradient, at.hessian)
	if c.Count > 0 {
		at.constraint = make([]float64, c.Count)
		at.jacobian = make([][]float64, c.Count)
		flat := make([]float64, c.Count*n)
		for k := range at.jacobian {
			at.jacobian[k] = flat[k*n : (k+1)*n]
		}
		c.Constraints(x, at.constraint, at.jacobian)
	}
	return at
}

func (c *maximization) run() Optimum {
	if !isFinite(c.at.value) {
		return c.result(0, "the climb started where the function has no value")
	}
	for round := 1; round <= maxRounds; round++ {
		step, gain := c.step()
		if step == nil {
			return c.result(round, "no curvature could be found at which to step")
		}
		if gain <= c.Enough && c.violation(c.at) <= violationMax {
			return c.result(round, "")
		}
		done := gain <= gainEnough && c.violation(c.at) <= violationMax
		if done && gain < 1e-20 {
			return c.result(round, "")
		}
		if !c.advance(step, gain) {
			if done || gain <= stalledGain && c.violation(c.at) <= violationMax {
				return c.result(round, "")
			}
			return c.result(round, fmt.Sprintf("no step from here improves the function, though its slope promises %.2g", gain))
		}
		if done {
			return c.result(round, "")
		}
	}
	return c.result(maxRounds, fmt.Sprintf("still climbing after %d rounds", maxRounds))
}

// step solves the quadratic of this round. gain is twice what it promises
// without constraints, and a measure of distance with them: step'B step.
func (c *maximization) step() (step []float64, gain float64) {
	b, l := c.curvature()
	if l == nil {
		return nil, 0
	}
	descent := make([]float64, len(c.at.x))
	for i, g := range c.at.gradient {
		descent[i] = -g
	}
	spaces := c.spaces(1)
	step, multipliers, ok := quadratic(l, descent, spaces)
	if !ok {
		// The linear constraints contradict each other. Asking only that none
		// gets worse leaves at least the step 0.
		step, multipliers, ok = quadratic(l, descent, c.spaces(0))
		if !ok {
			return nil, 0
		}
	}
	copy(c.multipliers, multipliers[:c.Count])
	for i := range step {
		gain += step[i] * dot(b[i], step)
	}
	return step, gain
}

// spaces are the half spaces of a step: the constraints first, then the
// bounds and the stride. Of a violated constraint they ask for the share
// repair to be mended.
func (c *maximization) spaces(repair float64) []halfSpace {
	n := len(c.at.x)
	spaces := make([]halfSpace, 0, c.Count+2*n)
	for k, value := range c.at.constraint {
		normal := make([]float64, n)
		addScaled(normal, -1, c.at.jacobian[k])
		if value > 0 {
			value *= repair
		}
		spaces = append(spaces, halfSpace{normal, value})
	}
	for i, x := range c.at.x {
		down, up := c.Lower[i]-x, c.Upper[i]-x
		if c.Stride != nil {
			down, up = max(down, -c.Stride[i]), min(up, c.Stride[i])
		}
		spaces = appendBound(spaces, n, i, 1, down)
		spaces = appendBound(spaces, n, i, -1, -up)
	}
	return spaces
}

func appendBound(spaces []halfSpace, n, i int, sign, bound float64) []halfSpace {
	if math.IsInf(bound, -1) {
		return spaces
	}
	normal := make([]float64, n)
	normal[i] = sign
	return append(spaces, halfSpace{normal, bound})
}

// advance shortens the step until the penalty function improves, and goes.
func (c *maximization) advance(step []float64, gain float64) bool {
	for _, m := range c.multipliers {
		c.penalty = max(c.penalty, 1.5*m)
	}
	before := c.merit(c.at)
	promised := dot(c.at.gradient, step) + c.penalty*c.violation(c.at)
	if !(promised > 0) {
		promised = gain
	}
	for half := range maxHalvings {
		share := math.Ldexp(1, -half)
		x := append([]float64(nil), c.at.x...)
		addScaled(x, share, step)
		for i := range x { // the last digit of a step onto a bound may be past it
			x[i] = min(max(x[i], c.Lower[i]), c.Upper[i])
		}
		next := c.evaluate(x)
		if isFinite(next.value) && c.merit(next) >= before+sufficient*share*promised {
			c.at = next
			return true
		}
	}
	return false
}

func (c *maximization) merit(at point) float64 { return at.value - c.penalty*c.violation(at) }

// violation is the sum of what is too much in the constraints.
func (c *maximization) violation(at point) float64 {
	var sum float64
	for _, v := range at.constraint {
		sum += max(0, v)
	}
	return sum
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
