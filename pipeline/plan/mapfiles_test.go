package plan

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"math"
	"os/exec"
	"path/filepath"
	"testing"

	"ashtally/pipeline/survey"
)

// eachUnit is a plan of each kind of unit.
func eachUnit(t *testing.T, check func(unit string, p *Plan)) {
	for _, unit := range []string{survey.PlannedPlot, survey.Strip, survey.Line} {
		check(unit, made(t, planned(t, func(s *survey.Settings) {
			s.Title, s.Plan.Unit, s.Plan.BearingDeg = "Ash & <Ember>", unit, 77
		})))
	}
}

// Each unit and spare has a waypoint at its start, and a transect one at its end and a
// track too.
func TestMapFilesAreRead(t *testing.T) {
	eachUnit(t, func(unit string, p *Plan) {
		var gpx struct {
			Waypoints []struct{} `xml:"wpt"`
			Tracks    []struct{} `xml:"trk"`
		}
		waypoints, tracks := 36, 0
		if unit != survey.PlannedPlot {
			waypoints, tracks = 72, 36
		}
		if err := xml.Unmarshal(file(t, p, "units.gpx"), &gpx); err != nil || len(gpx.Waypoints) != waypoints || len(gpx.Tracks) != tracks {
			t.Errorf("%s: %d waypoints, %d tracks, %v", unit, len(gpx.Waypoints), len(gpx.Tracks), err)
		}
	})
}

// units.gpx is valid by the schema of GPX 1.1 (Topografix), by xmllint of Debian's
// libxml2-utils.
func TestMapFilesGPXSchema(t *testing.T) {
	xmllint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("no xmllint here: it is in Debian's libxml2-utils")
	}
	schema := filepath.Join("..", "..", "..", "shared", "schemas", "gpx-1.1.xsd")
	if found, _ := filepath.Glob(schema); found == nil {
		t.Skip("no schema of GPX beside the project: ", schema)
	}
	eachUnit(t, func(unit string, p *Plan) {
		lint := exec.Command(xmllint, "--noout", "--nonet", "--schema", schema, "-")
		lint.Stdin = bytes.NewReader(file(t, p, "units.gpx"))
		if out, err := lint.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", unit, err, out)
		}
	})
}

// Rings of units.geojson are closed and run counter-clockwise (RFC 7946, section
// 3.1.6), and lie about where the burn does, longitude first.
func TestMapFilesGeoJSON(t *testing.T) {
	shapes := map[string]string{survey.PlannedPlot: "Point", survey.Strip: "Polygon", survey.Line: "LineString"}
	eachUnit(t, func(unit string, p *Plan) {
		var read struct {
			Type     string
			Features []struct {
				Geometry struct {
					Type        string
					Coordinates json.RawMessage
				}
			}
		}
		if err := json.Unmarshal(file(t, p, "units.geojson"), &read); err != nil || read.Type != "FeatureCollection" || len(read.Features) != 36 {
			t.Fatalf("%s: %s of %d features, %v", unit, read.Type, len(read.Features), err)
		}
		for i, f := range read.Features {
			if f.Geometry.Type != shapes[unit] {
				t.Errorf("%s %d is a %s", unit, i, f.Geometry.Type)
			}
			var rings [][][2]float64
			if unit != survey.Strip {
				continue
			}
			if err := json.Unmarshal(f.Geometry.Coordinates, &rings); err != nil || len(rings) != 1 {
				t.Fatal(err, len(rings))
			}
			ring := rings[0]
			if ring[0] != ring[len(ring)-1] || twiceArea(ring) <= 0 {
				t.Errorf("strip %d: %v is open or clockwise", i, ring)
			}
			if math.Abs(ring[0][0]+118.4) > 0.04 || math.Abs(ring[0][1]-46.11) > 0.02 {
				t.Errorf("strip %d lies at %v", i, ring[0])
			}
		}
	})
}

// twiceArea is twice the signed area of a closed ring, in square degrees: positive where
// it runs counter-clockwise.
func twiceArea(ring [][2]float64) (sum float64) {
	for i := 1; i < len(ring); i++ {
		a, b := ring[i-1], ring[i]
		sum += (a[0]-ring[0][0])*(b[1]-ring[0][1]) - (b[0]-ring[0][0])*(a[1]-ring[0][1])
	}
	return sum
}
