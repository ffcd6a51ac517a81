package outline

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/stats/layout"
	"ashtally/stats/statstest"
)

// Areas by GeographicLib 2.1.2's Planimeter.
const (
	burnM2  = 4081878.1
	holeM2  = 214840.5
	northM2 = 10713221641.1
)

const (
	burnRing  = "[-118.42, 46.10], [-118.40, 46.10], [-118.395, 46.115], [-118.41, 46.12], [-118.43, 46.11], [-118.42, 46.10]"
	holeRing  = "[-118.415, 46.105], [-118.41, 46.105], [-118.41, 46.11], [-118.415, 46.11], [-118.415, 46.105]"
	northRing = "[-150, 64], [-148, 64], [-148, 65], [-150, 65], [-150, 64]"
)

// collection is a document with a feature on each line from the second on.
func collection(features ...string) File {
	return File{Name: "outline.geojson", Data: []byte(`{"type": "FeatureCollection", "features": [` + "\n" + strings.Join(features, ",\n") + "\n]}")}
}

// stratum is a feature with one polygon.
func stratum(name string, rings ...string) string {
	return fmt.Sprintf(`{"type": "Feature", "properties": {"stratum": %q}, "geometry": {"type": "Polygon", "coordinates": [[%s]]}}`, name, strings.Join(rings, "], ["))
}

func line(coordinates string) string {
	return fmt.Sprintf(`{"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": [%s]}}`, coordinates)
}

// box is a ring from one corner to another.
func box(west, south, east, north float64) string {
	return fmt.Sprintf("[%g, %g], [%g, %g], [%g, %g], [%g, %g], [%g, %g]", west, south, east, south, east, north, west, north, west, south)
}

func mustRead(t statstest.TB, files Files) *Map {
	t.Helper()
	m, faults, notices := Read(files)
	if len(faults)+len(notices) > 0 {
		t.Errorf("faults and notices: %v", append(faults, notices...))
	}
	return m
}

func TestReadAreas(t *testing.T) {
	for _, c := range []struct {
		name  string
		rings []string
		want  float64
	}{
		{"burn", []string{burnRing}, burnM2},
		{"burn with its hole", []string{burnRing, holeRing}, burnM2 - holeM2},
		{"hole", []string{holeRing}, holeM2},
		{"large, far north", []string{northRing}, northM2},
	} {
		m := mustRead(t, Files{Outline: collection(stratum("burn", c.rings...))})
		statstest.Relative(t, c.name, m.Strata[0].AreaM2, c.want, 1e-6)
		statstest.Relative(t, c.name+", ha", m.Strata[0].AreaHa.Value, c.want/1e4, 1e-6)
	}
}

func TestReadStrata(t *testing.T) {
	file := collection(
		`{"type": "Feature", "properties": {"stratum": " north ", "fire_date": "2030-08-14", "severity": "high", "fid": 1}, "geometry": {"type": "MultiPolygon", "coordinates": [[[`+burnRing+`], [`+holeRing+`]]]}}`,
		`{"type": "Feature", "properties": {"stratum": 7, "fire_date": 2029}, "geometry": {"type": "Polygon", "coordinates": [[`+box(-118.3, 46, -118.2, 46.1)+`]]}}`,
		`{"type": "Feature", "properties": {"stratum": "north", "fire_date": "2030-08-14", "severity": "high"}, "geometry": {"type": "Polygon", "coordinates": [[`+box(-118.5, 46.2, -118.45, 46.25)+`]]}}`,
	)
	file.Data = append([]byte("\xef\xbb\xbf"), file.Data...)
	m := mustRead(t, Files{Outline: file})
	if len(m.Strata) != 2 {
		t.Fatalf("%d strata", len(m.Strata))
	}
	north, other := m.Strata[0], m.Strata[1]
	if got := fmt.Sprintf("%v %v %v %v %v", north.Stratum.Stratum, north.Place, north.FireDate, north.Severity, len(north.Polygons)); got != "north {outline.geojson 2} 2030-08-14 high 2" {
		t.Errorf("first stratum: %s", got)
	}
	if got := fmt.Sprintf("%v %v %v %v", other.Stratum.Stratum, other.Line, other.FireDate, other.Severity); got != "7 3 2029 " {
		t.Errorf("second stratum: %s", got)
	}
	var apart float64
	for _, p := range north.Polygons {
		apart += p.Area()
		if geodesy.Area(p[0]) < 0 || len(p) > 1 && geodesy.Area(p[1]) > 0 {
			t.Error("a polygon is not right-handed")
		}
	}
	statstest.Relative(t, "area of two parts", north.AreaM2, apart, 1e-12)
}

// The parts of an outline that is cut at the antimeridian meet without a gap,
// however it lies.
func TestReadCut(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 0))
	for range 40 {
		west, east := 180-r.Float64()/10, -180+r.Float64()/10
		m := mustRead(t, Files{Outline: collection(stratum("a", box(west, 46, 180, 46.1)), stratum("a", box(-180, 46, east, 46.1)))})
		if n := len(m.Strata[0].Polygons); n != 1 {
			t.Errorf("from %g to %g: %d polygons", west, east, n)
		}
	}
}

