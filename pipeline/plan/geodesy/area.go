package geodesy

import "math"

// Area is the signed area within a ring of geodesics, in square metres:
// positive where the ring runs counter-clockwise. The last position may repeat
// the first.
//
// The area between a geodesic and the equator is
//
//	S = c^2 E + e^2 a^2 cos(a0) sin(a0) I4
//
// with c the authalic radius, E the spherical excess of the quadrilateral
// under the great circle on the auxiliary sphere, and I4 the integral of
// [arc.flatness]. The ring's area is the sum over its edges, or, where the
// ring goes round a pole, what that sum leaves of a hemisphere.
//
// Every edge must be well below half the circumference; the area is NaN
// otherwise. A ring that crosses itself has parts of either sign.
//
// Source: Karney 2013, Journal of Geodesy 87: 43-55, equations 58 to 65.
func Area(ring []Position) float64 {
	var sum, turn float64
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if p == q {
			continue
		}
		sum += Inverse(p, q).arc.area()
		turn += eastward(p, q)
	}
	if math.Abs(turn) > math.Pi {
		hemisphere := 2 * math.Pi * authalicSquared
		return math.Copysign(hemisphere-math.Abs(sum), sum)
	}
	return -sum
}

// area is the area between the geodesic and the equator, positive eastward in
// the northern hemisphere.
func (a arc) area() float64 {
	t1, t2 := a.sin1/(1+a.cos1), a.sin2/(1+a.cos2) // tangents of half the latitudes
	excess := 2 * math.Atan((t1+t2)/(1+t1*t2)*math.Tan(a.w/2))
	return authalicSquared*excess + eccentricity*semiMajor*semiMajor*a.cosA0*a.sinA0*a.flatness()
}

// flatness is the integral of
//
//	-[t(e'^2) - t(k^2 sin^2 s)] / [e'^2 - k^2 sin^2 s] sin(s)/2,
//	t(x) = x + sqrt(1 + 1/x) asinh(sqrt x)
//
// Source: Karney 2013, equation 63.
func (a arc) flatness() float64 {
	k2 := second * a.cosA0 * a.cosA0
	return a.integral(func(sin float64) float64 {
		return -dividedDifference(k2*sin*sin) * sin / 2
	})
}

// dividedDifference is [t(e'^2) - t(x)] / (e'^2 - x). Near the poles, where x
// tends to e'^2, it is the derivative of t halfway between: at the bound both
// forms have eleven digits.
func dividedDifference(x float64) float64 {
	d := second - x
	if d < 1e-5 {
		m := second - d/2
		r := math.Sqrt(m)
		return 1 + 1/(2*m) - math.Asinh(r)/(2*m*r*math.Sqrt(1+m))
	}
	return (areaTerm(second) - areaTerm(x)) / d
}

func areaTerm(x float64) float64 {
	if x == 0 {
		return 1
	}
	r := math.Sqrt(x)
	return x + math.Sqrt(1+x)*math.Asinh(r)/r
}
