package ingest

import (
	"reflect"
	"strings"
	"testing"

	"ashtally/pipeline/demo"
	"ashtally/pipeline/survey"
)

// TestSettingsAreWrittenAsTheyAreRead reads what was written of settings that differ
// from the defaults in every table.
func TestSettingsAreWrittenAsTheyAreRead(t *testing.T) {
	const every = `title = "An invented \"burn\", with a quote"
confidence = 0.9
seed = 900719925474099
units = "us"
[files]
finds = "finds-*.csv"
[columns.plots]
"Burn" = "stratum"
[single_unit_strata]
"a b" = "c"
[season]
first = "2031-04-15"
[counting]
rule = "standing"
[taxa]
target = ["black morel"]
[hosts]
trees = ["paper birch"]
distance_m = 2.5
[lines]
breaks_m = [0, 1.5, 4]
truncation_m = 4
covariates = ["ground_cover"]
[curve]
standing_days = [7, 14]
[check]
quiet = ["same-row"]
[[harvest]]
name = "buyers"
people = 10
days = 20
limit = 5
unit = "kg"
share = 0.3
[dataset]
licence = "CC-BY-4.0"
contact = "Mara Lindqvist"
citation = "Lindqvist M (2031) An invented survey."
blurred = ["black morel"]
[dataset.taxa]
"black morel" = { name = "Morchella tomentosa", id = "urn:example" }
[dataset.trees]
"paper birch" = "Betula papyrifera"
`
	documents := []string{every, `title = "silent"`}
	for _, f := range demo.Survey() {
		if f.Name == settingsName {
			documents = append(documents, string(f.Data))
		}
	}
	for _, document := range documents {
		want, ok := parseSettings([]byte(document))
		if !ok || len(want.faults) > 0 {
			t.Fatal(want.faults)
		}
		text, err := SettingsTOML(want.Settings)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := parseSettings(text)
		if !ok || len(got.faults) > 0 {
			t.Fatalf("%v\n%s", got.faults, text)
		}
		silent := survey.Defaults()
		want.Files, want.Columns, want.Plan = silent.Files, silent.Columns, got.Plan
		if !reflect.DeepEqual(got.Settings, want.Settings) {
			t.Errorf("%+v\nwas written as\n%s\nand read as\n%+v", want.Settings, text, got.Settings)
		}
		if strings.Contains(string(text), "permute") {
			t.Errorf("a default was written:\n%s", text)
		}
	}
}