// Rings are turned as RFC 7946 has them.
func TestReadRighthanded(t *testing.T) {
	clockwise := "[-118.5, 46], [-118.5, 46.1], [-118.4, 46.1], [-118.4, 46], [-118.5, 46]"
	s := mustRead(t, Files{Outline: collection(stratum("a", clockwise, box(-118.48, 46.02, -118.42, 46.08)))}).Strata[0]
	if outer, hole := geodesy.Area(s.Polygons[0][0]), geodesy.Area(s.Polygons[0][1]); outer <= 0 || hole >= 0 {
		t.Errorf("signed areas %g and %g", outer, hole)
	}
}

// Polygons of one stratum that share an edge are joined, at the antimeridian
// too, and what lies in two of them counts once.
func TestReadJoined(t *testing.T) {
	whole := mustRead(t, Files{Outline: collection(stratum("a", box(-118.5, 46, -118.4, 46.1)))}).Strata[0]
	m := mustRead(t, Files{Outline: collection(stratum("a", box(-118.5, 46, -118.45, 46.1)), stratum("a", box(-118.45, 46, -118.4, 46.1)))})
	halves := m.Strata[0]
	statstest.Relative(t, "two halves", halves.AreaM2, whole.AreaM2, 1e-6)
	m = mustRead(t, Files{Outline: collection(stratum("a", box(179.9331, 46, 180, 46.1)), stratum("a", box(-180, 46, -179.9669, 46.1)))})
	cut := m.Strata[0]
	statstest.Relative(t, "cut at the antimeridian", cut.AreaM2, whole.AreaM2, 1e-6)
	for name, s := range map[string]Stratum{"halves": halves, "cut": cut} {
		if len(s.Polygons) != 1 {
			t.Errorf("%s: %d polygons", name, len(s.Polygons))
		}
	}
	if _, fault := m.Frame(cut, Buffers{Edge: 3500}, layout.Footprint{}); fault != nil {
		t.Errorf("no room across the antimeridian: %v", fault)
	}

	m, faults, notices := Read(Files{Outline: collection(stratum("a", box(-118.5, 46, -118.44, 46.1)), stratum("a", box(-118.46, 46, -118.4, 46.1)))})
	if len(faults) > 0 || len(notices) != 1 || !strings.Contains(notices[0].Problem, "overlap by") {
		t.Fatalf("overlapping parts: %v %v", faults, notices)
	}
	statstest.Relative(t, "overlapping parts", m.Strata[0].AreaM2, whole.AreaM2, 1e-5) // geodesics between nearer positions
}

func TestReadExclude(t *testing.T) {
	exclude := collection(`{"type": "Feature", "properties": null, "geometry": {"type": "Polygon", "coordinates": [[`+holeRing+`]]}}`,
		`{"type": "Feature", "properties": null, "geometry": {"type": "Polygon", "coordinates": [[`+box(-117, 46, -116.9, 46.1)+`]]}}`)
	m := mustRead(t, Files{Outline: collection(stratum("burn", burnRing)), Exclude: exclude})
	statstest.Relative(t, "outline", m.Strata[0].AreaM2, burnM2, 1e-6)
	statstest.Relative(t, "excluded", m.Strata[0].ExcludedM2, holeM2, 1e-6)
	frame, fault := m.Frame(m.Strata[0], Buffers{}, layout.Footprint{})
	if fault != nil {
		t.Fatal(fault)
	}
	statstest.Relative(t, "frame", frame.Area(), burnM2-holeM2, 2e-3)
	apart, _ := m.Frame(m.Strata[0], Buffers{Excluded: 60}, layout.Footprint{})
	for _, c := range []struct {
		at               geodesy.Position
		anywhere, beyond bool // without a buffer, and at 60 m from excluded ground
	}{
		{geodesy.Position{Lon: -118.412, Lat: 46.107}, false, false},
		{geodesy.Position{Lon: -118.412, Lat: 46.1105}, true, false}, // 56 m away
		{geodesy.Position{Lon: -118.412, Lat: 46.1107}, true, true},  // 78 m
	} {
		if frame.Contains(m.Point(c.at)) != c.anywhere || apart.Contains(m.Point(c.at)) != c.beyond {
			t.Errorf("%v: in the frame %t, in that with a buffer %t", c.at, frame.Contains(m.Point(c.at)), apart.Contains(m.Point(c.at)))
		}
	}
}

func TestReadRoads(t *testing.T) {
	roads := collection(line("[-118.5, 46.11], [-118.3, 46.11]"), `{"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [[`+holeRing+`]]}}`)
	m := mustRead(t, Files{Outline: collection(stratum("burn", burnRing)), Roads: roads})
	if len(m.Roads) != 2 {
		t.Errorf("%d roads", len(m.Roads))
	}
	frame, fault := m.Frame(m.Strata[0], Buffers{Roads: 50}, layout.Footprint{Radius: 5})
	if fault != nil {
		t.Fatal(fault)
	}
	for _, c := range []struct {
		at   geodesy.Position
		want bool
	}{
		{geodesy.Position{Lon: -118.405, Lat: 46.1103}, false}, // 33 m from the road
		{geodesy.Position{Lon: -118.405, Lat: 46.1106}, true},  // 67 m
		{geodesy.Position{Lon: -118.412, Lat: 46.107}, false},  // in the polygon
		{geodesy.Position{Lon: -118.43, Lat: 46.13}, false},    // outside of the burn
	} {
		if got := frame.Contains(m.Point(c.at)); got != c.want {
			t.Errorf("frame contains %v: %t", c.at, got)
		}
	}
}

