package ingest

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

func of(v float64) column.Float { return column.Float{Value: v, Known: true} }

// zip compresses a text.
func zip(t testing.TB, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestSameSurvey gives the base in other forms, all of which must read as the
// same rows without a word.
func TestSameSurvey(t *testing.T) {
	want := gather(t, write(t, base), Options{})
	each := func(change func(string) string) map[string]string {
		files := map[string]string{}
		for name, text := range base {
			files[name] = text
			if strings.HasSuffix(name, ".csv") {
				files[name] = change(text)
			}
		}
		return files
	}
	quoted := func(text string) string {
		cells := strings.NewReplacer(",", `","`, "\n", "\"\n\"").Replace(text)
		return `"` + strings.TrimSuffix(cells, `"`)
	}
	replace := func(pairs ...string) func(string) string { return strings.NewReplacer(pairs...).Replace }
	forms := map[string]map[string]string{
		"tabs":             each(replace(",", "\t")),
		"CRLF":             each(replace("\n", "\r\n")),
		"CR":               each(replace("\n", "\r")),
		"byte order mark":  each(func(s string) string { return "\ufeff" + s }),
		"quoted":           each(quoted),
		"spaces":           each(replace(",", "\u00a0,\u200b ")),
		"no last line end": each(func(s string) string { return strings.TrimSuffix(s, "\n") }),
		"upper-case head": each(func(s string) string {
			head, rest, _ := strings.Cut(s, "\n")
			return strings.ToUpper(head) + "\n" + rest
		}),
		"BOM, CR, tabs": each(func(s string) string { return "\ufeff" + replace(",", "\t", "\n", "\r")(s) }),
	}
	forms["semicolons"] = each(func(s string) string {
		return replace("Ada;Ben", `"Ada;Ben"`, "1.5", "1,5", ",", ";")(s)
	})
	zipped := map[string]string{}
	for name, text := range base {
		if strings.HasSuffix(name, ".csv") {
			zipped[name+".gz"], text = zip(t, text), gone
		}
		zipped[name] = text
	}
	forms["gzip"] = zipped
	for name, files := range forms {
		t.Run(name, func(t *testing.T) {
			got := gather(t, write(t, with(files)), Options{})
			if len(got.faults)+len(got.notices) > 0 {
				t.Errorf("faults:\n%snotices:\n%s", lines(got.faults), lines(got.notices))
			}
			for table, rows := range want.rows {
				if g := got.rows[table]; !slices.Equal(g, rows) {
					t.Errorf("%s:\n%swant:\n%s", table, lines(g), lines(rows))
				}
			}
		})
	}
}

func TestCellsAreRead(t *testing.T) {
	got := gather(t, write(t, with(map[string]string{
		"finds.csv": "unit,date,taxon,count,mode,tree,tree_distance_m,tree_alive,seen_by,mass_kg,hollow,harvested,x_cm,y_m,weather,camera\n" +
			"P1,2031-05-17, black morel ,3,Saprophytic,paper birch,1.25,Y,Ben ; Ada,0.5,YES,0,25,-1e1,rain,7\n" +
			"P1,2031-05-17,grey morel,,Mycorrhizal,birch,,,,,,,,,,\n",
	})), Options{})
	if len(got.faults) > 0 {
		t.Fatal(lines(got.faults))
	}
	yes, no := column.Bool{Value: true, Known: true}, column.Bool{Known: true}
	day, err := column.ParseDate("2031-05-17")
	if err != nil {
		t.Fatal(err)
	}
	want := []survey.Find{{
		Row:  survey.Row{Place: survey.Place{File: "finds.csv", Line: 2}, Extra: []string{"rain", "7"}},
		Unit: "P1", Date: day, Pass: column.Count(1), Taxon: "black morel", Count: column.Count(3),
		Mode: survey.Saprotrophic, Tree: "paper birch", TreeDistanceM: of(1.25), TreeAlive: yes,
		SeenBy: "Ben;Ada", MassG: of(500), Hollow: "yes", Harvested: no, XM: of(0.25), YM: of(-10),
	}, {
		Row:  survey.Row{Place: survey.Place{File: "finds.csv", Line: 3}, Extra: []string{"", ""}},
		Unit: "P1", Date: day, Pass: column.Count(1), Taxon: "grey morel", Count: column.Count(1),
		Mode: survey.HostAssociated, Tree: "birch",
	}}
	for i := range want {
		if g, w := got.finds[i], want[i]; !slices.Equal(g.Extra, w.Extra) || g.Place != w.Place {
			t.Errorf("find %d: %+v, want %+v", i, g.Row, w.Row)
		}
		got.finds[i].Row, want[i].Row = survey.Row{}, survey.Row{}
		if g, w := keepOne(got.finds[i]), keepOne(want[i]); g != w {
			t.Errorf("find %d:\n%s\nwant:\n%s", i, g, w)
		}
	}
	if g, w := got.folder.Extra("finds"), []string{"weather", "camera"}; !slices.Equal(g, w) {
		t.Errorf("Extra = %q, want %q", g, w)
	}
}

func TestTruth(t *testing.T) {
	for text, want := range map[string]bool{
		"yes": true, "Yes": true, "y": true, "true": true, "1": true,
		"no": false, "NO": false, "n": false, "False": false, "0": false,
	} {
		var got column.Bool
		if problem, _ := setTruth(&got)(text); problem != "" || !got.Known || got.Value != want {
			t.Errorf("%q is read as %+v: %s", text, got, problem)
		}
	}
}

func keepOne(f survey.Find) string {
	g := gathered{rows: map[string][]string{}}
	keep(&g, "finds", &f)
	return g.rows["finds"][0]
}

// TestUnits reads one length, area and mass in every unit of the contract. The
// factors are exact by definition: the international foot and pound of 1959,
// the acre of 43,560 square feet, the ounce of a sixteenth of a pound.
func TestUnits(t *testing.T) {
	tests := []struct {
		stem, ending, text string
		want               float64
	}{
		{"length", "m", "3.7", 3.7},
		{"length", "cm", "25", 0.25},
		{"length", "ft", "1", 0.3048},
		{"length", "in", "1", 0.0254},
		{"area", "m2", "1", 1},
		{"area", "ft2", "43560", 4046.8564224},
		{"area", "ha", "0.01", 100},
		{"area", "acre", "1", 4046.8564224},
		{"mass", "g", "1", 1},
		{"mass", "kg", "0.1", 100},
		{"mass", "oz", "16", 453.59237},
		{"mass", "lb", "1", 453.59237},
		{"temperature", "f", "212", 100},
		{"temperature", "f", "-40", -40},
	}
	stored := map[string]string{"length": "m", "area": "m2", "mass": "g", "temperature": "c"}
	for _, tt := range tests {
		h := headers{fields: []column.Field{{Name: tt.stem + "_" + stored[tt.stem], Form: column.Number}}}
		means, ok := h.known(tt.stem + "_" + tt.ending)
		if !ok || means.wrong != "" {
			t.Errorf("%s_%s is not known", tt.stem, tt.ending)
			continue
		}
		v, _, problem, _ := parseNumber(tt.text, false)
		if got := means.conversion.apply(v); problem != "" || got != tt.want {
			t.Errorf("%s %s = %v, want %v", tt.text, tt.ending, got, tt.want)
		}
	}
	acre, _ := measureOf("acre")
	hectare, _ := measureOf("ha")
	if got := between(acre, hectare).apply(1000); got != 404.68564224 {
		t.Errorf("1000 acres = %v ha", got)
	}
}

func TestColumnsInOtherUnits(t *testing.T) {
	got := gather(t, write(t, with(map[string]string{
		"survey.toml": base["survey.toml"] + "[columns.strata]\n\"Size (acres)\" = \"area_acre\"\n[columns.plots]\n\"Plot No.\" = \"plot\"\n",
		"strata.csv":  "stratum,Size (acres),fire_date\nburn,1000,2030-08-14\ngreen,8,\n",
		"plots.csv":   "Plot No.,stratum,length_ft,width_in\nP1,burn,10,100\nP2,green,20,50\n",
	})), Options{})
	if len(got.faults)+len(got.notices) > 0 {
		t.Fatal(lines(got.faults), lines(got.notices))
	}
	if row := got.rows["strata"][0]; !strings.Contains(row, "AreaHa:{Value:404.68564224 ") {
		t.Errorf("stratum = %s", row)
	}
	if row := got.rows["plots"][0]; !strings.Contains(row, "LengthM:{Value:3.048 Known:true} WidthM:{Value:2.54 Known:true}") {
		t.Errorf("plot = %s", row)
	}
}

func TestFilesByPattern(t *testing.T) {
	got := gather(t, write(t, with(map[string]string{
		"survey.toml":           base["survey.toml"] + "[files]\nfinds = [\"late.csv\", \"days/*.csv.gz\", \"days/*.csv\"]\nvisits = \"visits.csv\"\n",
		"finds.csv":             gone,
		"days/b.csv":            "taxon;unit;date;note;sky\nblack morel;P2;2031-05-17;x;blue\n",
		"days/a.csv":            "unit,date,taxon,sky\nP1,2031-05-17,black morel,grey\n",
		"days/c.csv.gz":         zip(t, "unit,date,taxon\nT1,2031-05-18,black morel\n"),
		"days/._a.csv":          "\x00\x05\x16\x07",
		"late.csv":              "unit,date,taxon,NOTE\nP1,2031-05-17,black morel,y\n",
		"elsewhere/ignored.csv": "not of this survey",
	})), Options{})
	if len(got.faults) > 0 {
		t.Fatal(lines(got.faults))
	}
	var places, extras []string
	for _, f := range got.finds {
		places = append(places, at(f.Place))
		extras = append(extras, strings.Join(f.Extra, "/"))
	}
	if want := []string{"days/a.csv:2", "days/b.csv:2", "days/c.csv.gz:2", "late.csv:2"}; !slices.Equal(places, want) {
		t.Errorf("places = %q, want %q", places, want)
	}
	if want := []string{"sky", "note"}; !slices.Equal(got.folder.Extra("finds"), want) {
		t.Errorf("Extra = %q, want %q", got.folder.Extra("finds"), want)
	}
	if want := []string{"grey/", "blue/x", "/", "/y"}; !slices.Equal(extras, want) {
		t.Errorf("extra texts = %q, want %q", extras, want)
	}
}

func TestLinkWithinTheFolder(t *testing.T) {
	dir := write(t, with(map[string]string{"finds.csv": gone, "sheets/f.csv": base["finds.csv"]}))
	if err := os.Symlink("sheets/f.csv", filepath.Join(dir, "finds.csv")); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	got := gather(t, dir, Options{})
	if len(got.faults) > 0 || len(got.finds) != 3 {
		t.Errorf("%d finds, faults:\n%s", len(got.finds), lines(got.faults))
	}
}

func TestSettingsAreRead(t *testing.T) {
	s, ok := parseSettings([]byte(`
title = " Hollow Ridge "
confidence = 0.9
seed = 0
units = "US"
counting.rule = "standing"
season = { first = 2031-05-01, last = "2031-06-30" }
[files]
finds = ["a.csv", "b*.csv"]
[columns.finds]
"Art" = "taxon"
[single_unit_strata]
"wet hollow" = "lower slope"
[taxa]
target = ["black morel"]
[hosts]
trees = ["paper birch"]
distance_m = 2
[density]
interval = "BCa"
systematic = "Successive-Differences"
roadside = "together"
replicates = 999
[curve]
standing_days = [7, 14]
`))
	if !ok || len(s.faults) > 0 {
		t.Fatal(s.faults)
	}
	want := survey.Defaults()
	want.Title, want.Confidence, want.Seed, want.Units = "Hollow Ridge", 0.9, 0, survey.US
	want.Counting.Rule = survey.Standing
	want.Season.First, _ = column.ParseDate("2031-05-01")
	want.Season.Last, _ = column.ParseDate("2031-06-30")
	want.Files["finds"] = []string{"a.csv", "b*.csv"}
	want.Columns["finds"] = map[string]string{"Art": "taxon"}
	want.SingleUnitStrata = map[string]string{"wet hollow": "lower slope"}
	want.Taxa.Target = []string{"black morel"}
	want.Hosts = survey.Hosts{Trees: []string{"paper birch"}, DistanceM: 2}
	want.Density = survey.Density{Interval: "bca", Systematic: "successive-differences", Roadside: survey.Together, Replicates: 999}
	want.Curve.StandingDays = survey.Range{Low: 7, High: 14}
	if g, w := asJSON(t, s.Settings), asJSON(t, want); g != w {
		t.Errorf("settings:\n%s\nwant:\n%s", g, w)
	}
}
