package pipeline

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
	"ashtally/stats/planning"
)

// twoStrata is an invented burn of two strata side by side, the second half as wide
// as the first.
const twoStrata = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"stratum":"ridge","fire_date":"2030"},"geometry":{"type":"Polygon","coordinates":[[[-118.42,46.10],[-118.40,46.10],[-118.40,46.11],[-118.42,46.11],[-118.42,46.10]]]}},
{"type":"Feature","properties":{"stratum":"creek","fire_date":"2030"},"geometry":{"type":"Polygon","coordinates":[[[-118.40,46.10],[-118.39,46.10],[-118.39,46.11],[-118.40,46.11],[-118.40,46.10]]]}}]}`

// fruitBodies is the density per hectare at a longitude of twoStrata. It rises
// linearly within a stratum, so that the mean of a stratum is that of its middle:
// 300 on the ridge, 900 at the creek.
func fruitBodies(stratum string, longitude float64) float64 {
	if stratum == "ridge" {
		return 300 + 15000*(longitude+118.41)
	}
	return 900 + 60000*(longitude+118.395)
}

// rowsByName are the rows of a CSV file as columns by name.
func rowsByName(t *testing.T, data string) (rows []map[string]string) {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range all[1:] {
		named := map[string]string{}
		for i, name := range all[0] {
			named[name] = row[i]
		}
		rows = append(rows, named)
	}
	return rows
}

func numberOf(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// searched fills the survey folder of a plan: every unit is visited once, and the
// fruit bodies on it are clumped about the density where it lies.
func searched(t *testing.T, made map[string]string) string {
	t.Helper()
	r := rand.New(rand.NewPCG(4127, 0))
	visits, finds := bytes.NewBufferString(made["survey/visits.csv"]), bytes.NewBufferString(made["survey/finds.csv"])
	empty := strings.Repeat(",", strings.Count(made["survey/finds.csv"], ",")-4)
	for _, p := range rowsByName(t, made["survey/plots.csv"]) {
		radius := numberOf(t, p["radius_m"])
		ha := math.Pi * radius * radius / 1e4
		fmt.Fprintf(visits, "%s,2031-05-17,,lena,0.5,\n", p["plot"])
		ground := planning.Population{PerHa: fruitBodies(p["stratum"], numberOf(t, p["longitude"])), K: 4, UnitHa: ha}
		if n := ground.Count(r, ha); n > 0 {
			fmt.Fprintf(finds, "%s,2031-05-17,,black morel,%.0f%s\n", p["plot"], n, empty)
		}
	}
	made["survey/visits.csv"], made["survey/finds.csv"] = visits.String(), finds.String()
	dir := t.TempDir()
	for name, text := range made {
		if base, ok := strings.CutPrefix(name, "survey/"); ok {
			if err := os.WriteFile(filepath.Join(dir, base), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

// A burn is planned, searched and run, and nothing is edited in between but visits and
// finds: the interval of each density holds the true one, and neither a fault nor a
// notice is told of the files of the plan.
func TestPlannedSurveyIsRun(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	plan := filepath.Join(t.TempDir(), "plan")
	dir := planFolder(t, map[string]string{"outline.geojson": twoStrata, "survey.toml": "title = \"An invented burn\"\n[plan]\nunits = 60\n"})
	if _, err := MakePlan(context.Background(), PlanOptions{Survey: dir, Out: plan}); err != nil {
		t.Fatal(err)
	}
	made := planned(t, plan)
	out := filepath.Join(t.TempDir(), "out")
	told := func(f survey.Fault) { t.Error(f) }
	if _, err := Run(context.Background(), Options{Survey: searched(t, made), Out: out, Watch: Watch{Fault: told, Notice: told}}); err != nil {
		t.Fatal(err)
	}
	results := planned(t, out)
	for _, name := range []string{"report.html", "run.json", "figures/density-by-stratum.svg", "archive/plots.parquet"} {
		if results[name] == "" {
			t.Errorf("there is no %s", name)
		}
	}
	truth := map[string]float64{"ridge": 300, "creek": 900, "all": 500}
	for _, row := range rowsByName(t, results["results/density.csv"]) {
		want := truth[row["stratum"]]
		if row["method"] != "plot" || row["years_since_fire"]+row["mode"]+row["tree"]+row["taxon"] != "allallallall" {
			continue
		}
		delete(truth, row["stratum"])
		at := func(name string) float64 { return numberOf(t, row[name]) }
		if at("lower") > want || at("upper") < want || math.Abs(at("density_per_ha")/want-1) > 0.3 {
			t.Errorf("%s: %s per ha (%s to %s), want about %v", row["stratum"], row["density_per_ha"], row["lower"], row["upper"], want)
		}
	}
	if len(truth) > 0 {
		t.Errorf("no density of %v", truth)
	}
}
