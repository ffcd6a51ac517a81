package season

import (
	"math"

	"ashtally/stats/negbin"
)

// layout says where each parameter stands in the vector; -1 for none. Those of
// the shape come first, the heights of the cells follow from heights on, and 1/k
// comes last.
type layout struct {
	form              int // parameters of the shape
	delay, lead       int // by 100 m of elevation, of roadsides
	grade             int // log height by 100 m of elevation
	heights, alpha    int
	mean              int // parameters of the mean: all but alpha
	shared            int // those that the cells share
	hasDelay, hasLead bool
}

func newLayout(form, cells int, elevation, roadside bool) layout {
	l := layout{form: form, delay: -1, lead: -1, grade: -1, hasDelay: elevation, hasLead: roadside}
	n := form
	if elevation {
		l.delay, l.grade = n, n+1
		n += 2
	}
	if roadside {
		l.lead = n
		n++
	}
	l.shared, l.heights = n, n
	l.mean = n + cells
	l.alpha = l.mean
	return l
}

// model is a sample with a shape and the layout of its parameters.
type model struct {
	*data
	layout
	shape      Shape
	family     family
	dispersion *negbin.Data
}

// curve is the part of the parameters that gives the rate at a time.
type curve struct {
	rate
	delay, grade, lead float64
}

func (m *model) curveOf(x []float64) curve {
	c := curve{rate: m.family.at(x[:m.form])}
	if m.hasDelay {
		c.delay, c.grade = x[m.delay], x[m.grade]
	}
	if m.hasLead {
		c.lead = x[m.lead]
	}
	return c
}

// logMean is the logarithm of the mean of a visit, but for its height and
// exposure, with its derivatives by the parameters that the cells share.
type logMean struct {
	value  float64
	first  [mostShared]float64
	second [mostShared][mostShared]float64 // below and on the diagonal
}

// axis takes the times of a place to the scaled time of the curve.
func (m *model) axis(p *place, c *curve) axis {
	return axis{1 / m.size, (p.roadside*c.lead - p.elevation*c.delay - m.centre) / m.size}
}

// expect sets the mean at a place; of is room for its integral.
func (m *model) expect(p *place, c *curve, of *logIntegral, to *logMean) {
	c.integrate(p.nodes, m.axis(p, c), of)
	m.spread(p, of, to)
	to.value = of.value + c.grade*p.elevation
}

// spread turns the derivatives by z into those by delay and lead: of z at a
// place these are -e/s and r/s.
func (m *model) spread(p *place, of *logIntegral, to *logMean) {
	var by [mostShared]float64 // of z by each parameter
	z := m.form
	for i := range m.shared {
		at := min(i, z)
		to.first[i] = of.first[at]
		for j := range i + 1 {
			to.second[i][j] = of.second[at][min(j, z)]
		}
	}
	if m.shared == z {
		return
	}
	if m.hasDelay {
		by[m.delay] = -p.elevation / m.size
	}
	if m.hasLead {
		by[m.lead] = p.roadside / m.size
	}
	for i := z; i < m.shared; i++ {
		to.first[i] *= by[i]
		for j := range z {
			to.second[i][j] *= by[i]
		}
		for j := z; j <= i; j++ {
			to.second[i][j] *= by[i] * by[j]
		}
	}
	if m.hasDelay {
		to.first[m.grade] = p.elevation
	}
}

// derivatives gathers the gradient and Hessian of the log-likelihood. Heights of
// different cells do not meet in the Hessian.
type derivatives struct {
	value, lost float64 // lost is what rounding took of value
	first       [mostShared]float64
	second      [mostShared][mostShared]float64
	toAlpha     [mostShared]float64
	alpha       float64
	alphaAlpha  float64
	cells       []cellSums
}

type cellSums struct {
	first, second, toAlpha float64
	toShared               [mostShared]float64
}

// add adds to the value by Neumaier's compensated sum, so that rounding does not
// hide what the last steps of a maximization gain.
func (s *derivatives) add(v float64) {
	t := s.value + v
	if math.Abs(s.value) >= math.Abs(v) {
		s.lost += (s.value - t) + v
	} else {
		s.lost += (v - t) + s.value
	}
	s.value = t
}

