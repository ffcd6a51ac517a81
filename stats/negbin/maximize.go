package negbin

import "math"

// The ranges of u and theta. A share of e^-40 of units that can hold finds is
// none; an alpha of e^-25 is Poisson and one of e^25 is out of reach of data.
const (
	widest   = 40
	flattest = -25
	steepest = 25
)

// enough is the gain in log-likelihood under which a maximization ends. It moves a
// limit, where the likelihood falls by about 1 per standard error, by 1e-9 of one.
const enough = 1e-9

// maximize finds the local maximum of the likelihood near a starting point, over
// u and theta, and over x too if freeMean: Newton's method with the damping of
// Levenberg and Marquardt, which turns the step towards the gradient until the
// likelihood rises.
func (d *Data) maximize(at inflated, freeMean bool) inflated {
	// From a flat alpha no slope would be felt, however much there is to gain.
	at.theta = min(max(at.theta, math.Log(0.001)), steepest)
	at.logLik = d.inflatedLogLik(at.x, at.u, at.theta)
	damping := 1e-3
	for range maxSteps {
		b := d.inflatedDerivatives(at.x, at.u, at.theta)
		free := [3]bool{freeMean, at.u > 0 || b.first[1] > 0, true}
		next, gain := at, 0.0
		for ; damping < 1e12; damping *= 8 {
			step, ok := b.step(free, damping)
			if !ok {
				continue
			}
			if next = d.moved(at, step); next.logLik >= at.logLik {
				gain = next.logLik - at.logLik
				break
			}
		}
		if gain < enough {
			return at
		}
		at = next
		damping = max(damping/64, 1e-9)
	}
	return at
}

// moved is the point one step on, inside the ranges; no step on a log scale is
// longer than 2, so as not to pass over to another local maximum.
func (d *Data) moved(at inflated, step [3]float64) inflated {
	const longest = 2
	for i := range step {
		step[i] = min(max(step[i], -longest), longest)
	}
	at.x += step[0]
	at.u = min(max(at.u+step[1], 0), widest)
	at.theta = min(max(at.theta+step[2], flattest), steepest)
	at.logLik = d.inflatedLogLik(at.x, at.u, at.theta)
	return at
}

// step solves (damped -second) step = first over the free parameters. It is
// not ok where the likelihood is not shaped like a hilltop, nor damped into one.
func (b derivatives) step(free [3]bool, damping float64) (step [3]float64, ok bool) {
	var a [3][3]float64
	for i := range 3 {
		if !free[i] {
			a[i][i] = 1
			continue
		}
		step[i] = b.first[i]
		for j := range 3 {
			if free[j] {
				a[i][j] = -b.second[i][j]
			}
		}
		a[i][i] += damping * (1e-3 + math.Abs(a[i][i]))
	}
	return step, solve(&a, &step)
}

// solve replaces the right side by the solution, by Cholesky's method; it is
// false if the matrix is not positive definite.
func solve(a *[3][3]float64, right *[3]float64) bool {
	for i := range 3 {
		for j := range i + 1 {
			sum := a[i][j]
			for k := range j {
				sum -= a[i][k] * a[j][k]
			}
			if i != j {
				a[i][j] = sum / a[j][j]
				continue
			}
			if !(sum > 0) {
				return false
			}
			a[i][i] = math.Sqrt(sum)
		}
		for k := range i {
			right[i] -= a[i][k] * right[k]
		}
		right[i] /= a[i][i]
	}
	for i := 2; i >= 0; i-- {
		for k := i + 1; k < 3; k++ {
			right[i] -= a[k][i] * right[k]
		}
		right[i] /= a[i][i]
	}
	return true
}
