package season

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// skewedFamily is the family of the log-gamma curves (Prentice 1974), whose
// exponentials are generalized gamma,
//
//	log rate = (w - exp(w) + 1) / q^2,   w = q u,   u = (z - mode) / exp(width)
//
// The mode is at u = 0, where the curvature is that of a normal curve of standard
// deviation exp(width); q = 0 is that normal curve. A flush of q < 0 rises more steeply
// than it falls, one of q > 0 falls more steeply; its skewness has the sign of -q
// and tends to that of the exponential distribution, 2, as q grows. The curve
// is log-concave.
//
// Reference: Prentice (1974), Biometrika 61: 539-544, from memory.
type skewedFamily struct{}

// The places of its parameters; skew is that of q.
const (
	mode = iota
	width
	skew
)

// Bounds: a mode beyond ten times the spread of the visits is no flush of
// theirs, and a flush narrower than a hundredth of it or wider than a hundredfold none at
// all. At a q of 6 the skewness is over 1.99: the steep side is a step to visits some days
// apart.
const (
	farthestMode = 10
	widthReach   = 4.6 // log 100
	mostSkew     = 6
)

func (skewedFamily) parameters() int { return 3 }

func (skewedFamily) box(lower, upper, stride []float64) {
	lower[mode], upper[mode], stride[mode] = -farthestMode, farthestMode, 0.5
	lower[width], upper[width], stride[width] = -widthReach, widthReach, 0.7
	lower[skew], upper[skew], stride[skew] = -mostSkew, mostSkew, 0.7
}

func (skewedFamily) move(x []float64, to axis) {
	x[mode] = to.at(x[mode])
	x[width] += math.Log(to.scale)
}

func (skewedFamily) bending(_, d []float64) float64 { return -2 * d[width] }

func (skewedFamily) at(x []float64) rate {
	return skewed{x[mode], math.Exp(x[width]), x[skew]}
}

// skewed is one of them, sd being exp(width).
type skewed struct{ mode, sd, q float64 }

// slopes are the logarithm of the rate at a place and its derivatives by u and
// q.
type slopes struct{ value, u, q, uu, uq, qq float64 }

// seriesBelow is the size of w below which the closed forms, which divide by w
// up to four times, lose more digits than the series.
const seriesBelow = 0.5

// at gives them by the functions
//
//	phi_k(w) = sum_j w^j / (j + k)!,   phi_1 = (exp(w) - 1)/w = 1 + w phi_2
//
// for log rate = -u^2 phi_2(w), and its derivative by u is -u phi_1(w).
func (c skewed) at(u float64) slopes {
	w := c.q * u
	var exp, one, oneSlope, two, twoSlope, twoBend float64
	if math.Abs(w) < seriesBelow {
		two, twoSlope, twoBend = series.at(w), seriesSlope.at(w), seriesBend.at(w)
		one, oneSlope = 1+w*two, two+w*twoSlope
		exp = 1 + w*one
	} else {
		exp = math.Exp(w)
		one = (exp - 1) / w
		oneSlope = (exp - one) / w
		two = (one - 1) / w
		twoSlope = (oneSlope - two) / w
		twoBend = ((exp-2*oneSlope)/w - 2*twoSlope) / w
	}
	uu := u * u
	return slopes{value: -uu * two, u: -u * one, q: -uu * u * twoSlope, uu: -exp, uq: -uu * oneSlope, qq: -uu * uu * twoBend}
}

// value is the logarithm of the rate alone, to the same digits: far out it is so
// large that others would not do.
func (c skewed) value(u float64) float64 {
	w := c.q * u
	if math.Abs(w) < seriesBelow {
		return -(u * u) * series.at(w)
	}
	return -(u * u) * (((math.Exp(w)-1)/w - 1) / w)
}

// powers are the coefficients of a power series; at |w| < 0.5, 14 of these leave
// out less than rounding.
type powers [14]float64

// series is phi_2, with its first and second derivative.
var series, seriesSlope, seriesBend = newPowers(2, 0), newPowers(2, 1), newPowers(2, 2)

// newPowers is the series of a derivative of phi_k,
//
//	sum_j (j+1) ... (j+order) / (j + order + k)! w^j
func newPowers(k, order int) (p powers) {
	for j := range p {
		p[j] = 1
		for i := 1; i <= order; i++ {
			p[j] *= float64(j + i)
		}
		for i := 2; i <= j+order+k; i++ {
			p[j] /= float64(i)
		}
	}
	return p
}

