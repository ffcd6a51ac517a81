package geodesy

import "math"

// Local is a transverse Mercator projection of the ellipsoid with its central
// meridian through an origin, where the scale is 1. X is metres east and Y
// metres north of the origin.
//
// It is conformal. At x metres from the central meridian lengths are too long
// by the factor 1 + x^2/(2 R^2), R = 6.37e6 m, and areas by its square:
//
//	x = 10 km: 1.2e-6     x = 50 km: 3.1e-5     x = 200 km: 4.9e-4
//
// North of the plane is that of the central meridian. Elsewhere it differs
// from true north by the difference of longitude times the sine of the
// latitude, 0.09 degrees at 10 km and 46 degrees north.
//
// Series of Krüger 1912 to the fourth power of the third flattening, accurate
// to less than 0.01 mm within 1000 km of the central meridian. Source: Karney 2011, Journal of Geodesy
// 85: 475-485, equations 12, 35 and 36.
type Local struct {
	origin Position
	north  float64 // of the origin, on the projection, metres from the equator
}

// NewLocal returns the projection about an origin.
func NewLocal(origin Position) Local {
	l := Local{origin: origin}
	_, l.north = l.Forward(origin)
	return l
}

// Origin is the position whose coordinates are 0, 0.
func (l Local) Origin() Position { return l.origin }

// Scale is the factor by which the projection lengthens, at x metres east or
// west of the central meridian. Its difference from 1 is within 1 % of the
// exact one, which depends a little on the latitude.
func (l Local) Scale(x float64) float64 { return math.Cosh(x / rectifying) }

const (
	n2, n3, n4 = third * third, third * third * third, third * third * third * third

	// rectifying is the radius of the circle whose circumference is that of a
	// meridian, metres.
	rectifying = semiMajor / (1 + third) * (1 + n2/4 + n4/64)
)

// forwards and backwards are the coefficients of Krüger's series.
var (
	forwards = [4]float64{
		third/2 - n2*2/3 + n3*5/16 + n4*41/180,
		n2*13/48 - n3*3/5 + n4*557/1440,
		n3*61/240 - n4*103/140,
		n4 * 49561 / 161280,
	}
	backwards = [4]float64{
		third/2 - n2*2/3 + n3*37/96 - n4/360,
		n2/48 + n3/15 - n4*437/1440,
		n3*17/480 - n4*37/840,
		n4 * 4397 / 161280,
	}
)

// Forward projects a position within 90 degrees of the central meridian.
func (l Local) Forward(p Position) (x, y float64) {
	tau := conformal(math.Tan(p.Lat * degree))
	sin, cos := math.Sincos(eastward(l.origin, p))
	xi := math.Atan2(tau, cos)
	eta := math.Asinh(sin / math.Hypot(tau, cos))
	north, east := xi, eta
	for j, c := range forwards {
		k := 2 * float64(j+1)
		north += c * math.Sin(k*xi) * math.Cosh(k*eta)
		east += c * math.Cos(k*xi) * math.Sinh(k*eta)
	}
	return rectifying * east, rectifying*north - l.north
}

// Inverse returns the position of a point in the plane, its longitude within
// [-180, 180].
func (l Local) Inverse(x, y float64) Position {
	north, east := (y+l.north)/rectifying, x/rectifying
	xi, eta := north, east
	for j, c := range backwards {
		k := 2 * float64(j+1)
		xi -= c * math.Sin(k*north) * math.Cosh(k*east)
		eta -= c * math.Cos(k*north) * math.Sinh(k*east)
	}
	sinh, cos := math.Sinh(eta), math.Cos(xi)
	lat := math.Atan(geographic(math.Sin(xi) / math.Hypot(sinh, cos)))
	lon := l.origin.Lon + math.Atan2(sinh, cos)/degree
	return Position{Lon: math.Remainder(lon, 360), Lat: lat / degree}
}

// conformal turns the tangent of the geographic latitude into that of the
// conformal latitude.
func conformal(tau float64) float64 {
	h := math.Hypot(1, tau)
	sigma := math.Sinh(first * math.Atanh(first*tau/h))
	return tau*math.Hypot(1, sigma) - sigma*h
}

// geographic is the inverse of conformal, by Newton's method. Three steps from
// the start give full precision. Source: Karney 2011, equations 19 to 21.
func geographic(target float64) float64 {
	tau := target / (1 - eccentricity)
	for range 5 {
		at := conformal(tau)
		tau += (target - at) / math.Hypot(1, at) *
			(1 + (1-eccentricity)*tau*tau) / ((1 - eccentricity) * math.Hypot(1, tau))
	}
	return tau
}
