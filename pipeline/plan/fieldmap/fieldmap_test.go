package fieldmap

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/plan/outline"
	"ashtally/stats/layout"
	"ashtally/stats/statstest"
)

// outlined is a made-up outline with a stratum of two parts, one with a hole,
// and one of one part with clockwise rings.
func outlined(t *testing.T) *outline.Map {
	t.Helper()
	m, faults, _ := outline.Read(outline.Files{Outline: outline.File{Name: "outline.geojson", Data: []byte(`{"type": "FeatureCollection", "features": [
{"type": "Feature", "properties": {"stratum": "upper & <old>", "fire_date": 2030, "severity": "high"}, "geometry": {"type": "MultiPolygon", "coordinates": [
 [[[-118.42,46.10],[-118.40,46.10],[-118.395,46.115],[-118.41,46.12],[-118.43,46.11],[-118.42,46.10]],[[-118.415,46.105],[-118.41,46.105],[-118.41,46.11],[-118.415,46.11],[-118.415,46.105]]],
 [[[-118.38,46.10],[-118.37,46.10],[-118.37,46.11],[-118.38,46.10]]]]}},
{"type": "Feature", "properties": {"stratum": "lower"}, "geometry": {"type": "Polygon", "coordinates": [[[-118.42,46.08],[-118.42,46.09],[-118.40,46.09],[-118.40,46.08],[-118.42,46.08]]]}}]}`)}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return m
}

var footprints = []layout.Footprint{{Radius: 5.64}, {Length: 100, Width: 4, Bearing: 35}, {Length: 60, Bearing: 300}}

// planned are units of each kind in each stratum, with a spare of each.
func planned(t *testing.T, m *outline.Map) []Unit {
	t.Helper()
	var units []Unit
	for _, s := range m.Strata {
		for k, f := range footprints {
			frame, fault := m.Frame(s, outline.Buffers{Edge: 10}, f)
			if fault != nil {
				t.Fatal(fault)
			}
			sample := layout.Balanced(frame, 5, 1, rand.New(rand.NewPCG(4127, uint64(k))))
			for i, c := range append(sample.Units, sample.Spares...) {
				u := NewUnit(m, s, fmt.Sprintf("%s-%d%02d", s.Stratum.Stratum[:1], k+1, i+1), f, c)
				u.Spare = max(0, i-4)
				units = append(units, u)
			}
		}
	}
	return units
}

func gpxOf(t *testing.T, units []Unit) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteGPX(&b, "Hollin Creek burn & \x00 more", units); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestGPXSchema holds a document to the schema of GPX 1.1, with xmllint of
// Debian's libxml2-utils.
func TestGPXSchema(t *testing.T) {
	xmllint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("no xmllint here: it is in Debian's libxml2-utils")
	}
	schema := filepath.Join("..", "..", "..", "..", "shared", "schemas", "gpx-1.1.xsd")
	if _, err := os.Stat(schema); err != nil {
		t.Skip("no schema of GPX beside the project: ", err)
	}
	m := outlined(t)
	units := planned(t, m)
	units = append(units, Unit{ID: "east", Kind: plot, Center: geodesy.Position{Lon: 180, Lat: -90}, Start: geodesy.Position{Lon: 180, Lat: -90}})
	for name, document := range map[string][]byte{"units": gpxOf(t, units), "no units": gpxOf(t, nil)} {
		path := filepath.Join(t.TempDir(), "units.gpx")
		if err := os.WriteFile(path, document, 0o666); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(xmllint, "--noout", "--nonet", "--schema", schema, path).CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// What is read back is where the units are, to a centimetre.
func TestGPX(t *testing.T) {
	m := outlined(t)
	units := planned(t, m)
	document := gpxOf(t, units)
	if !bytes.Equal(document, gpxOf(t, planned(t, m))) {
		t.Error("the same units give other bytes")
	}
	var read struct {
		Waypoints []struct {
			Lat  float64 `xml:"lat,attr"`
			Lon  float64 `xml:"lon,attr"`
			Name string  `xml:"name"`
			Desc string  `xml:"desc"`
		} `xml:"wpt"`
		Tracks []struct {
			Name   string `xml:"name"`
			Points []struct {
				Lat float64 `xml:"lat,attr"`
				Lon float64 `xml:"lon,attr"`
			} `xml:"trkseg>trkpt"`
		} `xml:"trk"`
	}
	if err := xml.Unmarshal(document, &read); err != nil {
		t.Fatal(err)
	}
	next, track := 0, 0
	check := func(what string, want geodesy.Position, lon, lat float64) {
		t.Helper()
		statstest.Near(t, what, geodesy.Inverse(want, geodesy.Position{Lon: lon, Lat: lat}).Length, 0, 0.01)
	}
	for _, u := range units {
		w := read.Waypoints[next]
		next++
		check("start of "+u.ID, u.Start, w.Lon, w.Lat)
		if w.Name != u.ID || !strings.Contains(w.Desc, u.Stratum) || strings.Contains(w.Desc, "spare") != (u.Spare > 0) {
			t.Errorf("waypoint %s: %s", w.Name, w.Desc)
		}
		if u.Kind == "plot" {
			continue
		}
		w = read.Waypoints[next]
		next++
		check("end of "+u.ID, u.End, w.Lon, w.Lat)
		for k, at := range []geodesy.Position{u.Start, u.End} {
			check("track "+u.ID, at, read.Tracks[track].Points[k].Lon, read.Tracks[track].Points[k].Lat)
		}
		statstest.Relative(t, "length of "+u.ID, geodesy.Inverse(u.Start, u.End).Length, u.Length, 1e-6)
		track++
	}
	if next != len(read.Waypoints) || track != len(read.Tracks) {
		t.Errorf("%d waypoints and %d tracks, %d and %d of them expected", len(read.Waypoints), len(read.Tracks), next, track)
	}
}

// geoJSON is a document as read.
type geoJSON struct {
	Features []struct {
		Geometry struct {
			Type        string
			Coordinates json.RawMessage
		}
		Properties map[string]any
	}
}

var sevenDecimals = regexp.MustCompile(`^\[-?\d+\.\d{7},-?\d+\.\d{7}\]$`)

func TestWriteUnits(t *testing.T) {
	m := outlined(t)
	units := planned(t, m)
	var b bytes.Buffer
	if err := WriteUnits(&b, units); err != nil {
		t.Fatal(err)
	}
	var read geoJSON
	if err := json.Unmarshal(b.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	if len(read.Features) != len(units) {
		t.Fatalf("%d features of %d units", len(read.Features), len(units))
	}
	for i, u := range units {
		f := read.Features[i]
		if f.Properties["unit"] != u.ID || f.Properties["stratum"] != u.Stratum || f.Properties["kind"] != u.Kind {
			t.Errorf("unit %s: %v", u.ID, f.Properties)
		}
		switch want := map[string]string{"plot": "Point", "strip": "Polygon", "line": "LineString"}[u.Kind]; {
		case f.Geometry.Type != want:
			t.Errorf("a %s is a %s", u.Kind, f.Geometry.Type)
		case want == "Point" && !sevenDecimals.Match(f.Geometry.Coordinates):
			t.Errorf("coordinates %s", f.Geometry.Coordinates)
		case want == "Polygon":
			righthanded(t, f.Geometry.Coordinates)
			statstest.Relative(t, "area of the strip", outline.Polygon{u.Corners}.Area(), u.Length*u.Width, 1e-5)
		}
	}
	if got := fmt.Sprint(read.Features[6].Properties); got != "map[bearing_deg:35 half_width_m:2 kind:strip length_m:100 stratum:upper & <old> unit:u-201]" {
		t.Errorf("properties of a strip: %s", got)
	}
	if got := fmt.Sprint(read.Features[5].Properties); got != "map[kind:plot radius_m:5.64 spare:1 stratum:upper & <old> unit:u-106]" {
		t.Errorf("properties of a spare plot: %s", got)
	}
}

// righthanded fails unless rings are closed, the first runs counter-clockwise
// and the others clockwise.
func righthanded(t *testing.T, coordinates []byte) {
	t.Helper()
	var rings [][][2]float64
	if err := json.Unmarshal(coordinates, &rings); err != nil {
		t.Fatal(err)
	}
	for i, ring := range rings {
		sum := 0.0
		for k := 1; k < len(ring); k++ {
			sum += (ring[k][0] - ring[k-1][0]) * (ring[k][1] + ring[k-1][1] - 2*ring[0][1])
		}
		if counterclockwise := sum < 0; counterclockwise != (i == 0) || ring[0] != ring[len(ring)-1] {
			t.Errorf("ring %d: counter-clockwise %t, first %v, last %v", i, counterclockwise, ring[0], ring[len(ring)-1])
		}
	}
}

// Strata are read back as they were.
func TestWriteStrata(t *testing.T) {
	m := outlined(t)
	var b bytes.Buffer
	if err := WriteStrata(&b, m.Strata); err != nil {
		t.Fatal(err)
	}
	again, faults, notices := outline.Read(outline.Files{Outline: outline.File{Name: "strata.geojson", Data: b.Bytes()}})
	if len(faults)+len(notices) > 0 {
		t.Fatal(faults, notices)
	}
	for i, s := range m.Strata {
		back := again.Strata[i]
		statstest.Relative(t, "area", back.AreaM2, s.AreaM2, 1e-5)
		if back.Stratum.Stratum != s.Stratum.Stratum || back.FireDate != s.FireDate || back.Severity != s.Severity || len(back.Polygons) != len(s.Polygons) {
			t.Errorf("stratum %+v", back.Stratum)
		}
	}
	var read geoJSON
	if err := json.Unmarshal(b.Bytes(), &read); err != nil {
		t.Fatal(err)
	}
	righthanded(t, read.Features[1].Geometry.Coordinates)
	var parts []json.RawMessage
	if err := json.Unmarshal(read.Features[0].Geometry.Coordinates, &parts); err != nil || len(parts) != 2 {
		t.Fatal(err, len(parts))
	}
	for _, polygon := range parts {
		righthanded(t, polygon)
	}
}

// A hole is turned clockwise and an outer ring counter-clockwise, whatever way
// they come.
func TestRings(t *testing.T) {
	outer := []geodesy.Position{{Lon: 0, Lat: 0}, {Lon: 0, Lat: 3}, {Lon: 3, Lat: 3}, {Lon: 3, Lat: 0}}
	hole := []geodesy.Position{{Lon: 1, Lat: 1}, {Lon: 2, Lat: 1}, {Lon: 2, Lat: 2}, {Lon: 1, Lat: 2}, {Lon: 1, Lat: 1}}
	text, err := json.Marshal(rings([][]geodesy.Position{outer, hole}))
	if err != nil {
		t.Fatal(err)
	}
	righthanded(t, text)
	if outer[0].Lon != 0 {
		t.Error("the argument was changed")
	}
}

func TestAcross(t *testing.T) {
	east, west := geodesy.Position{Lon: 179.9999, Lat: 1}, geodesy.Position{Lon: -179.9999, Lat: 1}
	if err := WriteUnits(&bytes.Buffer{}, []Unit{{ID: "T7", Kind: "line", Start: east, End: west}}); err == nil || !strings.Contains(err.Error(), "T7") {
		t.Errorf("error %v", err)
	}
	s := outline.Stratum{Polygons: []outline.Polygon{{{east, west, {Lon: 180, Lat: 2}}}}}
	if err := WriteStrata(&bytes.Buffer{}, []outline.Stratum{s}); err == nil {
		t.Error("a stratum across the antimeridian is written")
	}
}

func TestDegrees(t *testing.T) {
	for v, want := range map[float64]string{-4e-8: "0.0000000", 46.123456789: "46.1234568", -118.5: "-118.5000000", math.Copysign(0, -1): "0.0000000"} {
		if got := degrees(v); got != want {
			t.Errorf("degrees(%g) = %s, want %s", v, got, want)
		}
	}
}

// failing is a writer whose disk is full after some bytes.
type failing struct{ left int }

func (f *failing) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, os.ErrClosed
	}
	return len(b), nil
}

func TestWriteFails(t *testing.T) {
	m := outlined(t)
	units := planned(t, m)
	for _, left := range []int{0, 50, 5000} {
		for name, err := range map[string]error{
			"GPX": WriteGPX(&failing{left}, "", units), "units": WriteUnits(&failing{left}, units), "strata": WriteStrata(&failing{min(left, 400)}, m.Strata),
		} {
			if err == nil {
				t.Errorf("%s: no error after %d bytes", name, left)
			}
		}
	}
}
