package outline

import (
	"fmt"
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
	"ashtally/stats/layout"
)

// Files are the documents of a survey folder.
type Files struct {
	Outline File // strata
	Exclude File // polygons without units; Data nil where there is none
	Roads   File // lines and polygons; Data nil where there is none
}

// Map is the outline of a survey, without fault.
type Map struct {
	Strata   []Stratum // in the order of the file
	Excluded []Polygon
	Roads    [][]geodesy.Position // lines, and the rings of polygons

	plane    plane
	excluded []layout.Polygon
	roads    layout.Obstacle
	reach    float64 // farthest east or west of the origin, metres
}

// Read reads and checks the files. The map is nil where there are faults.
// Notices say what was mended, or is good to know.
func Read(files Files) (m *Map, faults, notices []survey.Fault) {
	r := &reading{}
	m = &Map{}
	r.outline(m, files.Outline)
	if len(m.Strata) > 0 {
		r.exclude(m, files.Exclude)
		r.roads(m, files.Roads)
	}
	if len(r.faults) > 0 {
		return nil, r.faults, r.notices
	}
	return m, nil, r.notices
}

func (r *reading) outline(m *Map, f File) {
	features := r.areas(r.ringed(geoJSON{r}.features(f)), "an outline", "draw it as a polygon; roads stand in a file of their own")
	if len(features) == 0 {
		if len(r.faults) == 0 {
			r.fault(0, "", "the file has no feature", "draw a polygon for each stratum")
		}
		return
	}
	m.plane = newPlane(features)
	if r.far(features, m.plane, farthest, "parts of the outline", "plan each part in a folder of its own") {
		return
	}
	parts := r.parts(features, m.plane)
	if len(r.faults) > 0 {
		return
	}
	m.Strata = r.strata(parts, m.plane)
	for _, s := range m.Strata {
		lo, hi, _ := s.within.Envelope().MinMaxXYs()
		m.reach = max(m.reach, -lo.X, hi.X)
	}
	r.overlaps(m)
}

const (
	// farthest is how far the outline reaches from its middle, metres. There the
	// projection lengthens by 0.05 %.
	farthest = 200e3
	// farthestRoad is how far from it roads and excluded ground may lie. What
	// is farther belongs to another survey, or has its degrees swapped.
	farthestRoad = 500e3
)

// ringed mends the rings of the features' polygons and leaves out features with
// a fault in one.
func (r *reading) ringed(features []feature) []feature {
	var all []feature
	for _, f := range features {
		before := len(r.faults)
		for _, rings := range f.polygons {
			for i := range rings {
				rings[i], _ = r.ring(rings[i])
			}
		}
		if len(r.faults) == before {
			all = append(all, f)
		}
	}
	return all
}

// areas leaves out, with a fault, features that are lines.
func (r *reading) areas(features []feature, what, remedy string) []feature {
	var all []feature
	for _, f := range features {
		if len(f.lines) > 0 || len(f.polygons) == 0 {
			r.fault(f.line, "", what+" is a line, which has no area", remedy)
			continue
		}
		all = append(all, f)
	}
	return all
}

// far reports, with a fault, whether a position lies too far from the origin.
func (r *reading) far(features []feature, p plane, most float64, what, remedy string) bool {
	for _, f := range features {
		for _, one := range slices.Concat(append(f.polygons, f.lines)...) {
			for i, at := range one.at {
				away := onSphere(p.Origin(), at)
				if away <= most {
					continue
				}
				if swapped := (geodesy.Position{Lon: at.Lat, Lat: at.Lon}); onSphere(p.Origin(), swapped) <= most {
					remedy = "GeoJSON has longitude first, then latitude: swap them"
				}
				r.fault(one.lines[i], "coordinates", fmt.Sprintf("%s lie %.0f km from the middle of the outline, at longitude %g, latitude %g",
					what, away/1e3, at.Lon, at.Lat), remedy)
				return true
			}
		}
	}
	return false
}

// onSphere is the distance on a sphere with the mean radius of the Earth, in
// metres: within 0.6 % of the geodesic, for every position of long roads.
func onSphere(p, q geodesy.Position) float64 {
	const degree, radius = math.Pi / 180, 6371e3
	across := math.Sin((q.Lat - p.Lat) * degree / 2)
	along := math.Sin((q.Lon - p.Lon) * degree / 2)
	h := across*across + math.Cos(p.Lat*degree)*math.Cos(q.Lat*degree)*along*along
	return 2 * radius * math.Asin(math.Sqrt(min(1, h)))
}

