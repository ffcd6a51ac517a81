package demo_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ashtally/pipeline/demo"
)

var update = flag.Bool("update", false, "write testdata/demo anew")

var goldenDir = filepath.Join("..", "..", "testdata", "demo")

func TestSurveyIsTheOneInTestdata(t *testing.T) {
	files := demo.Survey()
	if *update {
		writeGolden(t, files)
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
		want, err := os.ReadFile(filepath.Join(goldenDir, f.Name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(f.Data, want) {
			t.Errorf("%s differs from testdata/demo; if it should, run this test with -update", f.Name)
		}
	}
	entries, err := os.ReadDir(goldenDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !slices.Contains(names, e.Name()) {
			t.Errorf("testdata/demo holds %s, which Survey does not write", e.Name())
		}
	}
}

func writeGolden(t *testing.T, files []demo.File) {
	t.Helper()
	if err := os.MkdirAll(goldenDir, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(goldenDir, f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestSurveySaysItIsInvented(t *testing.T) {
	settings := string(surveyFile(t, "survey.toml"))
	first, _, _ := strings.Cut(settings, "\n")
	if !strings.HasPrefix(first, "#") || !strings.Contains(first, "invented") {
		t.Errorf("survey.toml begins with %q, not with a comment that says it is invented", first)
	}
	for line := range strings.Lines(settings) {
		if strings.HasPrefix(line, "title") && strings.Contains(line, "invented") {
			return
		}
	}
	t.Error("the title does not say that the survey is invented")
}

// The ranges are those the demonstration was asked to have.
func TestSurveyHasItsNumbers(t *testing.T) {
	transects := table(t, "transects.csv")
	strips, lines := 0, 0
	for _, r := range transects {
		switch r["kind"] {
		case "strip":
			strips++
		case "line":
			lines++
		}
	}
	finds := allFinds(t)
	for _, c := range []struct {
		what        string
		got         int
		least, most int
	}{
		{"strata", len(table(t, "strata.csv")), 6, 6},
		{"plots", len(table(t, "plots.csv")), 306, 306},
		{"adaptive cluster plots", count(table(t, "plots.csv"), "Plot No", "G"), 106, 106},
		{"added among them", count(table(t, "plots.csv"), "Added?", "yes"), 78, 78},
		{"strips", strips, 24, 24},
		{"lines", lines, 6, 6},
		{"rows of finds", len(finds), 1800, 2000},
		{"days of visits", days(t), 672, 672}, // two to each of 336 units
		{"finds on lines", count(finds, "unit", "L"), 150, 250},
	} {
		if c.got < c.least || c.got > c.most {
			t.Errorf("%d %s, want %d to %d", c.got, c.what, c.least, c.most)
		}
	}
}

// days counts the unit-days of visits, passes of one day together.
func days(t *testing.T) int {
	seen := map[[2]string]bool{}
	for _, v := range table(t, "visits.csv") {
		seen[[2]string{v["unit"], v["date"]}] = true
	}
	return len(seen)
}

// count counts the rows whose cell begins with a text.
func count(rows []map[string]string, column, prefix string) int {
	n := 0
	for _, r := range rows {
		if strings.HasPrefix(r[column], prefix) {
			n++
		}
	}
	return n
}

func TestSurveySharesOfFinds(t *testing.T) {
	finds := allFinds(t)
	var targets, others []map[string]string
	for _, f := range finds {
		if slices.Contains(demo.Targets(), f["taxon"]) {
			targets = append(targets, f)
		} else {
			others = append(others, f)
		}
	}
	share := func(rows []map[string]string, column, text string, of int) float64 {
		return float64(count(rows, column, text)) / float64(of)
	}
	for _, c := range []struct {
		what        string
		got         float64
		least, most float64
	}{
		{"undetermined", share(targets, "mode", "undetermined", len(targets)), 0.08, 0.12},
		{"other taxa", float64(len(others)) / float64(len(finds)), 0.02, 0.08},
		{"host-associated", share(targets, "mode", "host", len(targets)), 0.05, 0.30},
		{"not hollow among targets", share(targets, "hollow", "no", len(targets)), 0, 0},
		{"not hollow among others", share(others, "hollow", "no", len(others)), 0.1, 0.6},
		{"harvested of others", share(others, "harvested", "yes", len(others)), 0, 0},
		{"without mass", 1 - share(targets, "mass_g", "", len(targets)), 0, 0},
	} {
		if c.got < c.least || c.got > c.most {
			t.Errorf("share %s is %.3f, want %g to %g", c.what, c.got, c.least, c.most)
		}
	}
}

func TestSurveyIDsAreUnique(t *testing.T) {
	seen := map[string]bool{}
	for _, id := range unitIDs(t) {
		if seen[id] {
			t.Errorf("unit %s is named twice", id)
		}
		seen[id] = true
	}
	visits := map[[3]string]bool{}
	for _, v := range table(t, "visits.csv") {
		key := [3]string{v["unit"], v["date"], v["pass"]}
		if visits[key] {
			t.Errorf("visit %v stands twice", key)
		}
		visits[key] = true
	}
}

func TestEveryFindHasItsVisit(t *testing.T) {
	observers := map[[3]string]string{}
	for _, v := range table(t, "visits.csv") {
		observers[[3]string{v["unit"], v["date"], v["pass"]}] = v["observers"]
	}
	for _, f := range allFinds(t) {
		team, ok := observers[[3]string{f["unit"], f["date"], f["pass"]}]
		if !ok {
			t.Fatalf("find %v has no visit", f)
		}
		for name := range strings.SplitSeq(f["seen_by"], ";") {
			if !slices.Contains(strings.Split(team, ";"), name) {
				t.Errorf("%s saw a find in %s but did not search there", name, f["unit"])
			}
		}
	}
}

func TestEveryUnitIsVisitedTwice(t *testing.T) {
	dates := map[string][]string{}
	for _, v := range table(t, "visits.csv") {
		if !slices.Contains(dates[v["unit"]], v["date"]) {
			dates[v["unit"]] = append(dates[v["unit"]], v["date"])
		}
	}
	for _, id := range unitIDs(t) {
		if len(dates[id]) != 2 {
			t.Fatalf("unit %s was visited on %v", id, dates[id])
		}
		first, second := day(t, dates[id][0]), day(t, dates[id][1])
		if gap := second.Sub(first).Hours() / 24; gap < 10 || gap > 14 {
			t.Errorf("visits to unit %s lie %g days apart, want 10 to 14", id, gap)
		}
	}
}

func day(t *testing.T, text string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The visits climb with the season: units above 1,300 m are first seen more
// than a week after those below 1,100 m.
func TestVisitsComeLaterHigherUp(t *testing.T) {
	first := map[string]string{}
	for _, v := range table(t, "visits.csv") {
		if d, ok := first[v["unit"]]; !ok || v["date"] < d {
			first[v["unit"]] = v["date"]
		}
	}
	var low, high []float64
	for _, p := range table(t, "plots.csv") {
		yearDay := float64(day(t, first[p["Plot No"]]).YearDay())
		switch elevation := number(t, p["Elevation (m)"]); {
		case elevation < 1100:
			low = append(low, yearDay)
		case elevation >= 1300:
			high = append(high, yearDay)
		}
	}
	if later := mean(high) - mean(low); later <= 7 {
		t.Errorf("high plots are first visited %.1f days after low ones, want more than 7", later)
	}
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

func TestLineDistancesLieWithinTheHalfWidth(t *testing.T) {
	halfWidth := map[string]float64{}
	for _, r := range table(t, "transects.csv") {
		if r["kind"] == "line" {
			halfWidth[r["transect"]] = number(t, r["half_width_ft"]) * 0.3048
		}
	}
	for _, f := range table(t, "finds-transects.csv") {
		w, isLine := halfWidth[f["unit"]]
		switch {
		case isLine != (f["distance_m"] != ""):
			t.Errorf("find in %s has the distance %q", f["unit"], f["distance_m"])
		case isLine && number(t, f["distance_m"]) > w:
			t.Errorf("find at %s m of line %s, whose half-width is %g m", f["distance_m"], f["unit"], w)
		}
	}
}

func surveyFile(t *testing.T, name string) []byte {
	t.Helper()
	for _, f := range demo.Survey() {
		if f.Name == name {
			return f.Data
		}
	}
	t.Fatalf("the survey has no %s", name)
	return nil
}

func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	return parse(t, surveyFile(t, name))
}

// parse reads CSV text into a map of header to cell for each row.
func parse(t *testing.T, text []byte) []map[string]string {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(text))
	if header, _, _ := strings.Cut(string(text), "\n"); strings.Contains(header, ";") {
		r.Comma = ';'
	}
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, cell := range record {
			row[records[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

func allFinds(t *testing.T) []map[string]string {
	t.Helper()
	return append(table(t, "finds-plots.csv"), table(t, "finds-transects.csv")...)
}

func unitIDs(t *testing.T) []string {
	t.Helper()
	var ids []string
	for _, r := range table(t, "plots.csv") {
		ids = append(ids, r["Plot No"])
	}
	for _, r := range table(t, "transects.csv") {
		ids = append(ids, r["transect"])
	}
	return ids
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