// objective is the log-likelihood with every constant, its gradient and its
// Hessian.
func (m *model) objective(x, gradient []float64, hessian [][]float64) float64 {
	s := derivatives{cells: make([]cellSums, m.cells)}
	alpha, c := x[m.alpha], m.curveOf(x)
	var part float64
	part, s.alpha, s.alphaAlpha = m.dispersion.CountPart(alpha)
	s.add(part)
	s.add(m.constant)
	var of logIntegral
	var mean logMean
	for first := 0; first < len(m.tallies); {
		at := m.tallies[first].place
		end := first + 1
		for end < len(m.tallies) && m.tallies[end].place == at {
			end++
		}
		m.expect(&m.places[at], &c, &of, &mean)
		m.addPlace(m.tallies[first:end], &mean, x[m.heights:m.alpha], alpha, &s)
		first = end
	}
	m.put(&s, gradient, hessian)
	return s.value + s.lost
}

// addPlace adds what the visits to a place bring.
func (m *model) addPlace(list []tally, mean *logMean, heights []float64, alpha float64, s *derivatives) {
	var slope, second, cross float64
	for k := range list {
		t := &list[k]
		w := t.weigh(mean.value+heights[t.cell]+t.logExposure, alpha)
		s.add(w.value)
		slope += w.slope
		second += w.second
		cross += w.cross
		s.alpha += w.alpha
		s.alphaAlpha += w.alphaAlpha
		c := &s.cells[t.cell]
		c.first += w.slope
		c.second += w.second
		c.toAlpha += w.cross
		for i := range m.shared {
			c.toShared[i] += w.second * mean.first[i]
		}
	}
	for i := range m.shared {
		s.first[i] += slope * mean.first[i]
		s.toAlpha[i] += cross * mean.first[i]
		for j := range i + 1 {
			s.second[i][j] += second*mean.first[i]*mean.first[j] + slope*mean.second[i][j]
		}
	}
}

// weight is what visits of one mean bring: the log-likelihood but for the part
// that holds the counts and alpha alone, its derivatives by the logarithm of the
// mean and by alpha, and the expected information on the former, which a visit alone has.
type weight struct{ value, slope, second, cross, alpha, alphaAlpha, expected float64 }

func (t *tally) weigh(logMean, alpha float64) weight {
	mu := math.Exp(logMean)
	q, log1p := 1+alpha*mu, math.Log1p(alpha*mu)
	empty := mu // log(1 + alpha mu) / alpha, which is mu at 0
	if alpha*mu != 0 {
		empty = log1p / alpha
	}
	score, scoreSlope := negbin.DispersionScoreOf(alpha*mu, log1p)
	left, share := t.count-t.visits*mu, mu/q
	return weight{
		value:      t.count*(logMean-log1p) - t.visits*empty,
		slope:      left / q,
		second:     -share * (t.visits + alpha*t.count) / q,
		cross:      -share * left / q,
		alpha:      t.visits*mu*mu*score - t.count*share,
		alphaAlpha: t.visits*mu*mu*mu*scoreSlope + t.count*share*share,
	}
}

// put writes the sums in the order of the parameters.
func (m *model) put(s *derivatives, gradient []float64, hessian [][]float64) {
	clear(gradient)
	for i := range hessian {
		clear(hessian[i])
	}
	set := func(i, j int, v float64) { hessian[i][j], hessian[j][i] = v, v }
	for i := range m.shared {
		gradient[i] = s.first[i]
		set(i, m.alpha, s.toAlpha[i])
		for j := range i + 1 {
			set(i, j, s.second[i][j])
		}
	}
	for k := range s.cells {
		c, at := &s.cells[k], m.heights+k
		gradient[at] = c.first
		set(at, at, c.second)
		set(at, m.alpha, c.toAlpha)
		for i := range m.shared {
			set(at, i, c.toShared[i])
		}
	}
	gradient[m.alpha] = s.alpha
	set(m.alpha, m.alpha, s.alphaAlpha)
}
