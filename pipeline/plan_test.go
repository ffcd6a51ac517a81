package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

const square = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"stratum":"ridge","fire_date":"2030"},"geometry":{"type":"Polygon","coordinates":[[[-118.42,46.10],[-118.41,46.10],[-118.41,46.11],[-118.42,46.11],[-118.42,46.10]]]}}]}`

// planFolder is a survey folder before its season.
func planFolder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "burn")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if files["survey.toml"] == "" {
		files["survey.toml"] = "title = \"An invented burn\"\n[plan]\nunits = 8\n"
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// planned is the files of a plan, by name.
func planned(t *testing.T, dir string) map[string]string {
	all := map[string]string{}
	for name, data := range contents(t, dir) {
		all[name] = string(data)
	}
	return all
}

// A plan is made whole, twice to the same bytes, and its survey folder is one that
// check takes once the crew has been there.
func TestPlanFolder(t *testing.T) {
	dir := planFolder(t, map[string]string{"outline.geojson": square})
	var made [2]map[string]string
	for i := range made {
		out := filepath.Join(t.TempDir(), "plan")
		lines, err := MakePlan(context.Background(), PlanOptions{Survey: dir, Out: out})
		if err != nil || len(lines) == 0 {
			t.Fatal(lines, err)
		}
		made[i] = planned(t, out)
	}
	for _, name := range []string{"plan.html", "sheets.html", "units.gpx", "units.geojson", "plan.json", "survey/plots.csv", "survey/visits.csv", "tables/sample_size.csv", "tables/allocation.csv", "tables/power.csv", "tables/calendar.csv"} {
		if made[0][name] == "" {
			t.Errorf("there is no %s", name)
		}
	}
	for name, text := range made[0] {
		if made[1][name] != text {
			t.Errorf("%s differs when made again", name)
		}
	}
	filled := t.TempDir()
	for name, text := range made[0] {
		if base, ok := strings.CutPrefix(name, "survey/"); ok {
			if base == "visits.csv" {
				text += "A01,2031-05-17,,lena,0.5,\nA02,2031-05-17,,lena,0.5,\n"
			}
			if base == "finds.csv" {
				text += "A01,2031-05-17,,black morel,2" + strings.Repeat(",", strings.Count(text, ",")-4) + "\n"
			}
			if err := os.WriteFile(filepath.Join(filled, base), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := Check(context.Background(), filled, false, Watch{Fault: func(f survey.Fault) { t.Error(f) }}); err != nil {
		t.Error(err)
	}
}

// Every fault names file and line, and nothing is left behind.
func TestPlanFaults(t *testing.T) {
	polygon := func(name, ring string) string {
		return `{"type":"Feature","properties":{"stratum":"` + name + `"},"geometry":{"type":"Polygon","coordinates":[` + ring + `]}}`
	}
	document := func(features ...string) string {
		return "{\"type\":\"FeatureCollection\",\"features\":[\n" + strings.Join(features, ",\n") + "]}"
	}
	for _, c := range []struct {
		name, place, want string
		files             map[string]string
	}{
		{"self-crossing", "outline.geojson:2", "cross", map[string]string{"outline.geojson": document(polygon("a", "[[-118.42,46.10],[-118.41,46.11],[-118.41,46.10],[-118.42,46.11],[-118.42,46.10]]"))}},
		{"smaller than a plot", "outline.geojson:2", "no unit", map[string]string{"outline.geojson": document(polygon("a", "[[-118.42,46.10],[-118.41995,46.10],[-118.41995,46.10003],[-118.42,46.10003],[-118.42,46.10]]"))}},
		{"no room after buffers", "outline.geojson:2", "no room", map[string]string{"outline.geojson": square, "survey.toml": "title = \"x\"\n[plan]\nunits = 4\nedge_m = 900\n"}},
		{"degrees in the wrong order", "outline.geojson:2", "", map[string]string{"outline.geojson": document(polygon("a", "[[46.10,-118.42],[46.10,-118.41],[46.11,-118.41],[46.11,-118.42],[46.10,-118.42]]"))}},
		{"strata that overlap", "outline.geojson:3", "overlap", map[string]string{"outline.geojson": document(
			polygon("a", "[[-118.42,46.10],[-118.41,46.10],[-118.41,46.11],[-118.42,46.11],[-118.42,46.10]]"),
			polygon("b", "[[-118.415,46.10],[-118.405,46.10],[-118.405,46.11],[-118.415,46.11],[-118.415,46.10]]"))}},
		{"a setting", "survey.toml:3", "plan.layout", map[string]string{"outline.geojson": square, "survey.toml": "title = \"x\"\n[plan]\nlayout = \"by feel\"\n"}},
		{"no outline", "outline.geojson", "no strata.csv", map[string]string{}},
		{"strata.csv", "strata.csv:2", "area_ha", map[string]string{"strata.csv": "stratum,area_ha\na,many\n"}},
	} {
		dir := planFolder(t, c.files)
		var told []string
		out := filepath.Join(t.TempDir(), "plan")
		_, err := MakePlan(context.Background(), PlanOptions{Survey: dir, Out: out, Watch: Watch{Fault: func(f survey.Fault) { told = append(told, f.String()) }}})
		if err == nil || len(told) == 0 || !strings.HasPrefix(told[0], c.place) || !strings.Contains(told[0], c.want) {
			t.Errorf("%s: %v %q, want %s ... %s", c.name, err, told, c.place, c.want)
		}
		if left, _ := filepath.Glob(filepath.Join(filepath.Dir(out), "*")); len(left) > 0 {
			t.Errorf("%s: %v was left behind", c.name, left)
		}
	}
}

// With strata.csv in place of an outline there are numbers and no units.
func TestPlanWithoutAnOutline(t *testing.T) {
	out := filepath.Join(t.TempDir(), "plan")
	dir := planFolder(t, map[string]string{"strata.csv": "stratum,area_ha,fire_date,severity\nridge,80,2030,high\n"})
	if _, err := MakePlan(context.Background(), PlanOptions{Survey: dir, Out: out, CV: 0.3}); err != nil {
		t.Fatal(err)
	}
	made := planned(t, out)
	if made["sheets.html"] != "" || !bytes.Contains([]byte(made["tables/allocation.csv"]), []byte("ridge")) {
		t.Error("units without an outline, or no allocation")
	}
}