// The place and the bearing of a unit are those on the ellipsoid, to the error
// that is stated.
func TestPositions(t *testing.T) {
	m := mustRead(t, Files{Outline: collection(stratum("north", northRing))})
	statstest.Near(t, "distortion", m.Distortion(), 2.9e-5, 2e-6) // 48.6 km from the middle: x^2 / (2 R^2)
	belt := layout.Footprint{Length: 200, Width: 4, Bearing: 35}
	for _, center := range []layout.Point{{}, {X: 40000, Y: 50000}, {X: -40000, Y: -50000}} {
		from, to := belt.Ends(center)
		g := geodesy.Inverse(m.Position(from), m.Position(to))
		statstest.Relative(t, "length", g.Length, 200, m.Distortion())
		statstest.Near(t, "bearing", m.Bearing(belt, center), g.Azimuth, 0)
		statstest.Near(t, "bearing, against that of the footprint", g.Azimuth, 35, 0.9) // 40 km, 64.5 degrees north
		back := m.Point(m.Position(center))
		statstest.Near(t, "there and back", math.Hypot(back.X-center.X, back.Y-center.Y), 0, 1e-6)
	}
	statstest.Near(t, "bearing at the middle", m.Bearing(belt, layout.Point{}), 35, 2e-3)
}

// Balanced units of an outline lie within it, by their positions.
func TestUnitsWithin(t *testing.T) {
	m := mustRead(t, Files{Outline: collection(stratum("burn", burnRing, holeRing))})
	frame, fault := m.Frame(m.Strata[0], Buffers{Edge: 30}, layout.Footprint{Radius: 5.64})
	if fault != nil {
		t.Fatal(fault)
	}
	sample := layout.Balanced(frame, 40, 8, rand.New(rand.NewPCG(4127, 0)))
	for _, p := range append(sample.Units, sample.Spares...) {
		at := m.Position(p)
		for _, ring := range m.Strata[0].Polygons[0] {
			for i := 1; i < len(ring); i++ {
				if d := toGeodesic(at, ring[i-1], ring[i]); d < 35.64-1e-3 {
					t.Errorf("unit at %v is %.2f m from the edge", at, d)
				}
			}
		}
	}
}

// toGeodesic is the distance of a position from a geodesic, by golden section.
func toGeodesic(at, from, to geodesy.Position) float64 {
	along := func(s float64) float64 {
		return geodesy.Inverse(at, geodesy.Position{Lon: from.Lon + s*(to.Lon-from.Lon), Lat: from.Lat + s*(to.Lat-from.Lat)}).Length
	}
	lo, hi := 0.0, 1.0
	for range 60 {
		a, b := lo+0.382*(hi-lo), lo+0.618*(hi-lo)
		if along(a) < along(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return along((lo + hi) / 2)
}

// Whatever bytes come, there is a map or a fault, and no panic.
func FuzzRead(f *testing.F) {
	f.Add(collection(stratum("burn", burnRing, holeRing)).Data)
	f.Add([]byte(`{"type": "Polygon", "coordinates": [[[1,2],[3,4],[5,6]]]}`))
	f.Add([]byte(`[[[[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		file := File{Name: "x", Data: data}
		m, faults, _ := Read(Files{Outline: file, Exclude: file, Roads: file})
		if (m == nil) != (len(faults) > 0) {
			t.Fatalf("map %v, faults %v", m, faults)
		}
	})
}

// Random polygons with holes are read with an area, or refused with a place.
func TestReadRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rings []string
		for range rapid.IntRange(1, 3).Draw(t, "rings") {
			var ring []string
			for range rapid.IntRange(3, 7).Draw(t, "positions") {
				ring = append(ring, fmt.Sprintf("[%g, %g]", float64(rapid.IntRange(-9, 9).Draw(t, "lon"))/10, float64(rapid.IntRange(-9, 9).Draw(t, "lat"))/10))
			}
			rings = append(rings, strings.Join(append(ring, ring[0]), ", "))
		}
		m, faults, _ := Read(Files{Outline: collection(stratum("a", rings...), stratum("b", box(0.05, 0.05, 2, 2)), stratum("a", box(-2, -2, 0.15, 0.15)))})
		for _, f := range faults {
			if f.Line < 2 || f.Line > 4 || f.Problem == "" || f.Remedy == "" {
				t.Errorf("fault without place, problem or remedy: %+v", f)
			}
		}
		if m != nil {
			for _, s := range m.Strata {
				if !(s.AreaM2 > 0) {
					t.Errorf("area %g of %s", s.AreaM2, s.Stratum.Stratum)
				}
			}
		}
	})
}
