// Package geodesy computes on the WGS 84 ellipsoid: geodesics between two
// positions, the area within a ring of geodesics, and a projection to metres
// for work within some tens of kilometres.
//
// Positions are in degrees, lengths in metres, areas in square metres.
package geodesy

import "math"

// The WGS 84 ellipsoid (NIMA TR8350.2, 2000).
const (
	semiMajor    = 6378137.0         // equatorial radius, metres
	flattening   = 1 / 298.257223563 // (a-b)/a
	eccentricity = flattening * (2 - flattening)
	second       = eccentricity / (1 - eccentricity) // second eccentricity, squared
	third        = flattening / (2 - flattening)     // third flattening
)

// first is the first eccentricity; the constant above is its square.
var first = math.Sqrt(eccentricity)

// authalicSquared is the square of the radius of the sphere with the area of
// the ellipsoid, m2.
var authalicSquared = semiMajor * semiMajor / 2 * (1 + (1-eccentricity)*math.Atanh(first)/first)

// Position is a point on the ellipsoid.
type Position struct {
	Lon float64 // longitude, degrees east
	Lat float64 // geographic latitude, degrees north
}

const degree = math.Pi / 180

// eastward is the longitude from p to q, in radians within [-pi, pi].
func eastward(p, q Position) float64 {
	return math.Remainder(q.Lon-p.Lon, 360) * degree
}
