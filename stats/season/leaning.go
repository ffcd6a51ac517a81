package season

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// leanings is the family of the log-gamma curves (Prentice 1974), whose
// exponentials are generalized gamma,
//
//	log rate = (w - exp(w) + 1) / lean^2,   w = lean u,   u = (z - mode) / exp(width)
//
// The mode is at u = 0, where the curvature is that of a Gaussian of standard
// deviation exp(width); lean = 0 is that Gaussian. A flush of lean < 0 rises
// steeply and falls slowly, one of lean > 0 the other way; its skewness has the
// opposite sign and tends to that of the exponential distribution, 2, as lean
// grows. The curve is log-concave.
//
// Reference: Prentice (1974), Biometrika 61: 539-544.
type leanings struct{}

// The places of the parameters of a leaning curve.
const (
	mode = iota
	width
	lean
)

// Bounds: a mode beyond ten times the spread of the visits is no flush of
// theirs, and a flush narrower than a hundredth of it or wider than a hundredfold none at
// all. At a lean of 6 the skewness is 1.95, of 2 at most.
const (
	farthestMode = 10
	widthReach   = 4.6 // log 100
	mostLean     = 6
)

func (leanings) parameters() int { return 3 }

func (leanings) box(lower, upper, stride []float64) {
	lower[mode], upper[mode], stride[mode] = -farthestMode, farthestMode, 0.5
	lower[width], upper[width], stride[width] = -widthReach, widthReach, 0.7
	lower[lean], upper[lean], stride[lean] = -mostLean, mostLean, 0.7
}

func (leanings) bending(_, d []float64) float64 { return -2 * d[width] }

func (leanings) at(x []float64) rate {
	return leaning{x[mode], math.Exp(x[width]), x[lean]}
}

// leaning is one of them, sd being exp(width).
type leaning struct{ mode, sd, lean float64 }

// slopes are the logarithm of the rate at a place and its derivatives by u and
// lean.
type slopes struct{ value, u, lean, uu, uLean, leanLean float64 }

// seriesBelow is the size of w below which the closed forms, which divide by w
// up to four times, lose more digits than the series.
const seriesBelow = 1

// at gives them by the functions
//
//	phi_k(w) = sum_j w^j / (j + k)!
//
// for log rate = -u^2 phi_2(w), and its derivative by u is -u phi_1(w).
func (l leaning) at(u float64) slopes {
	w := l.lean * u
	exp := math.Exp(w)
	var one, oneSlope, two, twoSlope, twoBend float64
	if math.Abs(w) < seriesBelow {
		one, oneSlope = series1.at(w), series1Slope.at(w)
		two, twoSlope, twoBend = series2.at(w), series2Slope.at(w), series2Bend.at(w)
	} else {
		one = math.Expm1(w) / w
		oneSlope = (exp - one) / w
		two = (one - 1) / w
		twoSlope = (oneSlope - two) / w
		twoBend = ((exp-2*oneSlope)/w - 2*twoSlope) / w
	}
	uu := u * u
	return slopes{value: -uu * two, u: -u * one, lean: -uu * u * twoSlope, uu: -exp, uLean: -uu * oneSlope, leanLean: -uu * uu * twoBend}
}

// value is the logarithm of the rate alone.
func (l leaning) value(u float64) float64 {
	w := l.lean * u
	if math.Abs(w) < seriesBelow {
		return -u * u * series2.at(w)
	}
	return (w - math.Expm1(w)) / (l.lean * l.lean)
}

// powers are the coefficients of a power series; at |w| < 1, 18 of these leave
// out less than rounding.
type powers [18]float64

var (
	series1, series1Slope              = newPowers(1, 0), newPowers(1, 1)
	series2, series2Slope, series2Bend = newPowers(2, 0), newPowers(2, 1), newPowers(2, 2)
)

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
// long before.
const steepest = 300

