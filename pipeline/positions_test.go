package pipeline

import (
	"bytes"
	"fmt"
	"path"
	"strings"
	"testing"

	"ashtally/pipeline/page"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// secretSurvey is the survey of the exports with a longitude that cannot be read, a
// latitude that lies far from the others, and settings for positions.
func secretSurvey(t *testing.T, settings string) string {
	t.Helper()
	return writeSurvey(t, func(name string, data []byte) []byte {
		switch name {
		case "survey.toml":
			return append(data, settings...)
		case "plots.csv":
			data = located(t, data)
			data = bytes.Replace(data, []byte(",-141.110713,"), []byte(",-141.110713x,"), 1)
			return bytes.Replace(data, []byte(",46.115137,"), []byte(",4.6115137,"), 1)
		case "transects.csv":
			return located(t, data)
		}
		return data
	})
}

// TestPositionsAreKeptBack looks for the exact coordinates of all units, and of the
// cells that are quoted in faults and questions, in every byte of the report, the
// figures and the result tables, and finds them in the archive. Beside it run.json and
// set-aside.csv keep what was recorded.
func TestPositionsAreKeptBack(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	light(t)
	for _, c := range []struct {
		positions, says string
		uncertainty     string
	}{
		{"generalized", "generalized to the centre of a grid cell", "710"}, // 1000 m over the root of 2, and 2 m
		{"withheld", "are withheld", ""},
	} {
		t.Run(c.positions, func(t *testing.T) {
			if c.positions == survey.Withheld {
				statstest.Long(t)
			}
			dir := secretSurvey(t, fmt.Sprintf("\n[report]\npositions = %q\n[dataset]\nblur_m = 1000\n", c.positions))
			out := mustRun(t, Options{Survey: dir, SetAside: true})
			in := readSheets(t, dir)
			var coordinates []string
			for _, u := range in.units {
				coordinates = append(coordinates, strings.TrimSuffix(u["Lon"]+u["longitude"], "x"), u["Lat"]+u["latitude"])
			}
			shown, archived := map[string][]byte{}, map[string][]byte{}
			for name, data := range everyByte(t, out) {
				switch path.Dir(strings.TrimSuffix(name, "/values")) {
				case ".", "figures", "results":
					if name != recordName && name != asideCSV {
						shown[name] = data
					}
				case "archive":
					archived[name] = data
				}
			}
			absentFrom(t, c.positions, shown, coordinates...)
			if !holds(archived, coordinates[40]) {
				t.Error("the archive lacks a coordinate that was recorded")
			}
			report := string(shown[page.ReportFile])
			if !strings.Contains(report, c.says) {
				t.Errorf("the report does not say that positions %s", c.says)
			}
			if drawn := strings.Contains(report, `id="map-of-units-title"`); drawn != (c.positions == survey.Generalized) {
				t.Errorf("a map is drawn: %t", drawn)
			}
			if n := strings.Count(string(shown[page.AppendixFile]), "positions are kept back"); n < 2 {
				t.Errorf("%d faults and questions are told without their cell, want that of the longitude and that of the latitude", n)
			}
			for _, u := range csvRecords(t, shown["results/units.csv"]) {
				if u["position"] != c.positions || u["coordinate_uncertainty_m"] != c.uncertainty || u["bearing_deg"] != "" || (u["latitude"] == "") != (c.uncertainty == "") {
					t.Fatalf("%v", u)
				}
			}
			for _, u := range csvRecords(t, shown["results/unit_seasons.csv"]) {
				if u["elevation_m"]+u["aspect_deg"] != "" {
					t.Fatalf("%v", u)
				}
			}
		})
	}
	open := everyByte(t, mustRun(t, Options{Survey: secretSurvey(t, ""), SetAside: true}))
	if !bytes.Contains(open["results/units.csv"], []byte("46.120137")) || !bytes.Contains(open[page.AppendixFile], []byte("-141.110713x")) {
		t.Error("without the setting, exact positions are not told either: the test looks at nothing")
	}
}
