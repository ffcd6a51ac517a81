package season

import (
	"math"
	"slices"

	"ashtally/stats/detect/optimum"
)

// Bounds of the parameters that all shapes have, and how far one round of the
// climb may move them. A delay of ten times the spread of the visits by 100 m is
// no delay but a want of data.
const (
	longestStep = 10
	mostHeight  = 80
	mostGrade   = 30
	mostAlpha   = 1e4
)

// newModel is the model of a shape for prepared data.
func (d *data) newModel(shape Shape) *model {
	m := &model{data: d, shape: shape, family: shape.family(), dispersion: d.dispersion}
	m.layout = newLayout(m.family.parameters(), d.cells, d.elevations, d.roadsides)
	return m
}

// leastRangeM is the range of elevations below which their effect is not
// looked for: at Hopkins' rate it makes less than two days.
const leastRangeM = 50

func (d *data) spansElevations() bool {
	low, high := math.Inf(1), math.Inf(-1)
	levels := map[float64]bool{}
	for _, p := range d.places {
		low, high = min(low, p.elevation), max(high, p.elevation)
		if len(levels) < 3 {
			levels[p.elevation] = true
		}
	}
	return (high-low)*metresPerStep >= leastRangeM && len(levels) >= 3
}

// nearEnough is the gain in log-likelihood, twice what the quadratic promises,
// at which the maximization ends and Newton's own steps take over (see polish): a
// thousandth of a standard error, where each of them squares the distance.
const nearEnough = 1e-6

// maximize finds the maximum of the likelihood from a start.
func (m *model) maximize(start []float64) *maximum {
	at := &maximum{m, m.optimize(m.near(start))}
	at.polish()
	return at
}

// optimize goes from a start to where the maximum is near.
func (m *model) optimize(start []float64) optimum.Optimum {
	n := m.mean + 1
	p := optimum.Problem{Objective: m.objective, Lower: make([]float64, n), Upper: make([]float64, n), Stride: make([]float64, n), Enough: nearEnough}
	bound := func(i int, reach, stride float64) { p.Lower[i], p.Upper[i], p.Stride[i] = -reach, reach, stride }
	m.family.box(p.Lower, p.Upper, p.Stride)
	for i := range m.cells {
		bound(m.heights+i, mostHeight, 3)
	}
	if m.hasDelay {
		bound(m.delay, longestStep*m.size, m.size/2)
		bound(m.grade, mostGrade, 1)
	}
	if m.hasLead {
		bound(m.lead, longestStep*m.size, m.size/2)
	}
	p.Lower[m.alpha], p.Upper[m.alpha], p.Stride[m.alpha] = 0, mostAlpha, 2
	return p.Maximize(start)
}

// mostPolish is the number of Newton's steps from the end of a maximization: two take
// a gain of 1e-6 to the rounding of the gradient, a third is to spare.
const mostPolish = 3

// polish makes Newton's steps, in the parameters that no bound holds, for as
// long as each leaves less to gain than the one before. They look at the gradient
// alone: near the maximum the log-likelihood itself is flat to rounding.
func (m *maximum) polish() {
	if !m.Converged {
		return
	}
	var free []int
	for i, held := range m.AtBound {
		if !held {
			free = append(free, i)
		}
	}
	step, gain := newton(m.Gradient, m.Hessian, free)
	for range mostPolish {
		if step == nil || gain == 0 {
			return
		}
		x, gradient, hessian := slices.Clone(m.X), make([]float64, len(m.X)), matrix(len(m.X), len(m.X))
		for k, i := range free {
			x[i] += step[k]
		}
		if x[m.alpha] < 0 { // of a maximum on the bound, which the maximization has not quite met
			x[m.alpha], m.AtBound[m.alpha] = 0, true
			free = slices.DeleteFunc(free, func(i int) bool { return i == m.alpha })
		}
		value := m.objective(x, gradient, hessian)
		next, left := newton(gradient, hessian, free)
		if next == nil || !(left < gain) {
			return
		}
		m.X, m.Value, m.Gradient, m.Hessian = x, value, gradient, hessian
		step, gain = next, left
	}
}

// newton is Newton's step, and the gain that it promises, doubled; nil where the
// curvature is not that of a maximum.
func newton(gradient []float64, hessian [][]float64, free []int) (step []float64, gain float64) {
	inverse := optimum.Inverse(part(hessian, free, -1))
	if inverse == nil {
		return nil, 0
	}
	g := make([]float64, len(free))
	take(g, gradient, free)
	step = times(inverse, g)
	return step, dot(step, g)
}

// level sets the height of each cell so that it expects what was found.
func (m *model) level(x []float64) {
	found, expected := make([]float64, m.cells), make([]float64, m.cells)
	c := m.curveOf(x)
	var of logIntegral
	var mean logMean
	last := -1
	for i := range m.tallies {
		t := &m.tallies[i]
		if t.place != last {
			m.expect(&m.places[t.place], &c, &of, &mean)
			last = t.place
		}
		found[t.cell] += t.count
		expected[t.cell] += t.visits * math.Exp(mean.value+t.logExposure)
	}
	for i := range found {
		x[m.heights+i] = math.Log(found[i] / expected[i])
	}
}

// firstGuess takes the mean and spread of the finds for those of a Gaussian
// flush.
func (m *model) firstGuess() []float64 {
	x := make([]float64, m.mean+1)
	at, weight := make([]float64, len(m.visits)), make([]float64, len(m.visits))
	var first, sum float64
	for i := range m.visits {
		v := &m.visits[i]
		at[i], weight[i] = (m.places[v.place].middle-m.centre)/m.size, v.count
		first += weight[i] * at[i]
		sum += weight[i]
	}
	sd := max(spread(at, weight), 0.2)
	x[curvature] = -1 / (2 * sd * sd)
	x[rise] = -2 * x[curvature] * first / sum
	x[m.alpha] = 0.5
	m.level(x)
	return x
}

func times(a [][]float64, x []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = dot(a[i], x)
	}
	return out
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func matrix(rows, columns int) [][]float64 {
	a := make([][]float64, rows)
	flat := make([]float64, rows*columns)
	for i := range a {
		a[i] = flat[i*columns : (i+1)*columns]
	}
	return a
}
