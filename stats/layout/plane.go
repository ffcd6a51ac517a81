package layout

import (
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/rtree"
)

// Point is a point of the plane, in metres.
type Point struct{ X, Y float64 }

// Line is a line of straight segments through points.
type Line []Point

// Ring is a closed line. Its last point may repeat its first.
type Ring []Point

// Polygon is an outer ring followed by the rings of its holes, in any
// direction. Rings do not cross themselves or each other.
type Polygon []Ring

func (p Point) minus(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

func (p Point) plus(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

func distance(p, q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// squared is the squared distance, for comparisons.
func squared(p, q Point) float64 {
	x, y := p.X-q.X, p.Y-q.Y
	return x*x + y*y
}

// cross is twice the signed area of the triangle a, b, p: positive where p lies
// to the left of the direction from a to b.
func cross(a, b, p Point) float64 {
	return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
}

// segment is a straight line between two points.
type segment struct{ from, to Point }

func (s segment) distance(p Point) float64 {
	d, v := s.to.minus(s.from), p.minus(s.from)
	length := d.X*d.X + d.Y*d.Y
	if length == 0 {
		return distance(p, s.from)
	}
	t := min(1, max(0, (d.X*v.X+d.Y*v.Y)/length))
	return math.Hypot(v.X-t*d.X, v.Y-t*d.Y)
}

func (s segment) box() rtree.Box {
	return rtree.Box{
		MinX: min(s.from.X, s.to.X), MaxX: max(s.from.X, s.to.X),
		MinY: min(s.from.Y, s.to.Y), MaxY: max(s.from.Y, s.to.Y),
	}
}

// signedArea of a ring, positive where it runs counter-clockwise. The first
// point is taken as the origin, so that far coordinates lose no digits.
func (r Ring) signedArea() float64 {
	sum := 0.0
	for i := range r {
		sum += cross(r[0], r[i], r[(i+1)%len(r)])
	}
	return sum / 2
}

// edges are the segments of the ring, run counter-clockwise or clockwise.
func (r Ring) edges(counterclockwise bool) []segment {
	if (r.signedArea() > 0) != counterclockwise {
		r = slices.Clone(r)
		slices.Reverse(r)
	}
	var all []segment
	for i, p := range r {
		if q := r[(i+1)%len(r)]; p != q {
			all = append(all, segment{p, q})
		}
	}
	return all
}

// edges are the segments of all rings, with the interior to their left.
func (p Polygon) edges() []segment {
	var all []segment
	for i, r := range p {
		all = append(all, r.edges(i == 0)...)
	}
	return all
}

func (l Line) segments() []segment {
	if len(l) == 1 {
		return []segment{{l[0], l[0]}}
	}
	var all []segment
	for i := 1; i < len(l); i++ {
		all = append(all, segment{l[i-1], l[i]})
	}
	return all
}

// boundary is the boundary of polygons, indexed to find what lies inside.
type boundary struct {
	edges []segment
	tree  *rtree.RTree
	right float64 // largest X
}

func newBoundary(polygons []Polygon) boundary {
	b := boundary{right: math.Inf(-1)}
	var items []rtree.BulkItem
	for _, p := range polygons {
		for _, e := range p.edges() {
			box := e.box()
			items = append(items, rtree.BulkItem{Box: box, RecordID: len(b.edges)})
			b.edges = append(b.edges, e)
			b.right = max(b.right, box.MaxX)
		}
	}
	b.tree = rtree.BulkLoad(items)
	return b
}

// holds reports whether a point is inside of any of the polygons, by its
// winding number: with interiors to the left it is the number of polygons
// round the point.
func (b boundary) holds(p Point) bool {
	if p.X > b.right {
		return false
	}
	winding := 0
	ray := rtree.Box{MinX: p.X, MaxX: b.right, MinY: p.Y, MaxY: p.Y}
	b.tree.RangeSearch(ray, func(i int) error {
		switch e := b.edges[i]; {
		case e.from.Y <= p.Y && p.Y < e.to.Y && cross(e.from, e.to, p) > 0:
			winding++
		case e.to.Y <= p.Y && p.Y < e.from.Y && cross(e.from, e.to, p) < 0:
			winding--
		}
		return nil
	})
	return winding > 0
}
