// Package gof tests whether numbers follow a distribution: chi-square in
// intervals, Kolmogorov-Smirnov and Cramer-von Mises.
//
// The last two take u_i = F(x_i), the distribution function at each number,
// which is uniform between 0 and 1 if F is right. Their p-values are those of
// a distribution known beforehand. If its parameters were fitted to the same
// numbers, p comes out too large, so that a small p still tells, and a large
// one tells little.
package gof

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Result is what a test found.
type Result struct {
	Statistic float64
	DF        float64 // degrees of freedom; NaN where the test has none
	P         float64 // chance of such a statistic or a larger one; NaN if it cannot be had
}

// ChiSquare compares counts in intervals with those expected:
//
//	X^2 = sum_j (o_j - e_j)^2 / e_j
//
// with as many degrees of freedom as intervals less 1 less the parameters
// fitted. P is NaN if that is under 1. It needs every e_j over 0, commonly at
// least 5, and panics on slices of unequal length.
func ChiSquare(observed, expected []float64, parameters int) Result {
	if len(observed) != len(expected) {
		panic("gof: slice length mismatch")
	}
	var sum float64
	for j, o := range observed {
		d := o - expected[j]
		sum += d * d / expected[j]
	}
	r := Result{Statistic: sum, DF: float64(len(observed) - 1 - parameters), P: math.NaN()}
	if r.DF >= 1 {
		r.P = distuv.ChiSquared{K: r.DF}.Survival(sum)
	}
	return r
}

// KolmogorovSmirnov is the largest distance between the distribution function
// of the sample and the uniform one,
//
//	D = max_i max( i/n - u_(i), u_(i) - (i-1)/n )
//
// with the p-value of the limit distribution at (sqrt n + 0.12 + 0.11/sqrt n) D,
// which is right to 0.001 under 0.1 and to 0.02 about 0.5 from n = 8 on. Without
// numbers it is NaN.
// (Stephens 1970, Journal of the Royal Statistical Society B 32: 115-122.)
func KolmogorovSmirnov(u []float64) Result {
	nan := math.NaN()
	n := float64(len(u))
	if n == 0 {
		return Result{nan, nan, nan}
	}
	var d float64
	for i, v := range slices.Sorted(slices.Values(u)) {
		d = max(d, float64(i+1)/n-v, v-float64(i)/n)
	}
	root := math.Sqrt(n)
	return Result{Statistic: d, DF: nan, P: kolmogorov((root + 0.12 + 0.11/root) * d)}
}

// kolmogorov is the chance of the limit distribution to be beyond x:
//
//	2 sum_{k>=1} (-1)^(k-1) exp(-2 k^2 x^2)
func kolmogorov(x float64) float64 {
	if x < 0.2 { // 1 to 13 digits, and the series would take long
		return 1
	}
	var sum float64
	for k := 1; k <= 20; k++ {
		term := math.Exp(-2 * float64(k*k) * x * x)
		if k%2 == 0 {
			term = -term
		}
		sum += 2 * term
	}
	return min(1, max(0, sum))
}

// CramerVonMises is the mean squared distance between the distribution
// functions,
//
//	W2 = 1/(12 n) + sum_i ( u_(i) - (2i-1)/(2n) )^2
//
// with the p-value of the limit distribution at Stephens' modification
// (W2 - 0.4/n + 0.6/n^2) (1 + 1/n). Without numbers it is NaN.
// (Anderson & Darling 1952, Annals of Mathematical Statistics 23: 193-212;
// Stephens 1970, as above.)
func CramerVonMises(u []float64) Result {
	nan := math.NaN()
	n := float64(len(u))
	if n == 0 {
		return Result{nan, nan, nan}
	}
	w := 1 / (12 * n)
	for i, v := range slices.Sorted(slices.Values(u)) {
		d := v - (2*float64(i)+1)/(2*n)
		w += d * d
	}
	return Result{Statistic: w, DF: nan, P: 1 - cramer((w-0.4/n+0.6/(n*n))*(1+1/n))}
}

// cramer is the limit distribution function of W2:
//
//	1/(pi sqrt x) sum_j (-1)^j binom(-1/2, j) sqrt(4j+1) exp(-z) K_1/4(z),  z = (4j+1)^2 / (16 x)
//
// (Anderson & Darling 1952, equation 4.35.)
func cramer(x float64) float64 {
	if x <= 0.02 { // the least W2 can be in the limit: 1e-5 of the distribution is below
		return 0
	}
	var sum float64
	binomial := 1.0 // (-1)^j binom(-1/2, j) = prod (2i-1)/(2i)
	for j := range 20 {
		if j > 0 {
			binomial *= (2*float64(j) - 1) / (2 * float64(j))
		}
		m := float64(4*j + 1)
		sum += binomial * math.Sqrt(m) * scaledBessel(m*m/(16*x))
	}
	return min(1, sum/(math.Pi*math.Sqrt(x)))
}

// scaledBessel is exp(-z) K_1/4(z), by the trapezoid rule on
//
//	K_v(z) = integral_0^inf exp(-z cosh t) cosh(v t) dt
//
// whose integrand dies so fast at both ends that a step of 1/16 gives 14
// digits.
func scaledBessel(z float64) float64 {
	const step, v = 1.0 / 16, 0.25
	sum := math.Exp(-2*z) / 2
	for t := step; z*(math.Cosh(t)+1) < 745; t += step {
		sum += math.Exp(-z*(math.Cosh(t)+1)) * math.Cosh(v*t)
	}
	return sum * step
}
