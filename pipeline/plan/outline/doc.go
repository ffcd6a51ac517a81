// Package outline reads the outlines of a survey in GeoJSON (RFC 7946): the
// strata, ground that is excluded from them, and roads. It checks them, finds
// areas on the ellipsoid, and gives the ground in metres that units are placed
// on.
//
//	json      values of a JSON document with their lines
//	features  features, their properties, and geometries as positions
//	rings     closed rings without repeated positions, within their bounds
//	crossing  where lines cross, for faults with a place
//	check     rings of a polygon against each other
//	plane     positions to metres and back, and polygons as set operations see them
//	strata    features of a stratum joined; strata against each other
//	ground    the ground of a stratum and the sampling frames on it
//
// The edges of outlines are taken as geodesics for areas and as straight lines
// of a local projection, which are very nearly those, for layouts. RFC 7946 has
// lines that are straight in degrees. From a geodesic of s metres such a line is
// at most s^2 tan(latitude) / (8 R) away, R = 6.37e6 m: 5 mm at 500 m and 46
// degrees, 2 m at 10 km. On the north and on the south side of an outline this
// changes its area in opposite directions.
//
// What is wrong is a [survey.Fault] with the line it stands on. No file is
// opened here.
package outline
