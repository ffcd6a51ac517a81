package outline

import (
	"fmt"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
	"ashtally/stats/layout"
)

// Buffers are distances that every part of a unit keeps, in metres.
type Buffers struct {
	Edge     float64 // from the boundary of its stratum, holes and neighbouring strata included
	Excluded float64 // from excluded polygons
	Roads    float64
}

// Ground is what units of a stratum may be placed on.
func (m *Map) Ground(s Stratum, b Buffers) layout.Ground {
	g := layout.Ground{Within: layoutPolygons(s.within), Edge: b.Edge}
	if len(m.excluded) > 0 {
		g.Apart = append(g.Apart, layout.Obstacle{Polygons: m.excluded, Distance: b.Excluded})
	}
	if b.Roads > 0 {
		roads := m.roads
		roads.Distance = b.Roads
		g.Apart = append(g.Apart, roads)
	}
	return g
}

// Frame is the sampling frame of units in a stratum, or a fault that says what
// leaves no room for one. Without a buffer from roads units may cross them.
func (m *Map) Frame(s Stratum, b Buffers, f layout.Footprint) (*layout.Frame, *survey.Fault) {
	frame, err := layout.NewFrame(m.Ground(s, b), f)
	if err == nil {
		return frame, nil
	}
	fault := survey.Fault{Place: s.Place}
	if _, err := layout.NewFrame(layout.Ground{Within: layoutPolygons(s.within)}, f); err != nil {
		fault.Problem = fmt.Sprintf("no unit of %s fits into stratum %s of %.4g ha", size(f), quote(s.Stratum.Stratum), s.AreaM2/1e4)
		fault.Remedy = "join it to another stratum, or plan smaller units"
		return nil, &fault
	}
	fault.Problem = fmt.Sprintf("no room for a unit of %s is left in stratum %s at %g m from its edge, %g m from excluded ground and %g m from roads",
		size(f), quote(s.Stratum.Stratum), b.Edge, b.Excluded, b.Roads)
	fault.Remedy = "make the buffers narrower, or plan smaller units"
	return nil, &fault
}

func size(f layout.Footprint) string {
	switch {
	case f.Length == 0:
		return fmt.Sprintf("%g m radius", f.Radius)
	case f.Width == 0:
		return fmt.Sprintf("%g m length", f.Length)
	}
	return fmt.Sprintf("%g m by %g m", f.Length, f.Width)
}

// Position is that of a point of the ground.
func (m *Map) Position(p layout.Point) geodesy.Position { return m.plane.Inverse(p.X, p.Y) }

// Point is the point of the ground at a position.
func (m *Map) Point(at geodesy.Position) layout.Point {
	x, y := m.plane.metres(at)
	return layout.Point{X: x, Y: y}
}

// Bearing is the azimuth of a unit with a length at its start, in degrees
// clockwise from true north. It differs from that of its footprint by up to 0.1 degrees at 10
// km from the middle of the outline and 46 degrees of latitude, where north of
// the projection is not true north.
func (m *Map) Bearing(f layout.Footprint, center layout.Point) float64 {
	from, to := f.Ends(center)
	return geodesy.Inverse(m.Position(from), m.Position(to)).Azimuth
}

// Distortion is the largest share by which lengths of a layout within the
// outline differ from those on the ellipsoid.
func (m *Map) Distortion() float64 { return m.plane.Scale(m.reach) - 1 }

// line takes positions to metres.
func (p plane) line(positions []geodesy.Position) layout.Line {
	line := make(layout.Line, len(positions))
	for i, at := range positions {
		line[i].X, line[i].Y = p.metres(at)
	}
	return line
}

// righthanded is the polygon with its outer ring counter-clockwise and its
// holes clockwise, as RFC 7946 has it.
func (p Polygon) righthanded() Polygon {
	turned := make(Polygon, len(p))
	for i, ring := range p {
		turned[i] = ring
		if (geodesy.Area(ring) > 0) != (i == 0) {
			turned[i] = reversed(ring)
		}
	}
	return turned
}

func reversed(ring []geodesy.Position) []geodesy.Position {
	back := make([]geodesy.Position, len(ring))
	for i, at := range ring {
		back[len(ring)-1-i] = at
	}
	return back
}
