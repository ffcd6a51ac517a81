package plan

import (
	"strings"
	"testing"

	"ashtally/pipeline/plan/outline"
)

// The map of the layout and that of each sheet have roads and excluded ground, the
// latter with a closed boundary.
func TestMapsHaveRoadsAndExcludedGround(t *testing.T) {
	in := planned(t, nil)
	bare := strings.Count(string(file(t, made(t, in), "sheets.html")), "stroke-dasharray")
	m, faults, _ := outline.Read(outline.Files{
		Outline: outline.File{Name: "outline.geojson", Data: []byte(burn)},
		Roads:   outline.File{Name: "roads.geojson", Data: []byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":{"type":"LineString","coordinates":[[-118.45,46.112],[-118.36,46.106]]}}]}`)},
		Exclude: outline.File{Name: "exclude.geojson", Data: []byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[-118.39,46.104],[-118.385,46.104],[-118.385,46.108],[-118.39,46.104]]]}}]}`)},
	})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	in.Map = m
	lines := mapper{in}.groundLines()
	if len(lines) != 2 || lines[0].Dashed || len(lines[0].Points) != 2 || !lines[1].Dashed {
		t.Fatalf("lines %+v, want a road and a dashed boundary", lines)
	}
	if ring := lines[1].Points; ring[0] != ring[len(ring)-1] {
		t.Errorf("the boundary of excluded ground is open: %v", ring)
	}
	p := made(t, in)
	if n := strings.Count(string(file(t, p, "sheets.html")), "stroke-dasharray") - bare; n != 36 {
		t.Errorf("%d dashed boundaries on 36 sheets", n)
	}
	if !strings.Contains(string(file(t, p, "plan.html")), "dashed: excluded ground") {
		t.Error("the map of the layout does not say what its lines are")
	}
}
