// Package poissonlognormal fits the Poisson-lognormal distribution to counts.
//
// Count y_i on exposure a_i (searched area, say) is Poisson about a rate that is
// itself log-normal,
//
//	y_i ~ Poisson(a_i r_i),  log r_i ~ N(log m - s^2/2, s^2)
//
// so that its mean is m a_i and its variance mu + mu^2 (e^(s^2) - 1). Its tail is
// heavier than that of a negative binomial with as many empty units: a few units
// may hold most of the total. The probability of a count has no closed form,
//
//	p(y; mu, s) = integral of Poisson(y; mu exp(s z - s^2/2)) phi(z) dz
//
// with phi the standard normal density, and is found by the trapezoidal rule
// about the mode of the integrand, which converges faster than any power of the
// step for integrands of this shape.
//
// References: Bulmer (1974), Biometrics 30: 101-110; Aitchison & Ho (1989),
// Biometrika 76: 643-653; Trefethen & Weideman (2014), SIAM Review 56: 385-458 on
// the trapezoidal rule.
package poissonlognormal

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats/interpolation"
)

// Data is a sample of counts reduced to what the likelihood needs. It is
// read-only once made, so it may be used by many goroutines.
type Data struct {
	cells            []cell // by count, then exposure, ascending
	total, exposed   float64
	withoutParameter float64 // - sum log y!
}

// cell is how many units have a count on an exposure. Where a count has many exposures, it
// has nodes of an interpolation instead, to which n are the weights.
type cell struct{ count, exposure, n, logExposure, logCount float64 }

type unit struct{ count, exposure float64 }

// New reduces counts and their exposures. It panics without counts, on a length
// mismatch, on a count that is not a whole number from 0, and on an exposure that
// is not positive and finite.
func New(count, exposure []float64) *Data {
	if len(count) == 0 {
		panic("poissonlognormal: no counts")
	}
	if len(count) != len(exposure) {
		panic("poissonlognormal: slice length mismatch")
	}
	units := make([]unit, len(count))
	for i, y := range count {
		a := exposure[i]
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("poissonlognormal: count is not a whole number from 0")
		}
		if !(a > 0) || math.IsInf(a, 1) {
			panic("poissonlognormal: exposure is not positive")
		}
		units[i] = unit{y, a}
	}
	slices.SortFunc(units, func(a, b unit) int {
		if a.count != b.count {
			return cmp.Compare(a.count, b.count)
		}
		return cmp.Compare(a.exposure, b.exposure)
	})
	d := &Data{cells: merged(units)}
	for i, c := range d.cells {
		d.cells[i].logExposure = math.Log(c.exposure)
		logFactorial, _ := math.Lgamma(c.count + 1)
		d.total += c.n * c.count
		d.exposed += c.n * c.exposure
		d.withoutParameter -= c.n * logFactorial
	}
	d.condense()
	return d
}

// condense puts nodes of an interpolation in the log of the exposure in place of the
// exposures of each count, where that makes fewer; the likelihood differs by a part in 1e11.
func (d *Data) condense() {
	few := make([]cell, 0, len(d.cells))
	for from := 0; from < len(d.cells); {
		to := from
		var points, n []float64
		for ; to < len(d.cells) && d.cells[to].count == d.cells[from].count; to++ {
			points, n = append(points, d.cells[to].logExposure), append(n, d.cells[to].n)
		}
		r := interpolation.New(points)
		for k, weight := range r.Weights(n) {
			few = append(few, cell{count: d.cells[from].count, n: weight, logExposure: r.Nodes[k], logCount: math.Log(d.cells[from].count)})
		}
		from = to
	}
	d.cells = few
}

// merged are the cells of sorted units.
func merged(units []unit) []cell {
	var list []cell
	for i, u := range units {
		if i == 0 || u != units[i-1] {
			list = append(list, cell{count: u.count, exposure: u.exposure})
		}
		list[len(list)-1].n++
	}
	return list
}

// LogLik is the log-likelihood of a mean m > 0 per unit of exposure and a
// standard deviation s > 0 of the log rate, with every constant, so that it can
// be compared with that of other distributions.
func (d *Data) LogLik(m, s float64) float64 { return d.derivatives(math.Log(m), s).logLik }

// derivatives are the log-likelihood and its derivatives in x = log m.
type derivatives struct{ logLik, first, second float64 }

func (d *Data) derivatives(x, s float64) derivatives {
	sum := derivatives{logLik: d.withoutParameter}
	for _, c := range d.cells {
		one := probability(c.count, c.logCount, x+c.logExposure, s)
		sum.logLik += c.n * one.logLik
		sum.first += c.n * one.first
		sum.second += c.n * one.second
	}
	return sum
}

// The trapezoidal rule of one count has steps of at most
//
//	min(normalStep w, analyticStep/s)
//
// with w the standard deviation of the integrand at its mode. The first leaves
// 1e-11 of a normal integrand; the second, 2e-5 of one with the double exponential
// of e^u in it, which is analytic in a strip of half-width pi/(2s) about the real
// axis alone. The rule ends where the integrand is under negligible of its height.
const (
	normalStep   = 0.6
	analyticStep = 0.9
	negligible   = 1e-7
)

// probability is log p(y) + log y! with its derivatives in the log of the mean.
// The integrand is exp(f(z)), f(z) = y u - e^u - z^2/2 with the log rate
// u = log mu - s^2/2 + s z. Held at fixed u, only z depends on the mean, so that
// the derivatives are E(z)/s and [Var(z) - 1]/s^2 under the integrand.
func probability(y, logY, logMean, s float64) derivatives {
	base := logMean - s*s/2
	z := mode(y, logY, base, s)
	rate := math.Exp(base + s*z)
	width := 1 / math.Sqrt(1+s*s*rate)
	step := min(normalStep*width, analyticStep/s)
	top := y*(base+s*z) - rate - z*z/2
	sum, first, second := 1.0, 0.0, 0.0
	up := math.Exp(s * step)
	for _, side := range [...]struct{ sign, by float64 }{{-1, 1 / up}, {1, up}} {
		grown := 1.0
		for off := side.sign * step; ; off += side.sign * step {
			grown *= side.by // e^(s off)
			// f(z + off) - f(z), written so that large counts cancel in it.
			weight := decay(y*s*off - rate*(grown-1) - off*(z+off/2))
			sum += weight
			first += weight * off
			second += weight * off * off
			if !(weight > negligible) {
				break
			}
		}
	}
	first /= sum
	return derivatives{
		logLik: top + math.Log(sum*step/math.Sqrt(2*math.Pi)),
		first:  (z + first) / s,
		second: (second/sum - first*first - 1) / (s * s),
	}
}

// mode is where the integrand is highest: f is concave in z, and Newton's step is
// bounded because e^u makes it far too long from below.
func mode(y, logY, base, s float64) float64 {
	const longest, last, most = 1.5, 1e-4, 100
	z := 0.0
	if y > 0 {
		// Near the rate y where the count is large; shrunken towards 0 by s.
		z = (logY - base) / s * s * s * y / (1 + s*s*y)
	}
	for range most {
		rate := math.Exp(min(base+s*z, 700))
		step := (s*(y-rate) - z) / (1 + s*s*rate)
		step = min(max(step, -longest), longest)
		z += step
		if math.Abs(step) < last {
			break
		}
	}
	return z
}
