package ingest

import (
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
)

func templateFolder(t *testing.T, full bool, change func(name, text string) string) string {
	files := map[string]string{}
	for _, f := range Template(`Hollow "Ridge"`, full) {
		if !strings.Contains(f.Name, "/") {
			files[f.Name] = change(f.Name, string(f.Data))
		}
	}
	return write(t, files)
}

// TestTemplateOpens reads the empty survey: nothing is wrong with it but that
// it is empty.
func TestTemplateOpens(t *testing.T) {
	for _, full := range []bool{false, true} {
		got := gather(t, templateFolder(t, full, func(_, text string) string { return text }), Options{})
		want := []string{
			"strata.csv: has no rows; write a row for each part of the land that is estimated on its own",
			"visits.csv: has no rows; write a row for each search of a unit, with finds or without",
			"plots.csv: the survey has neither a plot nor a transect; write a row for each that was laid",
		}
		if !slices.Equal(got.faults, want) {
			t.Errorf("full %t: faults:\n%swant:\n%s", full, lines(got.faults), lines(want))
		}
		if got.folder.Settings.Title != `Hollow "Ridge"` {
			t.Errorf("title = %q", got.folder.Settings.Title)
		}
	}
}

// TestExampleRows puts the example rows in place of the empty sheets: every sheet has
// some, under the same header, and nothing is wrong with them.
func TestExampleRows(t *testing.T) {
	for _, full := range []bool{false, true} {
		files := map[string]string{}
		for _, f := range Template("Rows to go by", full) {
			if !strings.Contains(f.Name, "/") {
				files[f.Name] = string(f.Data)
			}
		}
		for _, f := range Template("Rows to go by", full) {
			sheet, ok := strings.CutPrefix(f.Name, "examples/")
			if !ok {
				continue
			}
			if rows, ok := strings.CutPrefix(string(f.Data), files[sheet]); sheet != settingsName && (!ok || strings.Count(rows, "\n") < 2) {
				t.Errorf("full %t: %s has another header than its sheet, or few rows:\n%s", full, f.Name, f.Data)
			}
			files[sheet] = string(f.Data)
		}
		got := gather(t, write(t, files), Options{})
		if len(got.faults) > 0 {
			t.Errorf("full %t: faults:\n%s", full, lines(got.faults))
		}
		if n := len(got.finds); n < 5 {
			t.Errorf("full %t: %d finds", full, n)
		}
		for _, table := range got.summary.Tables {
			if table.Read < 2 {
				t.Errorf("full %t: %s has %d rows", full, table.Name, table.Read)
			}
		}
	}
}

// TestTemplateShowsTheDefaults takes the comment sign from every key: the
// settings stay what they are without them.
func TestTemplateShowsTheDefaults(t *testing.T) {
	uncomment := func(name, text string) string {
		if name != settingsName {
			return text
		}
		var b strings.Builder
		for line := range strings.Lines(text) {
			key, _, isKey := strings.Cut(strings.TrimPrefix(line, "# "), " = ")
			if line == "# [[harvest]]\n" || line == "# [dataset]\n" || isKey && !strings.ContainsAny(key, ` "`) {
				line = strings.TrimPrefix(line, "# ")
			}
			b.WriteString(line)
		}
		return b.String()
	}
	got := gather(t, templateFolder(t, true, uncomment), Options{})
	for _, f := range got.faults {
		if strings.HasPrefix(f, settingsName) {
			t.Error(f)
		}
	}
	want := survey.Defaults()
	want.Title = `Hollow "Ridge"`
	settings := got.folder.Settings
	if h := settings.Harvest; len(h) != 1 || h[0].Unit != survey.Gallons || h[0].KgPerLitre == 0 {
		t.Errorf("the example of a harvest is %+v", h)
	}
	if d := settings.Dataset; d.Licence == "" || d.CellM() != survey.DefaultBlurM {
		t.Errorf("the example of a data set is %+v", d)
	}
	settings.Harvest, settings.Dataset = nil, survey.Dataset{}
	settings.Season = survey.Season{} // has no default; the template shows an example
	if settings.Taxa.Target != nil && len(settings.Taxa.Target) == 0 {
		settings.Taxa.Target, settings.Hosts.Trees = nil, nil
	}
	if len(settings.Lines.Covariates)+len(settings.Lines.BreaksM) == 0 {
		settings.Lines.Covariates, settings.Lines.BreaksM = nil, nil
	}
	if len(settings.Check.Quiet) == 0 {
		settings.Check.Quiet = nil
	}
	if g, w := asJSON(t, settings), asJSON(t, want); g != w {
		t.Errorf("settings:\n%s\nwant:\n%s", g, w)
	}
}

// TestTemplateNamesEverything holds the template to the declarations.
func TestTemplateNamesEverything(t *testing.T) {
	files := map[string]string{}
	for _, f := range Template("x", true) {
		files[f.Name] = string(f.Data)
	}
	for _, table := range survey.Tables() {
		header := strings.Split(strings.TrimSpace(files[table.Name+".csv"]), ",")
		if len(header) != len(table.Fields) {
			t.Errorf("%s.csv has %d columns, want %d", table.Name, len(header), len(table.Fields))
		}
		for _, f := range table.Fields {
			if !strings.Contains(files["columns.md"], "| "+f.Name+" |") {
				t.Errorf("columns.md does not explain %s of %s", f.Name, table.Name)
			}
		}
	}
	for _, k := range survey.HarvestKeys {
		if k.Required && !strings.Contains(files[settingsName], "# "+k.Name+" = ") {
			t.Errorf("survey.toml does not show harvest.%s", k.Name)
		}
	}
	for _, k := range slices.Concat(survey.Keys, survey.DatasetKeys) {
		if !strings.Contains(files[settingsName], k.Name+" = ") {
			t.Errorf("survey.toml does not show %s", k.Path())
		}
	}
}
