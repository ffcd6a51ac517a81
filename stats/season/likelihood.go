package season

import (
	"math"

	"ashtally/stats/negbin"
)

// places says where each parameter stands in the vector; -1 for none. The
// heights of the cells follow from heights on, and 1/k comes last.
type places struct {
	rise, bend        int // b1 and b2
	delay, lead       int // by 100 m of elevation, of roadsides
	grade             int // log height by 100 m of elevation
	heights, alpha    int
	mean              int // parameters of the mean: all but alpha
	shared            int // those that the cells share
	hasDelay, hasLead bool
}

func newPlaces(cells int, elevation, roadside bool) places {
	p := places{rise: 0, bend: 1, delay: -1, lead: -1, grade: -1, hasDelay: elevation, hasLead: roadside}
	n := 2
	if elevation {
		p.delay, p.grade = n, n+1
		n += 2
	}
	if roadside {
		p.lead = n
		n++
	}
	p.shared, p.heights = n, n
	p.mean = n + cells
	p.alpha = p.mean
	return p
}

// curve is the part of the parameters that gives the rate at a time, but for
// its height.
type curve struct{ rise, bend, delay, lead, grade float64 }

func (p places) curveOf(x []float64) curve {
	c := curve{rise: x[p.rise], bend: x[p.bend]}
	if p.hasDelay {
		c.delay, c.grade = x[p.delay], x[p.grade]
	}
	if p.hasLead {
		c.lead = x[p.lead]
	}
	return c
}

// shapes is how many parameters bend the logarithm of a rate over a window:
// rise, bend, delay and lead, in this order.
const shapes = 4

// logMean is the logarithm of a visit's mean and its derivatives by the shape
// parameters; those by grade and height are the elevation and 1.
type logMean struct {
	value float64
	first [shapes]float64
	// second is that of the logarithm of the integral.
	second [shapes][shapes]float64
}

// logMean integrates the rate over the window of a visit.
func (d *data) logMean(v *visit, c curve, height float64) logMean {
	// A visit has at most mostNodes; their places are kept from the first pass.
	var at [mostNodes]float64
	offset := (v.roadside*c.lead - v.elevation*c.delay - d.centre) / d.size
	highest := math.Inf(-1)
	for i, n := range v.nodes {
		at[i] = n.x/d.size + offset
		highest = max(highest, (c.rise+c.bend*at[i])*at[i])
	}
	var of moments
	for i, n := range v.nodes {
		z := at[i]
		of.add(z, n.weight*math.Exp((c.rise+c.bend*z)*z-highest))
	}
	m := logMean{value: v.logExposure + height + c.grade*v.elevation + highest + math.Log(of[0])}
	m.settle(&of, c, -v.elevation/d.size, v.roadside/d.size)
	return m
}

// moments are the sums of w z^k over the nodes of a window, k from 0 to 4. The
// derivatives of the rate are polynomials of z, so that nothing else is needed
// of the nodes.
type moments [5]float64

func (m *moments) add(z, w float64) {
	m[0] += w
	w *= z
	m[1] += w
	w *= z
	m[2] += w
	w *= z
	m[3] += w
	m[4] += w * z
}

// settle sets the derivatives of the logarithm of the integral. down and up are
// those of z by delay and by lead.
func (m *logMean) settle(of *moments, c curve, down, up float64) {
	z1, z2, z3, z4 := of[1]/of[0], of[2]/of[0], of[3]/of[0], of[4]/of[0]
	slope := c.rise + 2*c.bend*z1 // mean of the slope by z, and its products
	slopeZ, slopeZZ := c.rise*z1+2*c.bend*z2, c.rise*z2+2*c.bend*z3
	slopeSlope := c.rise*slope + 2*c.bend*slopeZ + 2*c.bend // with the second derivative by z
	m.first = [shapes]float64{z1, z2, slope * down, slope * up}
	m.second = [shapes][shapes]float64{
		{z2},
		{z3, z4},
		{(slopeZ + 1) * down, (slopeZZ + 2*z1) * down, slopeSlope * down * down},
		{(slopeZ + 1) * up, (slopeZZ + 2*z1) * up, slopeSlope * down * up, slopeSlope * up * up},
	}
	for i := range m.second {
		for j := range i + 1 {
			m.second[i][j] -= m.first[i] * m.first[j]
			m.second[j][i] = m.second[i][j]
		}
	}
}

// model is a sample with the layout of its parameters.
type model struct {
	data
	places
	tally *negbin.Data
}

// slots are the parameters that a visit depends on and the derivatives of its
// log mean by them, the four shapes first; a place of -1 is not there.
func (m *model) slots(v *visit, l *logMean) (at [shapes + 2]int, first [shapes + 2]float64) {
	at = [shapes + 2]int{m.rise, m.bend, m.delay, m.lead, m.grade, m.heights + v.cell}
	copy(first[:], l.first[:])
	first[shapes], first[shapes+1] = v.elevation, 1
	return at, first
}

// objective is the log-likelihood with every constant, its gradient and its
// Hessian.
func (m *model) objective(x, gradient []float64, hessian [][]float64) float64 {
	clear(gradient)
	for i := range hessian {
		clear(hessian[i])
	}
	alpha := x[m.alpha]
	value, rise, riseSlope := m.tally.CountPart(alpha)
	gradient[m.alpha], hessian[m.alpha][m.alpha] = rise, riseSlope
	c := m.curveOf(x)
	for i := range m.data.visits {
		v := &m.data.visits[i]
		l := m.logMean(v, c, x[m.heights+v.cell])
		value += m.addVisit(v, &l, alpha, gradient, hessian)
	}
	return value
}

// addVisit adds what a visit brings to the gradient and Hessian, and returns
// its log-likelihood but for the part that holds the counts and alpha alone.
func (m *model) addVisit(v *visit, l *logMean, alpha float64, gradient []float64, hessian [][]float64) float64 {
	mu := math.Exp(l.value)
	q := 1 + alpha*mu
	slope := (v.count - mu) / q
	second := -mu * (1 + alpha*v.count) / (q * q)
	cross := -mu * (v.count - mu) / (q * q)
	at, first := m.slots(v, l)
	for i, a := range at {
		if a < 0 {
			continue
		}
		gradient[a] += slope * first[i]
		hessian[a][m.alpha] += cross * first[i]
		hessian[m.alpha][a] += cross * first[i]
		for j, b := range at {
			if b < 0 {
				continue
			}
			h := second * first[i] * first[j]
			if i < shapes && j < shapes {
				h += slope * l.second[i][j]
			}
			hessian[a][b] += h
		}
	}
	bend, bendSlope := negbin.Bend(alpha * mu)
	gradient[m.alpha] += mu*mu*bend - v.count*mu/q
	hessian[m.alpha][m.alpha] += mu*mu*mu*bendSlope + v.count*mu*mu/(q*q)
	return v.count*(l.value-math.Log1p(alpha*mu)) - emptiness(alpha, mu) - v.logFactorial
}

// emptiness is log(1 + alpha mu) / alpha, which is mu at 0.
func emptiness(alpha, mu float64) float64 {
	if alpha*mu == 0 {
		return mu
	}
	return math.Log1p(alpha*mu) / alpha
}