func (l leaning) integrate(nodes []node, a axis, to *logIntegral) {
	highest := l.highest(a.at(nodes[0].x), a.at(nodes[len(nodes)-1].x))
	var sum float64
	var first [3]float64
	var second [3][3]float64
	for _, n := range nodes {
		u := (a.at(n.x) - l.mode) / l.sd
		if l.lean*u > steepest {
			continue
		}
		q := l.at(u)
		e := n.weight * math.Exp(q.value-highest)
		g := [3]float64{-q.u / l.sd, -u * q.u, q.lean}
		sum += e
		for i := range g {
			first[i] += e * g[i]
			for j := range i + 1 {
				second[i][j] += e * g[i] * g[j]
			}
		}
		second[0][0] += e * q.uu / (l.sd * l.sd)
		second[1][0] += e * (u*q.uu + q.u) / l.sd
		second[1][1] += e * u * (q.u + u*q.uu)
		second[2][0] -= e * q.uLean / l.sd
		second[2][1] -= e * u * q.uLean
		second[2][2] += e * q.leanLean
	}
	to.value = highest + math.Log(sum)
	for i := range first {
		to.first[i] = first[i] / sum
		for j := range i + 1 {
			to.second[i][j] = second[i][j]/sum - to.first[i]*to.first[j]
			to.second[j][i] = to.second[i][j]
		}
	}
	to.byTime(3, mode)
}

// highest is the maximum of the logarithm of the rate between two places.
func (l leaning) highest(from, to float64) float64 {
	if from < l.mode && l.mode < to {
		return 0
	}
	return max(l.value((from-l.mode)/l.sd), l.value((to-l.mode)/l.sd))
}

// nearGaussian is the size of lean below which the closed forms of the whole
// and the spread have fewer digits than their series, Stirling's.
const nearGaussian = 0.2

// whole is the logarithm of sd times the integral over u, with a = 1 / lean^2
//
//	exp(a) Gamma(a) a^(1/2 - a)
func (l leaning) whole(to *logIntegral) {
	*to = logIntegral{}
	a, x := 1/(l.lean*l.lean), l.lean
	if math.Abs(x) < nearGaussian {
		to.value = math.Log(2*math.Pi)/2 + x*x/12 - math.Pow(x, 6)/360 + math.Pow(x, 10)/1260
		to.first[lean] = x/6 - math.Pow(x, 5)/60 + math.Pow(x, 9)/126
	} else {
		gamma, _ := math.Lgamma(a)
		to.value = a + gamma + (0.5-a)*math.Log(a)
		to.first[lean] = -2 * a / x * (mathext.Digamma(a) - math.Log(a) + 1/(2*a))
	}
	to.value += math.Log(l.sd)
	to.first[width] = 1
}

// share is a regularized incomplete gamma function of a exp(w), from below
// where lean > 0 and from above where it is not; at a lean of 1e-5 the first
// term beyond the Gaussian is right to 1e-10.
func (l leaning) share(z float64) float64 {
	u := (z - l.mode) / l.sd
	if math.Abs(l.lean) < 1e-5 {
		return distuv.UnitNormal.CDF(u) + l.lean/6*(u*u+2)*distuv.UnitNormal.Prob(u)
	}
	a := 1 / (l.lean * l.lean)
	x := a * math.Exp(min(l.lean*u, steepest))
	if l.lean > 0 {
		return mathext.GammaIncReg(a, x)
	}
	return mathext.GammaIncRegComp(a, x)
}

func (l leaning) peaks() []hump { return []hump{{l.mode, 1}} }

// spread is sd sqrt(psi'(a)) / |lean|.
func (l leaning) spread() float64 {
	x := l.lean
	if math.Abs(x) < nearGaussian/10 {
		return l.sd * math.Sqrt(1+x*x/2+x*x*x*x/6)
	}
	return l.sd * math.Sqrt(mathext.Zeta(2, 1/(x*x))) / math.Abs(x)
}
