package outline

import (
	"fmt"
	"math"

	"github.com/peterstace/simplefeatures/geom"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/stats/layout"
)

// plane takes positions to metres about the middle of the outline.
type plane struct{ geodesy.Local }

// newPlane puts the origin in the middle of the features' extent. Longitudes
// are counted from that of the first position, so that an outline on both sides
// of the antimeridian is in one piece.
func newPlane(features []feature) plane {
	var first geodesy.Position
	west, east := math.Inf(1), math.Inf(-1)
	south, north := math.Inf(1), math.Inf(-1)
	for _, f := range features {
		for _, rings := range f.polygons {
			for _, at := range rings[0].at {
				if west > east {
					first = at
				}
				x := math.Remainder(at.Lon-first.Lon, 360)
				west, east = min(west, x), max(east, x)
				south, north = min(south, at.Lat), max(north, at.Lat)
			}
		}
	}
	lon := math.Remainder(first.Lon+(west+east)/2, 360)
	return plane{geodesy.NewLocal(geodesy.Position{Lon: lon, Lat: (south + north) / 2})}
}

// metres takes a position to the plane. The antimeridian has two longitudes; of
// them it takes that on the side of the origin, so that polygons cut there meet
// without a gap.
func (p plane) metres(at geodesy.Position) (x, y float64) {
	if math.Abs(at.Lon) == 180 {
		at.Lon = math.Copysign(180, p.Origin().Lon)
	}
	return p.Forward(at)
}

// geometry is the polygon in metres as set operations take it. Its rings are
// closed and were checked.
func (p plane) geometry(rings []path) geom.Polygon {
	lines := make([]geom.LineString, len(rings))
	for i, r := range rings {
		flat := make([]float64, 0, 2*len(r.at))
		for _, at := range r.at {
			x, y := p.metres(at)
			flat = append(flat, x, y)
		}
		lines[i] = geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	return geom.NewPolygon(lines)
}

// positions are the rings of a polygon as positions, outer rings
// counter-clockwise and holes clockwise.
func (p plane) positions(polygon geom.Polygon) Polygon {
	var rings Polygon
	for _, seq := range polygon.ForceCCW().Coordinates() {
		ring := make([]geodesy.Position, seq.Length())
		for i := range ring {
			xy := seq.GetXY(i)
			ring[i] = p.Inverse(xy.X, xy.Y)
		}
		rings = append(rings, ring)
	}
	return rings
}

// area is that of a geometry on the ellipsoid, m2.
func (p plane) area(g geom.Geometry) float64 {
	sum := 0.0
	for _, polygon := range polygonsOf(g) {
		sum += p.positions(polygon).Area()
	}
	return sum
}

// polygonsOf returns the polygons of a geometry, whatever set operations made of it: they
// return lines and points too, where boundaries meet.
func polygonsOf(g geom.Geometry) []geom.Polygon {
	var all []geom.Polygon
	for _, part := range g.Dump() {
		if polygon, ok := part.AsPolygon(); ok && !polygon.IsEmpty() {
			all = append(all, polygon)
		}
	}
	return all
}

// layoutPolygons are the polygons of a geometry as layouts take them.
func layoutPolygons(g geom.Geometry) []layout.Polygon {
	var all []layout.Polygon
	for _, polygon := range polygonsOf(g) {
		var rings layout.Polygon
		for _, seq := range polygon.Coordinates() {
			rings = append(rings, layout.Ring(points(seq)))
		}
		all = append(all, rings)
	}
	return all
}

func points(seq geom.Sequence) []layout.Point {
	all := make([]layout.Point, seq.Length())
	for i := range all {
		xy := seq.GetXY(i)
		all[i] = layout.Point{X: xy.X, Y: xy.Y}
	}
	return all
}

// operation runs a set operation. The library returns an error, or panics, where
// rounding leaves it without a consistent result.
func operation(f func() (geom.Geometry, error)) (g geom.Geometry, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	return f()
}

func union(all []geom.Polygon) (geom.Geometry, error) {
	if len(all) == 1 {
		return all[0].AsGeometry(), nil
	}
	return operation(func() (geom.Geometry, error) {
		geometries := make([]geom.Geometry, len(all))
		for i, p := range all {
			geometries[i] = p.AsGeometry()
		}
		return geom.UnionMany(geometries)
	})
}

func intersection(a, b geom.Geometry) (geom.Geometry, error) {
	return operation(func() (geom.Geometry, error) { return geom.Intersection(a, b) })
}

// describe names a point of the plane in degrees.
func (p plane) describe(xy geom.XY) string {
	at := p.Inverse(xy.X, xy.Y)
	return fmt.Sprintf("longitude %.6f, latitude %.6f", at.Lon, at.Lat)
}
