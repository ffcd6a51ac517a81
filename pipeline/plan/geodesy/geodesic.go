package geodesy

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Geodesic is the shortest line between two positions.
type Geodesic struct {
	Length  float64 // metres
	Azimuth float64 // at the start, degrees clockwise from north, within [0, 360)

	arc arc
}

// Inverse solves the inverse geodesic problem: the geodesic from p to q.
//
// On the auxiliary sphere, which has reduced latitudes, the geodesic is a
// great circle. Its difference of longitude w is found from that on the
// ellipsoid, l, by iterating
//
//	w = l + f sin(a0) I(s1, s2)
//
// with a0 the azimuth of the great circle at the equator, s the arc from the
// equator and I the integral of [arc.longitude]. The integrals are computed
// by quadrature.
//
// Length and azimuth are NaN for positions that are nearly antipodal, where
// the iteration does not converge.
//
// Source: Vincenty 1975, Survey Review 23: 88-93; Karney 2013, Journal of
// Geodesy 87: 43-55, equations 7 and 8.
func Inverse(p, q Position) Geodesic {
	l := eastward(p, q)
	a := newArc(p, q, l)
	for range maxIterations {
		w := l + flattening*a.sinA0*a.longitude()
		if math.Abs(w-a.w) <= 1e-15*math.Abs(w) {
			return a.geodesic()
		}
		if math.Abs(w) > math.Pi {
			break
		}
		a = a.turned(w)
	}
	return Geodesic{Length: math.NaN(), Azimuth: math.NaN(), arc: arc{w: math.NaN()}}
}

// maxIterations bounds the iteration of Inverse. Each step gains about two
// digits, so ten are enough except near the antipode.
const maxIterations = 50

// arc is a great circle on the auxiliary sphere between two reduced latitudes.
type arc struct {
	sin1, cos1, sin2, cos2 float64 // of the reduced latitudes
	w                      float64 // difference of longitude on the sphere, radians

	sinA0, cosA0 float64 // azimuth where the great circle crosses the equator
	azimuth      float64 // at the first position, radians
	s1, s2       float64 // arc from that crossing to the two positions, radians
}

func newArc(p, q Position, w float64) arc {
	var a arc
	a.sin1, a.cos1 = reduced(p.Lat)
	a.sin2, a.cos2 = reduced(q.Lat)
	return a.turned(w)
}

// reduced returns sine and cosine of the reduced latitude.
func reduced(lat float64) (sin, cos float64) {
	sin, cos = math.Sincos(lat * degree)
	sin *= 1 - flattening
	h := math.Hypot(sin, cos)
	return sin / h, cos / h
}

// turned returns the great circle between the same latitudes with another
// difference of longitude.
func (a arc) turned(w float64) arc {
	a.w = w
	sinW, cosW := math.Sincos(w)
	east := a.cos2 * sinW
	north := a.cos1*a.sin2 - a.sin1*a.cos2*cosW
	length := math.Atan2(math.Hypot(east, north), a.sin1*a.sin2+a.cos1*a.cos2*cosW)
	a.azimuth = math.Atan2(east, north)
	sinA1, cosA1 := math.Sincos(a.azimuth)
	a.sinA0 = sinA1 * a.cos1
	a.cosA0 = math.Hypot(cosA1, sinA1*a.sin1)
	a.s1 = math.Atan2(a.sin1, cosA1*a.cos1)
	a.s2 = a.s1 + length
	return a
}

// longitude is the integral of (2-f) / (1 + (1-f) sqrt(1 + k^2 sin^2 s)),
// k^2 = e'^2 cos^2(a0): what the longitudes on sphere and ellipsoid differ by,
// but for the factor f sin(a0). Source: Karney 2013, equation 8.
func (a arc) longitude() float64 {
	k2 := second * a.cosA0 * a.cosA0
	return a.integral(func(sin float64) float64 {
		return (2 - flattening) / (1 + (1-flattening)*math.Sqrt(1+k2*sin*sin))
	})
}

// length is the length on the ellipsoid, b times the integral of
// sqrt(1 + k^2 sin^2 s). Source: Karney 2013, equation 7.
func (a arc) length() float64 {
	k2 := second * a.cosA0 * a.cosA0
	return semiMajor * (1 - flattening) * a.integral(func(sin float64) float64 {
		return math.Sqrt(1 + k2*sin*sin)
	})
}

func (a arc) geodesic() Geodesic {
	azimuth := math.Mod(a.azimuth/degree+360, 360)
	return Geodesic{Length: a.length(), Azimuth: azimuth, arc: a}
}

// panel is the longest arc that one Gauss-Legendre rule covers, radians. The
// integrands vary by k^2 < 0.007 over a quarter turn, so that eight points are
// exact to double precision over half a radian.
const panel = 0.5

var nodes, weights = legendre(8)

// legendre returns the Gauss-Legendre rule on [0, 1].
func legendre(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	return x, w
}

// integral integrates a function of the sine of the arc along the geodesic.
func (a arc) integral(f func(sin float64) float64) float64 {
	panels := max(1, math.Ceil((a.s2-a.s1)/panel))
	step := (a.s2 - a.s1) / panels
	sum := 0.0
	for i := range int(panels) {
		from := a.s1 + float64(i)*step
		for j, x := range nodes {
			sum += weights[j] * f(math.Sin(from+x*step))
		}
	}
	return sum * step
}
