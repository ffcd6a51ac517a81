package layout

import (
	"cmp"
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/rtree"
)

// Ground is where units may be placed. Distances are in metres and are kept by
// every part of a unit, not by its centre alone.
type Ground struct {
	Within []Polygon // the polygons that may hold units; they do not overlap
	Edge   float64   // distance to keep from their boundary
	Apart  []Obstacle
}

// Obstacle is ground that units keep away from. Polygons may overlap.
type Obstacle struct {
	Polygons []Polygon
	Lines    []Line
	Distance float64 // metres to keep from them
}

// Footprint is the shape of a unit about its centre, in metres: a circle of
// some Radius, or a rectangle of some Length and Width, which is a line where
// the Width is 0. The zero value is a point.
type Footprint struct {
	Radius        float64
	Length, Width float64
	Bearing       float64 // of Length, degrees clockwise from Y
}

// Ends are the two ends of the centre line of a unit with its centre at c.
func (f Footprint) Ends(c Point) (from, to Point) {
	sin, cos := math.Sincos(f.Bearing * math.Pi / 180)
	half := Point{f.Length / 2 * sin, f.Length / 2 * cos}
	return c.minus(half), c.plus(half)
}

// Corners are the corners of a rectangular unit with its centre at c,
// counter-clockwise from the right of its start.
func (f Footprint) Corners(c Point) Ring {
	from, to := f.Ends(c)
	sin, cos := math.Sincos(f.Bearing * math.Pi / 180)
	right := Point{f.Width / 2 * cos, -f.Width / 2 * sin}
	return Ring{from.plus(right), to.plus(right), to.minus(right), from.minus(right)}
}

func (f Footprint) check() {
	for _, v := range []float64{f.Radius, f.Length, f.Width} {
		if !(v >= 0) || math.IsInf(v, 0) {
			panic("layout: the size of a footprint is negative or not finite")
		}
	}
	if math.IsNaN(f.Bearing) || math.IsInf(f.Bearing, 0) {
		panic("layout: the bearing of a footprint is not finite")
	}
}

// barrier keeps centres away from one segment of a boundary or line. The
// convex hull is that of the segment widened by the unit's rectangle, so that a
// centre within it has a unit that meets the segment.
type barrier struct {
	hull []Point // counter-clockwise
	keep float64 // distance that centres keep from the hull, metres
}

func (f Footprint) barrier(s segment, keep float64) barrier {
	var points []Point
	for _, c := range f.Corners(Point{}) {
		points = append(points, s.from.plus(c), s.to.plus(c))
	}
	return barrier{hull: convexHull(points), keep: keep + f.Radius}
}

// slack is by how many metres a centre is farther from the hull than it has to
// be, negative where it is too near. It changes by no more than the centre
// moves.
func (b barrier) slack(p Point) float64 {
	nearest, inside := math.Inf(1), len(b.hull) > 2
	for i, from := range b.hull {
		to := b.hull[(i+1)%len(b.hull)]
		nearest = min(nearest, segment{from, to}.distance(p))
		inside = inside && cross(from, to, p) > 0
	}
	if inside {
		nearest = -nearest
	}
	return nearest - b.keep
}

func (b barrier) box() rtree.Box {
	box := segment{b.hull[0], b.hull[0]}.box()
	for _, p := range b.hull {
		box.MinX, box.MaxX = min(box.MinX, p.X), max(box.MaxX, p.X)
		box.MinY, box.MaxY = min(box.MinY, p.Y), max(box.MaxY, p.Y)
	}
	return rtree.Box{MinX: box.MinX - b.keep, MaxX: box.MaxX + b.keep, MinY: box.MinY - b.keep, MaxY: box.MaxY + b.keep}
}

// convexHull returns the corners of the convex hull counter-clockwise: one for
// points that coincide, two for points on a line. (Andrew 1979, Information
// Processing Letters 9: 216-219.)
func convexHull(points []Point) []Point {
	slices.SortFunc(points, func(p, q Point) int {
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	var hull []Point
	half := func() {
		start := len(hull)
		for _, p := range points {
			for len(hull) >= start+2 && cross(hull[len(hull)-2], hull[len(hull)-1], p) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
		hull = hull[:len(hull)-1] // where the other half starts
	}
	half()
	slices.Reverse(points)
	half()
	return hull
}