// overlaps refuses strata of which more than a sliver lies in another.
func (r *reading) overlaps(m *Map) {
	for i := range m.Strata {
		for j := range i {
			r.overlap(m.plane, m.Strata[j], m.Strata[i])
		}
	}
}

// sliver is the share of a stratum that may lie in another too, as boundaries
// that were drawn twice leave it: no figure is moved by more.
const sliver = 1e-3

func (r *reading) overlap(p plane, a, b Stratum) {
	if !a.within.Envelope().Intersects(b.within.Envelope()) {
		return
	}
	shared, err := intersection(a.within, b.within)
	if err != nil {
		r.fault(b.Line, "", fmt.Sprintf("whether strata %s and %s overlap cannot be found: %v", quote(a.Stratum.Stratum),
			quote(b.Stratum.Stratum), err), "redraw their common boundary with the same positions in both")
		return
	}
	area := shared.Area()
	if area <= slight {
		return
	}
	problem := fmt.Sprintf("strata %s and %s overlap by %.0f m2", quote(a.Stratum.Stratum), quote(b.Stratum.Stratum), area)
	if at, ok := shared.PointOnSurface().XY(); ok {
		problem += " about " + p.describe(at)
	}
	if area > sliver*min(a.AreaM2, b.AreaM2) {
		r.fault(b.Line, "", problem, "draw them so that each place is in one stratum")
		return
	}
	r.notice(b.Line, problem, "it counts in both")
}

func (r *reading) exclude(m *Map, f File) {
	if f.Data == nil {
		return
	}
	features := r.areas(r.ringed(geoJSON{r}.features(f)), "an excluded feature", "draw it as a polygon, or put it into the file of roads")
	if r.far(features, m.plane, farthestRoad, "excluded polygons", "leave out what belongs to another survey") {
		return
	}
	var polygons []geom.Polygon
	for _, one := range features {
		in, read := r.checked(one.polygons, m.plane)
		polygons, m.Excluded = append(polygons, in...), append(m.Excluded, read...)
	}
	if len(r.faults) > 0 || len(polygons) == 0 {
		return
	}
	r.excludeFrom(m, polygons)
}

// excludeFrom joins the excluded polygons and finds their area in each stratum.
func (r *reading) excludeFrom(m *Map, polygons []geom.Polygon) {
	whole, err := union(polygons)
	if err != nil {
		r.fault(0, "", fmt.Sprintf("the excluded polygons cannot be joined: %v", err), "redraw those that overlap or touch")
		return
	}
	m.excluded = layoutPolygons(whole)
	for i := range m.Strata {
		s := &m.Strata[i]
		if !s.within.Envelope().Intersects(whole.Envelope()) {
			continue
		}
		inside, err := intersection(s.within, whole)
		if err != nil {
			r.fault(0, "", fmt.Sprintf("what is excluded of stratum %s cannot be found: %v", quote(s.Stratum.Stratum), err),
				"redraw the excluded polygons at its boundary")
			continue
		}
		s.ExcludedM2 = m.plane.area(inside)
		if s.ExcludedM2 > s.AreaM2*(1-1e-9) {
			r.fault(0, "", fmt.Sprintf("all of stratum %s is excluded", quote(s.Stratum.Stratum)), "leave the stratum out of the outline, or less of it here")
		}
	}
}

func (r *reading) roads(m *Map, f File) {
	if f.Data == nil {
		return
	}
	features := r.ringed(geoJSON{r}.features(f))
	if r.far(features, m.plane, farthestRoad, "roads", "leave out what belongs to another survey") {
		return
	}
	for _, one := range features {
		for _, l := range one.lines {
			if l = l.distinct(); len(l.at) < 2 {
				r.fault(l.line, "", "the road has fewer than two different positions", "draw it again, or delete it")
				continue
			}
			m.Roads = append(m.Roads, l.at)
			m.roads.Lines = append(m.roads.Lines, m.plane.line(l.at))
		}
		in, read := r.checked(one.polygons, m.plane)
		for i, polygon := range in {
			m.Roads = append(m.Roads, read[i]...)
			m.roads.Polygons = append(m.roads.Polygons, layoutPolygons(polygon.AsGeometry())...)
		}
	}
}
