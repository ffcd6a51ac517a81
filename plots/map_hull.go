package plots

import (
	"cmp"
	"math"
	"slices"
)

// around returns the outlines with the rings of those that go around places: the
// convex hull of the places, so many pixels outside of them. It is that of circles around
// the corners of their own hull, few of many places.
func (m Map) around(g ground) []Outline {
	const corners = 12
	list := slices.Clone(m.Outlines)
	for i, o := range list {
		if len(o.Around) == 0 {
			continue
		}
		var points []XY
		for _, at := range hull(o.Around) {
			for k := range corners {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / corners)
				points = append(points, XY{at.X + aroundPx/g.scale*cos, at.Y + aroundPx/g.scale*sin})
			}
		}
		list[i].Rings = [][]XY{hull(points)}
	}
	return list
}

// aroundPx is how far a line around places lies from them.
const aroundPx = 9.0

// hull is the convex hull of places, by Andrew's monotone chain (1979, Information
// Processing Letters 9, 216-219; from memory).
func hull(points []XY) []XY {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b XY) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	chain := func(points []XY) []XY {
		var list []XY
		for _, p := range points {
			for n := len(list); n >= 2 && !left(list[n-2], list[n-1], p); n = len(list) {
				list = list[:n-1]
			}
			list = append(list, p)
		}
		return list[:len(list)-1]
	}
	lower := chain(points)
	slices.Reverse(points)
	return append(lower, chain(points)...)
}

// left reports whether c lies left of the way from a to b.
func left(a, b, c XY) bool {
	return float64((b.X-a.X)*(c.Y-a.Y))-float64((b.Y-a.Y)*(c.X-a.X)) > 0
}