func (p *powers) at(w float64) float64 {
	var sum float64
	for j := len(p) - 1; j >= 0; j-- {
		sum = sum*w + p[j]
	}
	return sum
}

// steepest is the w beyond which the squares of exp(w) overflow; the rate is 0
// long before, and nothing the logarithm of a window all beyond it.
const (
	steepest = 300
	nothing  = -1e300
)

func (c skewed) integrate(nodes []node, a axis, to *logIntegral) {
	highest := c.highest(a.at(nodes[0].x), a.at(nodes[len(nodes)-1].x))
	var sum float64
	var first [3]float64
	var second [3][3]float64
	for _, n := range nodes {
		u := (a.at(n.x) - c.mode) / c.sd
		if c.q*u > steepest {
			continue
		}
		q := c.at(u)
		e := n.weight * math.Exp(q.value-highest)
		g := [3]float64{-q.u / c.sd, -u * q.u, q.q}
		sum += e
		for i := range g {
			first[i] += e * g[i]
			for j := range i + 1 {
				second[i][j] += e * g[i] * g[j]
			}
		}
		second[0][0] += e * q.uu / (c.sd * c.sd)
		second[1][0] += e * (u*q.uu + q.u) / c.sd
		second[1][1] += e * u * (q.u + u*q.uu)
		second[2][0] -= e * q.uq / c.sd
		second[2][1] -= e * u * q.uq
		second[2][2] += e * q.qq
	}
	if sum == 0 {
		*to = logIntegral{value: nothing}
		return
	}
	to.value = highest + math.Log(sum)
	for i := range first {
		to.first[i] = first[i] / sum
		for j := range i + 1 {
			to.second[i][j] = second[i][j]/sum - to.first[i]*to.first[j]
			to.second[j][i] = to.second[i][j]
		}
	}
	to.shifts(3, mode)
}

// highest is the maximum of the logarithm of the rate between two places.
func (c skewed) highest(from, to float64) float64 {
	if from < c.mode && c.mode < to {
		return 0
	}
	return max(c.value((from-c.mode)/c.sd), c.value((to-c.mode)/c.sd))
}

// nearGaussian is the size of skew below which the closed forms of the whole
// and the spread have fewer digits than their series, Stirling's.
const nearGaussian = 0.2

// whole is the logarithm of sd times the integral over u, with a = 1 / skew^2
//
//	exp(a) Gamma(a) a^(1/2 - a)
func (c skewed) whole(to *logIntegral) {
	*to = logIntegral{}
	a, x := 1/(c.q*c.q), c.q
	if math.Abs(x) < nearGaussian {
		to.value = math.Log(2*math.Pi)/2 + x*x/12 - math.Pow(x, 6)/360 + math.Pow(x, 10)/1260
		to.first[skew] = x/6 - math.Pow(x, 5)/60 + math.Pow(x, 9)/126
	} else {
		gamma, _ := math.Lgamma(a)
		to.value = a + gamma + (0.5-a)*math.Log(a)
		to.first[skew] = -2 * a / x * (mathext.Digamma(a) - math.Log(a) + 1/(2*a))
	}
	to.value += math.Log(c.sd)
	to.first[width] = 1
}

// share is a regularized incomplete gamma function of a exp(w), from below
// where skew > 0 and from above where it is not; at a skew of 1e-5 the first
// term beyond the Gaussian is right to 1e-10.
func (c skewed) share(z float64) float64 {
	u := (z - c.mode) / c.sd
	if math.Abs(c.q) < 1e-5 {
		return distuv.UnitNormal.CDF(u) + c.q/6*(u*u+2)*distuv.UnitNormal.Prob(u)
	}
	a := 1 / (c.q * c.q)
	x := a * math.Exp(min(c.q*u, steepest))
	if c.q > 0 {
		return mathext.GammaIncReg(a, x)
	}
	return mathext.GammaIncRegComp(a, x)
}

func (c skewed) peaks() []peak { return []peak{{c.mode, 1}} }

// spread is sd sqrt(psi'(a)) / |skew|.
func (c skewed) spread() float64 {
	x := c.q
	if math.Abs(x) < nearGaussian/10 {
		return c.sd * math.Sqrt(1+x*x/2+x*x*x*x/6)
	}
	return c.sd * math.Sqrt(mathext.Zeta(2, 1/(x*x))) / math.Abs(x)
}
