package negbin

import "math"

// maxSteps bounds every search. Newton takes under ten steps and halving a
// bracket of 60 on a log scale to 1e-12 takes 46, so that reaching it means a
// function that is not what it should be.
const maxSteps = 200

// tolerance is the last step of a search, on a log scale. Newton's step after
// that would be its square, at the rounding of the slopes (1e-14).
const tolerance = 1e-8

// root finds where a function that falls through zero does so, from a
// start, by Newton's method kept inside a bracket. It returns low or high if
// the function has no zero on the way.
func root(start, low, high float64, f func(x float64) slope) float64 {
	x := min(max(start, low), high)
	for range maxSteps {
		s := f(x)
		switch {
		case s.first > 0:
			low = x
		case s.first < 0:
			high = x
		default:
			return x
		}
		next := x + newtonStep(s)
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-x) <= tolerance*(1+math.Abs(x)) {
			return next
		}
		x = next
	}
	return x
}

// newtonStep is Newton's step, or a plain one where the slope does not fall. It
// is held to e^2 on the log scales it is used on: a longer one could leap over
// a valley to another peak.
func newtonStep(s slope) float64 {
	const longest = 2
	if s.second < 0 {
		return min(max(-s.first/s.second, -longest), longest)
	}
	return math.Copysign(longest/2, s.first)
}

// crossing finds how far from the peak at x0 a function with one peak has
// fallen by drop, on the side of the sign of step. f returns the fall
// f(x0) - f(x) and its derivative in x. It returns an infinity if the function
// has not fallen so far within reach.
//
// Newton runs on the square root of the fall, which is a straight line where
// the function is a parabola.
func crossing(x0, step, reach, drop float64, f func(x float64) (fall, derivative float64)) float64 {
	want := math.Sqrt(drop)
	inner, outer := x0, math.Inf(int(math.Copysign(1, step)))
	x := x0 + step
	for range maxSteps {
		fall, derivative := f(x)
		height := math.Sqrt(max(fall, 0))
		if height < want {
			inner = x
		} else {
			outer = x
		}
		next := x + (want-height)*2*height/derivative
		if math.IsInf(outer, 0) {
			next = outward(x0, x, next, step)
		} else if !between(next, inner, outer) {
			next = (inner + outer) / 2
		}
		if math.Abs(next-x) <= tolerance*(1+math.Abs(x)) {
			return next
		}
		if math.Abs(next-x0) > reach {
			return math.Inf(int(math.Copysign(1, step)))
		}
		x = next
	}
	return x
}

// outward is the next place to look while the far side of the crossing is
// not yet known: Newton's, but at most thrice as far from the peak as now,
// and twice as far where the function is too flat for Newton.
func outward(x0, x, next, step float64) float64 {
	now := (x - x0) / step
	far := (next - x0) / step
	if !(far > 1.01*now) {
		far = 2 * now
	}
	return x0 + step*min(far, 3*now)
}

func between(x, a, b float64) bool { return x > min(a, b) && x < max(a, b) }
