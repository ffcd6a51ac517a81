package detect

import "math"

// gridPoints is how many distances the shape of a series is held at, each in
// the middle of its piece: on the line and, for some series, at the half-width
// every slope is 0. The fastest wiggle allowed, cos(6 pi t), has six points to
// a half wave.
const gridPoints = 40

// constraints hold g to a shape that can be: one number at each point of the
// grid, at most 0 where allowed, and one at the half-width.
//
// A curve that must not rise has there, up to the positive factor key(t),
//
//	g'(t) / key(t) = s'(t) + s(t) (log key)'(t) <= 0,  and  s(1) >= 0
//
// which is linear in the coefficients a_j. If both hold, s is positive from
// the line on: below 0 it could not come back. Its rival, a curve of free
// shape, needs s(t) >= 0 at each point.
type constraints struct {
	function
	free bool
	size [gridPoints + 1]float64 // 1 over the size of each number, so that they compare
}

func (l *likelihood) constraints(free bool) constraints {
	c := constraints{function: l.function, free: free}
	x := make([]float64, l.size())
	if c.parameters() > 0 {
		x[0] = math.Log(l.rms())
	}
	value, jacobian := make([]float64, c.count()), make([][]float64, c.count())
	for k := range value {
		c.size[k], jacobian[k] = 1, make([]float64, l.size())
	}
	if c.count() > 0 {
		c.evaluate(x, value, jacobian)
	}
	for k, gradient := range jacobian {
		largest := math.Abs(value[k])
		for _, g := range gradient {
			largest = max(largest, math.Abs(g))
		}
		c.size[k] = 1 / (1 + largest)
	}
	return c
}

// count is 0 for a model without a series: keys cannot rise.
func (c constraints) count() int {
	if len(c.orders) == 0 {
		return 0
	}
	return gridPoints + 1
}

func (c constraints) evaluate(x, value []float64, jacobian [][]float64) {
	p, a := c.split(x)
	for k := range gridPoints {
		t := (float64(k) + 0.5) / gridPoints
		if c.free {
			value[k] = c.positive(t, &p, a, jacobian[k])
		} else {
			value[k] = c.falling(t, &p, a, jacobian[k])
		}
	}
	value[gridPoints] = c.positive(1, &p, a, jacobian[gridPoints])
	for k, size := range c.size {
		value[k] *= size
		for i := range jacobian[k] {
			jacobian[k][i] *= size
		}
	}
}

// split is likelihood.at for models without covariates, as series are.
func (c constraints) split(x []float64) (local, []float64) {
	var key [2]float64
	n := c.parameters()
	copy(key[:n], x)
	return newLocal(key[0], key[1]), x[n:]
}

func (c constraints) falling(t float64, p *local, a, gradient []float64) float64 {
	k := c.slope(t, p)
	s := c.at(t, p, a)
	n := c.parameters()
	if n > 0 {
		gradient[0] = s.slopeS + s.s*k.value + s.value*k.s
	}
	if n > 1 {
		gradient[1] = s.value * k.b
	}
	for j := range c.orders {
		gradient[n+j] = s.termSlope[j] + s.term[j]*k.value
	}
	return s.slope + s.value*k.value
}

func (c constraints) positive(t float64, p *local, a, gradient []float64) float64 {
	s := c.at(t, p, a)
	n := c.parameters()
	if n > 0 {
		gradient[0] = -s.s
	}
	for j := range c.orders {
		gradient[n+j] = -s.term[j]
	}
	return -s.value
}
