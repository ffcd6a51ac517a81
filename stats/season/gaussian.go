package season

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// gaussianFamily is the family of the log-quadratic curves,
//
//	log rate = rise z + bend z^2
//
// which are Gaussian where bend < 0.
type gaussianFamily struct{}

// Bounds of the log-quadratic, and how far one round of the maximization may move its
// parameters. Times are in units of the spread of the visits: a flush narrower
// than a hundredth of it falls between any two visits.
const (
	widestRise = 1e4
	sharpest   = 1e4
	mostUpward = 20
)

// The places of its parameters.
const (
	rise = iota
	curvature
)

func (gaussianFamily) parameters() int { return 2 }

func (gaussianFamily) box(lower, upper, stride []float64) {
	lower[rise], upper[rise], stride[rise] = -widestRise, widestRise, 4
	lower[curvature], upper[curvature], stride[curvature] = -sharpest, mostUpward, 4
}

func (gaussianFamily) move(x []float64, to axis) {
	x[curvature] /= to.scale * to.scale
	x[rise] = x[rise]/to.scale - 2*x[curvature]*to.offset
}

func (gaussianFamily) bending(x, d []float64) float64 { return d[curvature] / x[curvature] }

func (gaussianFamily) at(x []float64) rate { return gaussian{x[rise], x[curvature]} }

// gaussian is one of them.
type gaussian struct{ rise, curvature float64 }

func (g gaussian) integrate(nodes []node, a axis, to *logIntegral) {
	highest := g.highest(a.at(nodes[0].x), a.at(nodes[len(nodes)-1].x))
	var m moments
	for _, n := range nodes {
		z := a.at(n.x)
		m.add(z, n.weight*math.Exp((g.rise+g.curvature*z)*z-highest))
	}
	to.value = highest + math.Log(m[0])
	g.settle(&m, to)
}

// highest is the maximum of the logarithm of the rate between two places.
func (g gaussian) highest(from, to float64) float64 {
	if top := g.top(); g.curvature < 0 && from < top && top < to {
		return g.rise * top / 2
	}
	return max((g.rise+g.curvature*from)*from, (g.rise+g.curvature*to)*to)
}

// moments are the sums of w z^k over the nodes of a window, k from 0 to 4. The
// derivatives of a log-quadratic rate are polynomials of z, so that nothing else
// is needed of the nodes.
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

// settle sets the derivatives. With E the mean over the nodes by weight x rate
// and q = log rate, the first is E q' and the second E (q' q' + q”) - E q' E q'.
func (g gaussian) settle(m *moments, to *logIntegral) {
	z1, z2, z3, z4 := m[1]/m[0], m[2]/m[0], m[3]/m[0], m[4]/m[0]
	slope := g.rise + 2*g.curvature*z1 // E q' by z, and its products
	slopeZ, slopeZZ := g.rise*z1+2*g.curvature*z2, g.rise*z2+2*g.curvature*z3
	f, s := &to.first, &to.second
	f[0], f[1], f[2] = z1, z2, slope
	s[0][0] = z2 - z1*z1
	s[0][1] = z3 - z1*z2
	s[1][1] = z4 - z2*z2
	s[0][2] = slopeZ + 1 - z1*slope
	s[1][2] = slopeZZ + 2*z1 - z2*slope
	s[2][2] = g.rise*slope + 2*g.curvature*slopeZ + 2*g.curvature - slope*slope
	s[1][0], s[2][0], s[2][1] = s[0][1], s[0][2], s[1][2]
}

// whole is log sqrt(pi / -bend) - rise^2 / (4 bend).
func (g gaussian) whole(to *logIntegral) {
	top, variance := g.top(), -1/(2*g.curvature)
	*to = logIntegral{value: g.rise*top/2 + math.Log(2*math.Pi*variance)/2}
	to.first[rise], to.first[curvature] = top, top*top+variance
}

func (g gaussian) top() float64 { return -g.rise / (2 * g.curvature) }

func (g gaussian) spread() float64 { return 1 / math.Sqrt(-2*g.curvature) }

func (g gaussian) share(z float64) float64 {
	return distuv.UnitNormal.CDF((z - g.top()) / g.spread())
}

func (g gaussian) peaks() []peak { return []peak{{g.top(), 1}} }
